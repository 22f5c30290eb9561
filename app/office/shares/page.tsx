import type { Metadata } from 'next'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { marginShare, totalOf } from '@/lib/books/margin'
import type { SharedGroup } from '@/lib/books/months/shares'
import { sharesOfMonth } from '@/lib/books/months/store'
import { hours, marginWorking } from '@/lib/books/working'
import { requirePerson } from '@/lib/server/session'
import { type Minor, sumMinor } from '@/lib/units/money'
import { formatMonth, instantOf } from '@/lib/units/time'
import { askedMonth } from '../asked-month'
import { MonthChoice } from '../month-choice'
import { MonthNav } from '../month-nav'
import { OfficeNav } from '../office-nav'
import { money, percent } from '../show'

export const metadata: Metadata = { title: 'By blank, person, machine' }

/** Which blanks, hands and machines the month's margin came from. */
export default async function Shares({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const { month, all, unknown } = await askedMonth((await searchParams).month, instantOf(new Date()))
  const { orders, currency, byBlank, byPerson, byMachine } = await sharesOfMonth(month)
  const total = totalOf(orders)
  const table = (groups: SharedGroup[], what: string, time?: 'labourSeconds' | 'machineSeconds') => (
    <Groups
      groups={groups}
      what={what}
      currency={currency}
      total={total.margin}
      {...(time ? { time } : {})}
    />
  )
  return (
    <RoomPage wide>
      <OfficeNav current="/office" />
      <MonthNav month={month} current="/office/shares" />
      <PageHead
        title={`By blank, person, machine, ${formatMonth(month)}`}
        sense={`Each order is shared out over what it fell to: every table adds up to the margin of the month’s orders, ${money(total.margin, currency)}.`}
      />
      <MonthChoice month={month} all={all} path="/office/shares" />
      {unknown && (
        <Notice>The shop has no books of the month in the address: this is {formatMonth(month)}.</Notice>
      )}
      <Section title="By blank">
        <p>By pieces; blanks by what they really cost.</p>
        {table(byBlank, 'Blank')}
      </Section>
      <Section title="By machine">
        <p>By machine time; machine cost by each machine’s own hours and rate.</p>
        {table(byMachine, 'Machine', 'machineSeconds')}
      </Section>
      <Section title="By person">
        <p>
          By time at work on an order. It says which work somebody was on, not how well: the price and the
          blanks are not theirs to choose.
        </p>
        {table(byPerson, 'Person', 'labourSeconds')}
      </Section>
    </RoomPage>
  )
}

function Groups({
  groups,
  what,
  currency,
  total,
  time,
}: {
  groups: SharedGroup[]
  what: string
  currency: string
  total: Minor
  time?: 'labourSeconds' | 'machineSeconds'
}) {
  const show = (n: Minor) => money(n, currency)
  const sum = (of: (g: SharedGroup) => Minor) => show(sumMinor(groups.map(of)))
  return (
    <DataTable
      caption={`${what}, the best margin first; they add up to ${show(total)}`}
      quietCaption
      rows={groups}
      rowKey={g => g.key}
      empty="No order was handed over in it."
      mark={g => (g.margin < 0 ? 'late' : undefined)}
      columns={[
        { key: 'name', head: what, rowHead: true, wrap: true, cell: g => g.name, foot: 'All' },
        { key: 'orders', head: 'Orders', numeric: true, sort: g => g.orders, cell: g => g.orders },
        {
          key: 'pieces',
          head: 'Pieces',
          numeric: true,
          sort: g => g.pieces,
          cell: g => g.pieces.toLocaleString('en'),
          foot: groups.reduce((a, g) => a + g.pieces, 0).toLocaleString('en'),
        },
        {
          key: 'revenue',
          head: 'Revenue',
          numeric: true,
          sort: g => g.revenue,
          cell: g => show(g.revenue),
          foot: sum(g => g.revenue),
        },
        {
          key: 'cost',
          head: 'Cost',
          numeric: true,
          sort: g => g.cost,
          cell: g => show(g.cost),
          foot: sum(g => g.cost),
        },
        {
          key: 'margin',
          head: 'Margin',
          numeric: true,
          sort: g => g.margin,
          cell: g => (
            <Figure
              value={show(g.margin)}
              tone={g.margin < 0 ? 'late' : undefined}
              about={`margin of ${g.name}`}
              working={marginWorking(g, currency, 'the orders’ revenue, shared out')}
            />
          ),
          foot: sum(g => g.margin),
        },
        ...(time
          ? [
              {
                key: 'time',
                head: 'Hours',
                numeric: true,
                sort: (g: SharedGroup) => g[time],
                cell: (g: SharedGroup) => hours(g[time]),
                foot: hours(groups.reduce((a, g) => a + g[time], 0)),
              },
              {
                key: 'hour',
                head: 'An hour',
                numeric: true,
                cell: (g: SharedGroup) =>
                  g[time] > 0 ? show(Math.round((g.margin * 3600) / g[time]) as Minor) : '–',
              },
            ]
          : [
              {
                key: 'share',
                head: 'Of revenue',
                numeric: true,
                sort: (g: SharedGroup) => marginShare(g),
                cell: (g: SharedGroup) => {
                  const share = marginShare(g)
                  return share === null ? '–' : percent(share)
                },
              },
            ]),
      ]}
    />
  )
}
