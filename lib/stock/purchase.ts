import type { BaseUnit } from '@/lib/units/base-unit'
import { type Micro, type Minor, micro, microToMinor, minor, prorate } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'
import { formatAmount } from './items'

/** States of a purchase. */
export const PURCHASE_STATES = ['draft', 'sent', 'received', 'cancelled'] as const
export type PurchaseState = (typeof PURCHASE_STATES)[number]

/** What people read for a purchase's state. */
export const PURCHASE_WORDS: Record<PurchaseState, string> = {
  draft: 'not sent yet',
  sent: 'on the way',
  received: 'received',
  cancelled: 'cancelled',
}

/** The one table of moves of a purchase. A part received stays on the way until the rest has come or is given up; what comes unsent was sent. */
export const PURCHASE_MOVES: Record<PurchaseState, readonly PurchaseState[]> = {
  draft: ['sent', 'received', 'cancelled'],
  sent: ['received', 'cancelled'],
  received: [],
  cancelled: [],
}

/** A line of a purchase: base units ordered and received so far, and what the whole line costs. */
export type PurchaseLine = {
  name: string
  unit: BaseUnit
  quantity: number
  received: number
  /** Base units that will not come any more: credited, or not to be had. */
  givenUp: number
  value: Micro
}

/** What is still to come of a line, 0 or more. */
export const toCome = (line: Pick<PurchaseLine, 'quantity' | 'received' | 'givenUp'>): number =>
  Math.max(0, line.quantity - line.received - line.givenUp)

/**
 * Receives part of a line. Its value is its share of the line's, so that parts received one by one add up to the whole
 * line to the last micro-unit.
 * @param came base units, 0 or more
 * @param keepMore somebody looked and keeps what is more than ordered: it comes in at the line's price. Else more is asked about.
 */
export function receive(
  line: PurchaseLine,
  came: number,
  keepMore = false,
): Result<{ received: number; value: Micro }> {
  const open = toCome(line)
  if (!Number.isSafeInteger(came) || came < 0)
    return refuse('quantity', `What came of ${line.name} is 0 or more.`, 'came')
  if (came > open && !keepMore)
    return refuse(
      'too-many',
      `${formatAmount(came, line.unit)} of ${line.name} is more than the ${formatAmount(open, line.unit)} still to come: ` +
        `tick “keep what is more” to take all of it in, or type ${formatAmount(open, line.unit)} and send the rest back.`,
      'came',
    )
  const received = line.received + came
  const value = micro(
    prorate(line.value, received, line.quantity) - prorate(line.value, line.received, line.quantity),
  )
  return ok({ received, value })
}

/** Whether everything that was ordered has come or is given up. */
export const complete = (
  lines: readonly Pick<PurchaseLine, 'quantity' | 'received' | 'givenUp'>[],
): boolean => lines.every(l => toCome(l) === 0)

/** What came wrong of a line can be no more than is still to come after what came good. */
export function refuseTrouble(line: PurchaseLine, bad: number) {
  if (bad <= toCome(line)) return null
  return refuse(
    'too-many',
    `${formatAmount(bad, line.unit)} of ${line.name} cannot be wrong: only ${formatAmount(toCome(line), line.unit)} is still to come besides what is good.`,
    'bad',
  )
}

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

/** An item as far as it may be bought. */
type Buyable = { supplier: string; toOrder: number; retired: boolean; sku: string; level: { toBuy: number } }

/**
 * Items by supplier; those of which most is wanted first, then by name. Within one, what agreed orders cannot be made without comes
 * first. Retired items are left out.
 * @param only 'agreed' wants no more than agreed orders need and nobody has bought; what merely runs low is among the others then
 */
export function proposals<T extends Buyable>(items: readonly T[], only?: 'agreed'): Proposal<T>[] {
  const by = new Map<string, Proposal<T>>()
  for (const item of items) {
    if (item.retired) continue
    const proposal = by.get(item.supplier) ?? { supplier: item.supplier, wanted: [], others: [] }
    const toOrder = only === 'agreed' ? item.level.toBuy : item.toOrder
    if (toOrder > 0) proposal.wanted.push({ ...item, toOrder })
    else proposal.others.push(item)
    by.set(item.supplier, proposal)
  }
  for (const { wanted } of by.values())
    wanted.sort((a, b) => Number(b.level.toBuy > 0) - Number(a.level.toBuy > 0))
  return [...by.values()].sort(
    (a, b) => b.wanted.length - a.wanted.length || a.supplier.localeCompare(b.supplier),
  )
}

/**
 * What was ordered and what was charged, each rounded to whole minor units, and the one less the other: a row adds up as it is read.
 */
export function inMinor<T extends { ordered: Micro; charged: Micro }>(
  row: T,
  currency: string,
): Omit<T, 'ordered' | 'charged' | 'difference'> & { ordered: Minor; charged: Minor; difference: Minor } {
  const ordered = microToMinor(row.ordered, currency)
  const charged = microToMinor(row.charged, currency)
  return { ...row, ordered, charged, difference: minor(charged - ordered) }
}
