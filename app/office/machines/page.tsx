import type { Metadata } from 'next'
import Link from 'next/link'
import { Bars } from '@/app/parts/bars'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { machinesOf } from '@/lib/books/machines/store'
import { hours } from '@/lib/books/working'
import { machineHourWorking } from '@/lib/costing/machine-hour'
import { requirePerson } from '@/lib/server/session'
import { STATION_WORDS } from '@/lib/shop/stations'
import { ratesAt, shop } from '@/lib/shop/store'
import { type Minor, minor, sumMinor } from '@/lib/units/money'
import { formatDay, formatMonth, instantOf } from '@/lib/units/time'
import { askedMonth } from '../asked-month'
import { MonthChoice } from '../month-choice'
import { OfficeNav } from '../office-nav'
import { money } from '../show'

export const metadata: Metadata = { title: 'Machines' }

/** What an hour of each machine costs, and how many it worked. */
export default async function Machines({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const now = instantOf(new Date())
  const { month, all } = await askedMonth((await searchParams).month, now)
  const [{ currency, timeZone }, rates, rows] = await Promise.all([
    shop(),
    ratesAt(now),
    machinesOf(month, now),
  ])
  const show = (n: Minor) => money(n, currency)
  const total = sumMinor(rows.map(r => r.charged))
  const costly = rows.filter(r => r.month !== null)
  const uncovered = sumMinor(costly.map(r => r.month?.uncovered ?? minor(0)))
  return (
    <RoomPage wide>
      <OfficeNav current="/office/machines" />
      <PageHead
        title="Machines"
        sense="What an hour of each costs, and how many it worked: idle hours are paid by the productive ones."
      />
      <MonthChoice month={month} all={all} path="/office/machines" />
      <Section title={`Hours in ${formatMonth(month)}`}>
        <DataTable
          caption="Stations in the shop’s order"
          quietCaption
          rows={rows}
          rowKey={r => r.station.id}
          empty="No stations are set up yet."
          columns={[
            {
              key: 'name',
              head: 'Station',
              rowHead: true,
              wrap: true,
              cell: r =>
                r.station.outSince === null ? (
                  <Link href={`/office/machines/${encodeURIComponent(r.station.code)}`}>
                    {r.station.name}
                  </Link>
                ) : (
                  `${r.station.name}, out of use${r.station.outSince ? ` since ${formatDay(r.station.outSince, timeZone)}` : ''}`
                ),
            },
            { key: 'kind', head: 'Kind', cell: r => STATION_WORDS[r.station.kind].name, spare: true },
            {
              key: 'worked',
              head: 'Worked',
              numeric: true,
              sort: r => r.workedSeconds,
              cell: r => hours(r.workedSeconds),
              foot: hours(rows.reduce((a, r) => a + r.workedSeconds, 0)),
            },
            {
              key: 'assumed',
              head: 'Assumed',
              numeric: true,
              cell: r => (r.station.cost ? hours(r.station.cost.productiveHoursPerMonth * 3600) : '–'),
            },
            {
              key: 'idle',
              head: 'Idle',
              numeric: true,
              sort: r => r.month?.idleSeconds,
              cell: r => (r.month ? hours(r.month.idleSeconds) : '–'),
            },
            {
              key: 'rate',
              head: 'An hour, assumed',
              numeric: true,
              cell: r => {
                const rate = machineHourWorking(r.station, rates, { currency, locale: 'en' })
                return rate && r.month ? (
                  <Figure
                    value={show(r.month.assumedHour)}
                    working={rate.working}
                    about={`an hour of ${r.station.name}, as assumed`}
                  />
                ) : (
                  'nothing'
                )
              },
            },
            {
              key: 'real',
              head: 'An hour, real',
              numeric: true,
              sort: r => r.month?.realHour,
              cell: r =>
                r.month === null || r.month.realHour === null ? (
                  '–'
                ) : (
                  <Figure
                    value={show(r.month.realHour)}
                    tone={r.month.realHour > r.month.assumedHour ? 'late' : undefined}
                    about={`an hour of ${r.station.name}, as it was`}
                    working={{
                      formula: '(instalment or depreciation + upkeep + power) ÷ hours worked',
                      inputs: [
                        {
                          name: 'Instalment or depreciation, and upkeep, of the month',
                          value: show(r.month.fixed),
                          from: 'setting',
                          source: r.station.name,
                        },
                        {
                          name: 'Power',
                          value: show(r.month.power),
                          from: 'worked',
                          source: 'hours × kW × price of a kWh',
                        },
                        {
                          name: 'Hours worked',
                          value: hours(r.workedSeconds),
                          from: 'measured',
                          source: 'work logs',
                        },
                      ],
                      result: show(r.month.realHour),
                      note: 'The month’s cost is the same however little it works.',
                    }}
                  />
                ),
            },
            {
              key: 'money',
              head: 'Charged to orders',
              numeric: true,
              cell: r => show(r.charged),
              foot: show(total),
            },
            {
              key: 'uncovered',
              head: 'Paid by nobody',
              numeric: true,
              sort: r => r.month?.uncovered,
              cell: r => (r.month ? show(r.month.uncovered) : '–'),
              foot: show(uncovered),
            },
            {
              key: 'left',
              head: 'Instalments left',
              numeric: true,
              cell: r =>
                r.standing === null || r.station.cost?.purchase.by !== 'instalments'
                  ? '–'
                  : r.standing.left === 0
                    ? 'paid'
                    : `${r.standing.left} of ${r.standing.months}, ${show(r.standing.rest)}`,
            },
          ]}
        />
      </Section>
      <p>
        Paid by nobody: what the machine cost in the month, less what orders were charged for its hours. A
        machine’s name opens what it has paid back, and its costs.
      </p>
      <Section title="Where the hours went">
        <Bars
          title={`Machine hours in ${formatMonth(month)}`}
          items={rows
            .filter(r => r.workedSeconds > 0 && r.station.kind !== 'bench')
            .sort((a, b) => b.workedSeconds - a.workedSeconds)
            .map(r => ({
              key: r.station.id,
              label: r.station.name,
              value: r.workedSeconds,
              shown: hours(r.workedSeconds),
            }))}
          empty="No machine has worked in this month yet."
        />
      </Section>
    </RoomPage>
  )
}
