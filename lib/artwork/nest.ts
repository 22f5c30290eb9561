import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { leastLength, leastSheets } from './nest-bound'
import { type Batch, ENDLESS } from './nest-fill'
import { type Layout, searched } from './nest-search'

/** A print to be laid, as many times as it is wanted. Lengths in mm. */
export type NestPiece = {
  id: string
  order: string
  width: number
  height: number
  count: number
  /** Whether it may lie a quarter turn round. */
  turn: boolean
}

/** What the prints are laid on. */
export type NestSheet = {
  width: number
  /** Height of a sheet; null for a roll, which is cut where the prints end. */
  height: number | null
  /** Space between prints, and between a print and the edge. */
  gap: number
  margin: number
}

/** One print where it lies, mm from the upper left corner of its sheet; width and height as it lies. */
export type Placed = {
  id: string
  order: string
  sheet: number
  x: number
  y: number
  width: number
  height: number
  turned: boolean
}

/** A whole nesting. */
export type Nesting = {
  placed: Placed[]
  sheets: number
  /** Used length on each sheet, margins included. */
  lengths: number[]
  /** Printed area over the area of the sheets (of a roll: of its used length), 0–1. */
  utilisation: number
  /** No nesting needs fewer sheets (or, on a roll, less length, mm) than this; and what the prints' area alone would say. */
  bound: { sheets: number; length: number; areaSheets: number; areaLength: number }
  /** Orders that lie on more than one sheet. */
  splitOrders: number
}

// Whole numbers only: two pieces that touch must not overlap by a rounding.
const UNIT = 10
const units = (mm: number): number => Math.ceil(mm * UNIT - 1e-6)

/**
 * Lays prints of many orders on sheets or a roll, gaps and margins kept. What counts: fewest sheets (on a roll least
 * length, to the millimetre), then orders kept on one sheet (on a roll: close together), then least length of the last
 * sheet. At most `tries` layouts are tried beyond the plain packing rules, and about a third of a second is spent; the same
 * seed gives the same nesting.
 */
export function nest(
  pieces: readonly NestPiece[],
  sheet: NestSheet,
  { tries = 3000, seed = 1 }: { tries?: number; seed?: number } = {},
): Result<Nesting> {
  const wrong = faultOf(pieces, sheet)
  if (wrong) return wrong
  const width = Math.floor((sheet.width - 2 * sheet.margin) * UNIT + 1e-6) + units(sheet.gap)
  const height =
    sheet.height === null
      ? ENDLESS
      : Math.floor((sheet.height - 2 * sheet.margin) * UNIT + 1e-6) + units(sheet.gap)
  const orders = new Map([...new Set(pieces.map(p => p.order))].map((order, i) => [order, i]))
  const most = Math.ceil(pieces.reduce((n, p) => n + p.count, 0) / SINGLES)
  const batches: Batch[] = []
  for (const [piece, p] of pieces.entries()) {
    const w = units(p.width + sheet.gap)
    const h = units(p.height + sheet.gap)
    const lies = w <= width && h <= height
    const stands = p.turn && h <= width && w <= height
    if (p.count > 0 && !lies && !stands)
      return refuse(
        'does-not-fit',
        `“${p.id}” (${p.width} × ${p.height} mm) does not fit on the ${sheet.height === null ? 'roll' : 'sheet'} inside its margins: print it smaller or take a larger one.`,
      )
    for (let left = p.count; left > 0; left -= most)
      batches.push({
        piece,
        order: orders.get(p.order)!,
        w,
        h,
        turn: p.turn && w !== h,
        count: Math.min(most, left),
      })
  }
  const bound = boundOf(pieces, sheet)
  const layout = searched(batches, width, height, {
    tries,
    seed,
    leastSheets: bound.sheets,
    leastLength: Math.floor((bound.length - 2 * sheet.margin + sheet.gap) * UNIT),
  })
  return ok(described(layout, batches, pieces, sheet, bound))
}

