import { type Micro, micro, prorate } from '@/lib/units/money'

/**
 * How stock is valued. IAS 2 allows both for interchangeable items: first in, first out, or weighted average (here moving,
 * since every issue is valued at once).
 */
export const VALUATIONS = ['fifo', 'average'] as const
export type Valuation = (typeof VALUATIONS)[number]

/** What people read for a valuation. */
export const VALUATION_WORDS: Record<Valuation, string> = {
  fifo: 'first in, first out',
  average: 'moving average',
}

/** Goods that came onto a shelf together: base units, and what all of them cost. Pieces put back are a new layer. */
export type Layer = { quantity: number; value: Micro }

/**
 * What a decision needs to know of a shelf.
 * `layers` are all that came in, oldest first, without receipts that were taken back. The newest ones whose quantities
 * add up to what is on hand are enough: older ones have been used up.
 */
export type Shelf = { onHand: number; worth: Micro; layers: readonly Layer[] }

/** An empty shelf. */
export const EMPTY: Shelf = { onHand: 0, worth: micro(0), layers: [] }

/** What is still on the shelf of each layer, oldest first, when so much is on hand. `whole` is the layer as it came in. */
export function layersLeft(layers: readonly Layer[], onHand: number): { left: number; whole: Layer }[] {
  const found: { left: number; whole: Layer }[] = []
  let missing = onHand
  for (let i = layers.length - 1; i >= 0 && missing > 0; i--) {
    const whole = layers[i] as Layer
    if (whole.quantity <= 0) continue
    const left = Math.min(missing, whole.quantity)
    found.unshift({ left, whole })
    missing -= left
  }
  return found
}

/**
 * What the layers of a shelf are worth by first in, first out: a layer of n units of which k are gone keeps its value
 * less value × k ÷ n, rounded once. It depends on what came in and on what is there, not on the way between, so a rebuild
 * from the book gives the very same figure.
 */
export function fifoWorth(layers: readonly Layer[], onHand: number): Micro {
  if (onHand < 0) return owed(layers, -onHand)
  let worth = 0
  for (const { left, whole } of layersLeft(layers, onHand))
    worth += whole.value - prorate(whole.value, whole.quantity - left, whole.quantity)
  return micro(worth)
}

/** Pieces used before they came in stand in the book at the price of the newest ones known; nothing known: 0. */
function owed(layers: readonly Layer[], quantity: number): Micro {
  const newest = layers.findLast(l => l.quantity > 0)
  return newest ? micro(-prorate(newest.value, quantity, newest.quantity)) : micro(0)
}

/**
 * What the shelf is worth after `quantity` base units left it.
 * First in, first out: what the layers that stay are worth. Moving average: every unit there costs the same, rounded
 * once. A shelf that becomes empty is worth nothing, so nothing is ever lost or left over.
 */
export function worthAfterIssue(shelf: Shelf, quantity: number, valuation: Valuation): Micro {
  const left = shelf.onHand - quantity
  if (left === 0) return micro(0)
  if (left < 0) return owed(shelf.layers, -left)
  if (valuation === 'fifo') return fifoWorth(shelf.layers, left)
  return micro(shelf.worth - prorate(shelf.worth, quantity, shelf.onHand))
}

/**
 * What the shelf is worth after goods came in. With something on hand it is the sum. When pieces had been used before they
 * came in, those are now known to have cost what the newcomers cost: only the rest stays on the shelf.
 */
export function worthAfterReceipt(shelf: Shelf, came: Layer): Micro {
  if (shelf.onHand >= 0) return micro(shelf.worth + came.value)
  return fifoWorth([came], shelf.onHand + came.quantity)
}

/** What pieces that a count found are worth: as those on hand, else as the newest that came in, else nothing. */
export function foundWorth(shelf: Shelf, quantity: number): Micro {
  if (shelf.onHand > 0) return prorate(shelf.worth, quantity, shelf.onHand)
  const newest = shelf.layers.findLast(l => l.quantity > 0)
  return newest ? prorate(newest.value, quantity, newest.quantity) : micro(0)
}
