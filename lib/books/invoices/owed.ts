import { type Minor, minor } from '@/lib/units/money'
import { dayOf, type Instant } from '@/lib/units/time'
import { type Invoiced, leftOf } from './invoice'

/** How long an invoice is past its day: common practice in ageing what is owed. */
export const AGES = ['not due', '1 to 30', '31 to 60', '61 to 90', 'over 90'] as const
export type Age = (typeof AGES)[number]
export const AGE_WORDS: Record<Age, string> = {
  'not due': 'Not due yet',
  '1 to 30': '1–30 days late',
  '31 to 60': '31–60 days late',
  '61 to 90': '61–90 days late',
  'over 90': 'Over 90 days late',
}

/** Whole days from the day an invoice is due to today, by the shop's calendar; 0 or less: not late. */
export const daysLate = (dueAt: Instant, now: Instant, zone: string): number =>
  Math.round((Date.parse(dayOf(now, zone)) - Date.parse(dayOf(dueAt, zone))) / 86_400_000)

/** Where so many days stand. */
export const ageOf = (days: number): Age =>
  days <= 0
    ? 'not due'
    : days <= 30
      ? '1 to 30'
      : days <= 60
        ? '31 to 60'
        : days <= 90
          ? '61 to 90'
          : 'over 90'

/** An order whose money may not come out even. */
export type OwingOrder = {
  number: number
  customerId: string
  customer: string
  /** What the customer owes in all: the price less what was given up; 0 for an order that has ended. */
  owed: Minor
  handedOver: boolean
  paid: Minor
  /** Oldest first. */
  issued: readonly Invoiced[]
}

/** An invoice that is not paid in full. */
export type OpenInvoice = {
  id: string
  name: string
  orderNumber: number
  open: Minor
  days: number
  age: Age
}

/** How one order stands: what is open of its invoices, what is out and not invoiced, and what was paid ahead. */
export type OwedOrder = {
  /** Of the invoices, not paid. */
  open: Minor
  invoices: OpenInvoice[]
  /** Handed over, owed, and on no invoice; what was paid ahead is taken off. */
  notInvoiced: Minor
  /** Received beyond what is invoiced and handed over: the customer's until then. */
  ahead: Minor
}

/**
 * Lays what was paid on an order against its invoices, the oldest first. Open invoices less what was paid ahead of them are invoiced
 * less paid, always.
 */
export function owedOf(order: OwingOrder, now: Instant, zone: string): OwedOrder {
  let left: number = order.paid
  const invoices: OpenInvoice[] = []
  let open = 0
  let invoiced = 0
  for (const v of order.issued) {
    if (v.kind !== 'invoice') continue
    const due = leftOf(v, order.issued).gross
    invoiced += due
    const own = due - Math.min(due, left)
    left -= due - own
    if (own === 0) continue
    open += own
    const days = daysLate(v.dueAt ?? v.issuedAt, now, zone)
    invoices.push({
      id: v.id,
      name: v.name,
      orderNumber: order.number,
      open: minor(own),
      days,
      age: ageOf(days),
    })
  }
  const out = order.handedOver ? Math.max(0, order.owed - invoiced) : 0
  const notInvoiced = out - Math.min(out, left)
  return {
    open: minor(open),
    invoices,
    notInvoiced: minor(notInvoiced),
    ahead: minor(left - (out - notInvoiced)),
  }
}

/** What one customer owes, by age. */
export type OwedCustomer = {
  customerId: string
  customer: string
  byAge: Record<Age, Minor>
  open: Minor
  notInvoiced: Minor
  ahead: Minor
  invoices: OpenInvoice[]
  /** Orders with goods out and no invoice over all of them. */
  toInvoice: { number: number; amount: Minor }[]
}

const nothing = (): Record<Age, Minor> =>
  Object.fromEntries(AGES.map(a => [a, minor(0)])) as Record<Age, Minor>

/** Who owes what by age, whoever owes most first; customers who are even are left out. */
export function owedByCustomer(orders: readonly OwingOrder[], now: Instant, zone: string): OwedCustomer[] {
  const all = new Map<string, OwedCustomer>()
  for (const order of orders) {
    const own = owedOf(order, now, zone)
    if (own.open === 0 && own.notInvoiced === 0 && own.ahead === 0) continue
    const c = all.get(order.customerId) ?? {
      customerId: order.customerId,
      customer: order.customer,
      byAge: nothing(),
      open: minor(0),
      notInvoiced: minor(0),
      ahead: minor(0),
      invoices: [],
      toInvoice: [],
    }
    all.set(order.customerId, c)
    c.open = minor(c.open + own.open)
    c.notInvoiced = minor(c.notInvoiced + own.notInvoiced)
    c.ahead = minor(c.ahead + own.ahead)
    for (const v of own.invoices) c.byAge[v.age] = minor(c.byAge[v.age] + v.open)
    c.invoices.push(...own.invoices)
    if (own.notInvoiced > 0) c.toInvoice.push({ number: order.number, amount: own.notInvoiced })
  }
  return [...all.values()].sort(
    (a, b) => b.open + b.notInvoiced - (a.open + a.notInvoiced) || a.customer.localeCompare(b.customer),
  )
}

/** Tax of a period at one rate: invoices less credit notes. */
export type TaxRow = {
  rateBp: number
  invoices: number
  credits: number
  net: Minor
  tax: Minor
  gross: Minor
}

/** Tax by rate, the highest first: what was invoiced in the period less what was credited in it. */
export function taxByRate(
  issued: readonly Pick<Invoiced, 'kind' | 'net' | 'tax' | 'gross' | 'rateBp'>[],
): TaxRow[] {
  const rows = new Map<number, TaxRow>()
  for (const v of issued) {
    const row = rows.get(v.rateBp) ?? {
      rateBp: v.rateBp,
      invoices: 0,
      credits: 0,
      net: minor(0),
      tax: minor(0),
      gross: minor(0),
    }
    const sign = v.kind === 'invoice' ? 1 : -1
    if (v.kind === 'invoice') row.invoices++
    else row.credits++
    row.net = minor(row.net + sign * v.net)
    row.tax = minor(row.tax + sign * v.tax)
    row.gross = minor(row.gross + sign * v.gross)
    rows.set(v.rateBp, row)
  }
  return [...rows.values()].sort((a, b) => b.rateBp - a.rateBp)
}
