import { type Micro, micro } from '@/lib/units/money'
import type { MovementKind } from './movements'
import {
  fifoWorth,
  foundWorth,
  type Layer,
  type Shelf,
  type Valuation,
  worthAfterIssue,
  worthAfterReceipt,
} from './valuation'

/** A line as it stands in the book, in the order of its positions. */
export type BookedLine = {
  id: string
  position: number
  kind: MovementKind
  quantity: number
  value: Micro
  onHand: number
  worth: Micro
  counters: string | null
  at: number
}

/** What is wrong with a line, in words that follow "line 12 of the book of Tee". */
export type Fault = { position: number; what: string }

type Known = { kind: MovementKind; quantity: number; value: Micro; layer: Layer | null; takenBack: boolean }

/**
 * Builds one item's book anew from what happened (what came in and for how much, what went out, what was taken back) and holds every
 * line against it: its place, what was then on hand, and what the shelf was then worth by the valuation of that day. What goods cost when
 * they came in, and quantities, are taken as facts; everything else must follow from them to the last micro-unit.
 * @param lines all lines of the item by position
 * @param valuationAt how the shop valued stock at an instant
 * @returns the first line that does not follow, or null and the shelf as rebuilt
 */
export function rebuild(
  lines: Iterable<BookedLine>,
  valuationAt: (at: number) => Valuation,
): { fault: Fault | null; shelf: Shelf } {
  const layers: Layer[] = []
  const known = new Map<string, Known>()
  let shelf: Shelf = { onHand: 0, worth: micro(0), layers }
  let place = 0
  // What a receipt on a shelf below 0 still has to correct, by a line that moves nothing.
  let owed: Micro | null = null
  const wrong = (line: BookedLine, what: string) => ({ fault: { position: line.position, what }, shelf })

  for (const line of lines) {
    place++
    if (line.position !== place) return wrong(line, `stands where line ${place} should stand`)
    const onHand = shelf.onHand + line.quantity
    if (line.onHand !== onHand)
      return wrong(line, `says ${line.onHand} on hand, its movements make ${onHand}`)
    const valuation = valuationAt(line.at)
    let layer: Layer | null = null
    let worth: number
    if (line.counters !== null) {
      const first = known.get(line.counters)
      if (!first) return wrong(line, 'takes back a line that is not before it in this book')
      if (first.takenBack) return wrong(line, 'takes back a line that was taken back already')
      if (first.kind !== line.kind || first.quantity !== -line.quantity || first.value !== -line.value)
        return wrong(line, 'is not the exact opposite of the line that it takes back')
      first.takenBack = true
      worth = shelf.worth + line.value
      if (first.layer) layers.splice(layers.indexOf(first.layer), 1)
      else layer = { quantity: line.quantity, value: line.value }
    } else if (line.quantity < 0) worth = worthAfterIssue(shelf, -line.quantity, valuation)
    else if (line.quantity === 0)
      worth = owed ?? (valuation === 'fifo' ? fifoWorth(layers, onHand) : shelf.worth)
    else {
      const value = line.kind === 'counted' ? foundWorth(shelf, line.quantity) : line.value
      if (value < 0) return wrong(line, 'came in at less than nothing')
      worth = shelf.worth + value
      layer = { quantity: line.quantity, value }
    }
    if (line.worth !== worth || line.value !== worth - shelf.worth)
      return wrong(
        line,
        `says worth ${line.worth} by ${line.value} micro-units, its movements make ${worth} by ${worth - shelf.worth}`,
      )
    const after: Micro | null = layer ? worthAfterReceipt(shelf, layer) : null
    owed = after !== null && after !== worth ? after : null
    if (layer) layers.push(layer)
    known.set(line.id, {
      kind: line.kind,
      quantity: line.quantity,
      value: line.value,
      layer,
      takenBack: false,
    })
    shelf = { onHand, worth: micro(worth), layers }
  }
  if (owed !== null)
    return {
      fault: { position: place, what: 'lacks the line that corrects what was used before it came in' },
      shelf,
    }
  return { fault: null, shelf }
}
