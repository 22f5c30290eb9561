import { FAR, type GarmentFade, NEAR, UNKNOWN } from './fade'
import { emptyMask, type Mask, setRun } from './mask'
import { type PixelBox, type Raster, signedWords } from './raster'

/** Alpha from which a pixel counts as solid ink in masks. */
export const SOLID_ALPHA = 128
/** Alpha below which a pixel is too faint to see: it does not widen the art's bounds. */
export const FAINT_ALPHA = 8

/** What one pass over the pixels finds. Sums are in full pixels: a half transparent one counts a half. */
export type Scan = {
  /** Number of pixels at each alpha, 0–255. */
  alpha: Float64Array
  /** The art's own bounds within its canvas; null when nothing can be seen. */
  bounds: PixelBox | null
  /** Solid pixels, as drawn and with the garment's colour knocked out. */
  solid: Mask
  breathing: Mask
  /** Ink after the knock-out, in full pixels. */
  inkAfter: number
  /** Ink per 5-bit colour cell (index r | g << 5 | b << 10), in full pixels × 255; see scan() for grain. */
  cells: Float64Array
  /** The commonest colour of each cell, as a pixel word without alpha. */
  faces: Uint32Array
}

/** From so many pixels on, grain is counted in a sample of the rows. */
const SAMPLED_FROM = 4_000_000
/** One row in so many is in the sample. */
const SAMPLE = 4
/** Runs from so many pixels on are counted by themselves, wherever they are met. */
const LONG_RUN = 9

/**
 * Measures every pixel once: ink, bounds, masks before and after the knock-out, and the colours. All of it is exact but for one
 * thing: of large pictures, opaque pixels in runs shorter than LONG_RUN (grain, gradients, soft edges) are counted among the
 * colours in a quarter of the rows, spread evenly, and stand for four.
 */
export function scan(raster: Raster, fade: GarmentFade): Scan {
  const { width, height } = raster
  const sample = width * height >= SAMPLED_FROM ? SAMPLE : 1
  const state: State = {
    // Signed words: they stay whole machine numbers in the loop, where unsigned ones would become floating point.
    words: signedWords(raster),
    width,
    fade,
    states: fade.cells,
    alpha: new Float64Array(256),
    tally: new Int32Array(TALLY << 15),
    grain: new Int32Array(1 << 15),
    grainFace: new Int32Array(1 << 15),
    soft: new Float64Array(1 << 15),
    solid: emptyMask(width, height),
    breathing: emptyMask(width, height),
    edges: Int32Array.of(width, -1, -1, -1),
  }
  let inkAfter = 0
  // Steps of the golden ratio: no pattern in the art keeps step with the rows that are sampled.
  for (let y = 0, turn = 0; y < height; y++, turn = (turn + GOLDEN) >>> 0)
    inkAfter += scanRow(state, y, turn < 2 ** 32 / sample)
  const cells = new Float64Array(state.soft.length)
  const faces = new Uint32Array(state.soft.length)
  for (let i = 0; i < cells.length; i++) {
    cells[i] = state.soft[i]! + 255 * (state.tally[i * TALLY]! + sample * state.grain[i]!)
    const voted = state.tally[i * TALLY + 1]! > 0 || state.grain[i] === 0
    faces[i] = voted ? state.tally[i * TALLY + 2]! : state.grainFace[i]!
  }
  const [left, right, top, bottom] = state.edges as unknown as [number, number, number, number]
  return {
    alpha: state.alpha,
    bounds: top < 0 ? null : { x: left, y: top, width: right - left, height: bottom - top + 1 },
    solid: state.solid,
    breathing: state.breathing,
    inkAfter: inkAfter / 255,
    cells,
    faces,
  }
}

const GOLDEN = 0x9e3779b1

/** Numbers kept side by side for each colour cell: opaque pixels in runs, votes, face (see State); one is spare. */
const TALLY = 4

type State = Pick<Scan, 'alpha' | 'solid' | 'breathing'> & {
  words: Int32Array
  width: number
  fade: GarmentFade
  /** What the fade knows of each colour cell: FAR, NEAR, MIXED or not asked yet. */
  states: Uint8Array
  /**
   * Per cell: opaque pixels in runs, and a majority count (Boyer and Moore) with its candidate: so that flat colours come out
   * exact, not as the middle of a cell.
   */
  tally: Int32Array
  /** Per cell: single opaque pixels in the rows of the sample, and the first of them: the face of a cell without votes. */
  grain: Int32Array
  grainFace: Int32Array
  /** Per cell: alpha of the pixels that are not opaque. */
  soft: Float64Array
  /** Left, right (exclusive), top, bottom of what can be seen. */
  edges: Int32Array
}

const cellOf = (word: number): number =>
  ((word >>> 3) & 31) | ((word >>> 6) & 0x3e0) | ((word >>> 9) & 0x7c00)

/**
 * One row, run by run of equal pixels; gives its ink after the knock-out × 255. A call a row, so that the engine's fast
 * code is taken up at the next row, however late it is ready. Neighbouring runs are set in the masks as one.
 */
