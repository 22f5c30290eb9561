import { z } from 'zod'
import {
  type Micro,
  type Minor,
  micro,
  microPerMinor,
  microToMinor,
  minor,
  sumMinor,
} from '@/lib/units/money'
import { dayOf, formatMonth, type Instant, instant, monthBounds, type ShopDay } from '@/lib/units/time'
import { lateWords } from '../close'
import { COST_WORDS, COSTS, type CostKind } from '../margin'
import type { MonthReport } from '../month'

/** What the shop's books tell apart. The book-keeper gives each a number; several may share one. */
export const ACCOUNTS = [
  'cash',
  'card',
  'transfer',
  'receivable',
  'ahead',
  'tax',
  'earned',
  'revenue',
  'credits',
  'stock',
  'brought',
  'suppliers',
  'progress',
  'blanks',
  'consumables',
  'labour',
  'machine',
  'spoilage',
  'outside',
  'freight',
  'labourUsed',
  'machineUsed',
  'shopUse',
  'counted',
  'later',
  'rounding',
] as const
export type Account = (typeof ACCOUNTS)[number]

/** What stands on each account, for the page where the shop sets its numbers. */
export const ACCOUNT_ABOUT: Record<Account, string> = {
  cash: 'money paid in cash',
  card: 'money paid by card',
  transfer: 'money sent to the bank',
  receivable: 'invoiced, and not paid',
  ahead: 'paid by customers ahead of their invoices',
  tax: 'tax on invoices, less credit notes',
  earned: 'before tax: invoiced and not handed over (−), handed over and not invoiced (+)',
  revenue: 'agreed prices before tax, on the day of hand-over',
  credits: 'credit notes that lower a price, before tax',
  stock: 'worth of the shelves, as the stock book says',
  brought: 'stock put on the shelf without a purchase',
  suppliers: 'goods received, work outside and freight, until their bills come',
  progress: 'what orders in hand have cost so far',
  blanks: 'blanks of orders that are handed over',
  consumables: 'inks, films and papers of orders that are handed over',
  labour: 'time of people on orders that are handed over',
  machine: 'time of machines on orders that are handed over',
  spoilage: 'what misprints took',
  outside: 'work done elsewhere for orders that are handed over',
  freight: 'freight of orders that are handed over',
  labourUsed: 'time of people put on orders: against wages and overhead',
  machineUsed: 'time of machines put on orders: against instalments, upkeep and power',
  shopUse: 'stock used by the shop itself, not for an order',
  counted: 'differences found by counting, and revaluation',
  later: 'costs booked in another month than their order counts in',
  rounding: 'parts of a cent between the stock book and whole cents',
}

const accountSchema = z.object({
  number: z
    .string()
    .trim()
    .regex(
      /^[\p{L}\p{N}./-]{1,20}$/u,
      'A number of 1 to 20 digits or letters, with “.”, “-” or “/” between.',
    ),
  name: z.string().trim().min(1, 'An account has a name.').max(60, 'At most 60 characters.'),
})
/** The book-keeper's number and name for each. */
export const chartSchema = z.object(
  Object.fromEntries(ACCOUNTS.map(a => [a, accountSchema])) as Record<Account, typeof accountSchema>,
)
export type Chart = z.infer<typeof chartSchema>

/** What holds until the shop sets its own: assets in 1, debts in 2, revenue in 4, costs in 5 and 6, as is common practice. */
export const usualChart: Chart = Object.fromEntries(
  (
    [
      ['cash', '1000', 'Cash'],
      ['card', '1010', 'Card payments'],
      ['transfer', '1020', 'Bank'],
      ['receivable', '1100', 'Receivables'],
      ['earned', '1150', 'Handed over less invoiced'],
      ['stock', '1200', 'Stock'],
      ['progress', '1250', 'Work in progress'],
      ['suppliers', '2000', 'Suppliers, bills to come'],
      ['ahead', '2100', 'Customers’ deposits'],
      ['tax', '2200', 'Tax on sales'],
      ['brought', '3000', 'Stock brought in'],
      ['revenue', '4000', 'Sales'],
      ['credits', '4100', 'Credit notes'],
      ['blanks', '5000', 'Cost of sales: blanks'],
      ['consumables', '5010', 'Cost of sales: consumables'],
      ['labour', '5020', 'Cost of sales: labour'],
      ['machine', '5030', 'Cost of sales: machines'],
      ['spoilage', '5040', 'Cost of sales: spoilage'],
      ['outside', '5050', 'Cost of sales: outside work'],
      ['freight', '5060', 'Cost of sales: freight'],
      ['later', '5090', 'Costs of other months'],
      ['labourUsed', '6000', 'Labour put on orders'],
      ['machineUsed', '6010', 'Machines put on orders'],
      ['shopUse', '6020', 'Supplies used'],
      ['counted', '6030', 'Count differences'],
      ['rounding', '6090', 'Rounding'],
    ] as const
  ).map(([a, number, name]) => [a, { number, name }]),
) as Chart

