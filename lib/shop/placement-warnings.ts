import { type BlankKind, hasCollar, outlineOf, type Size } from './blanks'
import { armholeAt, featuresOf, hemBelow, overlapOf, sleeveOf } from './garment-features'
import { METHODS, type MethodId } from './methods'
import { checkPlacement, PLACEMENT, type PlacementId } from './placements'
import { fitsBed, STATION_WORDS, type Station, type StationKind } from './stations'

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
 * What stands in the way of a print where it is placed: too large for its place; over a seam, edge, pocket, zip, placket or cuff,
 * said once for the first size it happens on; larger than the bed of every machine that could print it. One sentence each; none when it fits.
 * @param method null while none is chosen: then the beds of every method here count
 * @param style the style's name: a zip or a pocket in it is looked out for
 */
export function placementWarnings(
  print: PlacedPrint,
  kind: BlankKind,
  sizes: readonly Size[],
  method: MethodId | null,
  stations: readonly Pick<Station, 'kind' | 'bedWidthMm' | 'bedHeightMm'>[],
  style = '',
): string[] {
  const said: string[] = []
  const fits = checkPlacement(print.placement, kind, sizes, print.widthMm, print.heightMm)
  if (!fits.ok) said.push(fits.message)
  const { side } = PLACEMENT[print.placement]
  const told = new Set<string>()
  for (const size of sizes)
    for (const { over, by, remedy } of side === 'sleeve'
      ? onSleeve(print, kind, size)
      : onBody(print, kind, size, side, style)) {
      if (told.has(over)) continue
      told.add(over)
      said.push(
        `On size ${size} it ${by === null ? 'lies across' : `runs ${Math.round(by)} mm over`} ${over}: ${remedy}.`,
      )
    }
  const outgrown = (machine: StationKind): boolean => {
    const beds = stations.filter(s => s.kind === machine)
    return beds.length > 0 && !beds.some(s => fitsBed(s, print.widthMm, print.heightMm))
  }
  const size = `${Math.round(print.widthMm)} × ${Math.round(print.heightMm)} mm`
  const remedy = 'print smaller, in two parts, or have it made outside'
  if (method) {
    for (const machine of MACHINES[method].filter(outgrown))
      said.push(`${size} is larger than the bed of every ${STATION_WORDS[machine].name}: ${remedy}.`)
    return said
  }
  const here = METHODS.filter(m => MACHINES[m].some(kind => stations.some(s => s.kind === kind)))
  if (here.length > 0 && here.every(m => MACHINES[m].some(outgrown)))
    said.push(`${size} is larger than the bed of every machine here: ${remedy}.`)
  return said
}

/** A part that the print runs over, by so many mm; null: right across. */
type Crossed = { over: string; by: number | null; remedy: string }

/** Less than this is within what a hand places by, mm. */
const WITHIN_MM = 0.5

function onBody(
  print: PlacedPrint,
  kind: BlankKind,
  size: Size,
  side: 'front' | 'back' | 'whole',
  style: string,
): Crossed[] {
  const { widthMm, collarToHemMm } = outlineOf(kind, size)
  const crossed: Crossed[] = []
  const past = (over: string, by: number, remedy: string): void => {
    if (by > WITHIN_MM) crossed.push({ over, by, remedy })
  }
  const [left, right] = [print.offsetMm - print.widthMm / 2, print.offsetMm + print.widthMm / 2]
  const [top, bottom] = [print.dropMm, print.dropMm + print.heightMm]
  const out = Math.max(-left, right)
  const worn = hasCollar(kind)
  const end = side === 'back' && worn ? hemBelow('back', collarToHemMm) : collarToHemMm
  past(
    side === 'whole' ? 'the end of the printed face' : worn ? 'the side seam' : 'the side edge',
    out - widthMm / 2,
    'move it in, or print smaller',
  )
  past(
    side === 'whole' ? 'the foot' : kind === 'apron' ? 'the end of the bib' : 'the hem',
    bottom - end,
    'move it up, or print smaller',
  )
  past(worn ? 'the collar seam' : 'the upper edge', -top, 'move it down')
  if (side !== 'whole' && out <= widthMm / 2) {
    const armhole = armholeAt(kind, size, side, Math.max(0, top))
    if (armhole !== null)
      past(
        kind === 'tank' ? 'the armhole’s edge' : 'the armhole seam',
        out - armhole,
        'move it down or in, or print smaller',
      )
  }
  for (const feature of featuresOf(kind, size, style)) {
    if (feature.side !== side) continue
    const common = overlapOf(feature.outline, { left, top, right, bottom })
    if (!common) continue
    const across =
      left < Math.min(...feature.outline.map(p => p[0])) &&
      right > Math.max(...feature.outline.map(p => p[0]))
    const narrow = feature.kind === 'zip' || feature.kind === 'placket'
    // Of a long narrow part it counts how far the print must move aside; of others the shorter way out.
    const by = narrow ? (across ? null : common.width) : Math.min(common.width, common.height)
    if (by === null || by > WITHIN_MM) crossed.push({ over: feature.name, by, remedy: feature.remedy })
  }
  return crossed
}

/** Drops on a sleeve are measured up from its hem. */
function onSleeve(print: PlacedPrint, kind: BlankKind, size: Size): Crossed[] {
  const sleeve = sleeveOf(kind, size)
  if (!sleeve) return []
  const crossed: Crossed[] = []
  const past = (over: string, by: number, remedy: string): void => {
    if (by > WITHIN_MM) crossed.push({ over, by, remedy })
  }
  past(
    'the sleeve’s folded edge',
    Math.abs(print.offsetMm) + print.widthMm / 2 - sleeve.openingMm / 2,
    'move it in, or print narrower',
  )
  past(
    sleeve.ribbed ? 'the ribbed cuff' : 'the sleeve’s hem stitching',
    sleeve.cuffMm - print.dropMm,
    'move it up the sleeve',
  )
  past(
    'the armhole seam',
    print.dropMm + print.heightMm - sleeve.lengthMm,
    'move it toward the hem, or print smaller',
  )
  return crossed
}
