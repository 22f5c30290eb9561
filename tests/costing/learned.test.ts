import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { costOrder } from '@/lib/costing/cost'
import { type Clocked, learnedRates, paceOf, stationRatios } from '@/lib/costing/learned'
import { stepsTime } from '@/lib/costing/steps'
import { ratesSchema } from '@/lib/shop/rates'
import { anOrder, aShop, whiteTee } from './a-shop'

const clocked = (given: Partial<Clocked> = {}): Clocked => ({
  recipe: 'dtg',
  key: 'print',
  runs: 14,
  plannedSeconds: 36_000,
  actualSeconds: 43_200,
  ...given,
})
const taken = (given: Partial<Clocked> = {}) => {
  const { recipe, key, ...rest } = clocked(given)
  return { recipe, key, ...paceOf({ recipe, key, ...rest }) }
}

describe('times that the floor has clocked', () => {
  it('a station goes by its own pace beside that of all: 0.9 ÷ 1.2, and 1.5 ÷ 1 where none of all was taken', () => {
    const pace = { recipe: 'dtg', key: 'print', factor: 1.2, runs: 9, stationId: null }
    const ratios = stationRatios([
      pace,
      { ...pace, factor: 0.9, stationId: 'dtg-2' },
      { ...pace, key: 'cure', factor: 1.5, stationId: 'tunnel' },
    ])
    expect(ratios.get('dtg print')?.get('dtg-2')).toBeCloseTo(0.75, 9)
    expect(ratios.get('dtg print')?.has('dtg-1')).toBe(false)
    expect(ratios.get('dtg cure')).toEqual(new Map([['tunnel', 1.5]]))
  })
  it('nothing clocked leaves the recipe', () =>
    expect(paceOf(clocked({ runs: 0, plannedSeconds: 0, actualSeconds: 0 })).factor).toBe(1))
  it('ten hours that took twelve: (2 + 12) ÷ (2 + 10)', () =>
    expect(paceOf(clocked())).toEqual({ factor: 14 / 12, runs: 14 }))
  it('goes to the truth with more runs, and lies between recipe and truth', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1_000_000 }),
        fc.double({ min: 0.3, max: 3.5, noNaN: true }),
        (plannedSeconds, truth) => {
          const { factor } = paceOf(clocked({ plannedSeconds, actualSeconds: plannedSeconds * truth }))
          expect(Math.abs(factor - truth)).toBeLessThanOrEqual(Math.abs(1 - truth) + 1e-9)
          expect((factor - 1) * (truth - 1)).toBeGreaterThanOrEqual(-1e-9)
        },
      ),
      { numRuns: 60 },
    )
    expect(paceOf(clocked({ plannedSeconds: 7.2e6, actualSeconds: 8.64e6 })).factor).toBeCloseTo(1.2, 3)
  })
  it('a clock left running over the holidays counts four times at most', () =>
    expect(paceOf(clocked({ plannedSeconds: 600, actualSeconds: 1_200_000 })).factor).toBe(4))
  it('plan and cost of that step alone take longer, and the working says so', () => {
    const order = anOrder({ blank: whiteTee })
    const before = stepsTime(order, aShop())
    const shop = aShop({}, { taken: [taken()] })
    const after = stepsTime(order, shop)
    expect(after.map(s => s.unitSeconds / (before.find(b => b.key === s.key)?.unitSeconds ?? 0))).toEqual([
      1,
      expect.closeTo(14 / 12, 9),
      1,
      1,
    ])
    const read = costOrder(order, shop)
    const labour = read.ok
      ? read.value.cost.branches.find(b => b.group === 'labour')?.leaves.find(l => l.key.endsWith(' print'))
      : undefined
    expect(labour?.working.inputs[0]?.working?.inputs).toContainEqual({
      name: 'Clocked here',
      value: '× 1.167 over 14 runs',
      from: 'measured',
      source: 'floor',
    })
  })
  it('packing is clocked for all methods together', () => {
    const shop = aShop({}, { taken: [taken({ recipe: null, key: 'pack' })] })
    for (const method of ['dtg', 'screen'] as const)
      expect(stepsTime(anOrder({ method }), shop).find(s => s.key === 'pack')?.pace?.runs).toBe(14)
  })
})

describe('spoilage that the floor has counted', () => {
  const { rates } = aShop()
  it('moves from what is set toward the count, which is shown', () => {
    const learned = learnedRates(rates, [{ method: 'dtg', pieces: 100, spoiled: 8 }]).spoilage
    expect(learned.dtg).toMatchObject({ rate: 0.05, pieces: 100, spoiled: 8, from: 'measured' })
    expect(learned.dtg.source).toBe('8 of 100 spoiled here, beside 2 % that weighs like 100 pieces')
    expect(learned.screen).toBe(rates.spoilage.screen)
  })
  it('stays a valid rate whatever was counted', () => {
    for (const [pieces, spoiled] of [
      [0, 0],
      [10, 10],
      [10_000, 10_000],
      [5, 9],
    ] as const)
      expect(ratesSchema.safeParse(learnedRates(rates, [{ method: 'dtg', pieces, spoiled }])).success).toBe(
        true,
      )
  })
})
