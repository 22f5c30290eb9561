import type { GarmentFade } from './fade'
import { emptyMask, type Mask } from './mask'
import { scanPixels } from './passes/run'
import type { PixelBox, Raster } from './raster'

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

/**
 * Measures every pixel once: ink, bounds, masks before and after the knock-out, and the colours. All of it is exact but for one
 * thing: of large pictures, opaque pixels in runs shorter than nine (grain, gradients, soft edges) are counted among the
 * colours in a quarter of the rows, spread evenly, and stand for four.
 */
export function scan(raster: Raster, fade: GarmentFade): Scan {
  const { width, height } = raster
  const sample = width * height >= SAMPLED_FROM ? SAMPLE : 1
  const solid = emptyMask(width, height)
  const breathing = emptyMask(width, height)
  // Steps of the golden ratio: no pattern in the art keeps step with the rows that are sampled.
  const inSample = (y: number): boolean => Math.imul(y, GOLDEN) >>> 0 < 2 ** 32 / sample
  const { alpha, tally, grain, grainFace, soft, edges, inkAfter } = scanPixels(
    raster,
    fade,
    solid,
    breathing,
    inSample,
  )
  const cells = new Float64Array(soft.length)
  const faces = new Uint32Array(soft.length)
  for (let i = 0; i < cells.length; i++) {
    cells[i] = soft[i]! + 255 * (tally[i * TALLY]! + sample * grain[i]!)
    const voted = tally[i * TALLY + 1]! > 0 || grain[i] === 0
    faces[i] = voted ? tally[i * TALLY + 2]! : grainFace[i]!
  }
  const [left, right, top, bottom] = edges as unknown as [number, number, number, number]
  return {
    alpha,
    bounds: top < 0 ? null : { x: left, y: top, width: right - left, height: bottom - top + 1 },
    solid,
    breathing,
    inkAfter: inkAfter / 255,
    cells,
    faces,
  }
}

const GOLDEN = 0x9e3779b1

/** Numbers kept side by side for each colour cell: opaque pixels in runs, votes, face; one is spare. */
const TALLY = 4
