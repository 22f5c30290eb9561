import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { breakFor, priceOrder, roundUpTo, taxOf } from '@/lib/costing/price'
import { defaultRates, type Rates } from '@/lib/shop/rates'
import type { Minor } from '@/lib/units/money'

const show = { currency: 'EUR', locale: 'en' }
const plain: Rates = {
  ...defaultRates,
  pricing: { by: 'margin', bp: 4000 },
  breaks: [],
  leastOrder: 0 as Minor,
  rounding: { step: 1, ending: 0 },
}
const line = (pieces: number, cost: number) => ({ name: 'Tee', pieces, cost: cost as Minor })

describe('price from cost', () => {
  it('by margin: 12.00 at 40 % is 20.00, and the margin is 40 % of it', () => {
    const p = priceOrder([line(10, 12_000)], plain, {}, show)
    expect(p.lines[0]?.each).toBe(2000)
    expect(p).toMatchObject({ goods: 20_000, net: 20_000, margin: 8_000, marginShare: 0.4, belowCost: false })
  })
  it('by markup: 12.00 at 40 % is 16.80', () => {
    const p = priceOrder([line(10, 12_000)], { ...plain, pricing: { by: 'markup', bp: 4000 } }, {}, show)
    expect(p.lines[0]?.each).toBe(1680)
    expect(p.markupShare).toBeCloseTo(0.4, 9)
  })
  // The common error: cost 5, wished margin 20 %, gives 6.25 and not 6.00.
  it('a margin is not a markup: 5.00 at a margin of 20 % is 6.25', () =>
    expect(
      priceOrder([line(1, 500)], { ...plain, pricing: { by: 'margin', bp: 2000 } }, {}, show).lines[0]?.each,
    ).toBe(625))
})

describe('price breaks', () => {
  const breaks = [
    { from: 24, offBp: 500 },
    { from: 72, offBp: 1000 },
  ]
  it.each([
    [1, null],
    [23, null],
    [24, 500],
    [25, 500],
    [71, 500],
    [72, 1000],
    [5000, 1000],
  ])('%i pieces: %s', (pieces, off) => expect(breakFor(breaks, pieces)?.offBp ?? null).toBe(off))
  it('count all pieces of the order, not of the line', () => {
    const p = priceOrder([line(12, 12_000), line(12, 12_000)], { ...plain, breaks }, {}, show)
    expect(p.lines.map(l => l.each)).toEqual([1584, 1584])
  })
})

describe('rounding to an ending', () => {
  it.each([
    [1212, 100, 95, 1295],
    [1295, 100, 95, 1295],
    [1296, 100, 95, 1395],
    [1212, 5, 0, 1215],
    [1215, 5, 0, 1215],
    [1212.2, 1, 0, 1213],
    [3, 100, 95, 95],
    [0, 100, 95, 0],
    [1212.0000000001, 1, 0, 1212],
  ])('%f to step %i, ending %i: %i', (amount, step, ending, expected) =>
    expect(roundUpTo(amount, { step, ending })).toBe(expected),
  )
})

describe('tax', () => {
  const tax = (rateBp: number, inclusive: boolean) => ({ name: 'VAT', rateBp, inclusive })
  it.each([
    ['put on', 10_000, tax(2100, false), false, 10_000, 2_100],
    ['put on, exempt', 10_000, tax(2100, false), true, 10_000, 0],
    ['held in the price', 12_100, tax(2100, true), false, 10_000, 2_100],
    ['taken out for the exempt', 12_100, tax(2100, true), true, 10_000, 0],
    ['half a cent goes away from zero', 50, tax(500, false), false, 50, 3],
    ['none', 10_000, tax(0, false), false, 10_000, 0],
  ] as const)('%s', (_, shown, rate, exempt, net, amount) =>
    expect(taxOf(shown as Minor, rate, exempt)).toEqual({ net, tax: amount }),
  )
  it('where prices hold tax, the price for one is rounded with the tax in it', () => {
    const rates = { ...plain, tax: tax(2100, true), rounding: { step: 100, ending: 95 } }
    const p = priceOrder([line(10, 12_000)], rates, {}, show)
    // 20.00 net is 24.20 with tax, up to 24.95.
    expect(p.lines[0]?.each).toBe(2495)
    expect(p).toMatchObject({ gross: 24_950, net: 20_620, tax: 4_330, margin: 8_620 })
  })
})

