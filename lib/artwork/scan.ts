import type { GarmentFade } from './fade'
import { emptyMask, type Mask, setRun } from './mask'
import { type PixelBox, pixelWords, type Raster } from './raster'

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
  const words = pixelWords(raster)
  const alpha = new Float64Array(256)
  const cells = new Float64Array(1 << 15)
  const faces = new Uint32Array(1 << 15)
  // Votes of the majority count (Boyer and Moore): flat colours come out exact, not as the middle of a cell.
  const votes = new Float64Array(1 << 15)
  const solid = emptyMask(width, height)
  const breathing = emptyMask(width, height)
  let inkAfter = 0
  let left = width
  let right = -1
  let top = -1
  let bottom = -1

  for (let y = 0, row = 0; y < height; y++, row += width) {
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
          if (x < left) left = x
          if (end > right) right = end
          if (top < 0) top = y
          bottom = y
        }
        const ink = length * a
        const cell = ((word >>> 3) & 31) | ((word >>> 6) & 0x3e0) | ((word >>> 9) & 0x7c00)
        cells[cell]! += ink
        const rgb = word & 0xffffff
        if (faces[cell] === rgb) votes[cell]! += ink
        else {
          const rest = votes[cell]! - ink
          if (rest < 0) {
            faces[cell] = rgb
            votes[cell] = -rest
          } else votes[cell] = rest
        }
        const after = ((a * fade.stays(word) + 127) / 255) | 0
        inkAfter += length * after
        if (a >= SOLID_ALPHA) {
          setRun(solid, y, x, end)
          if (after >= SOLID_ALPHA) setRun(breathing, y, x, end)
        }
      }
      x = end
    }
  }
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
