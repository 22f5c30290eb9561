import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { sumVariance, varianceOf } from '@/lib/books/variance'

type Row = {
  kind: string
  actual_price: number
  std_price: number
  actual_qty: number
  std_qty: number
  price_variance: number
  quantity_variance: number
  total: number
  source: string
}
const { variances, variance_sign } = JSON.parse(
  readFileSync('tests/vectors/costing-operations.json', 'utf8'),
) as { variances: Row[]; variance_sign: string }

// Warren, Accounting, exercise 23-5, and two exercises with printed solutions, read in stored copies.
describe(`textbook variances: ${variance_sign}`, () => {
  it.each(variances)('$kind, $source: price $price_variance, quantity $quantity_variance', row => {
    const cents = (n: number) => Math.round(n * 100)
    expect(
      varianceOf(
        { quantity: row.std_qty, cost: cents(row.std_qty * row.std_price) },
        { quantity: row.actual_qty, cost: cents(row.actual_qty * row.actual_price) },
        row.kind === 'labour',
      ),
    ).toEqual({
      price: cents(row.price_variance),
      usage: row.kind === 'labour' ? 0 : cents(row.quantity_variance),
      time: row.kind === 'labour' ? cents(row.quantity_variance) : 0,
      total: cents(row.total),
    })
  })
})

describe('where one side is nothing', () => {
  it('what was not planned is usage', () => {
    expect(varianceOf({ quantity: 0, cost: 0 }, { quantity: 3, cost: 900 })).toEqual({
      price: 0,
      usage: 900,
      time: 0,
      total: 900,
    })
  })
  it('what was planned and not used is usage saved', () => {
    expect(varianceOf({ quantity: 3, cost: 900 }, { quantity: 0, cost: 0 })).toEqual({
      price: 0,
      usage: -900,
      time: 0,
      total: -900,
    })
  })
  it('as planned is nothing at all', () => {
    expect(varianceOf({ quantity: 3, cost: 900 }, { quantity: 3, cost: 900 })).toEqual({
      price: 0,
      usage: 0,
      time: 0,
      total: 0,
    })
  })
})

it('the parts add up to the whole, one by one and in sum', () => {
  const amount = fc.record({ quantity: fc.nat(1e6), cost: fc.nat(1e9) })
  fc.assert(
    fc.property(fc.array(fc.tuple(amount, amount), { maxLength: 30 }), pairs => {
      const list = pairs.map(([planned, real]) => varianceOf(planned, real))
      for (const v of list) expect(v.price + v.usage).toBe(v.total)
      const sum = sumVariance(list)
      expect(sum.price + sum.usage).toBe(sum.total)
      expect(sum.total).toBe(pairs.reduce((a, [p, r]) => a + r.cost - p.cost, 0))
    }),
    { numRuns: 100 },
  )
})
