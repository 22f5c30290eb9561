import type { Metadata } from 'next'
import Link from 'next/link'
import { redirect } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import { RegistrationMark } from '@/app/parts/mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { hasDatabase } from '@/lib/server/health'
import { resetByMailWorks } from '@/lib/server/reset-mail'
import { askResetAction } from '../actions'
import styles from '../sign-in.module.css'

export const metadata: Metadata = { title: 'Password forgotten' }
export const dynamic = 'force-dynamic'

/** Asks for a mail with which a forgotten password is replaced. */
export default async function ForgottenPage() {
  if (!hasDatabase()) redirect('/welcome')
  return (
    <main className={styles.page}>
      <RegistrationMark size={44} />
      <h1>Password forgotten</h1>
      {(await resetByMailWorks()) ? (
        <>
          <p>
            If the shop has your mail address, a mail goes there. With it you choose a new password, within an
            hour.
          </p>
          <ActionForm action={askResetAction} label="Password forgotten">
            <Field
              name="name"
              label="Your name"
              required
              autoComplete="username"
              autoCapitalize="words"
              spellCheck={false}
            />
            <SubmitButton size="floor">Send me a mail</SubmitButton>
          </ActionForm>
        </>
      ) : (
        <p>
          Ask the owner: they give you a new one under Office, Sign-ins. An owner who has forgotten theirs
          types “npm run let-in” on the shop’s own computer.
        </p>
      )}
      <p>
        <Link href="/sign-in">Back to signing in</Link>
      </p>
    </main>
  )
}