/** One line: a debit above 0, a credit below. */
export type Line = { account: Account; amount: Minor }
/** One entry: its lines add up to nothing. */
export type Entry = {
  day: ShopDay
  document: string
  words: string
  order: number | null
  customer: string
  lines: Line[]
}

/** An invoice, a credit note or a payment, as the journal reads it. */
export type MoneyEvent = { orderNumber: number; customer: string; at: Instant } & (
  | { kind: 'invoice' | 'credit'; name: string; lowers: boolean; net: Minor; tax: Minor; gross: Minor }
  | { kind: 'payment'; means: 'cash' | 'card' | 'transfer'; words: string; amount: Minor }
)

/** Sums of the stock book's movements in a month, micro-units: + onto the shelf. */
export type StockSums = {
  opening: Micro
  closing: Micro
  purchases: Micro
  brought: Micro
  orders: Micro
  counted: Micro
  shopUse: Micro
}

export type JournalFacts = {
  report: MonthReport
  timeZone: string
  /** Of the month, oldest first. */
  events: readonly MoneyEvent[]
  /** What stood invoiced and paid on an order before the month, for orders with events in it. */
  before: ReadonlyMap<number, { invoiced: Minor; paid: Minor }>
  stock: StockSums
  /** Work logs of the month, on any order. */
  work: { labour: Minor; machine: Minor }
  /** Outside work and freight written down in the month, on any order. */
  outside: Minor
}

/** What the journal says beside what the book it came from says. */
export type JournalTie = { name: string; journal: Minor; book: Minor }
export type Journal = {
  entries: Entry[]
  sums: Map<Account, { debit: Minor; credit: Minor }>
  ties: JournalTie[]
}

/** Drops lines of nothing; adds up lines of one account on one side. */
function entry(head: Omit<Entry, 'lines'>, lines: readonly [Account, number][]): Entry[] {
  const kept = lines
    .filter(([, amount]) => amount !== 0)
    .map(([account, amount]) => ({ account, amount: minor(amount) }))
  const left = kept.reduce((sum, l) => sum + l.amount, 0)
  if (left !== 0) throw new RangeError(`“${head.words}” does not balance: ${left} is left over.`)
  return kept.length ? [{ ...head, lines: kept }] : []
}

/**
 * The journal of one month, in whole minor units; every entry balances by itself. Invoices, credit notes and payments stand one by one
 * on their day; revenue and cost of an order on the day of its hand-over; stock, hours and outside costs as sums at the month's end.
 * What customers pay goes against their invoices first, and what is ahead of them is the customers'.
 */
