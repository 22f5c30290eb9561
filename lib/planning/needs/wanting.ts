import type { Instant } from '@/lib/units/time'

/** So much of an item that stands promised to an order. */
export type Promised = {
  orderId: string
  itemId: string
  quantity: number
  promiseAt: Instant | null
  /** Whether it is for pieces that may spoil: work can begin without it. */
  spare: boolean
}

/**
 * What promises want of goods that nobody has seen to yet, in base units. Goods serve ordered pieces before those that
 * may spoil, and the earliest promise first, as the plan gives them out ({@link shortagesOf} of lib/planning/shortages); of two for one
 * moment, the order with the smaller id.
 * @param there on hand, on the way and written to be bought, by item
 */
export function notCovered(promised: readonly Promised[], there: ReadonlyMap<string, number>): Promised[] {
  const left = new Map(there)
  const never = Number.POSITIVE_INFINITY
  return [...promised]
    .sort(
      (a, b) =>
        Number(a.spare) - Number(b.spare) ||
        (a.promiseAt ?? never) - (b.promiseAt ?? never) ||
        (a.orderId < b.orderId ? -1 : a.orderId > b.orderId ? 1 : 0),
    )
    .flatMap(p => {
      const has = Math.max(0, left.get(p.itemId) ?? 0)
      left.set(p.itemId, Math.max(0, has - p.quantity))
      return p.quantity > has ? [{ ...p, quantity: p.quantity - has }] : []
    })
}
