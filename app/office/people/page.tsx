import type { Metadata } from 'next'
import Link from 'next/link'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { hoursOf } from '@/lib/books/store'
import { hours } from '@/lib/books/working'
import { activePeople } from '@/lib/server/people'
import { requirePerson } from '@/lib/server/session'
import { STATION_WORDS } from '@/lib/shop/stations'
import { crew, shop } from '@/lib/shop/store'
import { formatMoney, minor } from '@/lib/units/money'
import { formatMonth, instantOf } from '@/lib/units/time'
import { askedMonth } from '../asked-month'
import { MonthChoice } from '../month-choice'
import { OfficeNav } from '../office-nav'

export const metadata: Metadata = { title: 'People' }

/** Who works here, at what wage, and how long they worked on orders. */
export default async function People({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const now = instantOf(new Date())
  const { month, all } = await askedMonth((await searchParams).month, now)
  const [{ currency }, members, people, worked] = await Promise.all([
    shop(),
    crew(now),
    activePeople(),
    hoursOf(month),
  ])
  const names = [...new Set([...members.map(m => m.name), ...worked.people.map(p => p.key)])]
  const rows = names.map(name => {
    const member = members.find(m => m.name === name)
    const signIn = people.find(p => p.id === member?.userId || p.name === name)
    const own = worked.people.find(p => p.key === name)
    return { name, member, signIn, seconds: own?.labourSeconds ?? 0, money: own?.labour ?? minor(0) }
  })
  return (
    <RoomPage>
      <OfficeNav current="/office/people" />
      <PageHead
        title="People"
        sense="Wages and hours on orders. Only the owner sees this page."
        next={<ButtonLink href="/office/people/new">Somebody new</ButtonLink>}
      />
      <MonthChoice month={month} all={all} path="/office/people" />
      <Section title={`Work in ${formatMonth(month)}`}>
        <DataTable
          caption="People, with their time on orders"
          quietCaption
          rows={rows}
          rowKey={r => r.name}
          empty="Nobody works here yet."
          columns={[
            {
              key: 'name',
              head: 'Name',
              rowHead: true,
              cell: r => (r.member ? <Link href={`/office/people/${r.member.id}`}>{r.name}</Link> : r.name),
            },
            {
              key: 'skills',
              head: 'Works at',
              wrap: true,
              spare: true,
              cell: r => r.member?.skills.map(s => STATION_WORDS[s].name.toLowerCase()).join(', ') ?? '–',
            },
            { key: 'role', head: 'Signs in as', cell: r => r.signIn?.role ?? 'nobody' },
            {
              key: 'wage',
              head: 'Wage an hour',
              numeric: true,
              cell: r => (r.member ? formatMoney(minor(r.member.wagePerHour), currency) : '–'),
            },
            {
              key: 'hours',
              head: 'On orders',
              numeric: true,
              cell: r => hours(r.seconds),
              foot: hours(rows.reduce((a, r) => a + r.seconds, 0)),
            },
            {
              key: 'money',
              head: 'Charged to orders',
              numeric: true,
              cell: r => formatMoney(r.money, currency),
              foot: formatMoney(minor(rows.reduce((a, r) => a + r.money, 0)), currency),
            },
          ]}
        />
      </Section>
    </RoomPage>
  )
}