export function journalOf(facts: JournalFacts): Journal {
  const { report, timeZone } = facts
  const round = (n: number) => microToMinor(micro(n), report.currency)
  const day = (at: Instant) => dayOf(at, timeZone)
  const last = day(instant(monthBounds(report.month, timeZone).to - 1))
  const entries: Entry[] = [...moneyEntries(facts, day)]

  let orderCosts = 0
  for (const r of report.rows) {
    const head = {
      day: day(r.handedOverAt),
      order: r.number,
      customer: r.customer,
      document: `order ${r.number}`,
    }
    entries.push(
      ...entry({ ...head, words: `Handed over: ${r.title || `order ${r.number}`}` }, [
        ['earned', r.revenue],
        ['revenue', -r.revenue],
      ]),
    )
    const cost = r.cost - r.costs.credits
    orderCosts += cost
    entries.push(
      ...entry({ ...head, words: `Cost of order ${r.number}` }, [
        ...costLines(kind => r.costs[kind]),
        ['progress', -cost],
      ]),
    )
  }
  for (const l of report.late) {
    if (l.kind === 'credits') continue
    orderCosts += l.amount
    entries.push(
      ...entry(
        {
          day: day(l.at),
          document: `order ${l.orderNumber}`,
          order: l.orderNumber,
          customer: '',
          words: `Late: ${COST_WORDS[l.kind].toLowerCase()}. ${lateWords(l.orderNumber, l.ownMonth)}`,
        },
        [
          [l.kind, l.amount],
          ['progress', -l.amount],
        ],
      ),
    )
  }

  const end = { day: last, document: report.month, order: null, customer: '' }
  const month = formatMonth(report.month)
  const { stock, work, outside } = facts
  const onOrders = round(-stock.orders)
  const shelf = round(stock.closing) - round(stock.opening)
  const [bought, brought, counted, used] = [
    round(stock.purchases),
    round(stock.brought),
    round(stock.counted),
    round(-stock.shopUse),
  ]
  const cents = shelf - (bought + brought + counted - used - onOrders)
  entries.push(
    ...entry({ ...end, words: `Goods received in ${month}` }, [
      ['stock', bought],
      ['suppliers', -bought],
    ]),
    ...entry({ ...end, words: `Stock brought in without a purchase in ${month}` }, [
      ['stock', brought],
      ['brought', -brought],
    ]),
    ...entry({ ...end, words: `Material taken for orders in ${month}` }, [
      ['progress', onOrders],
      ['stock', -onOrders],
    ]),
    ...entry({ ...end, words: `Used by the shop itself in ${month}` }, [
      ['shopUse', used],
      ['stock', -used],
    ]),
    ...entry({ ...end, words: `Counted and revalued in ${month}` }, [
      ['stock', counted],
      ['counted', -counted],
    ]),
    ...entry({ ...end, words: 'Parts of a cent of the stock book' }, [
      ['stock', cents],
      ['rounding', -cents],
    ]),
    ...entry({ ...end, words: `Time put on orders in ${month}` }, [
      ['progress', work.labour + work.machine],
      ['labourUsed', -work.labour],
      ['machineUsed', -work.machine],
    ]),
    ...entry({ ...end, words: `Outside work and freight of orders in ${month}` }, [
      ['progress', outside],
      ['suppliers', -outside],
    ]),
    ...otherMonths(facts, end, { orderCosts, onOrders }),
  )
  entries.sort((a, b) => a.day.localeCompare(b.day))
  const sums = sumsOf(entries)
  return { entries, sums, ties: tiesOf(facts, sums, shelf) }
}

const costLines = (of: (kind: Exclude<CostKind, 'credits'>) => number): [Account, number][] =>
  COSTS.flatMap(kind => (kind === 'credits' ? [] : [[kind, of(kind)] as [Account, number]]))

/** Invoices, credit notes and payments one by one: open invoices and money ahead are never both on one order. */
function moneyEntries({ events, before }: JournalFacts, day: (at: Instant) => ShopDay): Entry[] {
  const standing = new Map([...before].map(([n, b]) => [n, { ...b }]))
  return events.flatMap(e => {
    const was = standing.get(e.orderNumber) ?? { invoiced: minor(0), paid: minor(0) }
    const is = {
      invoiced: minor(was.invoiced + (e.kind === 'invoice' ? e.gross : e.kind === 'credit' ? -e.gross : 0)),
      paid: minor(was.paid + (e.kind === 'payment' ? e.amount : 0)),
    }
    standing.set(e.orderNumber, is)
    const open = (s: typeof is) => Math.max(0, s.invoiced - s.paid)
    const ahead = (s: typeof is) => Math.max(0, s.paid - s.invoiced)
    const customer: [Account, number][] = [
      ['receivable', open(is) - open(was)],
      ['ahead', ahead(was) - ahead(is)],
    ]
    const head = { day: day(e.at), order: e.orderNumber, customer: e.customer }
    if (e.kind === 'payment')
      return entry({ ...head, document: `order ${e.orderNumber}`, words: e.words }, [
        [e.means, e.amount],
        ...customer,
      ])
    const sign = e.kind === 'invoice' ? 1 : -1
    return entry(
      { ...head, document: e.name, words: `${e.kind === 'invoice' ? 'Invoice' : 'Credit note'} ${e.name}` },
      [...customer, ['tax', -sign * e.tax], [e.lowers ? 'credits' : 'earned', -sign * e.net]],
    )
  })
}

