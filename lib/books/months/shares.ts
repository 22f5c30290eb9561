import { allocate, type Minor, minor } from '@/lib/units/money'
import { COSTS, type CostKind, type Margin, noCosts, type OrderMargin, totalOf } from '../margin'

/** What an order falls to: a blank, a person, a machine. */
export type Share = {
  key: string
  name: string
  /** How much of the order falls to it, against the others: pieces, seconds. */
  weight: number
  /** Costs that fall by weights of their own: a blank's by its worth, a person's labour by its money. */
  own?: Partial<Record<CostKind, number>>
  /** Its own time on the order, where that is known. */
  labourSeconds?: number
  machineSeconds?: number
}

export type SharedGroup = { key: string; name: string; orders: number } & Margin

/** What stands for orders that nothing of the kind was written down for. */
export const NOBODY = { key: '', name: 'Not known' }

/**
 * Splits each order over what it falls to, and sums: revenue, every cost and the pieces by weight, the largest remainders first, so that
 * the groups add up to the month to the cent. The best margin first.
 */
export function shareOut(
  orders: readonly OrderMargin[],
  sharesOf: (order: OrderMargin) => readonly Share[],
): SharedGroup[] {
  const groups = new Map<string, { name: string; orders: number; parts: Margin[] }>()
  for (const order of orders) {
    // In one order, whatever order they come in: of equal claims to a last cent the first has it.
    const found = sharesOf(order)
      .filter(s => s.weight > 0 || Object.values(s.own ?? {}).some(w => w > 0))
      .sort((a, b) => (a.key < b.key ? -1 : 1))
    const shares = found.length ? found : [{ ...NOBODY, weight: 1 }]
    const weights = shares.map(s => s.weight)
    const split = (amount: number, by: readonly number[] = weights) =>
      allocate(amount, by.some(w => w > 0) ? by : weights)
    const revenue = split(order.revenue)
    const pieces = split(order.pieces)
    const costs = new Map(
      COSTS.map(kind => {
        const own = shares.map(s => Math.max(0, s.own?.[kind] ?? 0))
        return [kind, split(order.costs[kind], own.some(w => w > 0) ? own : weights)]
      }),
    )
    const labour = split(
      order.labourSeconds,
      shares.map(s => s.labourSeconds ?? 0),
    )
    const machine = split(
      order.machineSeconds,
      shares.map(s => s.machineSeconds ?? 0),
    )
    shares.forEach((share, i) => {
      const part = noCosts()
      for (const kind of COSTS) part[kind] = minor(costs.get(kind)?.[i] ?? 0)
      const cost = COSTS.reduce((sum, kind) => sum + part[kind], 0)
      const group = groups.get(share.key) ?? { name: share.name, orders: 0, parts: [] }
      group.orders++
      group.parts.push({
        revenue: (revenue[i] ?? 0) as Minor,
        costs: part,
        cost: minor(cost),
        margin: minor((revenue[i] ?? 0) - cost),
        pieces: pieces[i] ?? 0,
        labourSeconds: labour[i] ?? 0,
        machineSeconds: machine[i] ?? 0,
      })
      groups.set(share.key, group)
    })
  }
  return [...groups]
    .map(([key, g]) => ({ key, name: g.name, orders: g.orders, ...totalOf(g.parts) }))
    .sort((a, b) => b.margin - a.margin || a.name.localeCompare(b.name))
}
