import type { Rgb } from './colour'
import { eachPatch, largestPatch, smallPatches, takePatch } from './components'
import { type FadeSettings, GarmentFade } from './fade'
import { copyMask, emptyMask, type Mask, setRun } from './mask'
import { widestPen } from './morphology'
import { pixelWords, type Raster } from './raster'
import { SOLID_ALPHA } from './scan'

/** How the garment is let through. */
export type KnockoutSettings = FadeSettings & {
  /** `everywhere`, or only where the cloth's colour reaches in from outside: eyes and counters then stay printed. */
  reach: 'everywhere' | 'from-outside'
  /** Pieces and openings under this many pixels are specks. 0: none are. */
  speckPx: number
  /** What becomes of specks: `clear` takes small pieces out and closes small openings; `keep` leaves both. */
  specks: 'keep' | 'clear'
}

/** Ink of a picture, its largest solid patch, and the widest round pen that fits into solid ink: in pixels. */
export type InkFigures = { inkPx: number; largestPx: number; widestPx: number }

/** The mended art, and its figures. */
export type Knockout = {
  raster: Raster
  before: InkFigures
  after: InkFigures
  /** Specks taken out and small openings closed. */
  specksCleared: number
  openingsClosed: number
}

/**
 * Knocks the garment's colour out of the art, so that the cloth shows. In the soft edge the ink gets thinner and its
 * colour is worked back, so that laid on the cloth it looks as it did before. The original is not changed.
 */
export function knockOut(raster: Raster, garment: Rgb, settings: KnockoutSettings): Knockout {
  const fade = new GarmentFade(garment, settings)
  const before = pixelWords(raster)
  const out = before.slice()
  const { width, height } = raster
  const solid = emptyMask(width, height)
  const left = emptyMask(width, height)
  const gone = emptyMask(width, height)
  let inkBefore = 0
  for (let y = 0, row = 0; y < height; y++, row += width) {
    let x = 0
    while (x < width) {
      const word = before[row + x]!
      let end = x + 1
      while (end < width && before[row + end] === word) end++
      const a = word >>> 24
      inkBefore += (end - x) * a
      if (a !== 0) {
        const stays = fade.stays(word)
        if (stays < 255) out.fill(thinned(word, stays, garment), row + x, row + end)
        const after = out[row + x]! >>> 24
        if (a >= SOLID_ALPHA) setRun(solid, y, x, end)
        if (after >= SOLID_ALPHA) setRun(left, y, x, end)
      }
      if (out[row + x]! >>> 24 < SOLID_ALPHA) setRun(gone, y, x, end)
      x = end
    }
  }
  const restore = (y: number, from: number, to: number): void => {
    const row = y * width
    for (let i = row + from; i < row + to; i++) out[i] = before[i]!
    for (let x = from; x < to; x++) if (before[row + x]! >>> 24 >= SOLID_ALPHA) setRun(left, y, x, x + 1)
  }
  if (settings.reach === 'from-outside') closeInner(gone, restore)
  let specksCleared = 0
  let openingsClosed = 0
  if (settings.specks === 'clear' && settings.speckPx > 0) {
    const openings = copyMask(solid)
    for (let i = 0; i < openings.bits.length; i++) openings.bits[i]! &= ~left.bits[i]!
    for (const patch of smallPatches(openings, settings.speckPx)) {
      openingsClosed++
      takePatch(openings, patch.seed, 8, restore)
    }
    const pieces = copyMask(left)
    for (const patch of smallPatches(left, settings.speckPx)) {
      specksCleared++
      takePatch(pieces, patch.seed, 8, (y, from, to) => out.fill(0, y * width + from, y * width + to))
    }
  }
  const result: Raster = { width, height, data: new Uint8Array(out.buffer) }
  return {
    raster: result,
    before: inkFigures(inkBefore, solid),
    after: figuresOf(result),
    specksCleared,
    openingsClosed,
  }
}

const inkFigures = (ink: number, solid: Mask): InkFigures => ({
  inkPx: ink / 255,
  largestPx: largestPatch(solid).largest?.area ?? 0,
  widestPx: widestPen(solid),
})

/** The figures of a picture. */
export function figuresOf(raster: Raster): InkFigures {
  const words = pixelWords(raster)
  let ink = 0
  for (let i = 0; i < words.length; i++) ink += words[i]! >>> 24
  return inkFigures(ink, solidOf(raster))
}

/** The solid pixels of a picture. */
export function solidOf(raster: Raster): Mask {
  const words = pixelWords(raster)
  const mask = emptyMask(raster.width, raster.height)
  for (let y = 0, row = 0; y < raster.height; y++, row += raster.width) {
    let from = -1
    for (let x = 0; x < raster.width; x++) {
      const solid = words[row + x]! >>> 24 >= SOLID_ALPHA
      if (solid && from < 0) from = x
      if (!solid && from >= 0) {
        setRun(mask, y, from, x)
        from = -1
      }
    }
    if (from >= 0) setRun(mask, y, from, raster.width)
  }
  return mask
}

/** Gives back every knocked-out patch that does not reach the edge of the canvas. */
function closeInner(gone: Mask, restore: (y: number, from: number, to: number) => void): void {
  const inner: { x: number; y: number }[] = []
  eachPatch(gone, 4, (_area, x0, y0, x1, y1, x, y) => {
    if (x0 > 0 && y0 > 0 && x1 < gone.width - 1 && y1 < gone.height - 1) inner.push({ x, y })
  })
  for (const seed of inner) takePatch(gone, seed, 4, restore)
}

/** A pixel with less ink in the colour that, over the cloth, still gives what was drawn. */
function thinned(word: number, stays: number, garment: Rgb): number {
  const alpha = (((word >>> 24) * stays + 127) / 255) | 0
  if (alpha === 0) return 0
  const worked = (seen: number, cloth: number): number =>
    Math.max(0, Math.min(255, Math.round(cloth + ((seen - cloth) * 255) / stays)))
  const r = worked(word & 255, garment[0])
  const g = worked((word >>> 8) & 255, garment[1])
  const b = worked((word >>> 16) & 255, garment[2])
  return ((alpha << 24) | (b << 16) | (g << 8) | r) >>> 0
}
