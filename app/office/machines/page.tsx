import type { Metadata } from 'next'
import Link from 'next/link'
import { Bars } from '@/app/parts/bars'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { hoursOf } from '@/lib/books/store'
import { hours } from '@/lib/books/working'
import { machineHourWorking } from '@/lib/costing/machine-hour'
import { requirePerson } from '@/lib/server/session'
import { STATION_WORDS } from '@/lib/shop/stations'
import { ratesAt, shop, stations } from '@/lib/shop/store'
import { formatMoney, microToMinor, minor } from '@/lib/units/money'
import { formatMonth, instantOf } from '@/lib/units/time'
import { askedMonth } from '../asked-month'
import { MonthChoice } from '../month-choice'
import { OfficeNav } from '../office-nav'

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
  const [{ currency }, rates, list, worked] = await Promise.all([
    shop(),
    ratesAt(now),
    stations(now),
    hoursOf(month),
  ])
  const rows = list.map(station => {
    const own = worked.stations.find(s => s.key === station.id)
    const seconds = own?.machineSeconds ?? 0
    const assumed = station.cost ? station.cost.productiveHoursPerMonth * 3600 : null
    return {
      station,
      seconds,
      money: own?.machine ?? minor(0),
      rate: machineHourWorking(station, rates, { currency, locale: 'en' }),
      assumed,
      share: assumed ? seconds / assumed : null,
    }
  })
  const total = minor(rows.reduce((a, r) => a + r.money, 0))
  return (
    <RoomPage>
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
              cell: r => (
                <Link href={`/office/machines/${encodeURIComponent(r.station.code)}`}>{r.station.name}</Link>
              ),
            },
            { key: 'kind', head: 'Kind', cell: r => STATION_WORDS[r.station.kind].name, spare: true },
            {
              key: 'rate',
              head: 'An hour costs',
              numeric: true,
              cell: r =>
                r.rate ? (
                  <Figure
                    value={formatMoney(microToMinor(r.rate.value, currency), currency)}
                    working={r.rate.working}
                    about={`an hour of ${r.station.name}`}
                  />
                ) : (
                  'nothing'
                ),
            },
            {
              key: 'worked',
              head: 'Worked',
              numeric: true,
              cell: r => hours(r.seconds),
              foot: hours(rows.reduce((a, r) => a + r.seconds, 0)),
            },
            {
              key: 'assumed',
              head: 'Assumed',
              numeric: true,
              cell: r => (r.assumed === null ? '–' : hours(r.assumed)),
            },
            {
              key: 'share',
              head: 'Of assumed',
              numeric: true,
              cell: r => (r.share === null ? '–' : `${Math.round(r.share * 100)}%`),
            },
            {
              key: 'money',
              head: 'Charged to orders',
              numeric: true,
              cell: r => formatMoney(r.money, currency),
              foot: formatMoney(total, currency),
            },
          ]}
        />
      </Section>
      <Section title="Where the hours went">
        <Bars
          title={`Machine hours in ${formatMonth(month)}`}
          items={rows
            .filter(r => r.seconds > 0 && r.station.kind !== 'bench')
            .sort((a, b) => b.seconds - a.seconds)
            .map(r => ({
              key: r.station.id,
              label: r.station.name,
              value: r.seconds,
              shown: hours(r.seconds),
            }))}
          empty="No machine has worked in this month yet."
        />
      </Section>
    </RoomPage>
  )
}
