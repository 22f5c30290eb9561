import { instalmentPlan, straightLine } from '@/lib/costing/loan'
import { purchasePerMonth } from '@/lib/costing/machine-hour'
import type { MachineCost } from '@/lib/shop/stations'
import { type Micro, type Minor, microPerMinor, minor, roundToMinor } from '@/lib/units/money'
import { nextMonth, type ShopMonth } from '@/lib/units/time'

/** A machine's month: its hours, and what they cost against what was assumed. Amounts in minor units, hours as seconds. */
export type MachineMonth = {
  workedSeconds: number
  /** Its hours by the week, without closures and holidays. */
  openSeconds: number
  /** Open and not worked; 0 where it worked longer than it was open. */
  idleSeconds: number
  /** Instalment or depreciation, and upkeep. */
  fixed: Minor
  power: Minor
  /** What orders were charged for it. */
  charged: Minor
  /** Fixed and power, less what orders were charged: + nobody paid for it. */
  uncovered: Minor
  /** What an hour was assumed to cost, and what it cost in this month; null where it did not work. */
  assumedHour: Minor
  realHour: Minor | null
}

/** What one month of a machine cost: the fixed cost is the same however little it works. */
export function machineMonth(
  cost: MachineCost,
  month: { workedSeconds: number; openSeconds: number; charged: Minor },
  powerPerKwh: Micro,
  currency: string,
): MachineMonth {
  const per = microPerMinor(currency)
  const hours = month.workedSeconds / 3600
  const fixed = purchasePerMonth(cost.purchase) + cost.upkeepPerMonth
  const power = (hours * cost.kilowatts * powerPerKwh) / per
  const spent = roundToMinor(fixed + power)
  return {
    workedSeconds: month.workedSeconds,
    openSeconds: month.openSeconds,
    idleSeconds: Math.max(0, month.openSeconds - month.workedSeconds),
    fixed: roundToMinor(fixed),
    power: minor(spent - roundToMinor(fixed)),
    charged: month.charged,
    uncovered: minor(spent - month.charged),
    assumedHour: roundToMinor(fixed / cost.productiveHoursPerMonth + (cost.kilowatts * powerPerKwh) / per),
    realHour: hours > 0 ? roundToMinor((fixed + power) / hours) : null,
  }
}

/** How far a purchase is paid or worn off at the end of a month. */
export type PurchaseStanding = {
  /** Months of it that are over, and all there are. */
  done: number
  months: number
  left: number
  /** Still owed, or what it is still worth by straight-line depreciation. */
  rest: Minor
  /** What the next month takes; 0 after the last. */
  next: Minor
  /** The month of the last instalment, or the last month of its life. */
  last: ShopMonth
}

/** Where a purchase stands at the end of a month. @param first the month of the first instalment, or the first in use */
export function standingAt(
  purchase: MachineCost['purchase'],
  first: ShopMonth,
  month: ShopMonth,
): PurchaseStanding {
  const { months } = purchase
  const done = Math.min(months, Math.max(0, monthsBetween(first, month) + 1))
  const last = nextMonth(first, months - 1)
  if (purchase.by === 'instalments') {
    const plan = instalmentPlan(purchase.principal, purchase.yearRateBp, months)
    return {
      done,
      months,
      left: months - done,
      rest: done === 0 ? purchase.principal : (plan[done - 1]?.owed ?? minor(0)),
      next: plan[done]?.payment ?? minor(0),
      last,
    }
  }
  const parts = straightLine(purchase.price, minor(Math.min(purchase.salvage, purchase.price)), months)
  const worn = parts.slice(0, done).reduce((sum, p) => sum + p, 0)
  return {
    done,
    months,
    left: months - done,
    rest: minor(purchase.price - worn),
    next: parts[done] ?? minor(0),
    last,
  }
}

/** Whole months from one to another: 0 within the same. */
export const monthsBetween = (from: ShopMonth, to: ShopMonth): number => {
  const index = (m: ShopMonth) => Number(m.slice(0, 4)) * 12 + Number(m.slice(5))
  return index(to) - index(from)
}

/** One month of a pay-back: what the machine carried, what it took, and what of its price is paid back by then. */
export type PayBackMonth = { month: ShopMonth; carried: Minor; running: Minor; back: Minor }

/**
 * What of a machine's price it has paid back: the margin of the orders it worked on, its own cost not yet taken off, by its share of
 * their machine time, less upkeep and power. A month may take from what was paid back.
 * @param months oldest first: carried is margin before machine cost; running is upkeep and power
 */
export function payBack(
  price: Minor,
  months: readonly { month: ShopMonth; carried: Minor; running: Minor }[],
): { months: PayBackMonth[]; back: Minor; left: Minor; share: number | null } {
  let back = 0
  const list = months.map(m => {
    back += m.carried - m.running
    return { ...m, back: minor(back) }
  })
  return {
    months: list,
    back: minor(back),
    left: minor(Math.max(0, price - back)),
    share: price > 0 ? back / price : null,
  }
}

/** What a machine costs to have in all: its price, with the interest where it is bought by instalments. */
export const wholePrice = (purchase: MachineCost['purchase']): Minor =>
  purchase.by === 'depreciation'
    ? purchase.price
    : minor(
        instalmentPlan(purchase.principal, purchase.yearRateBp, purchase.months).reduce(
          (sum, p) => sum + p.payment,
          0,
        ),
      )
