import { formatLength, type MeasureSystem, mm } from '@/lib/units/measure'

/** The size of a design: "280 × 300 mm". */
export const sizeWords = (s: { widthMm: number; heightMm: number }, system: MeasureSystem): string =>
  `${formatLength(mm(s.widthMm), system)} × ${formatLength(mm(s.heightMm), system)}`
