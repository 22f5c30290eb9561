import { type Micro, type Minor, microPerMinor, minor, sumMinor } from '@/lib/units/money'
import type { Compared } from '../estimate'
import { COSTS, type CostKind, type OrderMargin, roundTogether } from '../margin'

/** Planned against real, minor units; above 0 it cost more than planned. Price, usage of material, and time are the total. */
type Parts = { planned: Minor; real: Minor; price: Minor; usage: Minor; time: Minor; total: Minor }

/** Of one kind of cost. */
export type VarianceRow = Parts & { kind: CostKind }

/** An order's own. */
export type OrderVariance = Parts & { number: number; customer: string }

export type MonthVariance = {
  rows: VarianceRow[]
  all: Parts
  /** Furthest from its plan first. */
  orders: OrderVariance[]
  /** Orders that kept no estimate: left out of all sums, with what they cost. */
  without: { number: number; customer: string; cost: Minor }[]
}

/**
 * Sums the variances of a month's orders by kind of cost. Real is what month end says of the same orders, to the cent; planned, usage and
 * time are rounded so that they add up down the column, and price is what is left of the total, so that rows add up across.
 * Credit notes are no cost of making and stand in no estimate: they are left out.
 * @param compared by order number: planned against real, line by line; null where an order kept no estimate
 */
export function monthVariance(
  orders: readonly OrderMargin[],
  compared: ReadonlyMap<number, readonly Compared[] | null>,
  currency: string,
): MonthVariance {
  const per = microPerMinor(currency)
  const kinds = COSTS.filter(k => k !== 'credits')
  const planned = new Map<CostKind, number>()
  const usage = new Map<CostKind, number>()
  const time = new Map<CostKind, number>()
  const real = new Map<CostKind, number>()
  const add = (map: Map<CostKind, number>, kind: CostKind, n: number) =>
    map.set(kind, (map.get(kind) ?? 0) + n)
  const rows: OrderVariance[] = []
  const without: MonthVariance['without'] = []
  for (const o of orders) {
    const own = compared.get(o.number)
    const cost = minor(o.cost - o.costs.credits)
    if (!own) {
      without.push({ number: o.number, customer: o.customer, cost })
      continue
    }
    let plan = 0
    let used = 0
    let took = 0
    for (const line of own) {
      add(planned, line.kind, line.planned.cost)
      add(usage, line.kind, line.variance.usage)
      add(time, line.kind, line.variance.time)
      plan += line.planned.cost
      used += line.variance.usage
      took += line.variance.time
    }
    for (const kind of kinds) add(real, kind, o.costs[kind])
    const [p, u, t] = [Math.round(plan / per), Math.round(used / per), Math.round(took / per)]
    rows.push({
      number: o.number,
      customer: o.customer,
      planned: minor(p),
      real: cost,
      usage: minor(u),
      time: minor(t),
      price: minor(cost - p - u - t),
      total: minor(cost - p),
    })
  }
  const column = (map: Map<CostKind, number>) =>
    roundTogether(
      kinds.map(k => (map.get(k) ?? 0) as Micro),
      per,
    )
  const [plans, usages, times] = [column(planned), column(usage), column(time)]
  const list = kinds
    .map((kind, i): VarianceRow => {
      const [p, r] = [plans[i] ?? minor(0), minor(real.get(kind) ?? 0)]
      const [u, t] = [usages[i] ?? minor(0), times[i] ?? minor(0)]
      const price = minor(r - p - u - t)
      return { kind, planned: p, real: r, usage: u, time: t, price, total: minor(r - p) }
    })
    .filter(r => r.planned !== 0 || r.real !== 0)
  const all = (of: (r: VarianceRow) => Minor) => sumMinor(list.map(of))
  return {
    rows: list,
    all: {
      planned: all(r => r.planned),
      real: all(r => r.real),
      price: all(r => r.price),
      usage: all(r => r.usage),
      time: all(r => r.time),
      total: all(r => r.total),
    },
    orders: rows.sort((a, b) => Math.abs(b.total) - Math.abs(a.total) || a.number - b.number),
    without,
  }
}
