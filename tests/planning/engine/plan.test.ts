import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parseShop, planShop, toContract } from '@/lib/planning/contract'
import { type CheckedShop, check } from '../checker'
import { anyShop } from '../shops'

const planned = (shop: CheckedShop, options: Parameters<typeof planShop>[1] = { steps: 200, seed: 1 }) => {
  const parsed = parseShop(shop)
  if (!parsed.ok) throw new Error(`${parsed.field}: ${parsed.message}`)
  return toContract(planShop(parsed.shop, options).plan)
}

/** The same shops every time; PLAN_RUNS=5000 takes so many others. */
const RUNS = process.env.PLAN_RUNS ? { numRuns: Number(process.env.PLAN_RUNS) } : { numRuns: 150, seed: 1 }

describe('any shop', () => {
  it('gets a plan that keeps the contract', { timeout: 120_000 }, () => {
    fc.assert(
      fc.property(anyShop, shop => {
        expect(check(shop, planned(shop))).toEqual([])
      }),
      RUNS,
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
      RUNS,
    )
  })

  it('bounds no more than it placed: a job left out may leave out another', () => {
    const [shop] = fc.sample(anyShop, { seed: 5000, numRuns: 1 })
    expect(shop && check(shop, planned(shop))).toEqual([])
  })
})
