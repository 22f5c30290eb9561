import { eachPatch, takePatch } from './components'
import { cellThresholds, eachCellPoint, type Screen } from './halftone'
import { solidOf } from './knockout'
import { copyMask, emptyMask, isSet, type Mask, setRun } from './mask'
import { eroded } from './morphology'
import { pixelWords, type Raster } from './raster'

/** Beyond this share a film no longer hangs together. */
export const MOST_OPEN = 0.6

/** Small openings through large solids, for feel and drape. */
export type OpeningSettings = {
  screen: Screen
  /** Share of the patch that is opened, 0 to MOST_OPEN. */
  share: number
  /** Only patches of at least this many pixels are opened. */
  fromPx: number
  /** Pixels of unbroken ink kept along every outline. */
  rimPx: number
}

/** The picture with its large solid patches opened up by a halftone of holes; outlines stay whole. */
export function brokenUp(raster: Raster, ppi: number, settings: OpeningSettings): Raster {
  if (!(settings.share >= 0 && settings.share <= MOST_OPEN))
    throw new RangeError('A solid can be opened by 0 to 60 %.')
  const solid = solidOf(raster)
  const inside = eroded(largePatches(solid, settings.fromPx), settings.rimPx)
  const words = pixelWords(raster).slice()
  const thresholds = cellThresholds(settings.screen.shape)
  const { width, height } = raster
  eachCellPoint(width, height, ppi, settings.screen, (i, cell) => {
    if (thresholds[cell]! < settings.share && isSet(inside, i % width, (i / width) | 0)) words[i] = 0
  })
  return { width, height, data: new Uint8Array(words.buffer) }
}

function largePatches(mask: Mask, from: number): Mask {
  const seeds: { x: number; y: number }[] = []
  eachPatch(mask, 8, (area, _x0, _y0, _x1, _y1, x, y) => {
    if (area >= from) seeds.push({ x, y })
  })
  const rest = copyMask(mask)
  const out = emptyMask(mask.width, mask.height)
  for (const seed of seeds) takePatch(rest, seed, 8, (y, a, b) => setRun(out, y, a, b))
  return out
}
