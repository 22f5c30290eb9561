import type { GarmentFade } from './fade'
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
    cells: new Float64Array(1 << 15),
    faces: new Uint32Array(1 << 15),
    votes: new Float64Array(1 << 15),
    solid: emptyMask(width, height),
    breathing: emptyMask(width, height),
    edges: Int32Array.of(width, -1, -1, -1),
  }
  let inkAfter = 0
  for (let y = 0; y < height; y++) inkAfter += scanRow(state, y)
  const [left, right, top, bottom] = state.edges as unknown as [number, number, number, number]
  return {
    alpha: state.alpha,
    bounds: top < 0 ? null : { x: left, y: top, width: right - left, height: bottom - top + 1 },
    solid: state.solid,
    breathing: state.breathing,
    inkAfter: inkAfter / 255,
    cells: state.cells,
    faces: state.faces,
  }
}

type State = Pick<Scan, 'alpha' | 'cells' | 'faces' | 'solid' | 'breathing'> & {
  words: Int32Array
  width: number
  fade: GarmentFade
  /** Majority count of each cell (Boyer and Moore): flat colours come out exact, not as the middle of a cell. */
  votes: Float64Array
  /** Left, right (exclusive), top, bottom of what can be seen. */
  edges: Int32Array
}

/**
 * One row, run by run of equal pixels; gives its ink after the knock-out × 255. A call a row, so that the engine's fast
 * code is taken up at the next row, however late it is ready.
 */
function scanRow(
  { words, width, fade, alpha, cells, faces, votes, solid, breathing, edges }: State,
  y: number,
): number {
  const row = y * width
  let ink = 0
  let x = 0
  while (x < width) {
    const word = words[row + x]!
    let end = x + 1
    while (end < width && words[row + end] === word) end++
    const length = end - x
    const a = word >>> 24
    alpha[a]! += length
    if (a !== 0) {
      if (a >= FAINT_ALPHA) {
        if (x < edges[0]!) edges[0] = x
        if (end > edges[1]!) edges[1] = end
        if (edges[2]! < 0) edges[2] = y
        edges[3] = y
      }
      const amount = length * a
      const cell = ((word >>> 3) & 31) | ((word >>> 6) & 0x3e0) | ((word >>> 9) & 0x7c00)
      const rgb = word & 0xffffff
      cells[cell]! += amount
      if (faces[cell] === rgb) votes[cell]! += amount
      else {
        const rest = votes[cell]! - amount
        if (rest < 0) {
          faces[cell] = rgb
          votes[cell] = -rest
        } else votes[cell] = rest
      }
      const after = ((a * fade.stays(word) + 127) / 255) | 0
      ink += length * after
      if (a >= SOLID_ALPHA) {
        setRun(solid, y, x, end)
        if (after >= SOLID_ALPHA) setRun(breathing, y, x, end)
      }
    }
    x = end
  }
  return ink
}
