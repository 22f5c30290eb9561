import type { Metadata } from 'next'
import { opening } from '@/lib/server/supervisor'
import styles from '../welcome.module.css'
import { Progress } from './progress'

export const metadata: Metadata = { title: 'Opening the shop' }
export const dynamic = 'force-dynamic'

export default async function OpeningPage({ searchParams }: { searchParams: Promise<{ kind?: string }> }) {
  const kind = (await searchParams).kind === 'demo' ? 'demo' : 'own'
  return (
    <main className={styles.page}>
      <h1>{kind === 'demo' ? 'Opening the demo shop' : 'Opening your shop'}</h1>
      <Progress kind={kind} step={opening()?.step ?? 'Getting ready'} />
    </main>
  )
}
