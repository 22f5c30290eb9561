import type { Metadata } from 'next'
import { redirect } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { isDemo } from '@/lib/server/demo'
import { SHORTEST_PASSWORD } from '@/lib/server/passwords'
import { resetByMailWorks } from '@/lib/server/reset-mail'
import { currentSessionId, requirePerson } from '@/lib/server/session'
import { openSessions, signInOf } from '@/lib/server/sign-ins'
import { LONGEST_PIN, SHORTEST_PIN } from '@/lib/server/tablets'
import { shop } from '@/lib/shop/store'
import { formatMoment, instantOf } from '@/lib/units/time'
import {
  endFactorAction,
  endOwnSessionAction,
  mailAction,
  noPinAction,
  passwordAction,
  pinAction,
} from './actions'
import { AddSecondFactor } from './second-factor'

export const metadata: Metadata = { title: 'How you sign in' }

/** One's own password, second factor, PIN, and the browsers one is signed in with. */
export default async function Account() {
  const person = await requirePerson()
  if (person.role === 'tablet') redirect('/floor')
  const now = new Date()
  const [{ timeZone }, own, sessions, here, mails] = await Promise.all([
    shop(),
    signInOf(person.id),
    openSessions(now, person.id),
    currentSessionId(),
    resetByMailWorks(),
  ])
  return (
    <RoomPage narrow>
      <PageHead title="How you sign in" sense={`${person.name}, ${person.role}.`} />
      <Section title="Browsers you are signed in with">
        <DataTable
          caption="Signed-in browsers, the latest first"
          quietCaption
          rows={sessions}
          rowKey={s => s.id}
          empty="None."
          columns={[
            {
              key: 'browser',
              head: 'Browser',
              rowHead: true,
              wrap: true,
              cell: s => `${s.browser}${s.tablet ? ', by PIN at a shared tablet' : ''}`,
            },
            { key: 'since', head: 'Since', cell: s => formatMoment(instantOf(s.since), timeZone) },
            {
              key: 'end',
              head: 'Sign out',
              cell: s =>
                s.id === here ? (
                  <StateMark state="done">this one</StateMark>
                ) : (
                  <ActionForm action={endOwnSessionAction.bind(null, s.id)}>
                    <SubmitButton size="small" aria-label={`Sign out ${s.browser}`}>
                      Sign out
                    </SubmitButton>
                  </ActionForm>
                ),
            },
          ]}
        />
      </Section>
      {isDemo() ? (
        <Section title="Password, second factor and PIN">
          <p>In the demo everybody signs in with one press. In your own shop they are set here.</p>
        </Section>
      ) : (
        <>
          <Section title="Password">
            <ActionForm action={passwordAction} label="Password" clear>
              <Field
                name="password"
                label="Your password now"
                type="password"
                autoComplete="current-password"
                required
              />
              <Field
                name="next"
                label="New password"
                type="password"
                autoComplete="new-password"
                hint={`At least ${SHORTEST_PASSWORD} characters. Four words are easy to keep and hard to guess.`}
                required
              />
              <Field
                name="again"
                label="New password again"
                type="password"
                autoComplete="new-password"
                required
              />
              <SubmitButton>Change the password</SubmitButton>
            </ActionForm>
          </Section>
          <Section
            title="Mail address"
            aside={own.email ? <StateMark state="done">{own.email}</StateMark> : undefined}
          >
            <p>
              Should you forget your password, a key for a new one is mailed there
              {mails ? '' : ', once the owner has set a mail server and the shop’s own address under Shop'}.
              You are told by mail, too, when your password is changed.
            </p>
            <ActionForm key={own.email} action={mailAction} label="Mail address">
              <Field
                name="email"
                label="Your address"
                type="email"
                autoComplete="email"
                maxLength={200}
                value={own.email}
                required={false}
              />
              <Field
                name="password"
                label="Your password"
                type="password"
                autoComplete="current-password"
                required
              />
              <SubmitButton>Keep the address</SubmitButton>
            </ActionForm>
          </Section>
          <Section
            title="Second factor"
            aside={
              own.secondFactor ? <StateMark state="done">codes of an authenticator</StateMark> : undefined
            }
          >
            {own.secondFactor ? (
              <ActionForm action={endFactorAction} label="End the second factor">
                <p>You sign in with your password and a code of your authenticator.</p>
                <Field
                  name="password"
                  label="Your password"
                  type="password"
                  autoComplete="current-password"
                  required
                />
                <SubmitButton look="danger">Sign in without it again</SubmitButton>
              </ActionForm>
            ) : (
              <>
                <p>
                  A code from your phone beside the password: whoever learns the password alone stays outside.
                  Wise for an owner.
                </p>
                <AddSecondFactor />
              </>
            )}
          </Section>
          <Section
            title="PIN for shared tablets"
            aside={own.pin ? <StateMark state="done">set</StateMark> : undefined}
          >
            <p>
              At a tablet that the owner shares, this PIN opens the floor and its reports, and nothing else.
            </p>
            <ActionForm action={pinAction} label="PIN" clear>
              <Field
                name="pin"
                label={own.pin ? 'Another PIN' : 'PIN'}
                type="password"
                inputMode="numeric"
                autoComplete="off"
                size={10}
                hint={`${SHORTEST_PIN} to ${LONGEST_PIN} digits.`}
                required
              />
              <SubmitButton>Set the PIN</SubmitButton>
            </ActionForm>
            {own.pin && (
              <ActionForm action={noPinAction} label="No PIN">
                <SubmitButton look="quiet">Take my PIN away</SubmitButton>
              </ActionForm>
            )}
          </Section>
        </>
      )}
    </RoomPage>
  )
}
