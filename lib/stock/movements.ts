import type { BaseUnit } from '@/lib/units/base-unit'
import { type Micro, micro, prorate } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'
import { exactAmount, formatAmount, MOST } from './items'
import {
  foundWorth,
  type Layer,
  layersLeft,
  type Shelf,
  type Valuation,
  worthAfterIssue,
  worthAfterReceipt,
} from './valuation'

/**
 * Kinds of movement and their signs, + onto the shelf and − off it:
 * received +, issued − (into an order), spoiled − (misprints and accidents), counted ± (what a count found less what the
 * book said, 0 when they agree), returned + (unused, back from an order) or − (back to the supplier).
 * A counter-movement has the kind of the one it takes back and the opposite sign, so sums by kind stay true.
 */
export const MOVEMENT_KINDS = ['received', 'issued', 'spoiled', 'counted', 'returned'] as const
export type MovementKind = (typeof MOVEMENT_KINDS)[number]

/** One line to be written in the book, with what the shelf then holds. Base units and micro-units. */
export type Entry = {
  kind: MovementKind
  /** + onto the shelf, − off it. */
  quantity: number
  /** Same sign: what came in cost, or what went out took with it. */
  value: Micro
  /** On hand after this line. */
  onHand: number
  /** Worth after this line. */
  worth: Micro
  /** The movement that this one takes back. */
  counters?: string
  why?: string
}

/** What somebody wants to book. Quantities are base units above 0; `found` may be 0. */
export type Intent =
  | { kind: 'received'; quantity: number; value: Micro; why?: string }
  | { kind: 'issued' | 'spoiled'; quantity: number; why?: string }
  | { kind: 'counted'; found: number; why?: string }
  | { kind: 'returned'; quantity: number; to: 'shelf'; value: Micro; why?: string }
  | { kind: 'returned'; quantity: number; to: 'supplier'; why?: string }

/** The rules that a shelf lives by. */
export type ShelfRules = {
  /** How people call the item, for sentences. */
  name: string
  unit: BaseUnit
  valuation: Valuation
  /** Whether the book may say less than 0: work goes on, and the missing receipt or count is asked for. */
  belowZero: boolean
}

/** The lines that a booking writes, and the shelf after them. */
export type Booked = { entries: Entry[]; shelf: Shelf }

/**
 * Decides a booking: the lines to write, or a refusal in one sentence. Nothing is rounded twice and no value is made or
 * lost: the sum of the lines' values is the change of the shelf's worth.
 */
export function book(shelf: Shelf, intent: Intent, rules: ShelfRules): Result<Booked> {
  if (intent.kind === 'counted') return count(shelf, intent.found, rules, intent.why)
  const bad = refuseQuantity(intent.quantity, rules)
  if (bad) return bad
  if (intent.kind === 'received' || (intent.kind === 'returned' && intent.to === 'shelf')) {
    if (!(Number.isSafeInteger(intent.value) && intent.value >= 0))
      return refuse('value', `What ${rules.name} cost must be 0 or more.`, 'value')
    return comeIn(shelf, intent.kind, { quantity: intent.quantity, value: intent.value }, rules, intent.why)
  }
  return goOut(shelf, intent.kind, intent.quantity, rules, intent.why)
}

function refuseQuantity(quantity: number, { name, unit }: ShelfRules) {
  if (!Number.isSafeInteger(quantity) || quantity <= 0)
    return refuse('quantity', `How much of ${name} must be more than 0.`, 'quantity')
  if (quantity > MOST)
    return refuse(
      'quantity',
      `${formatAmount(quantity, unit)} of ${name} is more than the book holds.`,
      'quantity',
    )
  return null
}

const line = (
  shelf: Shelf,
  kind: MovementKind,
  quantity: number,
  worth: Micro,
  why: string | undefined,
): Entry => ({
  kind,
  quantity,
  value: micro(worth - shelf.worth),
  onHand: shelf.onHand + quantity,
  worth,
  ...(why ? { why } : {}),
})

function goOut(
  shelf: Shelf,
  kind: MovementKind,
  quantity: number,
  rules: ShelfRules,
  why?: string,
): Result<Booked> {
  const left = shelf.onHand - quantity
  if (left < 0 && !rules.belowZero)
    return refuse(
      'short',
      `Only ${formatAmount(Math.max(0, shelf.onHand), rules.unit)} of ${rules.name} is on hand, ` +
        `${formatAmount(quantity, rules.unit)} is asked for: receive or count it first.`,
      'quantity',
    )
  if (left < -MOST)
    return refuse('quantity', `That is more of ${rules.name} than the book holds.`, 'quantity')
  const entry = line(shelf, kind, -quantity, worthAfterIssue(shelf, quantity, rules.valuation), why)
  return ok({ entries: [entry], shelf: { ...shelf, onHand: entry.onHand, worth: entry.worth } })
}

