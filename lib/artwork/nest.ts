import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'

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
  /** No nesting needs fewer sheets (or, on a roll, less length) than this: area and the largest piece decide. */
  bound: { sheets: number; length: number }
  /** Orders that lie on more than one sheet. */
  splitOrders: number
}

/** One single print in whole tenths of a millimetre, gaps added. */
type Box = {
  piece: number
  w: number
  h: number
  turn: boolean
  order: number
  /** Width and height change places: it is tried lying the other way first. */
  flipped: boolean
}
type Spot = { box: Box; sheet: number; x: number; y: number; turned: boolean }
type Layout = { spots: Spot[]; tops: number[]; score: readonly [number, number, number] }

// Whole numbers only: two pieces that touch must not overlap by a rounding.
const UNIT = 10
const units = (mm: number): number => Math.ceil(mm * UNIT - 1e-6)

/**
 * Lays prints of many orders on sheets or a roll. A skyline is filled from its lowest hollow with the print that
 * fits it best; the order in which prints are tried is then improved by swaps, `tries` of them, from `seed`.
 * What counts: fewest sheets, then least length of the last one (of the roll), then orders kept on one sheet.
 * The rule of fit follows Leung, Zhang and Sim, "A two-stage intelligent search algorithm for the two-dimensional
 * strip packing problem", European Journal of Operational Research 215 (2011).
 */
export function nest(
  pieces: readonly NestPiece[],
  sheet: NestSheet,
  { tries = 400, seed = 1 }: { tries?: number; seed?: number } = {},
): Result<Nesting> {
  const wrong = faultOf(pieces, sheet)
  if (wrong) return wrong
  const width = Math.floor((sheet.width - 2 * sheet.margin) * UNIT + 1e-6) + units(sheet.gap)
  const height =
    sheet.height === null
      ? Number.POSITIVE_INFINITY
      : Math.floor((sheet.height - 2 * sheet.margin) * UNIT + 1e-6) + units(sheet.gap)
  const orders = [...new Set(pieces.map(p => p.order))]
  const boxes: Box[] = []
  for (const [piece, p] of pieces.entries()) {
    const w = units(p.width + sheet.gap)
    const h = units(p.height + sheet.gap)
    const lies = w <= width && h <= height
    const stands = p.turn && h <= width && w <= height
    if (!lies && !stands)
      return refuse(
        'does-not-fit',
        `“${p.id}” (${p.width} × ${p.height} mm) does not fit on the ${sheet.height === null ? 'roll' : 'sheet'} inside its margins: print it smaller or take a larger one.`,
      )
    for (let n = 0; n < p.count; n++)
      boxes.push({ piece, w, h, turn: p.turn && w !== h, order: orders.indexOf(p.order), flipped: false })
  }
  const dense = improved(boxes, width, height, Math.min(tries, Math.ceil(WORK / boxes.length ** 2)), seed)
  const best = together(boxes, width, height, dense, seed)
  return ok(described(best, pieces, sheet))
}

const MOST_PRINTS = 5000
/** Comparisons that the search may cost: it stays under about a second however many prints there are. */
const WORK = 6e7

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

/** Local search over the order of trying. A small generator of its own keeps the same seed giving the same sheet. */
function improved(boxes: Box[], width: number, height: number, tries: number, seed: number): Layout {
  let state = (seed * 2654435761) >>> 0 || 1
  const random = (below: number): number => {
    state ^= state << 13
    state >>>= 0
    state ^= state >>> 17
    state ^= state << 5
    state >>>= 0
    return state % below
  }
  let order: Box[] = []
  let best: Layout | null = null
  for (const rule of RULES) {
    const candidate = [...boxes].sort(rule)
    const layout = laid(candidate, width, height)
    if (!best || better(layout.score, best.score)) {
      best = layout
      order = candidate
    }
  }
  let current = best!
  for (let t = 0; t < tries && boxes.length > 1; t++) {
    const i = random(boxes.length)
    const j = random(boxes.length)
    const next = [...order]
    const box = next[i]!
    if (t % 4 === 0 && box.turn) next[i] = { ...box, w: box.h, h: box.w, flipped: !box.flipped }
    else if (i === j) continue
    else if (t % 4 === 1) next.splice(j, 0, ...next.splice(i, 1))
    else [next[i], next[j]] = [next[j]!, box]
    const layout = laid(next, width, height)
    if (better(current.score, layout.score)) continue
    order = next
    current = layout
    if (better(layout.score, best!.score)) best = layout
  }
  return best!
}

