import { deltaE2000, labOf, type Rgb } from './colour'
import { DEFAULT_FADE, GarmentFade } from './fade'
import { emptyMask, type Mask, setRun } from './mask'
import type { PaletteColour } from './palette'
import { type Raster, signedWords } from './raster'
import { SOLID_ALPHA } from './scan'

const UNKNOWN = 255

/** The solid pixels that are not of a ground's colour: what is left when the ground is taken out. */
export function inkBeside(raster: Raster, ground: Rgb): Mask {
  const out = emptyMask(raster.width, raster.height)
  const words = signedWords(raster)
  const fade = new GarmentFade(ground, DEFAULT_FADE)
  for (let y = 0; y < raster.height; y++) besideRow(words, out, fade, y)
  return out
}

function besideRow(words: Int32Array, out: Mask, fade: GarmentFade, y: number): void {
  const { width } = out
  const row = y * width
  let x = 0
  while (x < width) {
    const word = words[row + x]!
    let end = x + 1
    while (end < width && words[row + end] === word) end++
    if (word >>> 24 >= SOLID_ALPHA && fade.stays(word) >= SOLID_ALPHA) setRun(out, y, x, end)
    x = end
  }
}

/** Where each colour of a palette is printed as a spot ink: every solid pixel belongs to its nearest colour. */
export function inkMasks(raster: Raster, colours: readonly PaletteColour[]): Mask[] {
  const { width, height } = raster
  const masks = colours.map(() => emptyMask(width, height))
  if (masks.length === 0) return masks
  const words = signedWords(raster)
  const nearest = new Uint8Array(1 << 15).fill(UNKNOWN)
  for (let y = 0; y < height; y++) inkRow(words, masks, colours, nearest, y)
  return masks
}

function inkRow(
  words: Int32Array,
  masks: Mask[],
  colours: readonly PaletteColour[],
  nearest: Uint8Array,
  y: number,
): void {
  const { width } = masks[0]!
  const row = y * width
  let x = 0
  while (x < width) {
    const word = words[row + x]!
    let end = x + 1
    while (end < width && words[row + end] === word) end++
    if (word >>> 24 >= SOLID_ALPHA) {
      const cell = ((word >>> 3) & 31) | ((word >>> 6) & 0x3e0) | ((word >>> 9) & 0x7c00)
      if (nearest[cell] === UNKNOWN) nearest[cell] = nearestColour(word, colours)
      setRun(masks[nearest[cell]!]!, y, x, end)
    }
    x = end
  }
}

function nearestColour(word: number, colours: readonly PaletteColour[]): number {
  const lab = labOf(word & 255, (word >>> 8) & 255, (word >>> 16) & 255)
  let best = 0
  let least = Number.POSITIVE_INFINITY
  colours.forEach((colour, i) => {
    const d = deltaE2000(...lab, ...colour.lab)
    if (d < least) {
      least = d
      best = i
    }
  })
  return best
}
