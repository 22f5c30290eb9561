import { z } from 'zod'
import type { OfferPage, TaxTerms } from '@/lib/orders/offer'
import { formatPieces } from '@/lib/orders/size-run'
import { type OrderState, STATE_WORDS } from '@/lib/orders/states'
import { type Minor, minor, prorate } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'
import { addDays, atTime, dayOf, type Instant } from '@/lib/units/time'

export const INVOICE_KINDS = ['invoice', 'credit'] as const
export type InvoiceKind = (typeof INVOICE_KINDS)[number]
export const INVOICE_WORDS: Record<InvoiceKind, string> = { invoice: 'Invoice', credit: 'Credit note' }

/** What tax of a period is counted by. */
export const TAX_BY = ['invoices', 'payments'] as const
export type TaxBy = (typeof TAX_BY)[number]
export const TAX_BY_WORDS: Record<TaxBy, string> = {
  invoices: 'by the date of the invoice',
  payments: 'by payments, as they come in',
}

const text = (most: number) => z.string().max(most)

/** What the shop sets for its invoices. Numbers run on from the first; the first can be chosen while none of its kind is written. */
export const invoicingSchema = z.object({
  /** Who invoices: the shop's full name and address, line by line. */
  seller: text(500),
  taxNumber: text(60),
  /** Where money is sent to. */
  bank: text(300),
  /** Days until an invoice is due, 0 to 365. */
  days: z.int().min(0).max(365),
  /** Stands at the foot of every invoice. */
  note: text(500),
  prefix: text(12),
  creditPrefix: text(12),
  first: z.int().min(1).max(99_999_999),
  firstCredit: z.int().min(1).max(99_999_999),
  /** Whether tax is owed by the date of the invoice, or as the customer pays. Changes no invoice: only how the tax of a period is counted. */
  taxBy: z.enum(TAX_BY).default('invoices'),
})
export type Invoicing = z.infer<typeof invoicingSchema>

/** What holds until the shop sets its own. */
export const usualInvoicing: Invoicing = {
  seller: '',
  taxNumber: '',
  bank: '',
  days: 14,
  note: '',
  prefix: '',
  creditPrefix: 'C',
  first: 1,
  firstCredit: 1,
  taxBy: 'invoices',
}

/** What an invoice is called: its prefix and number. */
export const invoiceName = (kind: InvoiceKind, number: number, invoicing: Invoicing): string =>
  `${kind === 'credit' ? invoicing.creditPrefix : invoicing.prefix}${number}`

/** A line of an invoice. Amounts as people are shown them: tax in them where the shop's prices hold tax. */
export type InvoiceLine = { words: string; pieces: number | null; amount: Minor }

/** Everything on an invoice or a credit note, kept word for word. */
export type InvoicePage = {
  kind: InvoiceKind
  name: string
  issuedAt: Instant
  /** Null on a credit note. */
  dueAt: Instant | null
  /** When the goods were handed over; null while they were not. */
  suppliedAt: Instant | null
  currency: string
  timeZone: string
  seller: string
  taxNumber: string
  bank: string
  note: string
  customer: { name: string; contact: string; address: string }
  orderNumber: number
  title: string
  /** On a credit note: the invoice that it is about. */
  about: { name: string; issuedAt: Instant } | null
  /** On a credit note: why it is written. */
  why: string
  lines: InvoiceLine[]
  net: Minor
  tax: Minor
  gross: Minor
  taxTerms: TaxTerms
  taxExempt: boolean
  /** Received on the order and not used up by earlier invoices, up to the total: taken off what is to be paid. */
  paid: Minor
}

/** What an order's invoices and credit notes come to so far. */
export type Invoiced = {
  kind: InvoiceKind
  id: string
  name: string
  number: number
  credits: string | null
  lowers: boolean
  issuedAt: Instant
  dueAt: Instant | null
  net: Minor
  tax: Minor
  gross: Minor
  rateBp: number
}

type Priced = {
  number: number
  state: OrderState
  net: Minor | null
  tax: Minor | null
  gross: Minor | null
  deposit: Minor | null
}

type Amounts = { net: Minor; tax: Minor; gross: Minor }
const signed = (v: Pick<Invoiced, 'kind'>) => (v.kind === 'invoice' ? 1 : -1)

