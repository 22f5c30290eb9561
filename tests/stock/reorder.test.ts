import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { quantile, reorderPoint, reorderWorking, safetyStock, toOrder, useFrom } from '@/lib/stock/reorder'

type Row = {
  D: number
  lead_days?: number
  sigma_day?: number
  sigma_L?: number
  service?: number
  source?: string
}
const vectors = JSON.parse(readFileSync('tests/vectors/costing-operations.json', 'utf8')) as {
  eoq_reorder: Row[]
  normal_z: Record<string, number | string>
}

describe('reorder point, textbook exercises', () => {
  it('2,500 a year over 250 days with 3 days of lead: 30, without safety stock', () => {
    expect(reorderPoint({ perDay: 2500 / 250, deviation: 0, leadDays: 3 }, 0.5)).toBe(30)
  })
  it('the same with a deviation of 4 over the lead time at 95 %: 6.58 of safety', () => {
    const use = { perDay: 10, deviation: 4 / Math.sqrt(3), leadDays: 3 }
    expect(safetyStock(use, 0.95)).toBeCloseTo(6.58, 2)
    expect(reorderPoint(use, 0.95)).toBeCloseTo(36.58, 2)
  })
  it('knife sets (Chase and Jacobs exercise): 2,400 a year, 7 days, σ 4 a day, 98 %', () => {
    const use = { perDay: 2400 / 365, deviation: 4, leadDays: 7 }
    expect(4 * Math.sqrt(7)).toBeCloseTo(10.583, 3)
    expect(reorderPoint(use, 0.98)).toBeCloseTo(67.762, 3)
    // The book reads z 2.05 from its table and gets 67.73.
    expect(Math.abs(reorderPoint(use, 0.98) - 67.73)).toBeLessThan(0.05)
  })
  it('1,800 a year, 7 days, σ 4 a day, 90 %: 48.083', () => {
    expect(reorderPoint({ perDay: 1800 / 365, deviation: 4, leadDays: 7 }, 0.9)).toBeCloseTo(48.083, 3)
  })
  it('Chase and Aquilano: 500 over 250 days, 12 days, σ 20 over the lead time, 95 %', () => {
    const use = { perDay: 2, deviation: 20 / Math.sqrt(12), leadDays: 12 }
    expect(reorderPoint(use, 0.95)).toBeCloseTo(56.897, 3)
  })
})

it('z is that of the normal distribution', () => {
  for (const [share, z] of Object.entries(vectors.normal_z))
    if (share !== 'source') expect(quantile(Number(share))).toBe(z)
  expect(() => quantile(0.33)).toThrow('0.33 is not a service level')
})

describe('use from the stock book', () => {
  it('counts quiet days too', () => {
    expect(useFrom([0, 6, 0, 6], 3)).toEqual({ perDay: 3, deviation: Math.sqrt(12), leadDays: 3 })
    expect(useFrom([], 3)).toEqual({ perDay: 0, deviation: 0, leadDays: 3 })
    expect(useFrom([5], 3)).toEqual({ perDay: 5, deviation: 0, leadDays: 3 })
  })
  it('opens its working', () => {
    const working = reorderWorking({ perDay: 10, deviation: 0, leadDays: 3 }, 0.95, 'piece', 90)
    expect(working.result).toBe('30')
    expect(working.inputs.map(i => i.from)).toContain('measured')
  })
})

describe('what to order', () => {
  const rule = { point: 12, upTo: 36, pack: 1 }
  it.each([
    [{ free: 13, onTheWay: 0 }, rule, 0],
    [{ free: 12, onTheWay: 0 }, rule, 24],
    [{ free: 0, onTheWay: 13 }, rule, 0],
    [{ free: -5, onTheWay: 0 }, rule, 41],
    [{ free: 10, onTheWay: 0 }, { ...rule, pack: 12 }, 36],
    [{ free: 0, onTheWay: 0 }, { point: 0, upTo: 0, pack: 1 }, 0],
    [{ free: -3, onTheWay: 0 }, { point: 0, upTo: 0, pack: 1 }, 3],
    [{ free: -3, onTheWay: 3 }, { point: 0, upTo: 0, pack: 1 }, 0],
    [{ free: -3, onTheWay: 0, written: 3 }, { point: 0, upTo: 0, pack: 1 }, 0],
    [{ free: -5, onTheWay: 3, written: 1 }, { point: 0, upTo: 0, pack: 1 }, 1],
  ])('%j by %j: %i', (position, by, quantity) => {
    expect(toOrder(position, by)).toBe(quantity)
  })
})
