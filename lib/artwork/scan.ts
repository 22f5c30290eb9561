import { FAR, type GarmentFade, NEAR } from './fade'
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
  /** Ink per 5-bit colour cell (index r | g << 5 | b << 10), in full pixels × 255. */
  cells: Float64Array
  /** The commonest colour of each cell, as a pixel word without alpha. */
  faces: Uint32Array
}

/** Measures every pixel once: ink, bounds, masks before and after the knock-out, and the colours. */
export function scan(raster: Raster, fade: GarmentFade): Scan {
  const { width, height } = raster
  const state: State = {
    // Signed words: they stay whole machine numbers in the loop, where unsigned ones would become floating point.
    words: signedWords(raster),
    width,
    fade,
    alpha: new Float64Array(256),
    tally: new Int32Array(TALLY << 15),
    soft: new Float64Array(1 << 15),
    solid: emptyMask(width, height),
    breathing: emptyMask(width, height),
    edges: Int32Array.of(width, -1, -1, -1),
  }
  let inkAfter = 0
  for (let y = 0; y < height; y++) inkAfter += scanRow(state, y)
  const cells = new Float64Array(state.soft.length)
  const faces = new Uint32Array(state.soft.length)
  for (let i = 0; i < cells.length; i++) {
    cells[i] = state.soft[i]! + 255 * state.tally[i * TALLY]!
    faces[i] = state.tally[i * TALLY + 2]!
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

/** Numbers kept side by side for each colour cell: opaque pixels, votes, face, state of the fade (see State). */
const TALLY = 4

type State = Pick<Scan, 'alpha' | 'solid' | 'breathing'> & {
  words: Int32Array
  width: number
  fade: GarmentFade
  /**
   * Per cell: opaque pixels, and a majority count (Boyer and Moore) with its candidate: so that flat colours come out
   * exact, not as the middle of a cell. Side by side, because a photograph touches another cell at every pixel.
   */
  tally: Int32Array
  /** Per cell: alpha of the pixels that are not opaque. */
  soft: Float64Array
  /** Left, right (exclusive), top, bottom of what can be seen. */
  edges: Int32Array
}

/**
 * One row, run by run of equal pixels; gives its ink after the knock-out × 255. A call a row, so that the engine's fast
 * code is taken up at the next row, however late it is ready.
 */
function scanRow(
  { words, width, fade, alpha, tally, soft, solid, breathing, edges }: State,
  y: number,
): number {
  const row = y * width
  const maskRow = y * solid.stride
  const solidBits = solid.bits
  const breathingBits = breathing.bits
  let ink = 0
  let opaque = 0
  let clear = 0
  let first = -1
  let last = 0
  let gathered = 0
  let solidWord = 0
  let breathingWord = 0
  let x = 0
  while (x < width) {
    const word = words[row + x]!
    let end = x + 1
    if (end < width && words[row + end] === word) end = runEnd(words, row, end + 1, width, word)
    const length = end - x
    const a = word >>> 24
    if (a === 0) {
      clear += length
      x = end
      continue
    }
    const cell = ((word >>> 3) & 31) | ((word >>> 6) & 0x3e0) | ((word >>> 9) & 0x7c00)
    const rgb = word & 0xffffff
    const at = cell * TALLY
    if (a === 255) {
      opaque += length
      tally[at]! += length
    } else {
      alpha[a]! += length
      soft[cell]! += length * a
    }
    if (length === 1) {
      // Grain and soft edges: no vote, for counting them would cost more than all the rest.
      if (tally[at + 1] === 0) tally[at + 2] = rgb
    } else if (tally[at + 2] === rgb) tally[at + 1]! += length
    else {
      const rest = tally[at + 1]! - length
      if (rest < 0) {
        tally[at + 2] = rgb
        tally[at + 1] = -rest
      } else tally[at + 1] = rest
    }
    if (a >= FAINT_ALPHA) {
      if (first < 0) first = x
      last = end
    }
    let state = tally[at + 3]!
    if (state === 0) {
      state = fade.stateOf(cell)
      tally[at + 3] = state
    }
    const after = state === FAR ? a : state === NEAR ? 0 : ((a * fade.staysExactly(word) + 127) / 255) | 0
    ink += length * after
    if (a >= SOLID_ALPHA) {
      if (length === 1) {
        // Gathered a word at a time: single pixels come in crowds.
        if (x >> 5 !== gathered) {
          solidBits[maskRow + gathered]! |= solidWord
          breathingBits[maskRow + gathered]! |= breathingWord
          gathered = x >> 5
          solidWord = 0
          breathingWord = 0
        }
        solidWord |= 1 << (x & 31)
        breathingWord |= (after >>> 7) << (x & 31)
      } else {
        setRun(solid, y, x, end)
        if (after >= SOLID_ALPHA) setRun(breathing, y, x, end)
      }
    }
    x = end
  }
  solidBits[maskRow + gathered]! |= solidWord
  breathingBits[maskRow + gathered]! |= breathingWord
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
