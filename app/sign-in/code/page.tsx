import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import { RegistrationMark } from '@/app/parts/mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { ownAddress } from '@/lib/server/origin'
import { signInWithCode } from '../actions'
import styles from '../sign-in.module.css'

export const metadata: Metadata = { title: 'Code' }
export const dynamic = 'force-dynamic'

/** The second step of signing in. */
export default async function CodePage({
  searchParams,
}: {
  searchParams: Promise<{ to?: string | string[] }>
}) {
  const to = ownAddress([(await searchParams).to].flat()[0])
  return (
    <main className={styles.page}>
      <RegistrationMark size={44} />
      <h1>And a code</h1>
      <ActionForm action={signInWithCode} label="Code">
        <input type="hidden" name="to" value={to} />
        <Field
          name="code"
          label="Code of your authenticator"
          hint="Or one of the codes that you wrote down."
          inputMode="text"
          autoComplete="one-time-code"
          size={14}
          required
        />
        <SubmitButton size="floor">Sign in</SubmitButton>
      </ActionForm>
      <p>
        <Link href={`/sign-in?to=${encodeURIComponent(to)}`}>Begin again</Link>
      </p>
    </main>
  )
}
