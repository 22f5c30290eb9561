import { type Micro, type Minor, micro, microPerMinor, minor } from '@/lib/units/money'
import type { Instant, ShopMonth } from '@/lib/units/time'
import {
  COSTS,
  type CostKind,
  type Costs,
  type Margin,
  marginOf,
  noCosts,
  type OrderFacts,
  type OrderMargin,
  roundTogether,
  totalOf,
} from './margin'

/** A cost booked after its order's month was closed. Amounts as they stand in the book, + a cost. */
export type LateFact = {
  orderNumber: number
  ownMonth: ShopMonth
  kind: CostKind
  amount: Micro
  at: Instant
  byName: string
}

/** A late entry in whole minor units. */
export type LateEntry = Omit<LateFact, 'amount'> & { amount: Minor }

/** Orders with something in common. */
export type Group = { key: string; name: string; orders: number } & Margin

/** What the books of other rooms say about the same orders, for the tie. */
export type Ledgers = {
  /** What their lines of the stock book took off the worth of the shelves, line by line, micro-units. */
  stock: Micro
  /** Labour and machine money logged on the steps of these orders. */
  work: Minor
  /** Outside work and freight, as the history tells what was written down. */
  outside: Minor
  /** Credit notes that lower a price, before tax. */
  credits: Minor
  /** Of the orders that were handed over: their tax as agreed, and credit notes with tax by the invoice book. */
  tax: Minor
  credited: Minor
  /** Payments on these orders by the payment book, and what is kept beside each as paid too much (below 0: still owed). As of now. */
  paid: Minor
  uneven: Minor
}

/**
 * What is being made at the month's edges, in micro-units of cost booked so far: it is carried from month to month until its order is
 * handed over or withdrawn.
 */
export type Carried = {
  /** At the first moment of the month. */
  opening: Micro
  /** Booked in the month, on any order. */
  booked: Micro
  /** Of orders that ended in the month, all that was booked on them until its end; and what was booked in it for earlier ones. */
  out: Micro
  /** At the last moment of the month, or now. */
  closing: Micro
  /** What stands behind `closing`, the dearest first. */
  orders: { number: number; customer: string; cost: Micro }[]
}

/** One line of the tie: what the orders say, what the book says, and how much rounding to whole minor units lies between. */
export type Tie = { name: string; orders: Minor; book: Micro; difference: Micro; ties: boolean }

/** A month as it is shown, and kept when it is closed. */
export type MonthReport = {
  month: ShopMonth
  currency: string
  rows: OrderMargin[]
  /** Costs booked late, for orders of months that are closed. */
  late: LateEntry[]
  /** Of the orders alone. */
  orders: Margin
  lateCosts: Costs
  /** Orders and late entries together: what the month earned. */
  total: Margin
  byMethod: Group[]
  byCustomer: Group[]
  carried: Carried
  ties: Tie[]
}

/** Groups rows and sums each group, largest margin first, then by name. */
export function groupBy(
  rows: readonly OrderMargin[],
  of: (row: OrderMargin) => { key: string; name: string },
): Group[] {
  const groups = new Map<string, { name: string; rows: OrderMargin[] }>()
  for (const row of rows) {
    const { key, name } = of(row)
    const group = groups.get(key) ?? { name, rows: [] }
    group.rows.push(row)
    groups.set(key, group)
  }
  return [...groups]
    .map(([key, g]) => ({ key, name: g.name, orders: g.rows.length, ...totalOf(g.rows) }))
    .sort((a, b) => b.margin - a.margin || a.name.localeCompare(b.name))
}

/**
 * Puts a month together from what the books hold: one row for each order handed over in it, what came late for closed
 * months, sums that add up to the cent, and the tie to the other books.
 * @param methodWords what people read for a method
 */
