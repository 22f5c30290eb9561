import 'server-only'
import { openings } from '@/lib/planning/hours'
import { db } from '@/lib/server/database'
import type { MachineCost } from '@/lib/shop/stations'
import { ratesAt, type StationRow, shop, stations } from '@/lib/shop/store'
import { type Minor, minor } from '@/lib/units/money'
import {
  type Instant,
  instant,
  instantOf,
  monthBounds,
  monthOf,
  nextMonth,
  type ShopMonth,
  shopMonth,
} from '@/lib/units/time'
import { sharesOfMonth } from '../months/store'
import { hoursOf, months } from '../store'
import {
  type MachineMonth,
  machineMonth,
  monthsBetween,
  type PayBackMonth,
  type PurchaseStanding,
  payBack,
  standingAt,
  wholePrice,
} from './machine-month'

/** Months that a pay-back looks back at most: ten years. */
const MOST_MONTHS = 120

/** The month of the first instalment, or the first in use: as it was typed, else of the first work that was logged on it. */
async function firstMonth(station: StationRow, zone: string): Promise<ShopMonth | null> {
  if (station.cost?.since) return shopMonth(station.cost.since)
  const log = await db().workLog.findFirst({
    where: { stationId: station.id },
    orderBy: { toAt: 'asc' },
    select: { toAt: true },
  })
  return log ? monthOf(instantOf(log.toAt), zone) : null
}

const MINUTE = 60_000

/** Seconds that a station was open in a span, closures and holidays taken off. */
function openSeconds(station: StationRow, zone: string, from: Instant, to: Instant): number {
  const closed = station.closed.map(c => ({
    from: Math.ceil(Date.parse(c.from) / MINUTE),
    to: Math.floor(Date.parse(c.to) / MINUTE),
  }))
  return openings(station.hours, closed, zone, from / MINUTE, Math.floor(to / MINUTE)).reduce(
    (sum, o) => sum + (o.to - o.from) * 60,
    0,
  )
}

export type MachineRow = {
  station: StationRow
  workedSeconds: number
  charged: Minor
  /** Null where it costs nothing to have. */
  month: MachineMonth | null
  standing: PurchaseStanding | null
}

/** Every station in a month, at the costs that counted at its end; in the running month, the hours until now. */
export async function machinesOf(month: ShopMonth, now: Instant): Promise<MachineRow[]> {
  const { timeZone, currency } = await shop()
  const { from, to } = monthBounds(month, timeZone)
  const end = instant(Math.min(to - 1, now))
  const [list, rates, worked] = await Promise.all([stations(end), ratesAt(end), hoursOf(month)])
  const rows: MachineRow[] = []
  for (const station of list) {
    const own = worked.stations.find(s => s.key === station.id)
    const workedSeconds = own?.machineSeconds ?? 0
    const charged = own?.machine ?? minor(0)
    const first = station.cost && (await firstMonth(station, timeZone))
    rows.push({
      station,
      workedSeconds,
      charged,
      month:
        station.cost &&
        machineMonth(
          station.cost,
          {
            workedSeconds,
            charged,
            openSeconds: openSeconds(station, timeZone, from, instant(Math.min(to, now))),
          },
          rates.powerPerKwh,
          currency,
        ),
      standing: station.cost && first ? standingAt(station.cost.purchase, first, month) : null,
    })
  }
  return rows
}

/** What a machine has paid back of its price, month by month, since it is here; null where it costs nothing to have. */
export async function payBackOf(
  station: StationRow,
  now: Instant,
): Promise<{
  first: ShopMonth
  price: Minor
  cost: MachineCost
  months: PayBackMonth[]
  back: Minor
  left: Minor
  share: number | null
} | null> {
  const { timeZone, currency } = await shop()
  const first = await firstMonth(station, timeZone)
  if (!station.cost || !first) return null
  const cost = station.cost
  const last = monthOf(now, timeZone)
  const known = new Set((await months(now)).map(m => m.month))
  const list: { month: ShopMonth; carried: Minor; running: Minor }[] = []
  for (
    let m = monthsBetween(first, last) < MOST_MONTHS ? first : nextMonth(last, 1 - MOST_MONTHS);
    m <= last;
    m = nextMonth(m)
  ) {
    const group = known.has(m)
      ? (await sharesOfMonth(m)).byMachine.find(g => g.key === station.id)
      : undefined
    const worked = (await hoursOf(m)).stations.find(s => s.key === station.id)
    const rates = await ratesAt(instant(Math.min(monthBounds(m, timeZone).to - 1, now)))
    const spent = machineMonth(
      cost,
      { workedSeconds: worked?.machineSeconds ?? 0, charged: minor(0), openSeconds: 0 },
      rates.powerPerKwh,
      currency,
    )
    list.push({
      month: m,
      carried: minor(group ? group.margin + group.costs.machine : 0),
      running: minor(cost.upkeepPerMonth + spent.power),
    })
  }
  const price = wholePrice(cost.purchase)
  return { first, price, cost, ...payBack(price, list) }
}
