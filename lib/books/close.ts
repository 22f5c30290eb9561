import { type Refusal, refuse } from '@/lib/units/result'
import { formatMonth, type Instant, monthOf, nextMonth, type ShopMonth } from '@/lib/units/time'

/** When months were closed. */
export type Closes = ReadonlyMap<ShopMonth, Instant>

/**
 * The month that a cost of an order counts in. An order's costs count in the month of its hand-over, whenever they were
 * booked. Once that month is closed it never changes: what is booked after its closing counts in the month of the booking,
 * as a late entry.
 */
export function landing(
  bookedAt: Instant,
  handedOverAt: Instant,
  closes: Closes,
  zone: string,
): { month: ShopMonth; late: boolean } {
  const own = monthOf(handedOverAt, zone)
  const closedAt = closes.get(own)
  if (closedAt === undefined || bookedAt <= closedAt) return { month: own, late: false }
  return { month: monthOf(bookedAt, zone), late: true }
}

/**
 * Null when a month can be closed: it is over, it is not closed yet, and no earlier month with hand-overs is still open.
 * @param firstOpen the earliest month with hand-overs that is not closed; null when there is none
 */
export function refuseClose(
  month: ShopMonth,
  now: Instant,
  zone: string,
  closes: Closes,
  firstOpen: ShopMonth | null,
): Refusal | null {
  const name = formatMonth(month)
  if (closes.has(month)) return refuse('closed', `${name} is closed already: its figures stay as they are.`)
  if (month >= monthOf(now, zone))
    return refuse(
      'running',
      `${name} is not over yet: it can be closed from the first of ${formatMonth(nextMonth(month))}.`,
    )
  if (firstOpen !== null && firstOpen < month)
    return refuse('order', `${formatMonth(firstOpen)} is still open: close it first, then ${name}.`)
  return null
}

/**
 * Null when a closed month can be opened again: with a reason, and the newest first, since later ones were built on it.
 * Asking for the right is the caller's: it is the owner's.
 */
export function refuseReopen(month: ShopMonth, why: string, closes: Closes): Refusal | null {
  const name = formatMonth(month)
  if (!closes.has(month)) return refuse('open', `${name} is open: there is nothing to open again.`)
  const [newest] = [...closes.keys()].sort().reverse()
  if (newest !== undefined && newest > month)
    return refuse('order', `${formatMonth(newest)} was closed after ${name}: open that one again first.`)
  const words = why.trim()
  if (words.length < 5)
    return refuse('why', `Say why ${name} is opened again: it is kept with your name.`, 'why')
  if (words.length > 500) return refuse('why', 'The reason is longer than 500 characters: shorten it.', 'why')
  return null
}

/** What stands beside a late entry. */
export const lateWords = (orderNumber: number, own: ShopMonth): string =>
  `Belongs to order ${orderNumber}, handed over in ${formatMonth(own)}, which is closed: it counts here.`
