import type { MethodId } from '@/lib/shop/methods'

/** The four ways of printing. */
export type ArtMethod = MethodId

/** What a method can hold of fine detail, and how large a solid patch may grow before it is felt. */
export type ArtLimits = {
  /** Thinnest line of ink that holds, mm. */
  lineMm: number
  /** Narrowest gap in the ink that stays open, mm. */
  gapMm: number
  /** Largest unbroken patch before the print turns stiff and sweaty, cm²; null where the ink has no hand. */
  stiffPatchCm2: number | null
  source: string
}

export const ART_LIMITS: Record<ArtMethod, ArtLimits> = {
  transfer: {
    lineMm: 0.4,
    gapMm: 0.6,
    stiffPatchCm2: 100,
    source:
      'lines and gaps: transfer makers’ artwork guides, 2025–2026 (0.40–0.50 and 0.60–0.80 mm); patch: common practice',
  },
  sublimation: { lineMm: 0.2, gapMm: 0.3, stiffPatchCm2: null, source: 'common practice' },
  dtg: { lineMm: 0.25, gapMm: 0.35, stiffPatchCm2: 300, source: 'common practice' },
  screen: {
    lineMm: 25.4 / 72,
    gapMm: 0.5,
    stiffPatchCm2: 200,
    source: 'common practice: one point of ink, half a millimetre of cloth',
  },
}

/** Resolutions that decide a finding, pixels per inch at the printed size. Settings of the shop. */
export type PpiRules = { house: number; warnBelow: number; stopBelow: number }

/** 300 ppi is the trade's rule for raster art at its final size; the two cut-offs are common practice. */
export const DEFAULT_PPI: PpiRules = { house: 300, warnBelow: 150, stopBelow: 100 }
