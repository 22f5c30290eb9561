import type { Metadata } from 'next'
import { ActionForm } from '@/app/parts/action-form'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { requirePerson } from '@/lib/server/session'
import { defaultHours } from '@/lib/shop/stations'
import { ratesAt, shop } from '@/lib/shop/store'
import { instantOf } from '@/lib/units/time'
import { hireAction } from '../actions'
import { MemberFields } from '../member-fields'
import { WeekFields } from '../week-fields'

export const metadata: Metadata = { title: 'Somebody new' }

/** Takes somebody on. */
export default async function NewMember() {
  await requirePerson('people.change')
  const [{ currency }, rates] = await Promise.all([shop(), ratesAt(instantOf(new Date()))])
  return (
    <RoomPage narrow>
      <PageHead
        back={{ href: '/office/people', label: 'People' }}
        title="Somebody new"
        sense="On the plan by skills and hours, on the books by wage."
      />
      <ActionForm action={hireAction}>
        <MemberFields name="" wage={rates.wagePerHour} skills={['bench']} currency={currency} />
        <Section title="Hours" small>
          <WeekFields hours={defaultHours} />
        </Section>
        <SubmitButton look="primary">Take on</SubmitButton>
      </ActionForm>
    </RoomPage>
  )
}
