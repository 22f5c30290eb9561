import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { TickField } from '@/app/parts/tick-field'
import { WhatHappened } from '@/app/what-happened'
import { historyOf } from '@/lib/server/history'
import { requirePerson } from '@/lib/server/session'
import { newestHours, weekSince } from '@/lib/shop/stations'
import { crew, shop, terms } from '@/lib/shop/store'
import { formatMoney, minor } from '@/lib/units/money'
import { dayOf, formatLongDay, instant, instantOf } from '@/lib/units/time'
import { memberAction } from '../actions'
import { MemberFields } from '../member-fields'
import { WeekFields } from '../week-fields'

export const metadata: Metadata = { title: 'Somebody who works here' }

/** Changes somebody's name, skills, hours, and the wage from a day on. */
export default async function Member({ params }: { params: Promise<{ id: string }> }) {
  const who = await requirePerson('people.change')
  const { id } = await params
  const now = instantOf(new Date())
  const [facts, members, wages, past] = await Promise.all([
    shop(),
    crew(now),
    terms('wage', id),
    historyOf('crew', id, 50),
  ])
  const { currency, timeZone } = facts
  const member = members.find(m => m.id === id)
  if (!member) notFound()
  const [latest] = wages
  const counting = wages.find(w => w.from <= now)
  // What is set already for a later day stands in the form: saved unchanged, it must count from that day.
  const newest = instant(Math.max(now, latest?.from ?? 0, weekSince(member.hours) ?? 0))
  return (
    <RoomPage narrow>
      <PageHead
        back={{ href: '/office/people', label: 'People' }}
        title={member.name}
        sense="Work that is booked keeps the wage of its day."
      />
      <ActionForm key={member.version} action={memberAction.bind(null, id)}>
        <input type="hidden" name="version" value={member.version} />
        <MemberFields
          name={member.name}
          wage={latest ? Number(latest.data) : member.wagePerHour}
          skills={member.skills}
          currency={currency}
        />
        <Field
          name="from"
          label="A new wage and new hours count from"
          type="date"
          value={dayOf(newest, timeZone)}
          hint="Today means from now on."
          required
        />
        <Section title="Hours" small>
          <WeekFields hours={newestHours(member.hours)} />
        </Section>
        <TickField
          name="retired"
          label="Works here no more"
          note="Leaves the plan and the lists; what was worked stays in the books."
        />
        <SubmitButton look="primary">Save</SubmitButton>
      </ActionForm>
      <Section title="Wages">
        <DataTable
          caption="Every wage, the latest first"
          quietCaption
          rows={wages.map((w, i) => ({ ...w, i }))}
          rowKey={w => String(w.i)}
          empty={`${formatMoney(minor(member.wagePerHour), currency)} an hour since ${member.name} came; it was never changed.`}
          columns={[
            {
              key: 'from',
              head: 'Counts from',
              rowHead: true,
              cell: w => `${formatLongDay(w.from, timeZone)}${w.setAt === counting?.setAt ? ' (now)' : ''}`,
            },
            {
              key: 'wage',
              head: 'An hour',
              numeric: true,
              cell: w => formatMoney(minor(Number(w.data)), currency),
            },
            { key: 'by', head: 'Set by', cell: w => w.byName },
          ]}
        />
      </Section>
      <WhatHappened about={member.name} lines={past} facts={facts} who={who} />
    </RoomPage>
  )
}
