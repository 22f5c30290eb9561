import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  EVERYDAY,
  formatAmount,
  formatSigned,
  lengthOfRoll,
  readAmount,
  typedAmount,
  UNITS,
  USUAL_UNIT,
} from '@/lib/stock/items'
import type { BaseUnit } from '@/lib/units/base-unit'

const BASE_UNITS = Object.keys(EVERYDAY) as BaseUnit[]
const read = (text: string, base: BaseUnit, pack?: number) => {
  const r = readAmount(text, { unit: base, ...(pack === undefined ? {} : { pack }) })
  return r.ok ? r.value : r.message
}

describe('film off a roll, counted by area', () => {
  // 12 m of a roll of 60 cm is 7.2 m². A yard is 914.4 mm by definition: 914.4 × 600 mm² = 5,486.4 cm².
  const film = { unit: 'cm2', pack: 60_000, widthMm: 600 } as const
  it.each([
    ['12 m', 72_000],
    ['100 cm', 6_000],
    ['1 yd', 5_486],
    ['2 rolls', 120_000],
    ['7.2 m²', 72_000],
    ['500', 500],
  ])('%s', (text, area) => {
    expect(readAmount(text, film)).toEqual({ ok: true, value: area })
  })
  it('is so long as its area over its width', () => {
    expect(lengthOfRoll(72_000, film)).toBe(12_000)
    expect(lengthOfRoll(-6_000, film)).toBe(-1_000)
    expect(lengthOfRoll(72_000, { unit: 'cm2' })).toBeNull()
    expect(lengthOfRoll(72_000, { unit: 'mm', widthMm: 600 })).toBeNull()
  })
  it('has no length until somebody says how wide the roll is', () => {
    expect(readAmount('12 m', { unit: 'cm2' })).toMatchObject({
      ok: false,
      message: 'm cannot be turned into cm²: use cm², m², in², or say on the item how wide its roll is.',
    })
    expect(readAmount('12 kg', film)).toMatchObject({
      ok: false,
      message: 'kg cannot be turned into cm²: use cm², m², in².',
    })
    // A length of something counted by length is no area, whatever stands beside it.
    expect(readAmount('2 m', { unit: 'mm', widthMm: 600 })).toEqual({ ok: true, value: 2_000 })
  })
  it('is never more than a shelf holds', () => {
    expect(readAmount('999999 m', { unit: 'cm2', widthMm: 5_000 })).toMatchObject({
      ok: false,
      code: 'amount',
    })
  })
})

