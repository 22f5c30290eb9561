import 'server-only'
import { type Purchase, shouldWeBuy } from '@/lib/costing/equipment'
import { monthEitherWay } from '@/lib/costing/purchase-input'
import { openings } from '@/lib/planning/hours'
import { db } from '@/lib/server/database'
import type { Rates } from '@/lib/shop/rates'
import type { MachineCost } from '@/lib/shop/stations'
import { everyStation, machineCosts, ratesAt, type StationRow, shop } from '@/lib/shop/store'
import { type Minor, microPerMinor, minor, roundToMinor } from '@/lib/units/money'
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
import { hoursOf, months, piecesByMonth } from '../store'
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
  /** Out of use since then; 0 where nobody wrote that down, null while it is in use. */
  station: StationRow & { outSince: Instant | null }
  workedSeconds: number
  charged: Minor
  /** Null where it costs nothing to have. */
  month: MachineMonth | null
  standing: PurchaseStanding | null
}

/**
 * Every station in a month, at the costs that counted at its end and the hours of then; in the running month, the hours until now. One that
 * went out of use stays in the months before, and in any that it worked in; one that came later is not there yet.
 */
export async function machinesOf(month: ShopMonth, now: Instant): Promise<MachineRow[]> {
  const { timeZone, currency } = await shop()
  const { from, to } = monthBounds(month, timeZone)
  const end = instant(Math.min(to - 1, now))
  const [list, rates, worked] = await Promise.all([everyStation(end), ratesAt(end), hoursOf(month)])
  const rows: MachineRow[] = []
  for (const station of list) {
    const own = worked.stations.find(s => s.key === station.id)
    const workedSeconds = own?.machineSeconds ?? 0
    const charged = own?.machine ?? minor(0)
    const first = station.cost && (await firstMonth(station, timeZone))
    const out = station.outSince
    if (workedSeconds === 0 && ((out !== null && out <= from) || (first && first > month))) continue
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
            // Nobody wrote down when it went out of use: it was then worked in this month, and counts as there.
            openSeconds: openSeconds(station, timeZone, from, instant(Math.min(to, now, out || to))),
          },
          rates.powerPerKwh,
          currency,
        ),
      standing: station.cost && first ? standingAt(station.cost.purchase, first, month) : null,
    })
  }
  return rows
}

/** A month that is over, as it would have been with a machine that the shop thinks of buying, and with the work sent out. */
export type EitherWay = { month: ShopMonth; pieces: number; here: Minor; out: Minor; saved: Minor }

/** What a machine would have saved on the pieces really made by a method in the months that are over, the latest first. */
export async function hadItBeenHere(
  asked: Purchase,
  method: string,
  rates: Rates,
  currency: string,
  now: Instant,
  most: number,
): Promise<EitherWay[]> {
  const verdict = shouldWeBuy(asked, rates, { currency, locale: 'en' })
  return (await piecesByMonth(method, now, most)).map(m => {
    const { bought, away } = monthEitherWay(verdict, asked, m.pieces, microPerMinor(currency))
    const [here, out] = [roundToMinor(bought), roundToMinor(away)]
    return { ...m, here, out, saved: minor(out - here) }
  })
}

/**
 * What a machine has paid back of its price, month by month, since it is here; upkeep and power as they were set in each month. Null where
 * it costs nothing to have.
 */
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
  const costAt = await machineCosts(station.id)
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
    const end = instant(Math.min(monthBounds(m, timeZone).to - 1, now))
    const rates = await ratesAt(end)
    const then = costAt(end)
    const spent =
      then &&
      machineMonth(
        then,
        { workedSeconds: worked?.machineSeconds ?? 0, charged: minor(0), openSeconds: 0 },
        rates.powerPerKwh,
        currency,
      )
    list.push({
      month: m,
      carried: minor(group ? group.margin + group.costs.machine : 0),
      running: minor(then && spent ? then.upkeepPerMonth + spent.power : 0),
    })
  }
  const price = wholePrice(cost.purchase)
  return { first, price, cost, ...payBack(price, list) }
}
