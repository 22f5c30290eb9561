import { describe, expect, it } from 'vitest'
import { readSizeRules, sizeRulesSchema, writeSizeRules } from '@/lib/artwork/size-rules'

const read = (text: string, system: 'metric' | 'imperial' = 'metric') => {
  const rules = readSizeRules(text, system)
  return rules.ok ? rules.value : rules.message
}

describe('widths by garment size, as people write them', () => {
  const rules = [
    { from: 'S', to: 'M', widthMm: 200 },
    { from: 'L', to: '3XL', widthMm: 260 },
  ]
  it.each(['S–M 200, L–3XL 260', 's-m 20 cm; l-xxxl: 26cm', 'S to M 200 mm\nL to 3XL 260mm'])('%s', text => {
    expect(read(text)).toEqual(rules)
  })

  it('what is written reads back the same, in either system', () => {
    for (const system of ['metric', 'imperial'] as const) {
      const again = read(writeSizeRules(sizeRulesSchema.parse(rules), system), system)
      expect(again).toHaveLength(2)
      for (const [i, rule] of (again as typeof rules).entries()) {
        expect(rule).toMatchObject({ from: rules[i]?.from, to: rules[i]?.to })
        expect(Math.abs(rule.widthMm - (rules[i]?.widthMm ?? 0))).toBeLessThan(0.02)
      }
    }
    expect(writeSizeRules(sizeRulesSchema.parse(rules), 'metric')).toBe('S–M 200 mm, L–3XL 260 mm')
  })

  it('a decimal comma is no separator, one size alone is enough, and nothing gives none', () => {
    expect(read('S 20,5 cm')).toEqual([{ from: 'S', to: 'S', widthMm: 205 }])
    expect(read('One size 90')).toEqual([{ from: 'One size', to: 'One size', widthMm: 90 }])
    expect(read(' ')).toEqual([])
  })

  it.each([
    ['Huge 200', 'names no garment size'],
    ['S', 'names no garment size'],
    ['S-M wide', 'is not a length'],
    ['S 2', 'from 5 to 1200 mm'],
    ['L-S 200', 'runs backwards'],
    ['S-L 200, M 240', 'hold the same size'],
  ])('%s is refused in one sentence', (text, why) => {
    expect(read(text)).toContain(why)
  })
})
