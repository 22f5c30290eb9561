import type { Instant } from '@/lib/units/time'
import type { Shortage } from './release'

/** Blanks that stand promised to an order and are not drawn yet. */
export type PromisedBlanks = { orderId: string; itemId: string; quantity: number; promiseAt: Instant | null }
/** A shelf: what is on it, its name, how long a purchase takes, and whether one is written that nobody has sent. */
export type BlankShelf = {
  itemId: string
  name: string
  onHand: number
  leadDays: number
  unsent?: boolean
}
/** What is on the way from a supplier; due null where nobody said. */
export type Incoming = { itemId: string; quantity: number; dueAt: Instant | null }

/**
 * What each order lacks. Shelves serve the earliest promise first, then what is on the way in order of arrival. One shortage for
 * each item and order; what comes in several deliveries is there with the last one, and what no delivery covers has no date.
 */
export function shortagesOf(
  promised: readonly PromisedBlanks[],
  shelves: readonly BlankShelf[],
  incoming: readonly Incoming[],
): Map<string, Shortage[]> {
  const shelf = new Map(shelves.map(s => [s.itemId, { ...s, onHand: Math.max(0, s.onHand) }]))
  const coming = new Map<string, { quantity: number; dueAt: Instant | null }[]>()
  const never = Number.POSITIVE_INFINITY
  for (const i of [...incoming].sort((a, b) => (a.dueAt ?? never) - (b.dueAt ?? never))) {
    const list = coming.get(i.itemId) ?? []
    list.push({ quantity: i.quantity, dueAt: i.dueAt })
    coming.set(i.itemId, list)
  }
  const lacks = new Map<string, Shortage[]>()
  const inTurn = [...promised].sort(
    (a, b) =>
      (a.promiseAt ?? never) - (b.promiseAt ?? never) ||
      (a.orderId < b.orderId ? -1 : a.orderId > b.orderId ? 1 : 0),
  )
  for (const { orderId, itemId, quantity } of inTurn) {
    const there = shelf.get(itemId)
    const taken = Math.min(quantity, there?.onHand ?? 0)
    if (there) there.onHand -= taken
    let missing = quantity - taken
    if (missing <= 0) continue
    const pieces = missing
    let dueAt: Instant | null = null
    for (const delivery of coming.get(itemId) ?? []) {
      if (missing === 0) break
      // A delivery without a date promises nothing.
      if (delivery.dueAt === null) continue
      const part = Math.min(missing, delivery.quantity)
      if (part === 0) continue
      delivery.quantity -= part
      missing -= part
      dueAt = delivery.dueAt
    }
    const list = lacks.get(orderId) ?? []
    list.push({
      itemId,
      name: there?.name ?? 'a blank that is not in the stockroom any more',
      pieces,
      dueAt: missing > 0 ? null : dueAt,
      leadDays: there?.leadDays ?? 3,
      ...(there?.unsent ? { unsent: true } : {}),
    })
    lacks.set(orderId, list)
  }
  return lacks
}
