import { type BlankKind, compareSizes, type Size } from '@/lib/shop/blanks'
import { type PlacedPrint, placementWarnings } from '@/lib/shop/placement-warnings'
import { type PlacementId, placementOn } from '@/lib/shop/placements'
import type { PrintToMake } from './print-files'

/** From one garment size to another, both included: the width the print has there, mm. */
export type SizeRule = { from: Size; to: Size; widthMm: number }

/** Garment sizes that share one print size, mm, and their name: "S-L", "YM", "XS, 2XL". */
export type SizeRange = { sizes: Size[]; label: string; widthMm: number; heightMm: number }

/** How large a print is on one garment size, mm: the first rule that holds the size gives its width, else its own width. */
export function sizeOf(
  print: { widthMm: number; heightMm: number },
  size: Size,
  rules: readonly SizeRule[],
): { widthMm: number; heightMm: number } {
  const rule = rules.find(r => compareSizes(r.from, size) <= 0 && compareSizes(size, r.to) <= 0)
  return rule ? scaled(print, rule.widthMm) : { widthMm: print.widthMm, heightMm: print.heightMm }
}

/** A print at another width. Its height keeps the proportions, to a tenth of a millimetre. */
const scaled = (print: { widthMm: number; heightMm: number }, widthMm: number) => ({
  widthMm,
  heightMm: Math.round((10 * print.heightMm * widthMm) / print.widthMm) / 10,
})

/**
 * The distinct sizes of a print over the garment sizes ordered: the first rule that holds a size gives its width, and the print's
 * own width where none does. Heights keep the print's proportions, to a tenth of a millimetre. One range per distinct width,
 * smallest garment first.
 */
export function sizeRanges(
  print: { widthMm: number; heightMm: number },
  sizes: readonly Size[],
  rules: readonly SizeRule[],
): SizeRange[] {
  const byWidth = new Map<number, Size[]>()
  const ordered = [...new Set(sizes)].sort(compareSizes)
  for (const size of ordered) {
    const width = sizeOf(print, size, rules).widthMm
    byWidth.set(width, [...(byWidth.get(width) ?? []), size])
  }
  return [...byWidth].map(([widthMm, held]) => ({
    sizes: held,
    label: labelOf(held, ordered),
    ...scaled(print, widthMm),
  }))
}

/** Runs of neighbouring ordered sizes are written as a range. */
function labelOf(held: readonly Size[], ordered: readonly Size[]): string {
  const runs: Size[][] = []
  for (const size of held) {
    const run = runs.at(-1)
    const last = run?.at(-1)
    if (run && last && ordered.indexOf(size) === ordered.indexOf(last) + 1) run.push(size)
    else runs.push([size])
  }
  return runs.map(run => (run.length === 1 ? run[0] : `${run[0]}-${run.at(-1)}`)).join(', ')
}

/** Widths are proposed in whole steps of this, mm. */
const STEP_MM = 5

/**
 * Rules to begin with: where the placement guide allows a garment size less than the print's width or height, that size gets the
 * largest print in proportion that the guide allows, in whole 5 mm; neighbouring sizes of equal width make one rule. None when the
 * print fits every size.
 */
export function proposedRules(
  print: { widthMm: number; heightMm: number },
  placement: PlacementId,
  kind: BlankKind,
  sizes: readonly Size[],
): SizeRule[] {
  const rules: SizeRule[] = []
  let before: Size | null = null
  for (const size of [...new Set(sizes)].sort(compareSizes)) {
    const { maxWidthMm, maxHeightMm } = placementOn(placement, kind, size)
    const most = Math.min(maxWidthMm, (maxHeightMm * print.widthMm) / print.heightMm)
    const last = rules.at(-1)
    if (most < print.widthMm) {
      const widthMm = Math.max(STEP_MM, STEP_MM * Math.floor(most / STEP_MM))
      if (last && last.to === before && last.widthMm === widthMm) last.to = size
      else rules.push({ from: size, to: size, widthMm })
    }
    before = size
  }
  return rules
}

/**
 * A print as its files are made: once for each distinct width over the garment sizes, named by the sizes it is for; a single file
 * set without a size in its name where all are alike.
 */
export function printsBySize(
  print: PrintToMake,
  sizes: readonly Size[],
  rules: readonly SizeRule[],
): PrintToMake[] {
  const ranges = sizeRanges(print, sizes, rules)
  if (ranges.length <= 1) {
    const only = ranges[0]
    return [only ? { ...print, widthMm: only.widthMm, heightMm: only.heightMm } : print]
  }
  return ranges.map(({ label, widthMm, heightMm }) => ({ ...print, widthMm, heightMm, sizes: label }))
}

/**
 * What stands in the way of a print where it is placed, on every garment size at the size it has there; see placementWarnings().
 * The same sentence is said once.
 */
export function placedWarnings(
  print: PlacedPrint,
  rules: readonly SizeRule[],
  kind: BlankKind,
  sizes: readonly Size[],
  ...[method, stations, style]: RestOfWarnings
): string[] {
  const said = sizeRanges(print, sizes, rules).flatMap(({ sizes: held, widthMm, heightMm }) =>
    placementWarnings({ ...print, widthMm, heightMm }, kind, held, method, stations, style),
  )
  return [...new Set(said)]
}
type RestOfWarnings =
  Parameters<typeof placementWarnings> extends [unknown, unknown, unknown, ...infer Rest] ? Rest : never
