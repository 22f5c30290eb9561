import { type PixelBox, pixelWords, type Raster } from './raster'

const GRID = 32
const KEPT = 8
const SAMPLES = 6
/** Bits of 64 that may differ between two files of the same art: another size, format or compression. */
export const SAME_ART_BITS = 8

/** The lowest waves of the cosine transform, without the constant. */
const WAVES = Float64Array.from({ length: KEPT * GRID }, (_, i) =>
  Math.cos(((2 * (i % GRID) + 1) * (Math.floor(i / GRID) + 1) * Math.PI) / (2 * GRID)),
)

/**
 * A 64-bit likeness of a picture, 16 hexadecimal digits: the signs of its lowest frequencies (discrete cosine
 * transform of the art's own bounds on mid grey). Alike for the same art saved in another size or format.
 */
export function likenessOf(raster: Raster, bounds: PixelBox | null): string {
  const box = bounds ?? { x: 0, y: 0, width: raster.width, height: raster.height }
  const grid = averages(raster, box)
  const low: number[] = []
  for (let v = 0; v < KEPT; v++)
    for (let u = 0; u < KEPT; u++) {
      let sum = 0
      for (let y = 0; y < GRID; y++)
        for (let x = 0; x < GRID; x++)
          sum += grid[y * GRID + x]! * WAVES[u * GRID + x]! * WAVES[v * GRID + y]!
      low.push(sum)
    }
  const middle = [...low].sort((a, b) => a - b)[low.length >> 1]!
  let hex = ''
  for (let i = 0; i < low.length; i += 4)
    hex += [0, 1, 2, 3].reduce((n, k) => n * 2 + (low[i + k]! > middle ? 1 : 0), 0).toString(16)
  return hex
}

/** Bits that differ between two likenesses, 0–64. */
export function likenessGap(a: string, b: string): number {
  let n = 0
  for (let i = 0; i < 16; i++) {
    let bits = Number.parseInt(a[i] ?? '0', 16) ^ Number.parseInt(b[i] ?? '0', 16)
    for (; bits !== 0; bits &= bits - 1) n++
  }
  return n
}

/** How an artwork is known again. */
export type Fingerprint = { sha256: string; likeness: string }

/** `same-file`: byte for byte. `same-art`: looks the same, in another file. Null: neither. */
export const recognise = (a: Fingerprint, b: Fingerprint): 'same-file' | 'same-art' | null =>
  a.sha256 === b.sha256
    ? 'same-file'
    : likenessGap(a.likeness, b.likeness) <= SAME_ART_BITS
      ? 'same-art'
      : null

/** Mean lightness of each grid cell from a few samples in it, transparency on mid grey. */
function averages(raster: Raster, box: PixelBox): Float64Array {
  const words = pixelWords(raster)
  const out = new Float64Array(GRID * GRID)
  const steps = GRID * SAMPLES
  for (let j = 0; j < steps; j++) {
    const y = box.y + Math.min(box.height - 1, Math.floor(((j + 0.5) * box.height) / steps))
    for (let i = 0; i < steps; i++) {
      const x = box.x + Math.min(box.width - 1, Math.floor(((i + 0.5) * box.width) / steps))
      const word = words[y * raster.width + x]!
      const light = 0.299 * (word & 255) + 0.587 * ((word >>> 8) & 255) + 0.114 * ((word >>> 16) & 255)
      const a = (word >>> 24) / 255
      out[((j / SAMPLES) | 0) * GRID + ((i / SAMPLES) | 0)]! += (a * light + (1 - a) * 128) / SAMPLES ** 2
    }
  }
  return out
}