function scanRow(
  { words, width, fade, states, alpha, tally, grain, grainFace, soft, solid, breathing, edges }: State,
  y: number,
  sampled: boolean,
): number {
  const row = y * width
  let ink = 0
  let opaque = 0
  let clear = 0
  let first = -1
  let last = 0
  let solidFrom = 0
  let solidTo = 0
  let breathingFrom = 0
  let breathingTo = 0
  let x = 0
  while (x < width) {
    const word = words[row + x]!
    const a = word >>> 24
    let end = x + 1
    if (a === 0) {
      if (end < width && words[row + end] === word) end = runEnd(words, row, end + 1, width, word)
      clear += end - x
      x = end
      continue
    }
    const cell = cellOf(word)
    const at = cell * TALLY
    let state = states[cell]!
    if (end < width && words[row + end] === word) {
      end = runEnd(words, row, end + 1, width, word)
      const length = end - x
      if (a === 255) {
        opaque += length
        tally[at]! += length
      } else {
        alpha[a]! += length
        soft[cell]! += length * a
      }
      vote(tally, at, word & 0xffffff, length)
    } else if (a !== 255) {
      alpha[a]! += 1
      soft[cell]! += a
      if (tally[at + 1] === 0) tally[at + 2] = word & 0xffffff
    } else if (state === FAR && end < width) {
      // Grain that stays: a stretch of it is inked as one, and counted where the row is in the sample.
      end = stretchEnd(words, states, row, end, width)
      if (sampled) countGrain(words, tally, grain, grainFace, row + x, row + end)
      opaque += end - x
    } else {
      opaque += 1
      if (sampled && grain[cell]!++ === 0) grainFace[cell] = word & 0xffffff
      if (tally[at + 1] === 0) tally[at + 2] = word & 0xffffff
    }
    if (state === UNKNOWN) state = fade.stateOf(cell)
    let after = a
    if (state !== FAR) after = state === NEAR ? 0 : ((a * fade.staysExactly(word) + 127) / 255) | 0
    if (a >= FAINT_ALPHA) {
      if (first < 0) first = x
      last = end
    }
    ink += (end - x) * after
    if (a >= SOLID_ALPHA) {
      if (x !== solidTo) {
        if (solidTo > solidFrom) setRun(solid, y, solidFrom, solidTo)
        solidFrom = x
      }
      solidTo = end
      if (after >= SOLID_ALPHA) {
        if (x !== breathingTo) {
          if (breathingTo > breathingFrom) setRun(breathing, y, breathingFrom, breathingTo)
          breathingFrom = x
        }
        breathingTo = end
      }
    }
    x = end
  }
  if (solidTo > solidFrom) setRun(solid, y, solidFrom, solidTo)
  if (breathingTo > breathingFrom) setRun(breathing, y, breathingFrom, breathingTo)
  alpha[0]! += clear
  alpha[255]! += opaque
  if (first >= 0) {
    if (first < edges[0]!) edges[0] = first
    if (last > edges[1]!) edges[1] = last
    if (edges[2]! < 0) edges[2] = y
    edges[3] = y
  }
  return ink
}

/** A run votes for its colour as the face of its cell; single pixels have no vote: they are seldom a flat colour. */
function vote(tally: Int32Array, at: number, rgb: number, length: number): void {
  if (tally[at + 2] === rgb) {
    tally[at + 1]! += length
    return
  }
  const rest = tally[at + 1]! - length
  if (rest < 0) {
    tally[at + 2] = rgb
    tally[at + 1] = -rest
  } else tally[at + 1] = rest
}

/**
 * Where a stretch of opaque pixels in colours that the knock-out leaves alone ends: before a run of one colour that is long
 * enough to be worth a look of its own (LONG_RUN or so).
 */
function stretchEnd(words: Int32Array, states: Uint8Array, row: number, from: number, width: number): number {
  const stop = row + width - 1
  let at = row + from
  let word = words[at]!
  // Four at a stride.
  while (at + 4 <= stop) {
    const b = words[at + 1]!
    const c = words[at + 2]!
    const d = words[at + 3]!
    if ((word & b & c & d) >>> 24 !== 255) break
    if ((states[cellOf(word)]! & states[cellOf(b)]! & states[cellOf(c)]! & states[cellOf(d)]!) !== FAR) break
    if (
      word === b &&
      b === c &&
      c === d &&
      runEnd(words, at, 4, Math.min(LONG_RUN, stop - at), word) >= LONG_RUN
    )
      return at - row
    at += 4
    word = words[at]!
  }
  while (at < stop) {
    const next = words[at + 1]!
    if (word === next || word >>> 24 !== 255 || states[cellOf(word)] !== FAR) break
    word = next
    at++
  }
  return at - row
}

/** Counts pixels; of each colour cell the first is kept, and those like their neighbour have a vote. */
function countGrain(
  words: Int32Array,
  tally: Int32Array,
  grain: Int32Array,
  grainFace: Int32Array,
  from: number,
  to: number,
): void {
  let word = words[from]!
  for (let i = from + 1; i <= to; i++) {
    const cell = cellOf(word)
    if (grain[cell]!++ === 0) grainFace[cell] = word & 0xffffff
    const next = i < to ? words[i]! : 0
    if (next === word) vote(tally, cell * TALLY, word & 0xffffff, 1)
    word = next
  }
}

/** Where a run of one colour ends, four pixels at a stride. */
function runEnd(words: Int32Array, row: number, from: number, width: number, word: number): number {
  let at = row + from
  const stop = row + width
  while (
    at + 4 <= stop &&
    words[at] === word &&
    words[at + 1] === word &&
    words[at + 2] === word &&
    words[at + 3] === word
  )
    at += 4
  while (at < stop && words[at] === word) at++
  return at - row
}