describe('rush, discount, least order, deposit', () => {
  it('rush is on the goods, the discount on both', () => {
    const p = priceOrder(
      [line(10, 12_000)],
      { ...plain, rushBp: 2500 },
      { rush: true, discountBp: 1000 },
      show,
    )
    expect(p).toMatchObject({ goods: 20_000, rush: 5_000, discount: -2_500, shown: 22_500 })
  })
  it('goes up to the least order', () => {
    const p = priceOrder([line(1, 600)], { ...plain, leastOrder: 2_500 as Minor }, {}, show)
    expect(p).toMatchObject({ goods: 1_000, topUp: 1_500, net: 2_500 })
  })
  it('an odd cent of the deposit goes to the rest', () => {
    const p = priceOrder([line(1, 601)], { ...plain, depositBp: 5000 }, { typed: [1001 as Minor] }, show)
    expect(p).toMatchObject({ gross: 1001, deposit: 501, rest: 500 })
  })
  it('a typed price stands, and selling below cost is marked', () => {
    const p = priceOrder(
      [line(10, 12_000)],
      { ...defaultRates, leastOrder: 0 as Minor },
      { typed: [999 as Minor] },
      show,
    )
    expect(p.lines[0]).toMatchObject({ each: 999, amount: 9_990, typed: true })
    expect(p).toMatchObject({ margin: -2_010, belowCost: true })
  })
})

describe('any price', () => {
  it('adds up, and every figure opens its working', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 1, max: 500 }), fc.integer({ min: 0, max: 2_000_000 })), {
          minLength: 1,
          maxLength: 6,
        }),
        fc.integer({ min: 0, max: 10_000 }),
        fc.boolean(),
        fc.boolean(),
        fc.boolean(),
        fc.integer({ min: 0, max: 10_000 }),
        fc.integer({ min: 0, max: 10_000 }),
        (lines, rateBp, inclusive, exempt, rush, discountBp, depositBp) => {
          const rates = { ...defaultRates, tax: { name: 'Tax', rateBp, inclusive }, depositBp }
          const p = priceOrder(
            lines.map(([n, c]) => line(n, c)),
            rates,
            { rush, exempt, discountBp },
            show,
          )
          expect(p.lines.reduce((sum, l) => sum + l.amount, 0)).toBe(p.goods)
          expect(p.goods + p.rush + p.discount + p.topUp).toBe(p.shown)
          expect(p.net + p.tax).toBe(p.gross)
          if (!exempt) expect(p.gross).toBe(inclusive ? p.shown : p.net + p.tax)
          expect(p.deposit + p.rest).toBe(p.gross)
          expect(p.deposit).toBeGreaterThanOrEqual(0)
          expect(p.margin).toBe(p.net - p.cost)
          expect(p.tax).toBeGreaterThanOrEqual(0)
          for (const w of [...Object.values(p.workings), ...p.lines.map(l => l.working)]) {
            expect(w.inputs.length).toBeGreaterThan(0)
            expect(w.result).toMatch(/\d/)
          }
        },
      ),
      { numRuns: 120 },
    )
  })
  it('without break, discount and hand-typed price, never earns less than the wished margin', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 300 }),
        fc.integer({ min: 1, max: 900_000 }),
        fc.integer({ min: 0, max: 9000 }),
        (n, cost, bp) => {
          const p = priceOrder([line(n, cost)], { ...plain, pricing: { by: 'margin', bp } }, {}, show)
          expect(p.marginShare ?? 0).toBeGreaterThanOrEqual(bp / 10_000 - 1e-9)
        },
      ),
      { numRuns: 100 },
    )
  })
})