/**
 * What of an order's price is not invoiced yet: the price, less what credit notes gave up, less what stands invoiced.
 * Nothing while no price is agreed, and nothing of an order that has ended.
 */
export function notInvoiced(order: Omit<Priced, 'deposit' | 'number'>, issued: readonly Invoiced[]): Amounts {
  const none = { net: minor(0), tax: minor(0), gross: minor(0) }
  if (order.gross === null || order.tax === null || order.state === 'withdrawn' || order.state === 'declined')
    return none
  let gross: number = order.gross
  let tax: number = order.tax
  for (const v of issued) {
    gross -= signed(v) * v.gross + (v.lowers ? v.gross : 0)
    tax -= signed(v) * v.tax + (v.lowers ? v.tax : 0)
  }
  return { net: minor(gross - tax), tax: minor(tax), gross: minor(gross) }
}

/** Invoiced less credited, tax included. */
export const standingInvoiced = (issued: readonly Pick<Invoiced, 'kind' | 'gross'>[]): Minor =>
  minor(issued.reduce((sum, v) => sum + signed(v) * v.gross, 0))

/** What is left of one invoice after the credit notes about it. */
export function leftOf(invoice: Invoiced, issued: readonly Invoiced[]): Amounts {
  let gross: number = invoice.gross
  let tax: number = invoice.tax
  for (const v of issued)
    if (v.credits === invoice.id) {
      gross -= v.gross
      tax -= v.tax
    }
  return { net: minor(gross - tax), tax: minor(tax), gross: minor(gross) }
}

/** Of tax in an amount the part that falls to so much of it; the last part takes the rest, so that parts add up. */
function partOf(whole: Amounts, gross: Minor): Amounts {
  const tax = prorate(whole.tax, gross, whole.gross)
  return { net: minor(gross - tax), tax, gross }
}

/**
 * Decides what an invoice is about: all that is not invoiced yet, or a part ahead (a deposit). Its tax is the part's share of the tax
 * that is left, so that the invoices of an order add up to its price and its tax to the cent.
 * @param amount null for all that is left; else above 0, tax included
 */
export function decideInvoice(
  order: Priced,
  issued: readonly Invoiced[],
  amount: Minor | null,
  show: (amount: Minor) => string,
): Result<Amounts & { all: boolean }> {
  if (order.state === 'declined' || order.state === 'withdrawn')
    return refuse(
      'ended',
      `Order ${order.number} is ${STATE_WORDS[order.state]}: there is nothing to invoice.`,
    )
  const left = notInvoiced(order, issued)
  if (order.gross === null)
    return refuse(
      'no-price',
      `Order ${order.number} has no agreed price yet: it can be invoiced once its offer is agreed.`,
    )
  if (left.gross <= 0)
    return refuse('done', `Order ${order.number} is invoiced in full: nothing is left to invoice.`)
  if (amount === null || amount === left.gross) return ok({ ...left, all: true })
  if (amount <= 0) return refuse('amount', 'The amount must be above zero.', 'amount')
  if (amount > left.gross)
    return refuse(
      'amount',
      `${show(amount)} is more than the ${show(left.gross)} not invoiced yet: type that much or less.`,
      'amount',
    )
  return ok({ ...partOf(left, amount), all: false })
}

/**
 * Decides a credit note about one invoice. Where it lowers the price the customer owes less; else the invoice was wrong, and the
 * amount can be invoiced anew. On an order that has ended nothing is owed: there it can only take the invoice back.
 * @param amount null for all that is left of the invoice; else above 0, tax included
 */
export function decideCredit(
  order: Pick<Priced, 'number' | 'state'>,
  invoice: Invoiced,
  issued: readonly Invoiced[],
  ask: { amount: Minor | null; lowers: boolean; why: string },
  show: (amount: Minor) => string,
): Result<Amounts & { lowers: boolean }> {
  if (invoice.kind !== 'invoice')
    return refuse('kind', 'A credit note is about an invoice: open the invoice, then write it.')
  if (ask.why.trim().length < 5)
    return refuse('why', 'Say why in a few words: it stands on the credit note.', 'why')
  const left = leftOf(invoice, issued)
  if (left.gross <= 0)
    return refuse('done', `Invoice ${invoice.name} is credited in full: nothing of it is left.`)
  const amount = ask.amount ?? left.gross
  if (amount <= 0) return refuse('amount', 'The amount must be above zero.', 'amount')
  if (amount > left.gross)
    return refuse(
      'amount',
      `${show(amount)} is more than the ${show(left.gross)} left of invoice ${invoice.name}: type that much or less.`,
      'amount',
    )
  const ended = order.state === 'declined' || order.state === 'withdrawn'
  return ok({ ...partOf(left, amount), lowers: ask.lowers && !ended })
}