/**
 * What the month's orders cost and was booked in another month, and the parts of a cent that rounding each order left: so that work in
 * progress ends at what is in hand. It comes back with the opposite sign in the month of the booking.
 */
function otherMonths(
  { report, events, work, outside }: JournalFacts,
  end: Omit<Entry, 'lines' | 'words'>,
  { orderCosts, onOrders }: { orderCosts: number; onOrders: number },
): Entry[] {
  const per = microPerMinor(report.currency)
  const round = (n: number) => microToMinor(micro(n), report.currency)
  const { opening, closing, out } = report.carried
  const target = round(closing) - round(opening)
  const gap = target - (onOrders + work.labour + work.machine + outside - orderCosts)
  const [material, hours, elsewhere] = report.ties
  const lateCost = report.late.reduce((sum, l) => sum + (l.kind === 'credits' ? 0 : l.amount), 0)
  const exact = (material?.book ?? 0) + (hours?.book ?? 0) + (elsewhere?.book ?? 0) + lateCost * per
  const later = round(exact - out)
  const credited = sumMinor(events.flatMap(e => (e.kind === 'credit' && e.lowers ? [e.net] : [])))
  const credits = report.total.costs.credits - credited
  return [
    ...entry(
      { ...end, words: 'Costs of this month’s orders booked in other months, and of other months’ in this' },
      [
        ['progress', later],
        ['later', -later],
      ],
    ),
    ...entry({ ...end, words: 'Parts of a cent of work in progress' }, [
      ['progress', gap - later],
      ['rounding', later - gap],
    ]),
    ...entry({ ...end, words: 'Credit notes that count in another month than their date' }, [
      ['credits', credits],
      ['later', -credits],
    ]),
  ]
}

function sumsOf(entries: readonly Entry[]): Journal['sums'] {
  const sums: Journal['sums'] = new Map()
  for (const { lines } of entries)
    for (const { account, amount } of lines) {
      const sum = sums.get(account) ?? { debit: minor(0), credit: minor(0) }
      if (amount > 0) sum.debit = minor(sum.debit + amount)
      else sum.credit = minor(sum.credit - amount)
      sums.set(account, sum)
    }
  return sums
}

/** Debit less credit of an account. */
export const balance = (sums: Journal['sums'], account: Account): Minor => {
  const sum = sums.get(account)
  return minor(sum ? sum.debit - sum.credit : 0)
}

function tiesOf({ report, events, work }: JournalFacts, sums: Journal['sums'], shelf: number): JournalTie[] {
  const of = (...accounts: Account[]) => sumMinor(accounts.map(a => balance(sums, a)))
  const round = (n: Micro) => microToMinor(n, report.currency)
  const paid = sumMinor(events.flatMap(e => (e.kind === 'payment' ? [e.amount] : [])))
  const papers = (of: (e: { net: Minor; tax: Minor; gross: Minor }) => Minor) =>
    sumMinor(
      events.flatMap(e => (e.kind === 'payment' ? [] : [minor((e.kind === 'invoice' ? 1 : -1) * of(e))])),
    )
  const { total, carried } = report
  return [
    { name: 'Revenue against month end', journal: minor(-of('revenue')), book: total.revenue },
    ...COSTS.map(kind => ({
      name: `${COST_WORDS[kind]} against month end`,
      journal: of(kind),
      book: total.costs[kind],
    })),
    { name: 'Money in against the payments', journal: of('cash', 'card', 'transfer'), book: paid },
    {
      name: 'Receivables less deposits against invoices less payments',
      journal: of('receivable', 'ahead'),
      book: minor(papers(e => e.gross) - paid),
    },
    { name: 'Tax against the invoices', journal: minor(-of('tax')), book: papers(e => e.tax) },
    { name: 'Stock against the stock book', journal: of('stock'), book: minor(shelf) },
    {
      name: 'Work in progress against what is in hand',
      journal: of('progress'),
      book: minor(round(carried.closing) - round(carried.opening)),
    },
    {
      name: 'Time put on orders against the work logs',
      journal: minor(-of('labourUsed', 'machineUsed')),
      book: minor(work.labour + work.machine),
    },
  ]
}
