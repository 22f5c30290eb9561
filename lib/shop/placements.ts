import { z } from 'zod'
import { fromInches, type Mm, mm } from '@/lib/units/measure'
import { ok, type Result, refuse } from '@/lib/units/result'
import { type BlankKind, hasCollar, isYouth, outlineOf, SIZES, type Size } from './blanks'
import { isRibbed, RIB_MM } from './garment-features'
import { practice, published, type Sourced } from './sourced'

export const PLACEMENTS = [
  'full-front',
  'centre-chest',
  'left-chest',
  'full-back',
  'upper-back',
  'sleeve',
  'nape',
  'bag-front',
  'wrap',
  'face',
] as const
export type PlacementId = (typeof PLACEMENTS)[number]
export const placementSchema = z.enum(PLACEMENTS)

/** Size and drop of a print, mm. */
export type PlacementSize = {
  /** The usual width. */
  width: Sourced<Mm>
  maxWidth: Sourced<Mm>
  maxHeight: Sourced<Mm>
  /** From the collar seam (front or back), the sleeve hem or the upper edge down to the top of the art. */
  drop: Sourced<Mm>
}
export type Placement = {
  id: PlacementId
  name: string
  side: 'front' | 'back' | 'sleeve' | 'whole'
  /** Left or right of the centre line as worn, mm toward the wearer's left. */
  offsetMm: number
  measuredFrom: string
  kinds: readonly BlankKind[]
  adult: PlacementSize
  youth: PlacementSize
}

/**
 * Three fingers held together, the shop's gauge from collar seam to the top of the art: about 2¼ in.
 * Common shop practice, no published source; it lies within the published 2 to 3.5 in.
 */
export const THREE_FINGERS: Sourced<Mm> = practice(
  mm(57),
  'common shop practice: three fingers’ width, about 57 mm',
)

const TRANSFER_GUIDE = 'transfer maker’s placement guide, 2025'
const PRINTER_GUIDE = 'contract printer’s placement guide, 2025'
const CHART = 'garment placement chart, 2024'
const inches = (n: number, source: string) => published(fromInches(n), source)
const usual = (n: number) => practice(fromInches(n))

const GARMENTS: readonly BlankKind[] = ['tee', 'long-sleeve', 'sweatshirt', 'hoodie', 'polo', 'tank']
const SLEEVED: readonly BlankKind[] = ['tee', 'long-sleeve', 'sweatshirt', 'hoodie', 'polo']

