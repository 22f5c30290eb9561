import { Sign } from '@/app/parts/sign'
import type { Finding } from '@/lib/artwork/findings'
import styles from './artdesk.module.css'

const SIGN = { stop: 'stop', warn: 'caution', note: 'info' } as const
const SAID = { stop: 'Stop', warn: 'Look', note: 'Good to know' } as const

/** What the pixels say, worst first, each one sentence. */
export function Findings({ findings }: { findings: readonly Finding[] }) {
  if (findings.length === 0) return <p>Nothing stands in its way.</p>
  return (
    <ul className={styles.findings}>
      {findings.map(f => (
        <li key={f.code} className={styles.finding}>
          <span className={styles[f.severity]}>
            <Sign name={SIGN[f.severity]} />
          </span>
          <span>
            <strong className={styles[f.severity]}>{SAID[f.severity]}:</strong> {f.message}
          </span>
        </li>
      ))}
    </ul>
  )
}
