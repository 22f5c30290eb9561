import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { apart, spread } from '@/app/parts/chart-labels'

describe('labels at the ends of lines', () => {
  it('stay where they are when they are far enough apart', () => {
    expect(spread([10, 50, 90], 8)).toEqual([10, 50, 90])
  })
  it('move apart evenly around where they wanted to be', () => {
    expect(spread([50, 50], 8)).toEqual([46, 54])
    expect(spread([50, 52, 54], 8)).toEqual([44, 52, 60])
  })
  it('are pushed back inside at the edges', () => {
    expect(spread([0, 0], 8)).toEqual([0, 8])
    expect(spread([100, 100], 8)).toEqual([92, 100])
  })
  it('never touch, keep their order and stay inside, as long as there is room for all', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 100, noNaN: true }), { minLength: 1, maxLength: 6 }),
        wishes => {
          const placed = spread(wishes, 8)
          expect(placed).toHaveLength(wishes.length)
          const sorted = [...placed].sort((a, b) => a - b)
          for (const [i, at] of sorted.entries()) {
            expect(at).toBeGreaterThanOrEqual(-1e-9)
            expect(at).toBeLessThanOrEqual(100 + 1e-9)
            if (i > 0) expect(at - (sorted[i - 1] ?? 0)).toBeGreaterThanOrEqual(8 - 1e-9)
          }
          for (let a = 0; a < wishes.length; a++)
            for (let b = 0; b < wishes.length; b++)
              if ((wishes[a] ?? 0) < (wishes[b] ?? 0)) expect(placed[a]).toBeLessThan(placed[b] ?? 0)
        },
      ),
    )
  })
})

describe('tags on the axis', () => {
  it('leave out what would cover the one before', () => {
    expect(apart([10, 12, 20, 23], 7)).toEqual([true, false, true, false])
    expect(apart([20, 10], 7)).toEqual([true, true])
    expect(apart([], 7)).toEqual([])
  })
  it('keep the first, and never draw two closer than the gap', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 100, noNaN: true }), { minLength: 1 }), places => {
        const drawn = apart(places, 7)
        const kept = places.filter((_, i) => drawn[i]).sort((a, b) => a - b)
        expect(kept[0]).toBe(Math.min(...places))
        for (const [i, at] of kept.entries())
          if (i > 0) expect(at - (kept[i - 1] ?? 0)).toBeGreaterThanOrEqual(7)
      }),
    )
  })
})
