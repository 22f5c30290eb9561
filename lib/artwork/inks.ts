import { type Lab, labDistance, labOf, type Rgb, toHex } from './colour'
import { paletteOf } from './palette'
import type { SeparationMode } from './separate'
import { tonalInks } from './tonal-inks'

/** A spot ink as it stands on the shelf. */
export type Ink = { name: string; rgb: Rgb }

/** CIEDE2000 up to which an ink on the shelf is taken for a colour of the art, and a colour for the cloth itself. */
export const INK_MATCH = 5
const CLOTH_MATCH = 6

/** Inks for an artwork, and whether its tones are to be mixed from their dots. */
export type InkChoice = { inks: Ink[]; mode: SeparationMode }

/** Art is flat when its colours as spots miss it by less than this on average (CIEDE2000): soft edges, no more. */
const FLAT_RESIDUAL = 1
/** Tones are mixed only where that comes so much nearer than spots do. */
const WORTH_MIXING = 0.6

/**
 * The inks an artwork needs, most ink first: its dominant colours without those of the cloth, or, where it has tones,
 * the inks whose dots mix them best. Each goes under the name of the nearest ink on the shelf when that is a visible
 * match, else under its number and colour.
 * @param cells as a scan gives them
 * @param most how many at most
 */
export function inksFor(
  cells: Float64Array,
  faces: Uint32Array,
  garment: Rgb,
  shelf: readonly Ink[],
  most: number,
): InkChoice {
  const cloth = labOf(...garment)
  const palette = paletteOf(cells, faces, most + 1)
  const spots = palette.colours.filter(c => labDistance(c.lab, cloth) > CLOTH_MATCH).slice(0, most)
  if (palette.residual >= FLAT_RESIDUAL) {
    const tonal = tonalInks(cells, faces, garment, most)
    if (tonal.residual < WORTH_MIXING * palette.residual)
      return { inks: named(tonal.inks, shelf), mode: 'tonal' }
  }
  return {
    inks: named(
      spots.map(s => s.rgb),
      shelf,
    ),
    mode: 'flat',
  }
}

function named(colours: readonly Rgb[], shelf: readonly Ink[]): Ink[] {
  const free = [...shelf]
  return colours.map((rgb, i) => {
    const at = nearestInk(free, labOf(...rgb))
    return at < 0 ? { name: `Ink ${i + 1} ${toHex(rgb)}`, rgb } : free.splice(at, 1)[0]!
  })
}

function nearestInk(shelf: readonly Ink[], lab: Lab): number {
  let best = -1
  let least = INK_MATCH
  shelf.forEach((ink, i) => {
    const d = labDistance(lab, labOf(...ink.rgb))
    if (d <= least) {
      least = d
      best = i
    }
  })
  return best
}
