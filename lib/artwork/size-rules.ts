import * as z from 'zod'
import { compareSizes, SIZES, type Size } from '@/lib/shop/blanks'
import { type MeasureSystem, mm, parseLength, toInches } from '@/lib/units/measure'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { SizeRule } from './print-sizes'

/** Other widths of a print by garment size, as they are kept. */
export const sizeRulesSchema = z.array(
  z.object({ from: z.enum(SIZES), to: z.enum(SIZES), widthMm: z.number().min(5).max(1200) }),
)

/** "s" and "S", "2xl" and "XXL" are how people write them. */
function sizeOf(text: string): Size | undefined {
  const plain = text.trim().toUpperCase()
  const said = /^X{2,}L$/.test(plain) ? `${plain.length - 1}XL` : plain
  return SIZES.find(s => s.toUpperCase() === said)
}

const RULE = /^([^\s:–-]+(?: size)?)(?:\s*(?:-|–|to)\s*([^\s:–-]+))?\s*[:\s]\s*(.+)$/i

/**
 * Reads widths by garment size as people write them: "S–M 200, L–3XL 260", "S 20 cm; M-XL 240 mm". An empty text gives none. Every
 * garment size may be named once.
 */
export function readSizeRules(text: string, system: MeasureSystem): Result<SizeRule[]> {
  const rules: SizeRule[] = []
  for (const part of text.split(/[;\n]|,(?!\d)/).map(p => p.trim())) {
    if (!part) continue
    const [, first = '', last, length = ''] = RULE.exec(part) ?? []
    const from = sizeOf(first)
    const to = last === undefined ? from : sizeOf(last)
    if (!from || !to)
      return refuse(
        'sizes',
        `“${part.slice(0, 40)}” names no garment size known here: write it like ${writeSizeRules([{ from: 'S', to: 'M', widthMm: 200 }], system)}.`,
      )
    const width = parseLength(length, system)
    if (!width.ok) return refuse('sizes', `“${part.slice(0, 40)}”: ${width.message}`)
    if (width.value < 5 || width.value > 1200)
      return refuse('sizes', `“${part.slice(0, 40)}”: a width is from 5 to 1200 mm.`)
    if (compareSizes(from, to) > 0)
      return refuse('sizes', `“${part.slice(0, 40)}” runs backwards: name the smaller size first.`)
    const twice = rules.find(r => compareSizes(r.from, to) <= 0 && compareSizes(from, r.to) <= 0)
    if (twice)
      return refuse(
        'sizes',
        `“${part.slice(0, 40)}” and ${twice.from}–${twice.to} hold the same size: give each size one width.`,
      )
    rules.push({ from, to, widthMm: width.value })
  }
  return ok(rules)
}

/** The same in writing, fine enough to be read back: "S–M 200 mm, L–3XL 260 mm". */
export const writeSizeRules = (rules: readonly SizeRule[], system: MeasureSystem): string =>
  rules
    .map(
      r =>
        `${r.from === r.to ? r.from : `${r.from}–${r.to}`} ${system === 'metric' ? `${Number(r.widthMm.toFixed(1))} mm` : `${Number(toInches(mm(r.widthMm)).toFixed(3))} in`}`,
    )
    .join(', ')
