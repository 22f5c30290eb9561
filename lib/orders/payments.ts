import { type Minor, minor, sumMinor } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { OfferRecord, OrderView, Payment, PaymentKind } from './order'
import { STATE_WORDS } from './states'

/** How an order stands in money. Payment is a matter of its own: no state waits for it. */
export type Account = {
  /** What the customer owes in all, tax included, less what credit notes gave up. Null while nothing is agreed. */
  owed: Minor | null
  /** Received less given back. */
  paid: Minor
  /** Still to come; negative where the shop owes the customer. 0 while nothing is agreed. */
  due: Minor
  /** Of what is due, the part that is asked for before the work begins. 0 once it is covered or the work is out. */
  depositDue: Minor
}

/** Received less given back. Sum of all rows, since payments are only ever added. */
export const paidOf = (payments: readonly Pick<Payment, 'amount'>[]): Minor =>
  sumMinor(payments.map(p => p.amount))

type Payable = Pick<OrderView, 'number' | 'state' | 'gross' | 'deposit' | 'credit'> & {
  payments: readonly Pick<Payment, 'amount'>[]
}

/** The account of an order. An ended order owes nothing: what was paid on it is the customer's again. */
export function accountOf(order: Omit<Payable, 'number'>): Account {
  const paid = paidOf(order.payments)
  if (order.state === 'declined' || order.state === 'withdrawn')
    return { owed: minor(0), paid, due: minor(-paid), depositDue: minor(0) }
  if (order.gross === null) return { owed: null, paid, due: minor(0), depositDue: minor(0) }
  const owed = minor(order.gross - order.credit)
  const due = minor(owed - paid)
  const deposit = Math.min(order.deposit ?? 0, owed)
  const early = order.state === 'agreed' || order.state === 'making'
  return { owed, paid, due, depositDue: minor(early ? Math.max(0, deposit - paid) : 0) }
}

/** One offer that can still be agreed, or null. */
type OpenOffer = Pick<OfferRecord, 'gross'> | null

/**
 * Decides a payment. Money is taken against what was agreed, or ahead against an open offer; it never goes over what is owed,
 * and no more is given back than was received.
 * @param amount whole minor units above 0, also for a refund: the sign is set here
 * @param show writes an amount for people
 * @returns the signed amount to book
 */
export function decidePayment(
  order: Payable,
  open: OpenOffer,
  kind: PaymentKind,
  amount: Minor,
  show: (amount: Minor) => string,
): Result<{ amount: Minor }> {
  if (amount <= 0)
    return refuse('amount', 'The amount must be above zero; choose “refund” to give money back.', 'amount')
  const paid = paidOf(order.payments)
  if (kind === 'refund') {
    if (paid <= 0)
      return refuse(
        'nothingPaid',
        `Nothing has been paid on order ${order.number}, so nothing can be given back.`,
        'amount',
      )
    if (amount > paid)
      return refuse(
        'overRefund',
        `Only ${show(paid)} has been paid on order ${order.number}: give back that much or less.`,
        'amount',
      )
    return ok({ amount: minor(-amount) })
  }
  if (order.state === 'declined' || order.state === 'withdrawn')
    return refuse(
      'ended',
      `Order ${order.number} is ${STATE_WORDS[order.state]}: only a refund can be booked on it.`,
      'kind',
    )
  const owed = order.gross === null ? (open?.gross ?? null) : minor(order.gross - order.credit)
  if (owed === null)
    return refuse(
      'nothingOffered',
      `Order ${order.number} has no price yet: send an offer first, then take the money.`,
      'amount',
    )
  const due = owed - paid
  if (due <= 0) return refuse('settled', `Order ${order.number} is paid in full: nothing is due.`, 'amount')
  if (amount > due)
    return refuse(
      'overpaid',
      `${show(amount)} is more than the ${show(minor(due))} still due: take that much or less.`,
      'amount',
    )
  return ok({ amount })
}
