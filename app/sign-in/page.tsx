import type { Metadata } from 'next'
import Link from 'next/link'
import { redirect } from 'next/navigation'
import { JOB_WORDS } from '@/app/office/sign-ins/job-choices'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { RegistrationMark } from '@/app/parts/mark'
import { Notice } from '@/app/parts/notice'
import { SubmitButton } from '@/app/parts/submit-button'
import { TickField } from '@/app/parts/tick-field'
import { STAY_DAYS } from '@/lib/server/auth'
import { isDemo } from '@/lib/server/demo'
import { hasDatabase } from '@/lib/server/health'
import { ownAddress } from '@/lib/server/origin'
import { activePeople } from '@/lib/server/people'
import { RIGHTS } from '@/lib/server/rights'
import { currentPerson, notAllowed } from '@/lib/server/session'
import { peopleWithPin, thisTablet } from '@/lib/server/tablets'
import { signIn, signInToDemo, signInWithPin } from './actions'
import styles from './sign-in.module.css'

export const metadata: Metadata = { title: 'Sign in' }
export const dynamic = 'force-dynamic'

export default async function SignInPage({
  searchParams,
}: {
  searchParams: Promise<{
    to?: string | string[]
    needs?: string | string[]
    by?: string | string[]
    new?: string | string[]
  }>
}) {
  if (!hasDatabase()) redirect('/welcome')
  const asked = await searchParams
  const to = ownAddress([asked.to].flat()[0])
  const needs = RIGHTS.find(right => right === asked.needs)
  const person = await currentPerson()
  if (person && !needs) redirect(to)
  const tablet = asked.by === 'password' ? null : await thisTablet()
  return (
    <main className={styles.page}>
      <RegistrationMark size={44} />
      <h1>Sign in</h1>
      {asked.new === 'password' && <Notice kind="done">Your new password is set: sign in with it.</Notice>}
      {person && needs && <Notice kind="stop">{notAllowed(person.role, needs)}</Notice>}
      {isDemo() ? <DemoPeople to={to} /> : tablet ? <NameAndPin to={to} /> : <NameAndPassword to={to} />}
    </main>
  )
}

function NameAndPassword({ to }: { to: string }) {
  return (
    <ActionForm action={signIn} label="Sign in">
      <input type="hidden" name="to" value={to} />
      <Field
        name="name"
        label="Your name"
        required
        autoComplete="username"
        autoCapitalize="words"
        spellCheck={false}
      />
      <Field name="password" label="Password" required type="password" autoComplete="current-password" />
      <TickField
        name="stay"
        label={`Stay signed in here for ${STAY_DAYS} days`}
        note="For a computer of your own, or the screen on the wall. Without it you sign in again the next day."
      />
      <SubmitButton size="floor">Sign in</SubmitButton>
      <p>
        <Link href="/sign-in/forgotten">Password forgotten?</Link>
      </p>
    </ActionForm>
  )
}

/** At a tablet that several people share. */
async function NameAndPin({ to }: { to: string }) {
  const people = await peopleWithPin()
  const byPassword = (
    <Link href={`/sign-in?by=password&to=${encodeURIComponent(to)}`}>Sign in by a password</Link>
  )
  if (people.length === 0)
    return (
      <>
        <p>
          This is a shared tablet, and nobody has a PIN yet. Everybody sets their own under “How you sign in”.
        </p>
        <p>{byPassword}</p>
      </>
    )
  return (
    <>
      <ActionForm action={signInWithPin} label="Sign in by PIN">
        <input type="hidden" name="to" value={to} />
        <Choices
          name="person"
          label="Who are you?"
          options={people.map(p => ({ value: p.id, label: p.name }))}
          required
        />
        <Field
          name="pin"
          label="PIN"
          required
          type="password"
          inputMode="numeric"
          autoComplete="off"
          size={10}
        />
        <SubmitButton size="floor">Sign in</SubmitButton>
      </ActionForm>
      <p>{byPassword}</p>
    </>
  )
}

async function DemoPeople({ to }: { to: string }) {
  return (
    <>
      <p>This is the demo shop: names and orders are invented. Come in as anybody.</p>
      {(await activePeople()).map(person => (
        <ActionForm key={person.id} action={signInToDemo} label={person.name} className={styles.choice}>
          <input type="hidden" name="to" value={to} />
          <input type="hidden" name="name" value={person.name} />
          <SubmitButton size="floor" wide look={person.role === 'owner' ? 'primary' : 'plain'}>
            {person.name}, {person.role}
          </SubmitButton>
          <p className={styles.role}>{JOB_WORDS[person.role]}</p>
        </ActionForm>
      ))}
    </>
  )
}