const longSide = (b: Box): number => Math.max(b.w, b.h)
/** Orders to try prints in: the classic ones of packing, largest first by one measure or another. */
const RULES: ((p: Box, q: Box) => number)[] = [
  (p, q) => q.w * q.h - p.w * p.h,
  (p, q) => longSide(q) - longSide(p) || q.w * q.h - p.w * p.h,
  (p, q) => q.h - p.h || q.w - p.w,
  (p, q) => q.w - p.w || q.h - p.h,
]

/**
 * Keeps orders on one sheet as far as that costs no sheet more: sheets are filled with whole orders, the fullest of
 * them are kept, and only what is left is mixed.
 */
function together(boxes: Box[], width: number, height: number, dense: Layout, seed: number): Layout {
  const sheets = dense.tops.length
  if (sheets < 2 || dense.score[2] === 0) return dense
  const area = (list: readonly Box[]): number => list.reduce((n, b) => n + b.w * b.h, 0)
  const groups = grouped(boxes).sort((p, q) => area(q) - area(p))
  const whole: Box[][] = []
  let rest = groups
  while (rest.length > 0 && whole.length < sheets) {
    let on: Box[] = []
    const later: Box[][] = []
    for (const group of rest) {
      const more = [...on, ...group]
      if (area(more) <= width * height && onOneSheet(more, width, height)) on = more
      else later.push(group)
    }
    if (on.length === 0) break
    whole.push(on)
    rest = later
  }
  whole.sort((p, q) => area(q) - area(p))
  let best = dense
  for (let kept = whole.length; kept > 0; kept--) {
    const fixed = new Set(whole.slice(0, kept).flat())
    const loose = boxes.filter(b => !fixed.has(b))
    const mixed = loose.length === 0 ? null : improved(loose, width, height, 40, seed)
    if (kept + (mixed?.tops.length ?? 0) > sheets) continue
    const spots: Spot[] = []
    const tops: number[] = []
    for (const on of whole.slice(0, kept)) {
      const layout = onOneSheet(on, width, height)!
      spots.push(...layout.spots.map(spot => ({ ...spot, sheet: tops.length })))
      tops.push(layout.tops[0]!)
    }
    if (mixed) {
      spots.push(...mixed.spots.map(spot => ({ ...spot, sheet: spot.sheet + kept })))
      tops.push(...mixed.tops)
    }
    const layout = { spots, tops, score: scoreOf(spots, tops) }
    if (layout.score[2] < best.score[2]) best = layout
  }
  return best
}

function onOneSheet(boxes: readonly Box[], width: number, height: number): Layout | null {
  for (const rule of RULES) {
    const layout = laid([...boxes].sort(rule), width, height)
    if (layout.tops.length === 1) return layout
  }
  return null
}

const better = (p: Layout['score'], q: Layout['score']): boolean =>
  p[0] !== q[0] ? p[0] < q[0] : p[1] !== q[1] ? p[1] < q[1] : p[2] < q[2]

function laid(order: readonly Box[], width: number, height: number): Layout {
  const spots: Spot[] = []
  const tops: number[] = []
  let rest = order
  while (rest.length > 0) {
    const { left, top } = fillSheet(rest, width, height, tops.length, spots)
    tops.push(top)
    rest = left
  }
  return { spots, tops, score: scoreOf(spots, tops) }
}

/** Sheets, length used of the last, orders that are split. */
function scoreOf(spots: readonly Spot[], tops: readonly number[]): Layout['score'] {
  const first = new Map<number, number>()
  const split = new Set<number>()
  for (const { box, sheet } of spots) {
    const at = first.get(box.order)
    if (at === undefined) first.set(box.order, sheet)
    else if (at !== sheet) split.add(box.order)
  }
  return [tops.length, tops[tops.length - 1] ?? 0, split.size]
}

