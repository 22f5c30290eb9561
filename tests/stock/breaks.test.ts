import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type BuyTerms, costAt, parseBreaks, priceAt, typedBreaks, whatToBuy } from '@/lib/stock/breaks'
import { micro } from '@/lib/units/money'

const euros = (n: number) => micro(Math.round(n * 1e6))
const tee: BuyTerms = {
  unit: 'piece',
  price: euros(3),
  pricePer: 1,
  pack: 1,
  minOrder: 0,
  breaks: [
    { from: 72, price: euros(2.5) },
    { from: 144, price: euros(2.4) },
  ],
}
const buy = (wanted: number, over: Partial<BuyTerms> = {}) => whatToBuy(wanted, { ...tee, ...over }, 'EUR')

// All-units discounts: the price of the break counts for every unit of the order. Schedule of Wohl's Discount Store, Heizer and Render,
// Operations Management, chapter on inventory (from memory): 5.00 below 1,000, 4.80 from 1,000, 4.75 from 2,000.
it.each([
  [999, 5],
  [1_000, 4.8],
  [1_999, 4.8],
  [2_000, 4.75],
])('at %i the price is %f', (quantity, price) => {
  const wohl = {
    price: euros(5),
    breaks: [
      { from: 1_000, price: euros(4.8) },
      { from: 2_000, price: euros(4.75) },
    ],
  }
  expect(priceAt(quantity, wohl)).toBe(euros(price))
})

describe('how much to buy', () => {
  it.each<[string, number, Partial<BuyTerms>, number, number]>([
    ['what is wanted', 40, {}, 40, 120],
    ['up to the break where that costs less', 61, {}, 72, 180],
    ['where it costs the same, the larger', 60, {}, 72, 180],
    ['not where it costs more', 59, {}, 59, 177],
    ['up to the second break', 139, {}, 144, 345.6],
    ['no less than is sold', 5, { minOrder: 12, breaks: [] }, 12, 36],
    [
      'whole packs',
      1_300_000,
      { unit: 'ul', price: euros(90), pricePer: 1_000_000, pack: 1_000_000, breaks: [] },
      2_000_000,
      180,
    ],
  ])('%s', (_, wanted, over, quantity, cost) => {
    expect(buy(wanted, over)).toMatchObject({ quantity, value: euros(cost) })
  })

  it('says why it is more', () => {
    expect(buy(61).working.note).toBe('72 costs €3.00 less than 61: the price falls at 72.')
  })

  it('costs no more than any larger order, and covers what is wanted', () => {
    const terms = fc.record({
      price: fc.integer({ min: 1, max: 9_000_000 }).map(micro),
      pack: fc.integer({ min: 1, max: 24 }),
      minOrder: fc.nat(60),
      breaks: fc
        .uniqueArray(
          fc.record({ from: fc.integer({ min: 1, max: 300 }), price: fc.nat(9_000_000).map(micro) }),
          {
            selector: b => b.from,
            maxLength: 4,
          },
        )
        .map(list => list.sort((a, b) => a.from - b.from)),
    })
    fc.assert(
      fc.property(terms, fc.integer({ min: 1, max: 200 }), (t, wanted) => {
        const all: BuyTerms = { ...t, unit: 'piece', pricePer: 1 }
        const { quantity, value } = whatToBuy(wanted, all, 'EUR')
        expect(quantity).toBeGreaterThanOrEqual(Math.max(wanted, t.minOrder))
        expect(quantity % t.pack).toBe(0)
        expect(value).toBe(costAt(quantity, all))
        // Tried one by one: no order from what is needed up costs less.
        const least = Math.ceil(Math.max(wanted, t.minOrder) / t.pack) * t.pack
        for (let n = least; n <= 360; n += t.pack) expect(costAt(n, all)).toBeGreaterThanOrEqual(value)
      }),
      { numRuns: 60 },
    )
  })
})

describe('prices by quantity as typed', () => {
  const context = { unit: 'piece' as const, pack: 1, currency: 'EUR' }
  it('are read in any order, and stand in the form as they were', () => {
    const read = parseBreaks('144 at 2.40\n\n6 dozen at 2,50', context)
    expect(read).toEqual({ ok: true, value: tee.breaks })
    expect(typedBreaks(tee.breaks, 'piece', 'EUR')).toBe('72 at 2.50\n144 at 2.40')
  })
  it.each([
    ['72 for 2.50', '“72 for 2.50” is not a price by quantity: write it like 72 at 2.40, one a line.'],
    ['72 at 2.50\n72 at 2.40', '72 has two prices: leave one of them.'],
    ['0 at 2.50', '“0 at 2.50” needs a quantity above 0 and a price of 0 or more.'],
    ['4 kg at 2', 'kg cannot be turned into pieces: use pieces, pairs, dozen.'],
  ])('%j is refused', (text, message) => {
    expect(parseBreaks(text, context)).toMatchObject({ ok: false, message })
  })
})
