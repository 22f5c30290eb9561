import type { Metadata } from 'next'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { SubmitButton } from '@/app/parts/submit-button'
import { SHORTEST_PASSWORD } from '@/lib/server/passwords'
import { requirePerson } from '@/lib/server/session'
import { inviteAction } from '../actions'
import { JobChoices } from '../job-choices'

export const metadata: Metadata = { title: 'Let somebody in' }

/** Lets somebody new sign in. */
export default async function NewSignIn() {
  await requirePerson('people.change')
  return (
    <RoomPage narrow>
      <PageHead
        back={{ href: '/office/sign-ins', label: 'Sign-ins' }}
        title="Let somebody in"
        sense="Give them a first password; they change it under “How you sign in”."
      />
      <ActionForm action={inviteAction}>
        <Field name="name" label="Name" autoComplete="off" maxLength={60} required />
        <Field
          name="password"
          label="First password"
          type="text"
          autoComplete="off"
          hint={`At least ${SHORTEST_PASSWORD} characters. Tell it in person.`}
          required
        />
        <Field
          name="email"
          label="Mail address"
          type="email"
          autoComplete="off"
          maxLength={200}
          hint="For the day they forget their password."
          required={false}
        />
        <JobChoices value="press" />
        <SubmitButton look="primary">Let in</SubmitButton>
      </ActionForm>
    </RoomPage>
  )
}
