/** A shelf as the counter and the stockroom see it, in base units. */
export type Standing = {
  onHand: number
  /** Kept for agreed orders. */
  promised: number
  /** On hand less promised; below 0 when more is promised than is there. */
  free: number
  /** Ordered from suppliers and not received yet. */
  onTheWay: number
  /** Promised and not on hand: work waits for it. 0 or more. */
  short: number
  /** Promised, not on hand and not on the way either: somebody has to buy it. 0 or more. */
  toBuy: number
}

/** Where a shelf stands. All arguments in base units; promised and on the way are 0 or more. */
export function standing(onHand: number, promised: number, onTheWay: number): Standing {
  return {
    onHand,
    promised,
    free: onHand - promised,
    onTheWay,
    short: Math.max(0, promised - Math.max(0, onHand)),
    toBuy: Math.max(0, promised - onHand - onTheWay),
  }
}

/** A row of an order: so much of an item. */
export type Needed = { itemId: string; quantity: number }

/** Rows with the same item added up, in the order in which items first appear; rows of 0 are left out. */
export function gather(rows: readonly Needed[]): Needed[] {
  const sums = new Map<string, number>()
  for (const { itemId, quantity } of rows) sums.set(itemId, (sums.get(itemId) ?? 0) + quantity)
  return [...sums].filter(([, q]) => q !== 0).map(([itemId, quantity]) => ({ itemId, quantity }))
}

/** What is left of a promise once so much of it has been issued: never below 0. */
export const promiseAfterIssue = (promised: number, issued: number): number => Math.max(0, promised - issued)
