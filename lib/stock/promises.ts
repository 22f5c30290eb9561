/** A shelf as the counter and the stockroom see it, in base units. */
export type Standing = {
  onHand: number
  /** Kept for agreed orders, with what may spoil. */
  promised: number
  /** Of what is promised: pieces that may spoil. Work can begin without them. */
  allowance: number
  /** Frames that carry a screen: there, and not to be had. 0 for whatever is no frame. */
  carrying: number
  /** On hand less promised, and less what carries a screen; below 0 when more is promised than is there. */
  free: number
  /** Ordered from suppliers and not received yet. */
  onTheWay: number
  /** On purchases that are written and that nobody has sent: nothing of it comes yet, and it need not be written again. */
  written: number
  /** Promised beyond the allowance and not on hand: work waits for it. 0 or more. */
  short: number
  /** Promised with the allowance, and neither on hand, on the way nor written to be bought: somebody has to buy it. 0 or more. */
  toBuy: number
  /** Promised with the allowance, neither on hand nor on the way, but written: somebody has to send that purchase. 0 or more. */
  toSend: number
}

/** Where a shelf stands. All arguments in base units; promised, on the way, written and carrying are 0 or more, the allowance at most what is promised. */
export function standing(
  onHand: number,
  promised: number,
  onTheWay: number,
  allowance = 0,
  written = 0,
  carrying = 0,
): Standing {
  const lacks = Math.max(0, promised - onHand - onTheWay)
  return {
    onHand,
    promised,
    allowance,
    carrying,
    free: onHand - promised - carrying,
    onTheWay,
    written,
    short: Math.max(0, promised - allowance - Math.max(0, onHand)),
    toBuy: Math.max(0, lacks - written),
    toSend: Math.min(lacks, written),
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

/** What is kept of an item for an order: `quantity` in all, `allowance` of it for pieces that may spoil. */
export type Kept = { quantity: number; allowance: number }

/** What is left of a promise once so much of it has been issued, the ordered pieces first: never below 0. */
export function promiseAfterIssue({ quantity, allowance }: Kept, issued: number): Kept {
  const left = Math.max(0, quantity - issued)
  return { quantity: left, allowance: Math.min(allowance, left) }
}

/**
 * Pieces were spoiled and are made again: the allowance covers as many of them as it has.
 * @param drawn whether their blanks were taken from the shelf at once; else they are kept for the order until they are
 * @returns what is kept then, and how many of the pieces the allowance covered
 */
export function promiseAfterSpoiled(kept: Kept, spoiled: number, drawn: boolean): Kept & { covered: number } {
  const covered = Math.min(kept.allowance, spoiled)
  return {
    quantity: kept.quantity + (drawn ? 0 : spoiled) - covered,
    allowance: kept.allowance - covered,
    covered,
  }
}

/** The same, taken back: the allowance has again what it had covered. */
export const promiseAfterUnspoiled = (
  kept: Kept,
  spoiled: number,
  drawn: boolean,
  covered: number,
): Kept => ({
  quantity: Math.max(0, kept.quantity - (drawn ? 0 : spoiled)) + covered,
  allowance: kept.allowance + covered,
})

/**
 * Whether a booking at a shelf can change what may begin: not where the shelf held all that is promised, and still does.
 * @param before on hand before the booking, and `after` it: pieces; below 0 where the book lags behind the shelf
 */
export const bearsOnPlan = (promised: number, before: number, after: number): boolean =>
  promised > Math.min(before, after)