export const PLACEMENT: Record<PlacementId, Placement> = {
  'full-front': {
    id: 'full-front',
    name: 'Full front',
    side: 'front',
    offsetMm: 0,
    measuredFrom: 'below the collar seam',
    kinds: GARMENTS,
    adult: {
      width: inches(12, TRANSFER_GUIDE),
      maxWidth: inches(14, TRANSFER_GUIDE),
      maxHeight: inches(17, TRANSFER_GUIDE),
      drop: THREE_FINGERS,
    },
    youth: {
      width: inches(8.5, CHART),
      maxWidth: inches(9.5, CHART),
      maxHeight: inches(12, CHART),
      drop: inches(2.5, CHART),
    },
  },
  'centre-chest': {
    id: 'centre-chest',
    name: 'Centre chest',
    side: 'front',
    offsetMm: 0,
    measuredFrom: 'below the collar seam',
    kinds: GARMENTS,
    adult: {
      width: inches(7, PRINTER_GUIDE),
      maxWidth: inches(8, PRINTER_GUIDE),
      maxHeight: usual(8),
      drop: inches(3, PRINTER_GUIDE),
    },
    youth: {
      width: inches(6.5, CHART),
      maxWidth: inches(8.5, CHART),
      maxHeight: usual(7),
      drop: inches(2, CHART),
    },
  },
  'left-chest': {
    id: 'left-chest',
    name: 'Left chest',
    side: 'front',
    offsetMm: 100,
    measuredFrom: 'below the collar seam',
    kinds: GARMENTS,
    adult: {
      width: inches(3.5, TRANSFER_GUIDE),
      maxWidth: inches(4, TRANSFER_GUIDE),
      maxHeight: inches(4, TRANSFER_GUIDE),
      drop: published(mm(85), 'garment placement chart, 2024: 7 to 10 cm'),
    },
    youth: {
      width: inches(2.5, CHART),
      maxWidth: inches(3, CHART),
      maxHeight: inches(3, CHART),
      drop: usual(2.5),
    },
  },
  'full-back': {
    id: 'full-back',
    name: 'Full back',
    side: 'back',
    offsetMm: 0,
    measuredFrom: 'below the back collar seam',
    kinds: GARMENTS,
    adult: {
      width: inches(12, PRINTER_GUIDE),
      maxWidth: inches(14, PRINTER_GUIDE),
      maxHeight: usual(17),
      drop: inches(3.5, PRINTER_GUIDE),
    },
    youth: {
      width: inches(8.5, CHART),
      maxWidth: inches(9.5, CHART),
      maxHeight: inches(12, CHART),
      drop: usual(3),
    },
  },
  'upper-back': {
    id: 'upper-back',
    name: 'Upper back',
    side: 'back',
    offsetMm: 0,
    measuredFrom: 'below the back collar seam',
    kinds: GARMENTS,
    adult: { width: usual(10), maxWidth: usual(12), maxHeight: usual(5), drop: usual(2.5) },
    youth: { width: usual(7.5), maxWidth: usual(9), maxHeight: usual(4), drop: usual(2) },
  },
  sleeve: {
    id: 'sleeve',
    name: 'Sleeve',
    side: 'sleeve',
    offsetMm: 0,
    measuredFrom: 'above the sleeve hem',
    kinds: SLEEVED,
    adult: {
      width: inches(3, TRANSFER_GUIDE),
      maxWidth: inches(4, TRANSFER_GUIDE),
      maxHeight: inches(4, TRANSFER_GUIDE),
      drop: usual(1),
    },
    youth: { width: usual(2), maxWidth: usual(2.5), maxHeight: usual(2.5), drop: usual(0.75) },
  },
  nape: {
    id: 'nape',
    name: 'Nape',
    side: 'back',
    offsetMm: 0,
    measuredFrom: 'below the back collar seam',
    kinds: GARMENTS,
    adult: {
      width: inches(2, PRINTER_GUIDE),
      maxWidth: inches(3, PRINTER_GUIDE),
      maxHeight: inches(3, PRINTER_GUIDE),
      drop: usual(0.75),
    },
    youth: { width: usual(1.5), maxWidth: usual(2), maxHeight: usual(2), drop: usual(0.5) },
  },
  'bag-front': {
    id: 'bag-front',
    name: 'Bag or apron front',
    side: 'front',
    offsetMm: 0,
    measuredFrom: 'below the upper edge',
    kinds: ['tote', 'apron'],
    adult: { width: usual(9), maxWidth: usual(11), maxHeight: usual(12), drop: usual(3) },
    youth: { width: usual(9), maxWidth: usual(11), maxHeight: usual(12), drop: usual(3) },
  },
  wrap: {
    id: 'wrap',
    name: 'Wrap',
    side: 'whole',
    offsetMm: 0,
    measuredFrom: 'below the rim',
    kinds: ['mug', 'bottle', 'sock'],
    adult: {
      width: practice(mm(200)),
      maxWidth: practice(mm(220)),
      maxHeight: practice(mm(90)),
      drop: practice(mm(5)),
    },
    youth: {
      width: practice(mm(200)),
      maxWidth: practice(mm(220)),
      maxHeight: practice(mm(90)),
      drop: practice(mm(5)),
    },
  },
  face: {
    id: 'face',
    name: 'Face',
    side: 'whole',
    offsetMm: 0,
    measuredFrom: 'below the rim',
    kinds: ['plate'],
    adult: {
      width: practice(mm(140)),
      maxWidth: practice(mm(190)),
      maxHeight: practice(mm(190)),
      drop: practice(mm(20)),
    },
    youth: {
      width: practice(mm(140)),
      maxWidth: practice(mm(190)),
      maxHeight: practice(mm(190)),
      drop: practice(mm(20)),
    },
  },
}

/** Placements that a kind of blank offers, the usual one first. */
export const placementsFor = (kind: BlankKind): Placement[] =>
  PLACEMENTS.map(id => PLACEMENT[id]).filter(p => p.kinds.includes(kind))

const DROP_STEP_MM = 6.35
const WIDTH_STEP_MM = 12.7

/**
 * Where a print sits on one size, mm. From M, each size step moves the drop by a quarter inch and the usual width by half an
 * inch (common shop practice); the limits stay, and nothing is wider than the garment less 50 mm. A ribbed cuff is cleared first.
 */
