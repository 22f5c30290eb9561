import { MM_PER_INCH } from '@/lib/units/measure'

/** Resolution of every production file, pixels per inch. */
export const PRODUCTION_PPI = 300

/** Whole pixels of a length in mm at a resolution, at least 1. */
export const pixelsAt = (lengthMm: number, ppi: number = PRODUCTION_PPI): number =>
  Math.max(1, Math.round((lengthMm / MM_PER_INCH) * ppi))