function comeIn(
  shelf: Shelf,
  kind: MovementKind,
  came: Layer,
  rules: ShelfRules,
  why?: string,
): Result<Booked> {
  if (shelf.onHand + came.quantity > MOST)
    return refuse('quantity', `That would be more of ${rules.name} than one shelf holds here.`, 'quantity')
  const entry = line(shelf, kind, came.quantity, micro(shelf.worth + came.value), why)
  const entries = [entry]
  const worth = worthAfterReceipt(shelf, came)
  if (worth !== entry.worth)
    entries.push({
      kind: 'counted',
      quantity: 0,
      value: micro(worth - entry.worth),
      onHand: entry.onHand,
      worth,
      why: 'What was used before it came in cost this much more or less than assumed',
    })
  return ok({ entries, shelf: { onHand: entry.onHand, worth, layers: [...shelf.layers, came] } })
}

/** A count writes the difference, valued as an issue where pieces are missing, at today's average where there are more. */
function count(shelf: Shelf, found: number, rules: ShelfRules, why?: string): Result<Booked> {
  if (!Number.isSafeInteger(found) || found < 0)
    return refuse('quantity', `A count of ${rules.name} is 0 or more.`, 'found')
  if (found > MOST)
    return refuse(
      'quantity',
      `${formatAmount(found, rules.unit)} of ${rules.name} is more than the book holds.`,
      'found',
    )
  const difference = found - shelf.onHand
  if (difference < 0) return goOut(shelf, 'counted', -difference, rules, why)
  if (difference === 0) {
    const entry = line(shelf, 'counted', 0, shelf.worth, why)
    return ok({ entries: [entry], shelf })
  }
  const done = comeIn(
    shelf,
    'counted',
    { quantity: difference, value: foundWorth(shelf, difference) },
    rules,
    why,
  )
  return done.ok ? done : { ...done, field: 'found' }
}

/** A line that stands in the book, as far as taking it back needs it. */
export type Written = {
  id: string
  kind: MovementKind
  quantity: number
  value: Micro
  counters: string | null
  takenBack: boolean
}

/**
 * Decides a counter-movement: same kind, opposite quantity and value. What came in can be taken back only while all of it
 * is still there, since its cost has else gone into orders; what went out comes back at the value it took.
 * @param at index of the written line's layer in `shelf.layers`, where it came in; else −1
 */
export function takeBack(shelf: Shelf, written: Written, at: number, rules: ShelfRules): Result<Booked> {
  if (written.takenBack)
    return refuse('taken-back', `This line of ${rules.name} has been taken back already.`)
  if (written.counters !== null)
    return refuse('taken-back', `A line that takes back another stays: book ${rules.name} anew instead.`)
  if (written.quantity === 0)
    return refuse('taken-back', `This line of ${rules.name} moved nothing: there is nothing to take back.`)
  if (written.quantity < 0) {
    const back = { quantity: -written.quantity, value: micro(-written.value) }
    const done = comeIn(shelf, written.kind, back, rules)
    if (done.ok && done.value.entries[0]) done.value.entries[0].counters = written.id
    return done
  }
  const onHand = shelf.onHand - written.quantity
  const worth = micro(shelf.worth - written.value)
  if (!wholeOnShelf(shelf, written, at, rules.valuation))
    return refuse(
      'used',
      `Some of these ${exactAmount(written.quantity, rules.unit)} of ${rules.name} has been used since: count the shelf instead.`,
    )
  const entry: Entry = {
    kind: written.kind,
    quantity: -written.quantity,
    value: micro(-written.value),
    onHand,
    worth,
    counters: written.id,
  }
  return ok({ entries: [entry], shelf: { onHand, worth, layers: shelf.layers.filter((_, i) => i !== at) } })
}

function wholeOnShelf(shelf: Shelf, written: Written, at: number, valuation: Valuation): boolean {
  const onHand = shelf.onHand - written.quantity
  const worth = shelf.worth - written.value
  if (onHand < 0 || worth < 0 || (onHand === 0 && worth !== 0)) return false
  if (valuation === 'average') return true
  const newer = shelf.layers.slice(at + 1).reduce((sum, l) => sum + l.quantity, 0)
  return at >= 0 && shelf.onHand - newer >= written.quantity
}

/**
 * What unused goods take back with them from an order: their share of what was issued to it.
 * @param issued quantity and value issued to the order and not returned yet, both 0 or more
 */
export function valueOfReturn(
  issued: Layer,
  quantity: number,
  { name, unit }: Pick<ShelfRules, 'name' | 'unit'>,
): Result<Micro> {
  if (quantity > issued.quantity)
    return refuse(
      'quantity',
      `Only ${formatAmount(issued.quantity, unit)} of ${name} went into this order: no more can come back.`,
      'quantity',
    )
  return ok(prorate(issued.value, quantity, issued.quantity))
}

/**
 * When the shop changes how it values stock: the line that brings a shelf's worth to what first in, first out says.
 * Null when nothing changes. Toward moving average nothing has to change.
 */
export function revalue(shelf: Shelf, worth: Micro, why: string): Entry | null {
  return worth === shelf.worth ? null : line(shelf, 'counted', 0, worth, why)
}

/** What is left of each layer with its worth, oldest first, for the shelf's page. */
export function onShelf(shelf: Shelf): { left: number; whole: Layer; worth: Micro }[] {
  return layersLeft(shelf.layers, shelf.onHand).map(({ left, whole }) => ({
    left,
    whole,
    worth: micro(whole.value - prorate(whole.value, whole.quantity - left, whole.quantity)),
  }))
}