describe('amounts as people type them', () => {
  it.each([
    ['1.25 l', 'ul', 1_250_000],
    ['1,25 litres', 'ul', 1_250_000],
    ['250', 'ul', 250_000],
    ['0.001 ml', 'ul', 1],
    ['2.5 kg', 'mg', 2_500_000],
    ['0.5', 'mg', 500],
    ['30 m', 'mm', 30_000],
    ['12.5', 'mm', 12_500],
    ['2 m²', 'cm2', 20_000],
    ['2 m2', 'cm2', 20_000],
    ['24', 'piece', 24],
    ['2 dozen', 'piece', 24],
    ['1.5 dozen', 'piece', 18],
    ['0', 'piece', 0],
  ] as const)('%s of an item counted in %s is %i', (text, base, amount) => {
    expect(read(text, base)).toBe(amount)
  })

  // International yard and pound (1959): 1 in = 25.4 mm, 1 lb = 453.59237 g; US gallon = 231 cubic inches = 3.785411784 l.
  it.each([
    ['1 gal', 'ul', 3_785_412],
    ['100 gal', 'ul', 378_541_178],
    ['1 qt', 'ul', 946_353],
    ['128 fl oz', 'ul', 3_785_412],
    ['1 lb', 'mg', 453_592],
    ['1000 lb', 'mg', 453_592_370],
    ['16 oz', 'mg', 453_592],
    ['10 in', 'mm', 254],
    ['100 yd', 'mm', 91_440],
    ['3 ft', 'mm', 914],
    ['100 in²', 'cm2', 645],
  ] as const)('%s in %s', (text, base, amount) => {
    expect(read(text, base)).toBe(amount)
  })

  it('a roll is as long as the item says', () => {
    expect(read('2 rolls', 'mm', 50_000)).toBe(100_000)
    expect(read('0.5 box', 'piece', 36)).toBe(18)
    expect(read('1 roll', 'mm')).toBe(
      '“roll” has no size for this item: use mm, cm, m, in, ft, yd, or set what a pack holds.',
    )
    expect(read('3 boxes', 'piece', 1)).toBe(
      '“boxes” has no size for this item: use pieces, pairs, dozen, or set what a pack holds.',
    )
  })

  it.each([
    ['', 'ul', '“” is not an amount: type it like 40 or 2.5 ml, 0 or more.'],
    ['-3', 'piece', '“-3” is not an amount: type it like 40 or 2.5 pieces, 0 or more.'],
    ['many', 'piece', '“many” is not an amount: type it like 40 or 2.5 pieces, 0 or more.'],
    ['1e9', 'piece', '“e9” is not a unit known here: use pieces, pairs, dozen.'],
    ['2 kg', 'ul', 'kg cannot be turned into µl: use µl, ml, cl, l, US fl oz, US qt, US gal.'],
    ['1.5', 'piece', '“1.5” is not a whole number of pieces.'],
    ['2 constructor', 'piece', '“constructor” is not a unit known here: use pieces, pairs, dozen.'],
    ['0.0001 ml', 'ul', '“0.0001 ml” is less than the book counts (1 µl).'],
    ['99999999 l', 'ul', '“99999999 l” is more than one shelf holds here: check the amount and its unit.'],
  ] as const)('%s of %s is refused in a sentence', (text, base, message) => {
    expect(read(text, base)).toBe(message)
  })

  it('every unit turns whole multiples into exactly so many base units', () => {
    const cases = Object.entries(UNITS)
    fc.assert(
      fc.property(fc.constantFrom(...cases), fc.integer({ min: 1, max: 300 }), ([id, u], n) => {
        const exact = (n * u.times) / u.over
        expect(read(`${n} ${id === 'floz' ? 'fl oz' : id}`, u.base)).toBe(Math.round(exact))
      }),
      { numRuns: 200 },
    )
  })
})

describe('amounts for people', () => {
  it.each([
    [1_250_000, 'ul', '1.25 l'],
    [12_500, 'ul', '12.5 ml'],
    [80, 'ul', '80 µl'],
    [999_900, 'ul', '999.9 ml'],
    [693_531, 'ul', '693.5 ml'],
    [12_345_678, 'mg', '12.35 kg'],
    [2_500_000, 'mg', '2.5 kg'],
    [30_500, 'mm', '30.5 m'],
    [20_000, 'cm2', '2 m²'],
    [1_234, 'piece', '1,234'],
    [0, 'ul', '0'],
    [-750_000, 'ul', '−750 ml'],
  ] as const)('%i %s reads %s', (amount, base, words) => {
    expect(formatAmount(amount, base)).toBe(words)
  })

  it('shows the sign in the book', () => {
    expect(formatSigned(24, 'piece')).toBe('+24')
    expect(formatSigned(-24, 'piece')).toBe('−24')
    expect(formatSigned(0, 'piece')).toBe('0')
  })

  it('what stands in a form is the same amount when it is read again', () => {
    fc.assert(
      fc.property(fc.constantFrom(...BASE_UNITS), fc.integer({ min: 0, max: 2_000_000_000 }), (base, n) => {
        expect(readAmount(typedAmount(n, base), { unit: base })).toEqual({ ok: true, value: n })
      }),
      { numRuns: 500 },
    )
  })
})

it('every kind of item has a base unit', () => {
  for (const unit of Object.values(USUAL_UNIT)) expect(BASE_UNITS).toContain(unit)
})
