import { type BlankKind, outlineOf, type Size } from './blanks'

/** A corner, mm: x from the centre line toward the wearer's left, y down from where drops are measured. */
export type Point = readonly [x: number, y: number]

/** A part of the garment that a print should not run over. */
export type GarmentFeature = {
  kind: 'placket' | 'zip' | 'pocket' | 'hood' | 'waistband' | 'top-hem' | 'handle'
  /** Within a sentence: "the front pocket". */
  name: string
  side: 'front' | 'back' | 'whole'
  /** Its outline as a convex polygon. */
  outline: readonly Point[]
  /** Why it matters and what to do, as the end of a sentence. */
  remedy: string
}

/** A sleeve laid flat, mm. */
export type SleeveShape = {
  /** Across at the hem. */
  openingMm: number
  /** From the hem up to the armhole seam along the middle. */
  lengthMm: number
  /** Ribbed cuff, or the turned hem and its stitching. */
  cuffMm: number
  ribbed: boolean
}

/** From the highest shoulder point down to the collar seam in front, and in the back, mm. Common practice. */
export const SHOULDER_MM = { front: 95, back: 20 } as const
/** Depth of knitted ribs at hem and cuffs, and of a turned and stitched hem on a sleeve, mm. Common practice. */
export const RIB_MM = 62
const STITCHED_HEM_MM = 19

const RIBBED: readonly BlankKind[] = ['sweatshirt', 'hoodie']
const LONG: readonly BlankKind[] = ['long-sleeve', 'sweatshirt', 'hoodie']
const SLEEVED: readonly BlankKind[] = ['tee', 'polo', ...LONG]
/** Whether a garment ends in a ribbed band at hem and cuffs, where no print holds. */
export const isRibbed = (kind: BlankKind): boolean => RIBBED.includes(kind)

const box = (left: number, top: number, right: number, bottom: number): Point[] => [
  [left, top],
  [right, top],
  [right, bottom],
  [left, bottom],
]

/** Half the width of a zip with its tape and stitching, and of a placket, mm. Common practice. */
const ZIP_HALF_MM = 15
const PLACKET_HALF_MM = 18
const PLACKET_LENGTH_MM = 140
/** Zips of pullovers end here, mm below the collar. Common practice. */
const SHORT_ZIP_MM = { quarter: 180, half: 280 } as const
/** Chest pocket of a tee: its middle stands 100 mm to the wearer's left. Common practice; measure the real one. */
const CHEST_POCKET = { offset: 100, top: 95, width: 115, height: 135 } as const

/**
 * What is sewn on or into a blank, by its kind and by what its style's name says (zip, pocket). Proportions follow usual flat
 * measures (common practice, no source): measure the real garment before a tight print.
 */
export function featuresOf(kind: BlankKind, size: Size, style = ''): GarmentFeature[] {
  const { widthMm: w, collarToHemMm: hem } = outlineOf(kind, size)
  const found: GarmentFeature[] = []
  const zip = zipLength(kind, style, hem)
  if (zip !== null)
    found.push({
      kind: 'zip',
      name: 'the zip',
      side: 'front',
      outline: box(-ZIP_HALF_MM, 0, ZIP_HALF_MM, zip),
      remedy: 'print beside it, or on the back',
    })
  if (kind === 'polo')
    found.push({
      kind: 'placket',
      name: 'the button placket',
      side: 'front',
      outline: box(-PLACKET_HALF_MM, 0, PLACKET_HALF_MM, PLACKET_LENGTH_MM),
      remedy: 'print beside it, on the chest',
    })
  if (kind === 'hoodie') {
    const top = hem - RIB_MM - w * 0.36
    found.push({
      kind: 'pocket',
      name: 'the front pocket',
      side: 'front',
      outline: [
        [-w * 0.19, top],
        [w * 0.19, top],
        [w * 0.31, top + w * 0.17],
        [w * 0.31, hem - RIB_MM],
        [-w * 0.31, hem - RIB_MM],
        [-w * 0.31, top + w * 0.17],
      ],
      remedy: 'end the print above it, or print smaller',
    })
    found.push({
      kind: 'hood',
      name: 'the hanging hood',
      side: 'back',
      outline: box(-w * 0.2, 0, w * 0.2, w * 0.32),
      remedy: 'start the print below it, or it is hidden while the hood hangs',
    })
  }
  if (isRibbed(kind))
    for (const side of ['front', 'back'] as const) {
      const end = hemBelow(side, hem)
      found.push({
        kind: 'waistband',
        name: 'the ribbed waistband',
        side,
        outline: box(-w / 2, end - RIB_MM, w / 2, end),
        remedy: 'move it up, or print smaller',
      })
    }
  if (/pocket/i.test(style) && (kind === 'tee' || kind === 'long-sleeve' || kind === 'polo')) {
    const { offset, top, width, height } = CHEST_POCKET
    found.push({
      kind: 'pocket',
      name: 'the chest pocket',
      side: 'front',
      outline: box(offset - width / 2, top, offset + width / 2, top + height),
      remedy: 'print on the other side, or above it',
    })
  }
  if (kind === 'tote' || kind === 'apron')
    found.push({
      kind: 'top-hem',
      name: 'the stitched upper hem',
      side: 'front',
      outline: box(-w / 2, 0, w / 2, kind === 'tote' ? 28 : 24),
      remedy: 'move it down',
    })
  if (kind === 'mug')
    for (const s of [1, -1])
      found.push({
        kind: 'handle',
        name: 'the handle',
        side: 'whole',
        outline: box(
          Math.min(s * (w / 2 - 10), (s * w) / 2),
          0,
          Math.max(s * (w / 2 - 10), (s * w) / 2),
          hem,
        ),
        remedy: 'keep the wrap 10 mm clear of it on both sides',
      })
  return found
}

