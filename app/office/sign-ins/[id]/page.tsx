import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { historyOf } from '@/lib/server/history'
import { SHORTEST_PASSWORD } from '@/lib/server/passwords'
import { requirePerson } from '@/lib/server/session'
import { signIns } from '@/lib/server/sign-ins'
import { shop } from '@/lib/shop/store'
import { activeAction, jobAction, mailAddressAction, resetAction } from '../actions'
import { asWhat, JobChoices } from '../job-choices'

export const metadata: Metadata = { title: 'How somebody signs in' }

/** What somebody may be, a new password, and the end of it. */
export default async function OneSignIn({ params }: { params: Promise<{ id: string }> }) {
  const who = await requirePerson('people.change')
  const { id } = await params
  const [facts, people, past] = await Promise.all([shop(), signIns(new Date()), historyOf('sign-in', id, 30)])
  const one = people.find(p => p.id === id)
  if (!one) notFound()
  return (
    <RoomPage narrow>
      <PageHead
        back={{ href: '/office/sign-ins', label: 'Sign-ins' }}
        title={one.name}
        sense={one.active ? `Signs in as ${asWhat(one)}.` : 'Signs in no more.'}
      />
      {one.active ? (
        <>
          <Section title="What they may do">
            <ActionForm
              key={`${one.job} ${one.also}`}
              action={jobAction.bind(null, id)}
              label="What they may do"
            >
              <JobChoices value={one.job} also={one.also} />
              <SubmitButton>Save</SubmitButton>
            </ActionForm>
          </Section>
          <Section title="A new password">
            <p>
              For a forgotten one. {one.name} is signed out everywhere
              {one.secondFactor ? ', and signs in without a second factor until they add one again' : ''}.
            </p>
            <ActionForm action={resetAction.bind(null, id)} label="A new password" clear>
              <Field
                name="password"
                label="New password"
                autoComplete="off"
                hint={`At least ${SHORTEST_PASSWORD} characters.`}
                required
              />
              <SubmitButton>Give this password</SubmitButton>
            </ActionForm>
          </Section>
          <Section title="Mail address">
            <p>Should they forget their password, a key for a new one is mailed there.</p>
            <ActionForm key={one.email} action={mailAddressAction.bind(null, id)} label="Mail address">
              <Field
                name="email"
                label="Mail address"
                type="email"
                autoComplete="off"
                maxLength={200}
                value={one.email}
                required={false}
              />
              <SubmitButton>Keep the address</SubmitButton>
            </ActionForm>
          </Section>
          <Section title="The end">
            <ActionForm action={activeAction.bind(null, id, false)} label="The end">
              <SubmitButton look="danger">Let {one.name} in no more</SubmitButton>
            </ActionForm>
          </Section>
        </>
      ) : (
        <ActionForm action={activeAction.bind(null, id, true)} label="Again">
          <SubmitButton>Let {one.name} in again</SubmitButton>
        </ActionForm>
      )}
      <WhatHappened about={one.name} lines={past} facts={facts} who={who} />
    </RoomPage>
  )
}
