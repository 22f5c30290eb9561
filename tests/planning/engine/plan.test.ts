import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parseShop, planShop, toContract } from '@/lib/planning/contract'
import { type CheckedShop, check } from '../checker'
import { anyShop } from '../shops'
import found from './found.json'

const planned = (shop: CheckedShop, options: Parameters<typeof planShop>[1] = { steps: 200, seed: 1 }) => {
  const parsed = parseShop(shop)
  if (!parsed.ok) throw new Error(`${parsed.field}: ${parsed.message}`)
  return toContract(planShop(parsed.shop, options).plan)
}

describe('any shop', () => {
  it('gets a plan that keeps the contract', { timeout: 120_000 }, () => {
    fc.assert(
      fc.property(anyShop, shop => {
        expect(check(shop, planned(shop))).toEqual([])
      }),
      { numRuns: Number(process.env.PLAN_RUNS ?? 150) },
    )
  })

  it('keeps runs of an earlier plan where they are', { timeout: 120_000 }, () => {
    fc.assert(
      fc.property(anyShop, fc.nat(), fc.integer({ min: 0, max: 3000 }), (shop, pick, later) => {
        const first = planned(shop)
        const now = Date.parse(shop.now) + later * 60_000
        const began = first.runs.filter((r, i) => Date.parse(r.start) <= now || (i + pick) % 7 === 0)
        const again = {
          ...shop,
          now: new Date(now).toISOString(),
          kept: began.map(({ job, step, station, start, crew }) => ({ job, step, station, start, crew })),
        }
        expect(check(again, planned(again))).toEqual([])
      }),
      { numRuns: Number(process.env.PLAN_RUNS ?? 150) },
    )
  })

  // Shops that longer runs (PLAN_RUNS) came upon, each of which once broke the contract or took for ever.
  for (const { what, shop } of found as { what: string; shop: CheckedShop }[]) {
    it(`is planned where ${what}`, () => {
      expect(check(shop, planned(shop))).toEqual([])
    })
  }

  it('is planned where a job that is left out leaves out another', () => {
    const [shop] = fc.sample(anyShop, { seed: 5000, numRuns: 1 })
    expect(shop && check(shop, planned(shop))).toEqual([])
  })
})
