import type { BaseUnit } from '@/lib/units/base-unit'
import { type Micro, micro, prorate } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'
import { formatAmount } from './items'

/** States of a purchase. */
export const PURCHASE_STATES = ['draft', 'sent', 'received', 'cancelled'] as const
export type PurchaseState = (typeof PURCHASE_STATES)[number]

/** What people read for a purchase's state. */
export const PURCHASE_WORDS: Record<PurchaseState, string> = {
  draft: 'being written',
  sent: 'on the way',
  received: 'received',
  cancelled: 'cancelled',
}

/** The one table of moves of a purchase. A part received stays on the way until the rest has come or is given up. */
export const PURCHASE_MOVES: Record<PurchaseState, readonly PurchaseState[]> = {
  draft: ['sent', 'cancelled'],
  sent: ['received', 'cancelled'],
  received: [],
  cancelled: [],
}

/** A line of a purchase: base units ordered and received so far, and what the whole line costs. */
export type PurchaseLine = { name: string; unit: BaseUnit; quantity: number; received: number; value: Micro }

/**
 * Receives part of a line. Its value is its share of the line's, so that parts received one by one add up to the whole
 * line to the last micro-unit.
 * @param came base units, more than 0 and no more than is still to come
 */
export function receive(line: PurchaseLine, came: number): Result<{ received: number; value: Micro }> {
  const open = line.quantity - line.received
  if (!Number.isSafeInteger(came) || came < 0)
    return refuse('quantity', `What came of ${line.name} is 0 or more.`, 'came')
  if (came > open)
    return refuse(
      'too-many',
      `${formatAmount(came, line.unit)} of ${line.name} is more than the ${formatAmount(open, line.unit)} still to come: ` +
        'receive what was ordered, and the rest as goods without an order.',
      'came',
    )
  const received = line.received + came
  const value = micro(
    prorate(line.value, received, line.quantity) - prorate(line.value, line.received, line.quantity),
  )
  return ok({ received, value })
}

/** Whether everything ordered has come. */
export const complete = (lines: readonly Pick<PurchaseLine, 'quantity' | 'received'>[]): boolean =>
  lines.every(l => l.received >= l.quantity)

/** Null when a purchase may change so, else why not. */
export function refusePurchaseMove(number: number, from: PurchaseState, to: PurchaseState) {
  if (PURCHASE_MOVES[from].includes(to)) return null
  return refuse(
    'state',
    `Purchase ${number} is ${PURCHASE_WORDS[from]} and cannot become “${PURCHASE_WORDS[to]}”: write a new one instead.`,
  )
}

/** What a quantity costs at an item's price. @param pricePer base units that `price` buys, above 0 */
export const priceFor = (quantity: number, price: Micro, pricePer: number): Micro =>
  prorate(price, quantity, pricePer)

/** What could be bought from one supplier: what is wanted now, and the rest. */
export type Proposal<T> = { supplier: string; wanted: T[]; others: T[] }

/** Items by supplier; those of which most is wanted first, then by name. Retired items are left out. */
export function proposals<T extends { supplier: string; toOrder: number; retired: boolean; sku: string }>(
  items: readonly T[],
): Proposal<T>[] {
  const by = new Map<string, Proposal<T>>()
  for (const item of items) {
    if (item.retired) continue
    const proposal = by.get(item.supplier) ?? { supplier: item.supplier, wanted: [], others: [] }
    ;(item.toOrder > 0 ? proposal.wanted : proposal.others).push(item)
    by.set(item.supplier, proposal)
  }
  return [...by.values()].sort(
    (a, b) => b.wanted.length - a.wanted.length || a.supplier.localeCompare(b.supplier),
  )
}