/** Up to so many prints are moved about one by one; of more, several of one design go together. */
const SINGLES = 400
const MOST_PRINTS = 5000
function faultOf(pieces: readonly NestPiece[], sheet: NestSheet): Refusal | null {
  const bad = (message: string): Refusal => refuse('bad-sheet', message)
  const positive = (n: number): boolean => Number.isFinite(n) && n > 0
  if (!positive(sheet.width) || !(sheet.height === null || positive(sheet.height)))
    return bad('The sheet has no size: give its width and height in mm, or only the width for a roll.')
  if (!(sheet.gap >= 0) || !(sheet.margin >= 0)) return bad('Gap and margin are 0 mm or more.')
  for (const p of pieces) {
    if (!positive(p.width) || !positive(p.height))
      return bad(`“${p.id}” has no size: give its width and height in mm.`)
    if (!Number.isInteger(p.count) || p.count < 0)
      return bad(`“${p.id}” is wanted ${p.count} times: give a whole number.`)
  }
  const total = pieces.reduce((n, p) => n + p.count, 0)
  if (total === 0) return bad('There is nothing to lay: give at least one print.')
  if (total > MOST_PRINTS)
    return bad(`${total} prints are more than ${MOST_PRINTS} at once: nest them in parts.`)
  return null
}

function described(
  layout: Layout,
  batches: readonly Batch[],
  pieces: readonly NestPiece[],
  sheet: NestSheet,
  bound: Nesting['bound'],
): Nesting {
  const gap = units(sheet.gap)
  const placed = layout.spots.map(({ batch, sheet: on, x, y, turned }): Placed => {
    const piece = pieces[batches[batch]!.piece]!
    return {
      id: piece.id,
      order: piece.order,
      sheet: on,
      x: x / UNIT + sheet.margin,
      y: y / UNIT + sheet.margin,
      width: turned ? piece.height : piece.width,
      height: turned ? piece.width : piece.height,
      turned,
    }
  })
  const lengths = layout.tops.map(top => Math.max(0, top - gap) / UNIT + 2 * sheet.margin)
  const printed = placed.reduce((n, p) => n + p.width * p.height, 0)
  const usedArea =
    sheet.width *
    (sheet.height === null ? lengths.reduce((n, l) => n + l, 0) : sheet.height * layout.tops.length)
  return {
    placed,
    sheets: layout.tops.length,
    lengths,
    utilisation: printed / usedArea,
    bound,
    splitOrders: splitOrders(placed),
  }
}

/** Orders on more than one sheet. */
function splitOrders(placed: readonly Placed[]): number {
  const first = new Map<string, number>()
  const split = new Set<string>()
  for (const { order, sheet } of placed) {
    const at = first.get(order)
    if (at === undefined) first.set(order, sheet)
    else if (at !== sheet) split.add(order)
  }
  return split.size
}

/** What no nesting can beat. In whole µm, prints rounded down and the sheet up, so that no rounding makes it too much. */
function boundOf(pieces: readonly NestPiece[], sheet: NestSheet): Nesting['bound'] {
  const { gap, margin } = sheet
  const laid = pieces.map(p => ({
    w: Math.floor((p.width + gap) * 1000),
    h: Math.floor((p.height + gap) * 1000),
    turn: p.turn,
    count: p.count,
  }))
  const across = Math.ceil((sheet.width - 2 * margin + gap) * 1000)
  const area = laid.reduce((n, p) => n + p.count * p.w * p.h, 0) / across
  const least = leastLength(laid, across)
  const mm = (length: number): number => length / 1000 - gap + 2 * margin
  if (sheet.height === null) return { sheets: 1, length: mm(least), areaSheets: 1, areaLength: mm(area) }
  const down = Math.ceil((sheet.height - 2 * margin + gap) * 1000)
  return {
    sheets: leastSheets(laid, across, down),
    length: Math.min(mm(least), sheet.height),
    areaSheets: Math.max(1, Math.ceil(area / down - 1e-9)),
    areaLength: Math.min(mm(area), sheet.height),
  }
}
