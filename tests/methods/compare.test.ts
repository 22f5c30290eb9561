import { describe, expect, it, vi } from 'vitest'
import { costOrder } from '@/lib/costing/cost'
import { compare, type Row, sortRows } from '@/lib/methods/compare'
import { feelOf } from '@/lib/methods/feel'
import { shopWays, type Way } from '@/lib/methods/way'
import { METHODS } from '@/lib/shop/methods'
import type { Instant } from '@/lib/units/time'
import { anOrder, aPrint, aShop, someArt, whitePoly, whiteTee } from '../costing/a-shop'

const shop = aShop()
const rowsOf = (given: Parameters<typeof anOrder>[0] = {}, beside?: Parameters<typeof compare>[3]): Row[] => {
  const read = compare(anOrder(given), shop, {}, beside)
  if (!read.ok) throw new Error(read.message)
  return read.value
}

describe('methods side by side', () => {
  it('every method has its row, those that cannot too', () => {
    const rows = rowsOf()
    expect(rows.map(r => r.key)).toEqual([...METHODS])
    expect(rows.filter(r => !r.can).map(r => r.key)).toEqual(['sublimation'])
    for (const row of rows) {
      expect(row.cost.total).toBeGreaterThan(0)
      expect(row.price.net - row.cost.total).toBe(row.price.margin)
      expect(row.reasons.length > 0).toBe(!row.can)
    }
  })
  it('the cost of a row is the cost of the order by that method', () => {
    for (const row of rowsOf()) {
      const alone = costOrder(anOrder({ method: row.method }), shop)
      expect(alone.ok && alone.value.cost.total).toBe(row.cost.total)
    }
  })
  it('asks stockroom and plan only about what can be made, and shows what they say', () => {
    const beside = vi.fn((way: Way) => ({
      readyAt: (way.method === 'dtg' ? 1_000 : 2_000) as Instant,
      missing: way.method === 'dtg' ? [{ name: 'Heavy tee, Black, M', short: 3, unit: 'piece' }] : [],
    }))
    const rows = rowsOf({}, beside)
    expect(beside.mock.calls.map(([way]) => way.method)).toEqual(['transfer', 'dtg', 'screen'])
    expect(rows.find(r => r.key === 'dtg')).toMatchObject({ readyAt: 1_000, missing: [{ short: 3 }] })
    expect(rows.find(r => r.key === 'sublimation')).toMatchObject({ readyAt: null, missing: [] })
  })
  it('two lines are priced line by line, and add up', () => {
    const order = anOrder({ method: 'dtg' })
    const two = { ...order, lines: [...order.lines, ...anOrder({ blank: whiteTee, sizes: { M: 5 } }).lines] }
    const read = compare(two, shop)
    if (!read.ok) throw new Error(read.message)
    for (const row of read.value) {
      expect(row.price.lines.map(l => l.pieces)).toEqual([24, 5])
      expect(row.price.cost).toBe(row.cost.total)
    }
  })
  it('a line without pieces costs and earns nothing', () => {
    const order = anOrder()
    const read = compare({ ...order, lines: [...order.lines, ...anOrder({ sizes: { M: 0 } }).lines] }, shop)
    if (!read.ok) throw new Error(read.message)
    expect(read.value[0]?.price.lines[1]).toMatchObject({ pieces: 0, cost: 0, amount: 0 })
  })
  it('an order without pieces is refused with one sentence', () =>
    expect(compare(anOrder({ sizes: { M: 0 } }), shop)).toMatchObject({ ok: false, code: 'no-pieces' }))

  describe('sorted by what the owner cares for', () => {
    const rows = rowsOf({}, way => ({
      readyAt: ({ transfer: 3, dtg: 1, screen: 2, sublimation: 0 }[way.method] * 1000) as Instant,
    }))
    it('those that can come first, always', () => {
      for (const by of ['margin', 'cost', 'date', 'feel'] as const)
        expect(sortRows(rows, by).at(-1)?.key, by).toBe('sublimation')
    })
    it('by date', () =>
      expect(sortRows(rows, 'date').map(r => r.key)).toEqual(['dtg', 'screen', 'transfer', 'sublimation']))
    it('by cost', () => {
      const costs = sortRows(rows, 'cost')
        .filter(r => r.can)
        .map(r => r.cost.total)
      expect(costs).toEqual(costs.toSorted((a, b) => a - b))
    })
    it('by margin', () => {
      const margins = sortRows(rows, 'margin')
        .filter(r => r.can)
        .map(r => r.price.margin)
      expect(margins).toEqual(margins.toSorted((a, b) => b - a))
    })
    it('leaves the rows given as they are', () => expect(rows.map(r => r.key)).toEqual([...METHODS]))
  })
})

describe('feel', () => {
  const score = (method: (typeof METHODS)[number], blank = whiteTee, patch = 60) =>
    feelOf(anOrder({ method, blank, prints: [aPrint({ art: { ...someArt, largestSolidCm2: patch } })] }))
      .value.score
  it('dye is not felt, a film is felt the more of it is unbroken', () => {
    expect(score('sublimation', whitePoly)).toBe(0)
    expect(score('dtg')).toBe(1)
    expect(score('transfer', whiteTee, 10)).toBe(2)
    expect(score('transfer', whiteTee, 25)).toBe(3)
    expect(score('transfer', whiteTee, 100)).toBe(4)
  })
  it('never gets softer with a larger patch', () => {
    for (const method of METHODS)
      for (let patch = 0; patch < 300; patch += 10)
        expect(score(method, whiteTee, patch + 10)).toBeGreaterThanOrEqual(score(method, whiteTee, patch))
  })
  it('opens its working', () =>
    expect(feelOf(anOrder()).working.inputs.map(i => i.name)).toEqual([
      'Method',
      'Largest unbroken patch',
      'Covered share of the print',
    ]))
})

describe('ways', () => {
  it('each carries the shop’s own recipe', () => {
    for (const way of shopWays(shop)) expect(way.recipe).toBe(shop.recipes[way.method])
  })
})
