import { type BlankKind, outlineOf, type Size } from './blanks'
import type { MethodId } from './methods'
import { checkPlacement, PLACEMENT, type PlacementId } from './placements'
import { STATION_WORDS, type Station, type StationKind } from './stations'

/** A print on a blank, mm. */
export type PlacedPrint = {
  placement: PlacementId
  widthMm: number
  heightMm: number
  dropMm: number
  /** From the centre line. */
  offsetMm: number
}

/** Machines that a print passes, whose bed must take it. Film comes off a roll or from outside: its press decides. */
const MACHINES: Record<MethodId, readonly StationKind[]> = {
  transfer: ['heat-press'],
  sublimation: ['sublimation-printer', 'heat-press'],
  dtg: ['dtg-printer'],
  screen: ['screen-press'],
}

/**
 * What stands in the way of a print where it is placed: too large for its place, over the edge of the smallest garment, larger
 * than the bed of every machine that could print it. One sentence each; none when it fits.
 */
export function placementWarnings(
  print: PlacedPrint,
  kind: BlankKind,
  sizes: readonly Size[],
  method: MethodId,
  stations: readonly Pick<Station, 'kind' | 'bedWidthMm' | 'bedHeightMm'>[],
): string[] {
  const said: string[] = []
  const fits = checkPlacement(print.placement, kind, sizes, print.widthMm, print.heightMm)
  if (!fits.ok) said.push(fits.message)
  const { side } = PLACEMENT[print.placement]
  for (const size of side === 'front' || side === 'back' ? sizes : []) {
    const { widthMm, collarToHemMm } = outlineOf(kind, size)
    const aside = Math.round(Math.abs(print.offsetMm) + print.widthMm / 2 - widthMm / 2)
    const below = Math.round(print.dropMm + print.heightMm - collarToHemMm)
    if (aside > 0)
      said.push(`On size ${size} it runs ${aside} mm over the side seam: move it in, or print smaller.`)
    if (below > 0)
      said.push(`On size ${size} it runs ${below} mm over the hem: move it up, or print smaller.`)
    if (aside > 0 || below > 0) break
  }
  for (const machine of MACHINES[method]) {
    const beds = stations.filter(s => s.kind === machine)
    const held = beds.some(
      ({ bedWidthMm, bedHeightMm }) =>
        print.widthMm <= (bedWidthMm ?? Number.POSITIVE_INFINITY) &&
        print.heightMm <= (bedHeightMm ?? Number.POSITIVE_INFINITY),
    )
    if (beds.length > 0 && !held)
      said.push(
        `${Math.round(print.widthMm)} × ${Math.round(print.heightMm)} mm is larger than the bed of every ${STATION_WORDS[machine].name}: print smaller, in two parts, or have it made outside.`,
      )
  }
  return said
}
