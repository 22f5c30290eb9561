import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  COSTS,
  marginOf,
  marginPerMachineHour,
  marginShare,
  roundTogether,
  totalOf,
} from '@/lib/books/margin'
import { micro, microPerMinor, minor } from '@/lib/units/money'
import { anOrder } from './an-order'

describe('one order from revenue to margin', () => {
  it('revenue less every cost', () => {
    const m = marginOf(anOrder(), 'EUR')
    expect(m.costs).toEqual({
      blanks: 7_200,
      consumables: 320,
      labour: 4_050,
      machine: 1_210,
      spoilage: 300,
      outside: 0,
      freight: 800,
      credits: 0,
    })
    expect(m.cost).toBe(13_880)
    expect(m.margin).toBe(16_120)
    expect(marginShare(m)).toBeCloseTo(0.5373, 4)
    expect(marginPerMachineHour(m)).toBe(16_120)
  })
  it('a loss is a loss, and an order without machine or revenue has no share', () => {
    const m = marginOf(anOrder({ revenue: minor(0), machineSeconds: 0 }), 'EUR')
    expect(m.margin).toBe(-13_880)
    expect(marginShare(m)).toBeNull()
    expect(marginPerMachineHour(m)).toBeNull()
  })
  it('yen have no cents', () => {
    expect(marginOf(anOrder({ blanks: micro(1_500_000_000) }), 'JPY').costs.blanks).toBe(1_500)
  })
})

describe('rounding together', () => {
  it.each([
    [
      [4_000, 4_000, 4_000],
      [1, 0, 0],
    ],
    [
      [5_000, 5_000],
      [1, 0],
    ],
    [
      [-4_000, 4_000],
      [-0, 0],
    ],
    [
      [15_000, 25_000, 9_999],
      [2, 2, 1],
    ],
  ])('%j micro-units are %j cents', (amounts, cents) => {
    const rounded = roundTogether(amounts.map(micro), 10_000)
    expect(rounded.map(r => r + 0)).toEqual(cents.map(c => c + 0))
  })
  it('the parts add up to the rounded sum, and none is a whole cent off', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -1e12, max: 1e12 }), { minLength: 1, maxLength: 20 }), list => {
        const rounded = roundTogether(list.map(micro), 10_000)
        const exact = list.reduce((a, b) => a + b, 0) / 10_000
        const sum = rounded.reduce((a, b) => a + b, 0)
        expect(Math.abs(sum - exact)).toBeLessThanOrEqual(0.5)
        rounded.forEach((r, i) => {
          expect(Math.abs(r - (list[i] as number) / 10_000)).toBeLessThan(1)
        })
      }),
      { numRuns: 300 },
    )
  })
})

it('over any orders, every total is the sum of its column, and the columns add up to the margin', () => {
  const amount = fc.integer({ min: -5_000, max: 500_000 }).map(minor)
  const material = fc.integer({ min: -1_000_000, max: 900_000_000 }).map(micro)
  const facts = fc.record({
    revenue: amount,
    blanks: material,
    consumables: material,
    spoilage: material,
    labour: amount,
    machine: amount,
    outside: amount,
    freight: amount,
  })
  fc.assert(
    fc.property(
      fc.array(facts, { maxLength: 60 }),
      fc.constantFrom('EUR', 'JPY', 'KWD'),
      (list, currency) => {
        const rows = list.map(f => marginOf(anOrder(f), currency))
        const total = totalOf(rows)
        const sum = (of: (r: (typeof rows)[number]) => number) => rows.reduce((a, r) => a + of(r), 0)
        for (const c of COSTS) expect(total.costs[c]).toBe(sum(r => r.costs[c]))
        expect(total.revenue).toBe(sum(r => r.revenue))
        expect(total.margin).toBe(sum(r => r.margin))
        expect(total.margin).toBe(total.revenue - COSTS.reduce((a, c) => a + total.costs[c], 0))
        const exact = list.reduce((a, f) => a + f.blanks + f.consumables + f.spoilage, 0)
        const rounded = total.costs.blanks + total.costs.consumables + total.costs.spoilage
        expect(Math.abs(rounded - exact / microPerMinor(currency))).toBeLessThanOrEqual(list.length / 2)
      },
    ),
    { numRuns: 150 },
  )
})
