import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { historyOf } from '@/lib/server/history'
import { currentSessionId, requirePerson } from '@/lib/server/session'
import { openSessions, signIns } from '@/lib/server/sign-ins'
import { tablets, thisTablet } from '@/lib/server/tablets'
import { shop } from '@/lib/shop/store'
import { formatMoment, instantOf } from '@/lib/units/time'
import { OfficeNav } from '../office-nav'
import { endSessionAction, endTabletAction, shareAction } from './actions'
import { asWhat } from './job-choices'

export const metadata: Metadata = { title: 'Sign-ins' }

/** Who may sign in as what, with which browsers, and which tablets are shared. */
export default async function SignIns() {
  const person = await requirePerson('people.change')
  const now = new Date()
  const [facts, people, sessions, here, shared, own, past] = await Promise.all([
    shop(),
    signIns(now),
    openSessions(now),
    currentSessionId(),
    tablets(),
    thisTablet(),
    historyOf('tablet', null, 30),
  ])
  const { timeZone } = facts
  return (
    <RoomPage>
      <OfficeNav current="/office/sign-ins" />
      <PageHead
        title="Sign-ins"
        sense="Who may come in, as what, and where they are signed in now."
        next={<ButtonLink href="/office/sign-ins/new">Let somebody in</ButtonLink>}
      />
      <Section title="People">
        <DataTable
          caption="Who can sign in"
          quietCaption
          rows={people}
          rowKey={p => p.id}
          empty="Nobody."
          columns={[
            {
              key: 'name',
              head: 'Name',
              rowHead: true,
              cell: p => <Link href={`/office/sign-ins/${p.id}`}>{p.name}</Link>,
            },
            {
              key: 'job',
              head: 'As',
              wrap: true,
              cell: p => (p.active ? asWhat(p) : 'signs in no more'),
            },
            { key: 'factor', head: 'Second factor', cell: p => (p.secondFactor ? 'yes' : '–') },
            { key: 'pin', head: 'PIN', cell: p => (p.pin ? 'yes' : '–') },
            { key: 'sessions', head: 'Signed in', numeric: true, cell: p => p.sessions },
          ]}
        />
      </Section>
      <Section title="Signed in now">
        <DataTable
          caption="Signed-in browsers, the latest first"
          quietCaption
          rows={sessions}
          rowKey={s => s.id}
          empty="Nobody is signed in."
          columns={[
            { key: 'name', head: 'Who', rowHead: true, cell: s => s.name },
            {
              key: 'browser',
              head: 'Browser',
              wrap: true,
              cell: s => `${s.browser}${s.tablet ? ', by PIN' : ''}`,
            },
            { key: 'since', head: 'Since', cell: s => formatMoment(instantOf(s.since), timeZone) },
            {
              key: 'end',
              head: 'Sign out',
              cell: s =>
                s.id === here ? (
                  <StateMark state="done">this browser</StateMark>
                ) : (
                  <ActionForm action={endSessionAction.bind(null, s.id)}>
                    <SubmitButton size="small" aria-label={`Sign out ${s.name} in ${s.browser}`}>
                      Sign out
                    </SubmitButton>
                  </ActionForm>
                ),
            },
          ]}
        />
      </Section>
      <Section title="Shared tablets">
        <p>
          At a shared tablet people come in by their PIN, and see the floor alone. Open this page on the
          tablet itself, name it here, then sign out.
        </p>
        <DataTable
          caption="Shared tablets"
          quietCaption
          rows={shared}
          rowKey={t => t.id}
          empty="No tablet is shared."
          columns={[
            {
              key: 'name',
              head: 'Tablet',
              rowHead: true,
              cell: t => `${t.name}${t.id === own?.id ? ' (this browser)' : ''}`,
            },
            {
              key: 'used',
              head: 'Last PIN',
              cell: t => (t.lastUsedAt ? formatMoment(instantOf(t.lastUsedAt), timeZone) : 'never'),
            },
            {
              key: 'end',
              head: 'Share no more',
              cell: t => (
                <ActionForm action={endTabletAction.bind(null, t.id)} label={`Share ${t.name} no more`}>
                  <SubmitButton size="small">End</SubmitButton>
                </ActionForm>
              ),
            },
          ]}
        />
        {!own && (
          <ActionForm action={shareAction} label="Share this browser" clear>
            <Field
              name="name"
              label="Share this browser as"
              placeholder="Tablet at the press"
              maxLength={60}
              required
            />
            <SubmitButton>Share this browser</SubmitButton>
          </ActionForm>
        )}
      </Section>
      {past.length > 0 && <WhatHappened about="shared tablets" lines={past} facts={facts} who={person} />}
    </RoomPage>
  )
}
