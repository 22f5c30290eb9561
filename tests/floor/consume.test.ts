import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { blanksToDraw, consumed } from '@/lib/floor/consume'
import type { StepRecipe } from '@/lib/planning/recipe-snapshot'

const uses: StepRecipe['uses'] = [
  { consumable: 'dtg-white', perPiece: 2400.4, once: 0 },
  { consumable: 'parchment', perPiece: 0.04, once: 0 },
  { consumable: 'plastisol', perPiece: 0, once: 8000 },
]

describe('what a report draws from the shelf', () => {
  it('is the use of the pieces worked, good and spoiled alike', () => {
    expect(consumed(uses, 0, 24)).toEqual([
      { consumable: 'dtg-white', quantity: 57_610 },
      // 0.96 of a sheet: a sheet is begun whole.
      { consumable: 'parchment', quantity: 1 },
      { consumable: 'plastisol', quantity: 8000 },
    ])
  })
  it('is nothing while nothing was worked', () => {
    expect(consumed(uses, 0, 0)).toEqual([])
    expect(consumed(uses, 24, 24)).toEqual([])
  })
  it('takes what is used once with the first piece only', () => {
    expect(consumed(uses, 1, 24).map(u => u.consumable)).toEqual(['dtg-white'])
  })
  it('adds up to the whole however it is parted', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 8 }), parts => {
        let worked = 0
        const sums = new Map<string, number>()
        for (const part of parts) {
          for (const u of consumed(uses, worked, worked + part))
            sums.set(u.consumable, (sums.get(u.consumable) ?? 0) + u.quantity)
          worked += part
        }
        expect([...sums]).toEqual(consumed(uses, 0, worked).map(u => [u.consumable, u.quantity]))
      }),
      { numRuns: 200 },
    )
  })
})

describe('the blanks that a chain takes', () => {
  const m = { size: 'M', colour: 'Navy', itemId: 'tee-m', quantity: 8 }
  it('are those of its sizes, the same blank added up', () => {
    expect(blanksToDraw([m, { ...m, quantity: 2 }], new Map())).toEqual([{ itemId: 'tee-m', quantity: 10 }])
  })
  it('are taken once: what was drawn before is left out', () => {
    expect(blanksToDraw([m], new Map([['tee-m', 3]]))).toEqual([{ itemId: 'tee-m', quantity: 5 }])
    expect(blanksToDraw([m], new Map([['tee-m', 8]]))).toEqual([])
  })
})