export function placementOn(
  id: PlacementId,
  kind: BlankKind,
  size: Size,
): { widthMm: Mm; maxWidthMm: Mm; maxHeightMm: Mm; dropMm: Mm } {
  const guide = PLACEMENT[id]
  const sizes = isYouth(size) ? guide.youth : guide.adult
  const outline = outlineOf(kind, size)
  const graded = hasCollar(kind) && size !== 'One size' && guide.side !== 'sleeve'
  const steps = graded ? SIZES.indexOf(size) - SIZES.indexOf(isYouth(size) ? 'YM' : 'M') : 0
  const room =
    guide.side === 'front' || guide.side === 'back' ? Math.max(20, outline.widthMm - 50) : outline.widthMm
  const maxWidth = Math.min(sizes.maxWidth.value, room)
  const cuff = guide.side === 'sleeve' && isRibbed(kind) ? RIB_MM : 0
  const drop = cuff + Math.max(Math.min(12.7, sizes.drop.value), sizes.drop.value + steps * DROP_STEP_MM)
  return {
    widthMm: mm(
      Math.min(maxWidth, Math.max(sizes.width.value / 2, sizes.width.value + steps * WIDTH_STEP_MM)),
    ),
    maxWidthMm: mm(maxWidth),
    maxHeightMm: mm(
      Math.min(
        sizes.maxHeight.value,
        Math.max(20, outline.collarToHemMm - drop - (guide.side === 'whole' ? 3 : 20)),
      ),
    ),
    dropMm: mm(drop),
  }
}

/**
 * Whether every blank of the run is large enough to carry the print at all, mm: the placement exists on it, and the print is no
 * wider or taller than the blank itself. What the placement guide advises is `checkPlacement`.
 */
export function fitsBlank(
  id: PlacementId,
  kind: BlankKind,
  sizes: readonly Size[],
  widthMm: number,
  heightMm: number,
): Result<null> {
  const no = refuseSense(id, kind, widthMm, heightMm)
  if (no) return no
  for (const size of sizes) {
    const outline = outlineOf(kind, size)
    if (widthMm > outline.widthMm || heightMm > outline.collarToHemMm)
      return refuse(
        'print-off-blank',
        `${Math.round(widthMm)} × ${Math.round(heightMm)} mm is larger than size ${size} itself (${outline.widthMm} × ${outline.collarToHemMm} mm). Print smaller, or give that size its own art.`,
        widthMm > outline.widthMm ? 'width' : 'height',
      )
  }
  return ok(null)
}

function refuseSense(id: PlacementId, kind: BlankKind, widthMm: number, heightMm: number) {
  const guide = PLACEMENT[id]
  if (!guide.kinds.includes(kind))
    return refuse(
      'placement-kind',
      `${guide.name} is no placement on this blank: choose another.`,
      'placement',
    )
  if (!(widthMm > 0) || !(heightMm > 0))
    return refuse('print-size', 'The print needs a width and a height above 0 mm.', 'width')
  return null
}

/**
 * Whether a print of this size belongs at the placement on every size of the run by the placement guide, mm. The smallest size decides; the refusal
 * names it and what would fit.
 */
export function checkPlacement(
  id: PlacementId,
  kind: BlankKind,
  sizes: readonly Size[],
  widthMm: number,
  heightMm: number,
): Result<null> {
  const no = refuseSense(id, kind, widthMm, heightMm)
  if (no) return no
  const guide = PLACEMENT[id]
  for (const size of sizes) {
    const limit = placementOn(id, kind, size)
    if (widthMm > limit.maxWidthMm + 0.05)
      return refuse(
        'print-too-wide',
        `${Math.round(widthMm)} mm is too wide for ${guide.name.toLowerCase()} on size ${size}: at most ${Math.floor(limit.maxWidthMm)} mm by the placement guide. Print smaller, or give that size its own art.`,
        'width',
      )
    if (heightMm > limit.maxHeightMm + 0.05)
      return refuse(
        'print-too-tall',
        `${Math.round(heightMm)} mm is too tall for ${guide.name.toLowerCase()} on size ${size}: at most ${Math.floor(limit.maxHeightMm)} mm by the placement guide. Print smaller, or give that size its own art.`,
        'height',
      )
  }
  return ok(null)
}