/** The day an invoice is due: so many days after its own day, at the end of that day in the shop. */
export const dueOn = (issuedAt: Instant, days: number, zone: string): Instant =>
  atTime(addDays(dayOf(issuedAt, zone), days), '23:59', zone)

/** The lines of an invoice over all that is left: the order as it was agreed, less what was invoiced before and what was given up. */
export function wholeLines(
  page: Pick<OfferPage, 'lines' | 'extras' | 'taxTerms' | 'taxExempt'>,
  issued: readonly Invoiced[],
  left: Amounts,
): InvoiceLine[] {
  const inclusive = page.taxTerms.inclusive && !page.taxExempt
  const lines: InvoiceLine[] = [
    ...page.lines.map(l => ({
      words: `${l.styleName}, ${l.colour}: ${l.prints.map(p => p.placementWords.toLowerCase()).join(', ') || 'not printed'}`,
      pieces: l.pieces,
      amount: l.amount,
    })),
    ...page.extras.map(e => ({ words: e.words, pieces: null, amount: e.amount })),
  ]
  const want = inclusive ? left.gross : left.net
  for (const v of issued) {
    const own = inclusive ? v.gross : v.net
    if (v.kind === 'invoice')
      lines.push({ words: `Invoiced before: ${v.name}`, pieces: null, amount: minor(-own) })
    else if (!v.lowers) lines.push({ words: `Credited: ${v.name}`, pieces: null, amount: own })
  }
  // A customer free of tax reads prices that hold it: what is taken off stands in a line of its own.
  const rest = want - lines.reduce((sum, l) => sum + l.amount, 0)
  if (rest !== 0)
    lines.push({
      words: page.taxExempt ? `${page.taxTerms.name} taken off` : 'Rounding',
      pieces: null,
      amount: minor(rest),
    })
  return lines
}

/** The one line of an invoice over a part, or of a credit note. */
export const partLine = (
  words: string,
  amounts: Amounts,
  page: Pick<OfferPage, 'taxTerms' | 'taxExempt'>,
): InvoiceLine[] => [
  { words, pieces: null, amount: page.taxTerms.inclusive && !page.taxExempt ? amounts.gross : amounts.net },
]

/** What a part invoice says it is for. */
export const partWords = (page: Pick<OfferPage, 'lines' | 'title'>, orderNumber: number): string => {
  const pieces = page.lines.reduce((sum, l) => sum + l.pieces, 0)
  return `Payment on account of order ${orderNumber}${page.title ? `, ${page.title}` : ''} (${formatPieces(pieces)})`
}

/** "VAT 23 %". */
export const taxName = (terms: TaxTerms): string =>
  `${terms.name} ${Number((terms.rateBp / 100).toFixed(2))} %`

/** A row under an invoice's lines. */
export type SumRow = { key: string; words: string; amount: Minor; total?: true }

/** The sums under an invoice's lines: before tax, tax, total, and what is to be paid. */
export function sumRows(page: InvoicePage): SumRow[] {
  const rows: SumRow[] = []
  if (page.tax !== 0 || page.taxTerms.rateBp > 0)
    rows.push(
      { key: 'net', words: 'Before tax', amount: page.net },
      {
        key: 'tax',
        words: page.taxExempt ? `${page.taxTerms.name}: exempt` : taxName(page.taxTerms),
        amount: page.tax,
      },
    )
  rows.push({
    key: 'total',
    words: page.kind === 'credit' ? 'Credited' : 'Total',
    amount: page.gross,
    total: true,
  })
  if (page.kind === 'invoice' && page.paid > 0)
    rows.push(
      { key: 'paid', words: 'Paid already', amount: minor(-page.paid) },
      { key: 'due', words: 'To pay', amount: minor(page.gross - page.paid), total: true },
    )
  return rows
}
