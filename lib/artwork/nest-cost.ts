import { allocate, type Minor, minor, roundToMinor } from '@/lib/units/money'
import type { Nesting } from './nest'

/** What sheets cost: each, or each metre of a roll. Minor units of the shop's currency. */
export type SheetPrice = { perSheet: Minor } | { perMetre: Minor }

/** What a nesting costs, and each order's part of it. */
export type NestingCost = { total: Minor; orders: { order: string; cost: Minor }[] }

/**
 * Cost of the sheets (or of the used length of a roll, rounded once to whole minor units), shared among the orders by
 * their printed area; the parts add up to the total.
 */
export function nestingCost(nesting: Nesting, price: SheetPrice): NestingCost {
  const metres = nesting.lengths.reduce((n, l) => n + l, 0) / 1000
  const total =
    'perSheet' in price ? minor(nesting.sheets * price.perSheet) : roundToMinor(metres * price.perMetre)
  const areas = new Map<string, number>()
  for (const p of nesting.placed) areas.set(p.order, (areas.get(p.order) ?? 0) + p.width * p.height)
  const parts = allocate(total, [...areas.values()])
  return { total, orders: [...areas.keys()].map((order, i) => ({ order, cost: parts[i] ?? minor(0) })) }
}
