import type { Minor } from '@/lib/units/money'
import type { Instant } from '@/lib/units/time'
import type { OrderState } from './states'

/** What the lists know of an order. */
export type OrderSummary = {
  number: number
  customer: string
  customerId: string
  title: string
  state: OrderState
  asked: string
  /** When the newest offer ended: where the customer asked for a change, when that was. */
  offerEndedAt: Instant | null
  pieces: number
  promiseAt: Instant | null
  promiseHard: boolean
  enquiredAt: Instant
  offeredAt: Instant | null
  readyAt: Instant | null
  handedOverAt: Instant | null
  /** Agreed, else last offered, tax included; null before any offer. */
  gross: Minor | null
  /** What is still to come, as the account says; negative where the shop owes the customer. */
  due: Minor
  depositDue: Minor
  /** When the newest offer ends, while nobody has answered it. */
  offerEnds: Instant | null
}

/** What an order asks of the person at the counter, the most pressing first. */
export const ASK_KINDS = ['change', 'handOver', 'answer', 'expired', 'deposit', 'rest', 'giveBack'] as const
export type AskKind = (typeof ASK_KINDS)[number]

export type Ask = { kind: AskKind; order: OrderSummary; since: Instant }

/** What one order asks; null where it waits for somebody else. Work in the making asks for nothing but its money. */
export function askOf(order: OrderSummary, now: Instant): Ask | null {
  const ask = (kind: AskKind, since: Instant): Ask => ({ kind, order, since })
  if (order.state === 'enquiry')
    return order.asked
      ? ask('change', order.offerEndedAt ?? order.enquiredAt)
      : ask('answer', order.enquiredAt)
  if (order.state === 'offered')
    return order.offerEnds === null || now > order.offerEnds
      ? ask('expired', order.offerEnds ?? order.offeredAt ?? order.enquiredAt)
      : null
  if (order.state === 'ready') return ask('handOver', order.readyAt ?? order.enquiredAt)
  if (order.due < 0) return ask('giveBack', order.enquiredAt)
  if (order.depositDue > 0) return ask('deposit', order.offeredAt ?? order.enquiredAt)
  if (order.state === 'handedOver' && order.due > 0)
    return ask('rest', order.handedOverAt ?? order.enquiredAt)
  return null
}

/** What everything asks, the most pressing kind first; within a kind the one that waits longest. */
export function asksOf(orders: readonly OrderSummary[], now: Instant): Ask[] {
  const rank = (kind: AskKind) => ASK_KINDS.indexOf(kind)
  return orders
    .map(o => askOf(o, now))
    .filter(a => a !== null)
    .sort((a, b) => rank(a.kind) - rank(b.kind) || a.since - b.since || a.order.number - b.order.number)
}
