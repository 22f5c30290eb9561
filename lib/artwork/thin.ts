import { eachPatch } from './components'
import type { Mask } from './mask'
import { tooThinFor } from './morphology'
import type { PixelBox } from './raster'

/** A place where ink, or the gap between ink, is thinner than asked. */
export type ThinPlace = { box: PixelBox; area: number }

/** All thin places: how many, and the largest of them, largest first. */
export type ThinPlaces = { count: number; places: ThinPlace[] }

const MOST_SHOWN = 24
/**
 * A place counts when it is so many times longer than the limit is wide. Corners and wedges always taper to nothing:
 * one of 19° or more stays under this length.
 */
const LENGTHS = 3

/**
 * Ink that no octagon of `diameter` pixels fits into: lines thinner than that at any angle. What an opening shaves
 * off corners and tips is not counted (LENGTHS).
 */
export const thinInk = (mask: Mask, diameter: number): ThinPlaces => {
  if (diameter < 2) return { count: 0, places: [] }
  return longerThan(LENGTHS * diameter, tooThinFor(mask, diameter, false))
}

/** Gaps between ink that are narrower than `diameter` pixels. The space around the art is not a gap. */
export const thinGaps = (mask: Mask, diameter: number): ThinPlaces => {
  if (diameter < 2) return { count: 0, places: [] }
  return longerThan(LENGTHS * diameter, tooThinFor(mask, diameter, true))
}

function longerThan(length: number, { mask, busy }: ReturnType<typeof tooThinFor>): ThinPlaces {
  const places: ThinPlace[] = []
  let count = 0
  let floor = 0
  const take = (area: number, x0: number, y0: number, x1: number, y1: number): void => {
    if (Math.max(x1 - x0, y1 - y0) + 1 <= length) return
    count++
    if (places.length >= MOST_SHOWN && area <= floor) return
    places.push({ box: { x: x0, y: y0, width: x1 - x0 + 1, height: y1 - y0 + 1 }, area })
    if (places.length > 2 * MOST_SHOWN) {
      places.sort((p, q) => q.area - p.area)
      places.length = MOST_SHOWN
      floor = places[MOST_SHOWN - 1]!.area
    }
  }
  eachPatch(mask, 8, take, busy)
  places.sort((p, q) => q.area - p.area)
  if (places.length > MOST_SHOWN) places.length = MOST_SHOWN
  return { count, places }
}