/** Fills one sheet from below up; gives what did not fit. */
function fillSheet(
  boxes: readonly Box[],
  width: number,
  height: number,
  sheet: number,
  spots: Spot[],
): { left: Box[]; top: number } {
  const left = [...boxes]
  // The skyline, left to right: where each step begins, how high it stands; the last entry closes it.
  const xs = [0, width]
  const ys = [0]
  let top = 0
  while (left.length > 0) {
    let low = 0
    for (let i = 1; i < ys.length; i++) if (ys[i]! < ys[low]!) low = i
    const y = ys[low]!
    if (y >= height) break
    const room = xs[low + 1]! - xs[low]!
    const wallLeft = low === 0 ? Number.POSITIVE_INFINITY : ys[low - 1]! - y
    const wallRight = low === ys.length - 1 ? Number.POSITIVE_INFINITY : ys[low + 1]! - y
    const pick = bestFit(left, room, height - y, wallLeft, wallRight)
    if (!pick) {
      if (ys.length === 1) break
      // Nothing fits the hollow: fill it up to its lower wall, as waste.
      raise(
        xs,
        ys,
        low,
        Math.min(low === 0 ? Infinity : ys[low - 1]!, low === ys.length - 1 ? Infinity : ys[low + 1]!),
      )
      continue
    }
    const box = left.splice(pick.index, 1)[0]!
    const w = pick.turned ? box.h : box.w
    const h = pick.turned ? box.w : box.h
    // Against the higher wall, so that the hollow that is left stays as one.
    const x = wallLeft >= wallRight ? xs[low]! : xs[low + 1]! - w
    spots.push({ box, sheet, x, y, turned: pick.turned !== box.flipped })
    lay(xs, ys, low, x, w, y + h)
    top = Math.max(top, y + h)
  }
  return { left, top }
}

function bestFit(
  boxes: readonly Box[],
  room: number,
  head: number,
  wallLeft: number,
  wallRight: number,
): { index: number; turned: boolean } | null {
  const high = Math.max(wallLeft, wallRight)
  const low = Math.min(wallLeft, wallRight)
  let index = -1
  let turned = false
  let most = -1
  for (let i = 0; i < boxes.length && most < 4; i++) {
    const box = boxes[i]!
    for (let side = 0; side < (box.turn ? 2 : 1); side++) {
      const w = side === 0 ? box.w : box.h
      const h = side === 0 ? box.h : box.w
      if (w > room || h > head) continue
      const full = w === room
      const fit = full && h === high ? 4 : full && h === low ? 3 : full ? 2 : h === high || h === low ? 1 : 0
      if (fit > most) {
        most = fit
        index = i
        turned = side === 1
      }
    }
  }
  return index < 0 ? null : { index, turned }
}

function lay(xs: number[], ys: number[], at: number, x: number, w: number, top: number): void {
  const from = xs[at]!
  const to = xs[at + 1]!
  const steps: [number, number][] = []
  if (x > from) steps.push([from, ys[at]!])
  steps.push([x, top])
  if (x + w < to) steps.push([x + w, ys[at]!])
  xs.splice(at, 1, ...steps.map(s => s[0]))
  ys.splice(at, 1, ...steps.map(s => s[1]))
  merge(xs, ys)
}

function raise(xs: number[], ys: number[], at: number, to: number): void {
  ys[at] = to
  merge(xs, ys)
}

function merge(xs: number[], ys: number[]): void {
  for (let i = ys.length - 1; i > 0; i--)
    if (ys[i] === ys[i - 1]) {
      ys.splice(i, 1)
      xs.splice(i, 1)
    }
}

function described(layout: Layout, pieces: readonly NestPiece[], sheet: NestSheet): Nesting {
  const gap = units(sheet.gap)
  const placed = layout.spots.map(({ box, sheet: on, x, y, turned }): Placed => {
    const piece = pieces[box.piece]!
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
    bound: boundOf(pieces, sheet),
    splitOrders: layout.score[2],
  }
}

/** What no nesting can beat: prints with their gaps fill at least their own area, and the longest must lie somewhere. */
function boundOf(pieces: readonly NestPiece[], sheet: NestSheet): { sheets: number; length: number } {
  const { gap, margin } = sheet
  const across = sheet.width - 2 * margin + gap
  const area = pieces.reduce((n, p) => n + p.count * (p.width + gap) * (p.height + gap), 0)
  const tallest = Math.max(
    0,
    ...pieces
      .filter(p => p.count > 0)
      .map(p => {
        const canTurn = p.turn && p.height <= sheet.width - 2 * margin
        return canTurn ? Math.min(p.width, p.height) : p.height
      }),
  )
  const length = Math.max(area / across - gap, tallest) + 2 * margin
  if (sheet.height === null) return { sheets: 1, length }
  const down = sheet.height - 2 * margin + gap
  return { sheets: Math.ceil(area / (across * down) - 1e-9), length: Math.min(length, sheet.height) }
}

/** The boxes of each order. */
function grouped(boxes: readonly Box[]): Box[][] {
  const groups = new Map<number, Box[]>()
  for (const box of boxes) {
    const group = groups.get(box.order)
    if (group) group.push(box)
    else groups.set(box.order, [box])
  }
  return [...groups.values()]
}
