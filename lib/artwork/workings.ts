import { cm2, formatArea, formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import type { Working } from '@/lib/units/working'
import type { Measurement } from './measure'

const percent = (share: number): string => `${(share * 100).toFixed(share < 0.1 && share > 0 ? 1 : 0)}%`

/** "243 ppi", whole. */
export const formatPpi = (ppi: number): string => `${Math.round(ppi)} ppi`
/** "31%". */
export const formatShare = percent

/** How the resolution came about: the smaller of across and down. */
export function resolutionWorking(m: Measurement, system: MeasureSystem, house: number): Working {
  return {
    formula: 'pixels ÷ printed length in inches (25.4 mm), the smaller of across and down',
    inputs: [
      { name: 'picture', value: `${m.file.widthPx} × ${m.file.heightPx} px`, from: 'measured' },
      {
        name: 'printed size',
        value: `${formatLength(mm(m.print.widthMm), system)} × ${formatLength(mm(m.print.heightMm), system)}`,
        from: 'agreed',
      },
      { name: 'house rule', value: formatPpi(house), from: 'setting', source: 'Office, rates' },
    ],
    result: formatPpi(m.print.ppi),
    note: m.file.declaredPpi
      ? `The file itself claims ${formatPpi(m.file.declaredPpi)}; only its pixels and the printed size count.`
      : 'What a file claims of its resolution does not count, only its pixels and the printed size.',
  }
}

/** How the covered area came about. */
export function areaWorking(m: Measurement, system: MeasureSystem): Working {
  const box = (m.print.widthMm * m.print.heightMm) / 100
  return {
    formula: 'mean opacity of all pixels × printed width × printed height',
    inputs: [
      { name: 'mean opacity', value: percent(m.ink.coverage), from: 'measured', source: 'the pixels’ alpha' },
      { name: 'printed box', value: formatArea(cm2(box), system), from: 'agreed' },
    ],
    result: formatArea(cm2(m.ink.areaCm2), system),
    note: 'A half transparent pixel counts half.',
  }
}

/** How the largest solid patch came about, with the garment's own colour left out. */
export function patchWorking(m: Measurement, garmentHex: string, system: MeasureSystem): Working {
  return {
    formula: 'the largest group of printed pixels that touch, at a side or a corner',
    inputs: [
      {
        name: 'as it came',
        value: formatArea(cm2(m.knockout.largestSolidBeforeCm2), system),
        from: 'measured',
      },
      {
        name: `without what looks like the cloth (${garmentHex})`,
        value: formatArea(cm2(m.knockout.largestSolidAfterCm2), system),
        from: 'measured',
        source: 'colour difference CIEDE2000',
      },
    ],
    result: formatArea(cm2(m.knockout.largestSolidAfterCm2), system),
    note: 'A large patch of film is stiff and keeps the sweat in: letting the cloth show through makes it softer.',
  }
}
