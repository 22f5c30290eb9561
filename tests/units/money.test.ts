import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  allocate,
  currencyDigits,
  formatMicro,
  formatMoney,
  micro,
  microToMinor,
  minor,
  minorToMicro,
  parseMoney,
  roundHalfAway,
  roundToMinor,
  sumMinor,
} from '@/lib/units/money'

describe('whole minor units', () => {
  it('catches half a cent where it is born', () => {
    expect(() => minor(0.5)).toThrow('not whole minor units')
    expect(() => micro(Number.NaN)).toThrow()
  })
  it('never keeps a negative zero', () => {
    expect(Object.is(minor(-0), 0)).toBe(true)
    expect(Object.is(roundToMinor(-0.4), 0)).toBe(true)
  })
})

describe('rounding', () => {
  it.each([
    [0.5, 1],
    [-0.5, -1],
    [1.4999, 1],
    [2.5, 3],
    [-2.5, -3],
  ])('rounds %d to %d: halves away from zero', (from, to) => expect(roundHalfAway(from)).toBe(to))
})

describe('currencies, by ISO 4217 minor-unit digits', () => {
  it.each([
    ['EUR', 2],
    ['JPY', 0],
    ['KWD', 3],
  ])('%s has %d', (currency, digits) => expect(currencyDigits(currency)).toBe(digits))
  it('turns micro-units into minor ones and back', () => {
    expect(minorToMicro(minor(123), 'EUR')).toBe(1_230_000)
    expect(microToMinor(micro(1_235_000), 'EUR')).toBe(124)
    expect(microToMinor(micro(1_500_000), 'JPY')).toBe(2)
  })
  it('writes amounts', () => {
    expect(formatMoney(minor(123456), 'EUR')).toBe('€1,234.56')
    expect(formatMoney(minor(1234), 'JPY')).toBe('¥1,234')
    expect(formatMicro(micro(12_500), 'EUR')).toBe('€0.0125')
  })
})

describe('splitting an amount', () => {
  it('gives odd cents to the largest remainders', () =>
    expect(allocate(minor(100), [1, 1, 1])).toEqual([34, 33, 33]))
  it('splits evenly when all weights are zero', () => expect(allocate(minor(5), [0, 0])).toEqual([3, 2]))
  it('gives nothing to a weight of zero', () => expect(allocate(minor(7), [0, 3, 3])[0]).toBe(0))
  it('refuses no parts and negative weights', () => {
    expect(() => allocate(minor(1), [])).toThrow()
    expect(() => allocate(minor(1), [-1, 2])).toThrow()
  })
  it('always adds up to the whole, each part within one unit of its share', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -2_000_000_000, max: 2_000_000_000 }),
        fc.array(fc.double({ min: 0, max: 1e6, noNaN: true }), { minLength: 1, maxLength: 40 }),
        (total, weights) => {
          const parts = allocate(minor(total), weights)
          expect(sumMinor(parts)).toBe(total)
          const sum = weights.reduce((a, b) => a + b, 0)
          parts.forEach((p, i) => {
            const share = sum === 0 ? total / weights.length : (total * (weights[i] ?? 0)) / sum
            expect(Math.abs(p - share)).toBeLessThan(1 + 1e-3)
          })
        },
      ),
    )
  })
})

describe('reading an amount', () => {
  it.each([
    ['12.34', 1234],
    ['12,34', 1234],
    ['1,234.50', 123450],
    ['1.234,50', 123450],
    ['1,234', 123400],
    ['€ 12', 1200],
    ['-3.5', -350],
    ['.5', 50],
    ["1'000", 100000],
  ])('reads %s', (text, value) => expect(parseMoney(text, 'EUR')).toEqual({ ok: true, value }))
  it.each(['', 'twelve', '1.2.3.4x', '12.345.6', '--4', '99999999999'])(
    'refuses “%s” in one sentence',
    text => {
      const read = parseMoney(text, 'EUR')
      expect(read.ok).toBe(false)
      if (!read.ok) expect(read.message).toMatch(/^“.*[.]$/)
    },
  )
  it('reads back every amount it writes', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -1_000_000_00, max: 1_000_000_00 }),
        fc.constantFrom('EUR', 'JPY', 'USD'),
        (amount, currency) => {
          const text = formatMoney(minor(amount), currency)
          expect(parseMoney(text, currency)).toEqual({ ok: true, value: amount })
        },
      ),
    )
  })
})