export function assembleMonth(input: {
  month: ShopMonth
  currency: string
  orders: readonly OrderFacts[]
  late: readonly LateFact[]
  ledgers: Ledgers
  carried: Carried
  methodWords: (method: string | null) => string
}): MonthReport {
  const { month, currency, ledgers, methodWords } = input
  const rows = input.orders.map(o => marginOf(o, currency)).sort((a, b) => a.number - b.number)
  const rounded = roundTogether(
    input.late.map(l => l.amount),
    microPerMinor(currency),
  )
  const late = input.late
    .map((l, i): LateEntry => ({ ...l, amount: rounded[i] as Minor }))
    .sort((a, b) => a.at - b.at || a.orderNumber - b.orderNumber)
  const lateCosts = noCosts()
  for (const l of late) lateCosts[l.kind] = minor(lateCosts[l.kind] + l.amount)
  const orders = totalOf(rows)
  const lateMargin: Margin = {
    ...totalOf([]),
    costs: lateCosts,
  }
  return {
    month,
    currency,
    rows,
    late,
    orders,
    lateCosts,
    total: totalOf([orders, lateMargin]),
    byMethod: groupBy(rows, r => ({ key: r.method ?? '', name: methodWords(r.method) })),
    byCustomer: groupBy(rows, r => ({ key: r.customerId, name: r.customer })),
    carried: input.carried,
    ties: [...tie(orders, rows.length, ledgers, currency), carriedTie(input.carried, currency)],
  }
}

/**
 * Holds the sums of the orders against the books that they came from. Labour, machine and outside costs are whole minor
 * units in both and tie exactly; material is kept in micro-units, and rounding each order to whole minor units may leave
 * at most half a unit for each order between them. What is open on an order is kept by the database beside it when money or a price
 * changes: prices, payments and open balances are three books of their own, and tie exactly.
 */
function tie(orders: Margin, count: number, ledgers: Ledgers, currency: string): Tie[] {
  const per = microPerMinor(currency)
  const line = (name: string, sum: number, book: number, slack: number): Tie => {
    const difference = sum * per - book
    return {
      name,
      orders: minor(sum),
      book: book as Micro,
      difference: (difference === 0 ? 0 : difference) as Micro,
      ties: Math.abs(difference) <= slack,
    }
  }
  const { blanks, consumables, spoilage, labour, machine, outside, freight, credits } = orders.costs
  return [
    line(
      'Material against the stock book',
      blanks + consumables + spoilage,
      ledgers.stock,
      (count * per) / 2,
    ),
    line('Labour and machine against the work logs', labour + machine, ledgers.work * per, 0),
    line(
      'Outside work and freight against what the history tells',
      outside + freight,
      ledgers.outside * per,
      0,
    ),
    line('Credit notes against the invoice book', credits, ledgers.credits * per, 0),
    line(
      'Prices with tax, less credit notes, against payments and what is kept as still open',
      orders.revenue + ledgers.tax - ledgers.credited,
      (ledgers.paid - ledgers.uneven) * per,
      0,
    ),
  ]
}

/** Work in progress carried in, and what the month booked, against what went out with its orders and what is carried on: exact. */
function carriedTie({ opening, booked, out, closing }: Carried, currency: string): Tie {
  const left = opening + booked - out
  return {
    name: 'Work in progress: carried in and booked, less what went out, against what is still being made',
    orders: minor(Math.round(left / microPerMinor(currency))),
    book: closing,
    difference: micro(left - closing),
    ties: left === closing,
  }
}

/** The fall from revenue to margin: each step with where it starts and ends, minor units. Costs of 0 are left out. */
export function fall(m: Margin): { key: 'revenue' | CostKind | 'margin'; from: number; to: number }[] {
  const steps: { key: 'revenue' | CostKind | 'margin'; from: number; to: number }[] = [
    { key: 'revenue', from: 0, to: m.revenue },
  ]
  let at: number = m.revenue
  for (const c of COSTS) {
    if (m.costs[c] === 0) continue
    steps.push({ key: c, from: at, to: at - m.costs[c] })
    at -= m.costs[c]
  }
  steps.push({ key: 'margin', from: 0, to: m.margin })
  return steps
}
