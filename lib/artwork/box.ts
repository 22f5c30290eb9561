import { deltaE2000, labOf, type Rgb, toHex } from './colour'
import { type PixelBox, pixelWords, type Raster } from './raster'

/** What surrounds the art: nothing, a box of one colour, or a picture that fills its rectangle (a photograph). */
export type Surround = { kind: 'none' } | { kind: 'picture' } | { kind: 'box'; rgb: Rgb; hex: string }

const OPAQUE = 250
/** A frame is a box when so much of it is opaque, and so much of that one colour. */
const OPAQUE_SHARE = 0.98
const ONE_COLOUR_SHARE = 0.95
/** CIEDE2000: a printed box is one colour to the eye, though a saved JPEG scatters a little. */
const ONE_COLOUR = 4

/**
 * Whether the art carries a printed background: the frame of pixels just inside its bounds is opaque all round.
 * @param bounds the art's own bounds within the canvas
 */
export function surroundOf(raster: Raster, bounds: PixelBox): Surround {
  const frame = frameOf(raster, bounds)
  const opaque = frame.filter(word => word >>> 24 >= OPAQUE)
  if (frame.length === 0 || opaque.length < OPAQUE_SHARE * frame.length) return { kind: 'none' }
  const word = commonest(opaque)
  const rgb: Rgb = [word & 255, (word >>> 8) & 255, (word >>> 16) & 255]
  const lab = labOf(...rgb)
  const same = opaque.filter(
    w => deltaE2000(...lab, ...labOf(w & 255, (w >>> 8) & 255, (w >>> 16) & 255)) < ONE_COLOUR,
  )
  if (same.length < ONE_COLOUR_SHARE * opaque.length) return { kind: 'picture' }
  return { kind: 'box', rgb, hex: toHex(rgb) }
}

/** Up to some four thousand pixels around the rectangle, a little inside it to stay clear of soft edges. */
function frameOf(raster: Raster, { x, y, width, height }: PixelBox): number[] {
  const words = pixelWords(raster)
  const inset = Math.min(2, (width - 1) >> 1, (height - 1) >> 1)
  const [left, right, top, bottom] = [x + inset, x + width - 1 - inset, y + inset, y + height - 1 - inset]
  const stepX = Math.max(1, Math.floor((right - left) / 1000))
  const stepY = Math.max(1, Math.floor((bottom - top) / 1000))
  const out: number[] = []
  for (let i = left; i <= right; i += stepX)
    out.push(words[top * raster.width + i]!, words[bottom * raster.width + i]!)
  for (let j = top; j <= bottom; j += stepY)
    out.push(words[j * raster.width + left]!, words[j * raster.width + right]!)
  return out
}

function commonest(words: readonly number[]): number {
  const counts = new Map<number, number>()
  let best = words[0]!
  for (const word of words) {
    const n = (counts.get(word) ?? 0) + 1
    counts.set(word, n)
    if (n > (counts.get(best) ?? 0)) best = word
  }
  return best
}
