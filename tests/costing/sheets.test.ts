import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { perSheet, sheetsFor } from '@/lib/costing/sheets'

const sheet = { widthMm: 558.8, heightMm: 609.6, gapMm: 6 }

describe('prints on sheets', () => {
  it('stand the way round that gets more on', () => {
    expect(perSheet({ widthMm: 90, heightMm: 90, count: 1 }, sheet)).toBe(30)
    // Upright 5 × 1 = 5 of 100 × 400 mm; turned, 1 × 5 = 5.
    expect(perSheet({ widthMm: 100, heightMm: 400, count: 1 }, sheet)).toBe(5)
    // Upright 1 × 3 of 300 × 150 mm; turned, 3 × 2.
    expect(perSheet({ widthMm: 300, heightMm: 150, count: 1 }, sheet)).toBe(6)
    expect(perSheet({ widthMm: 600, heightMm: 500, count: 1 }, sheet)).toBe(1)
    expect(perSheet({ widthMm: 700, heightMm: 100, count: 1 }, sheet)).toBe(0)
  })
  it('a full sheet is full: one more begins the next', () => {
    const of = (count: number) => sheetsFor([{ widthMm: 90, heightMm: 90, count }], sheet)
    expect([of(0), of(1), of(30), of(31), of(60), of(61)]).toEqual([0, 1, 1, 2, 2, 3])
  })
  it('small prints fill what large ones leave', () => {
    expect(
      sheetsFor(
        [
          { widthMm: 80, heightMm: 80, count: 12 },
          { widthMm: 254, heightMm: 304, count: 2 },
        ],
        sheet,
      ),
    ).toBe(1)
  })
  const prints = fc.array(
    fc.record({
      widthMm: fc.integer({ min: 10, max: 640 }),
      heightMm: fc.integer({ min: 10, max: 640 }),
      count: fc.integer({ min: 0, max: 90 }),
    }),
    { minLength: 1, maxLength: 5 },
  )
  it('never needs fewer for one more print, never less than the area, never more than a sheet each', () => {
    fc.assert(
      fc.property(prints, fc.nat(), (given, at) => {
        const before = sheetsFor(given, sheet)
        const more = given.map((p, i) => (i === at % given.length ? { ...p, count: p.count + 1 } : p))
        expect(sheetsFor(more, sheet)).toBeGreaterThanOrEqual(before)
        const fitting = given.filter(p => perSheet(p, sheet) > 0)
        const area = fitting.reduce((sum, p) => sum + p.widthMm * p.heightMm * p.count, 0)
        expect(sheetsFor(fitting, sheet)).toBeGreaterThanOrEqual(
          area / (sheet.widthMm * sheet.heightMm) - 1e-9,
        )
        expect(sheetsFor(fitting, sheet)).toBeLessThanOrEqual(fitting.reduce((sum, p) => sum + p.count, 0))
      }),
      { numRuns: 300 },
    )
  })
})
