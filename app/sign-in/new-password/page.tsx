import type { Metadata } from 'next'
import Link from 'next/link'
import { redirect } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import { RegistrationMark } from '@/app/parts/mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { hasDatabase } from '@/lib/server/health'
import { SHORTEST_PASSWORD } from '@/lib/server/passwords'
import { newPasswordAction } from '../actions'
import styles from '../sign-in.module.css'

export const metadata: Metadata = { title: 'A new password', referrer: 'no-referrer' }
export const dynamic = 'force-dynamic'

/** Where the address in the mail leads: a new password. */
export default async function NewPasswordPage({
  searchParams,
}: {
  searchParams: Promise<{ key?: string | string[] }>
}) {
  if (!hasDatabase()) redirect('/welcome')
  const key = [(await searchParams).key].flat()[0] ?? ''
  return (
    <main className={styles.page}>
      <RegistrationMark size={44} />
      <h1>A new password</h1>
      <ActionForm action={newPasswordAction} label="A new password">
        <input type="hidden" name="key" value={key.slice(0, 200)} />
        <Field
          name="password"
          label="New password"
          type="password"
          autoComplete="new-password"
          hint={`At least ${SHORTEST_PASSWORD} characters. Four words are easy to keep and hard to guess.`}
          required
        />
        <Field name="again" label="New password again" type="password" autoComplete="new-password" required />
        <SubmitButton size="floor">Use this password</SubmitButton>
      </ActionForm>
      <p>
        <Link href="/sign-in/forgotten">Ask for another mail</Link>
      </p>
    </main>
  )
}