function zipLength(kind: BlankKind, style: string, hem: number): number | null {
  if (!LONG.includes(kind) || !/\bzip/i.test(style)) return null
  if (/(quarter|¼|1\/4)[- ]?zip/i.test(style)) return SHORT_ZIP_MM.quarter
  if (/(half|½|1\/2)[- ]?zip/i.test(style)) return SHORT_ZIP_MM.half
  return hem
}

/** The hem below the back collar lies lower than below the front one, for the back collar stands higher. */
export const hemBelow = (side: 'front' | 'back', collarToHemMm: number): number =>
  collarToHemMm + (side === 'back' ? SHOULDER_MM.front - SHOULDER_MM.back : 0)

/** The sleeve of a kind of garment in a size; null where it has none. Proportions as of the drawn garment. */
export function sleeveOf(kind: BlankKind, size: Size): SleeveShape | null {
  if (!SLEEVED.includes(kind)) return null
  const { widthMm: w } = outlineOf(kind, size)
  const long = LONG.includes(kind)
  const reach = (long ? 1.16 : 0.43) * w
  const [dx, dy] = long ? [0.42, 0.9075] : [0.845, 0.535]
  const opening = w * (long ? 0.19 : 0.33)
  // From the middle of the hem back along the sleeve until the straight line from shoulder to underarm is met.
  const middle = [dx * reach - (dy * opening) / 2, dy * reach + (dx * opening) / 2] as const
  const underarm = [0.07 * w, 0.385 * w] as const
  const lengthMm = (middle[0] * underarm[1] - middle[1] * underarm[0]) / (dx * underarm[1] - dy * underarm[0])
  return {
    openingMm: Math.round(opening),
    lengthMm: Math.round(lengthMm),
    cuffMm: isRibbed(kind) ? RIB_MM : STITCHED_HEM_MM,
    ribbed: isRibbed(kind),
  }
}

/** How far from the centre line the armhole seam (on a tank its edge) stands at a height, mm; null below the underarm. */
export function armholeAt(kind: BlankKind, size: Size, side: 'front' | 'back', y: number): number | null {
  const { widthMm: w } = outlineOf(kind, size)
  const high = -SHOULDER_MM[side]
  const underarm = high + w * 0.47
  if ((!SLEEVED.includes(kind) && kind !== 'tank') || y >= underarm) return null
  const top = high + w * 0.085
  const curve: readonly Point[] =
    kind === 'tank'
      ? [
          [w * 0.265, top],
          [w * 0.265 - 8, underarm - w * 0.12],
          [w * 0.4, underarm],
          [w / 2, underarm],
        ]
      : [
          [w * 0.43, top],
          [w * 0.39, top + w * 0.14],
          [w * 0.44, underarm - w * 0.06],
          [w / 2, underarm],
        ]
  const [a, b, c, d] = curve as [Point, Point, Point, Point]
  const at = (i: 0 | 1, t: number): number =>
    (1 - t) ** 3 * a[i] + 3 * t * (1 - t) ** 2 * b[i] + 3 * t * t * (1 - t) * c[i] + t ** 3 * d[i]
  let [from, to] = [0, 1]
  // The curve only falls: halving finds its height.
  for (let i = 0; i < 30; i++) {
    const t = (from + to) / 2
    if (at(1, t) < y) from = t
    else to = t
  }
  return at(0, from)
}

/** How much of a rectangle lies on a convex polygon, as width and height of the part in common, mm; null when nothing does. */
export function overlapOf(
  outline: readonly Point[],
  rect: { left: number; top: number; right: number; bottom: number },
): { width: number; height: number } | null {
  const cuts: [axis: 0 | 1, sign: 1 | -1, at: number][] = [
    [0, 1, rect.left],
    [0, -1, rect.right],
    [1, 1, rect.top],
    [1, -1, rect.bottom],
  ]
  let part: Point[] = [...outline]
  for (const [axis, sign, at] of cuts) {
    const inside = (p: Point): boolean => sign * (p[axis] - at) >= 0
    part = part.flatMap((p, i) => {
      const q = part[(i + 1) % part.length] ?? p
      const t = (at - p[axis]) / (q[axis] - p[axis])
      const crossing: Point = [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]
      return [...(inside(p) ? [p] : []), ...(inside(p) !== inside(q) ? [crossing] : [])]
    })
  }
  if (part.length === 0) return null
  const span = (axis: 0 | 1): number =>
    Math.max(...part.map(p => p[axis])) - Math.min(...part.map(p => p[axis]))
  const [width, height] = [span(0), span(1)]
  return width > 0.5 && height > 0.5 ? { width, height } : null
}
