import { type Micro, type Minor, microPerMinor, minor, sumMinor } from '@/lib/units/money'
import type { Instant } from '@/lib/units/time'

/**
 * What an order costs, in the order in which the fall from revenue to margin is drawn. Blanks and consumables: what good
 * pieces took from the shelf. Spoilage: blanks and consumables that misprints took. Remade pieces' labour and machine time
 * stand with labour and machine. Credit notes that lower an agreed price
 * stand here too, so that revenue stays what was agreed.
 */
export const COSTS = [
  'blanks',
  'consumables',
  'labour',
  'machine',
  'spoilage',
  'outside',
  'freight',
  'credits',
] as const
export type CostKind = (typeof COSTS)[number]

/** What people read for a cost. */
export const COST_WORDS: Record<CostKind, string> = {
  blanks: 'Blanks',
  consumables: 'Consumables',
  labour: 'Labour',
  machine: 'Machine',
  spoilage: 'Spoilage',
  outside: 'Outside work',
  freight: 'Freight',
  credits: 'Credit notes',
}

/** Where each cost is written down. */
export const COST_SOURCE: Record<CostKind, string> = {
  blanks: 'stock book: blanks issued to the order, less those returned',
  consumables: 'stock book: inks, films and papers issued to the order',
  labour: 'work logs: time of people on its steps, at the wage and overhead of the day',
  machine: 'work logs: time of stations on its steps, at the machine-hour rate of the day',
  spoilage: 'stock book: what misprints of the order took',
  outside: 'costs written down for the order: work done elsewhere',
  freight: 'costs written down for the order: freight',
  credits: 'credit notes that lower the price, before tax',
}

/** What the books hold on an order. Amounts are costs: 0 or more unless something was taken back. */
export type OrderFacts = {
  id: string
  number: number
  title: string
  customerId: string
  customer: string
  method: string | null
  handedOverAt: Instant
  pieces: number
  /** Agreed price before tax. */
  revenue: Minor
  blanks: Micro
  consumables: Micro
  spoilage: Micro
  labour: Minor
  machine: Minor
  outside: Minor
  freight: Minor
  /** Price given up by credit notes, before tax. */
  credits: Minor
  /** Time that the labour and machine money stands for; the bench is no machine. */
  labourSeconds: number
  machineSeconds: number
}

export type Costs = Record<CostKind, Minor>

/** An order, or many together, from revenue to margin. Costs add up to `cost`, and revenue less cost is the margin. */
export type Margin = {
  revenue: Minor
  costs: Costs
  cost: Minor
  margin: Minor
  pieces: number
  labourSeconds: number
  machineSeconds: number
}

/** One order's row in the month. */
export type OrderMargin = Margin &
  Pick<OrderFacts, 'id' | 'number' | 'title' | 'customerId' | 'customer' | 'method' | 'handedOverAt'>

/**
 * Rounds amounts together so that they add up to their rounded sum: each goes down to whole minor units, and the units
 * left over go to the largest remainders, earlier ones first when they tie. Exact for negative amounts too.
 */
export function roundTogether(amounts: readonly Micro[], perMinor: number): Minor[] {
  const floors = amounts.map(a => Math.floor(a / perMinor))
  const rests = amounts.map((a, i) => a - (floors[i] as number) * perMinor)
  const rest = rests.reduce((a, b) => a + b, 0)
  let left = Math.floor((2 * rest + perMinor) / (2 * perMinor))
  const order = rests.map((r, i) => ({ r, i })).sort((a, b) => b.r - a.r || a.i - b.i)
  for (const { i } of order) {
    if (left <= 0) break
    floors[i] = (floors[i] as number) + 1
    left--
  }
  return floors.map(minor)
}

/** The margin of one order: revenue less every cost, in whole minor units. Material is rounded once for the order. */
export function marginOf(facts: OrderFacts, currency: string): OrderMargin {
  const [blanks, consumables, spoilage] = roundTogether(
    [facts.blanks, facts.consumables, facts.spoilage],
    microPerMinor(currency),
  ) as [Minor, Minor, Minor]
  const { labour, machine, outside, freight, credits, revenue } = facts
  const costs: Costs = { blanks, consumables, labour, machine, spoilage, outside, freight, credits }
  const cost = sumMinor(Object.values(costs))
  return {
    id: facts.id,
    number: facts.number,
    title: facts.title,
    customerId: facts.customerId,
    customer: facts.customer,
    method: facts.method,
    handedOverAt: facts.handedOverAt,
    pieces: facts.pieces,
    revenue,
    costs,
    cost,
    margin: minor(revenue - cost),
    labourSeconds: facts.labourSeconds,
    machineSeconds: facts.machineSeconds,
  }
}

/** Nothing at all. */
export const noCosts = (): Costs => Object.fromEntries(COSTS.map(c => [c, minor(0)])) as Costs

/** Many margins as one: every figure is the sum of theirs, to the cent. */
export function totalOf(rows: Iterable<Margin>): Margin {
  const costs = noCosts()
  let revenue = 0
  let pieces = 0
  let labourSeconds = 0
  let machineSeconds = 0
  for (const row of rows) {
    revenue += row.revenue
    pieces += row.pieces
    labourSeconds += row.labourSeconds
    machineSeconds += row.machineSeconds
    for (const c of COSTS) costs[c] = minor(costs[c] + row.costs[c])
  }
  const cost = sumMinor(Object.values(costs))
  return {
    revenue: minor(revenue),
    costs,
    cost,
    margin: minor(revenue - cost),
    pieces,
    labourSeconds,
    machineSeconds,
  }
}

/** Margin as a share of revenue: 0.35. Null where there is no revenue to share. */
export const marginShare = (m: Pick<Margin, 'margin' | 'revenue'>): number | null =>
  m.revenue > 0 ? m.margin / m.revenue : null

/** Margin in minor units for each hour of machine time, rounded to the nearest. Null where no machine worked. */
export const marginPerMachineHour = (m: Pick<Margin, 'margin' | 'machineSeconds'>): Minor | null =>
  m.machineSeconds > 0 ? minor(Math.round((m.margin * 3600) / m.machineSeconds)) : null
