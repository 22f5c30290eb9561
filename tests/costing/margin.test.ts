import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { breakEvenPieces } from '@/lib/costing/break-even'
import { marginOfMarkup, markupOfMargin, priceByMargin, priceByMarkup } from '@/lib/costing/margin'

type Exercise = {
  fixed: number
  price?: number
  variable?: number
  units?: number | number[]
  source?: string
}
const vectors = JSON.parse(
  readFileSync(new URL('../vectors/costing-operations.json', import.meta.url), 'utf8'),
) as {
  break_even: Exercise[]
  markup_vs_margin: { rows_cost_markup_price_margin: [number, number, number, number][] }
}

describe('break-even', () => {
  // Textbook exercises; the source stands in each row.
  const rows = vectors.break_even.filter(
    r => typeof r.units === 'number' && r.price !== undefined && r.variable !== undefined,
  )
  it('there are exercises to check', () => expect(rows.length).toBeGreaterThanOrEqual(5))
  it.each(rows)('$fixed fixed, $price a piece, $variable variable: $units ($source)', r =>
    expect(breakEvenPieces(r.fixed, r.price as number, r.variable as number)).toBe(r.units),
  )
  it('a piece that earns nothing never breaks even', () => {
    expect(breakEvenPieces(100, 5, 5)).toBeNull()
    expect(breakEvenPieces(100, 4, 5)).toBeNull()
    expect(breakEvenPieces(0, 4, 5)).toBe(0)
  })
})

describe('margin and markup', () => {
  it.each(vectors.markup_vs_margin.rows_cost_markup_price_margin)(
    'cost %f at markup %f sells for %f, margin %f',
    (cost, markup, price, margin) => {
      expect(priceByMarkup(cost, markup)).toBeCloseTo(price, 9)
      expect(marginOfMarkup(markup)).toBeCloseTo(margin, 6)
      expect(priceByMargin(cost, marginOfMarkup(markup))).toBeCloseTo(price, 9)
      expect(markupOfMargin(marginOfMarkup(markup))).toBeCloseTo(markup, 9)
    },
  )
  // The common error takes the margin for a markup: 5.00 at 20 % is 6.25, not 6.00.
  it('a margin of 20 % on a cost of 5 is 6.25, not 6.00', () => expect(priceByMargin(5, 0.2)).toBe(6.25))
  it('a margin of 100 % has no price', () => expect(() => priceByMargin(5, 1)).toThrow(RangeError))
})
