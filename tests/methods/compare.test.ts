import { describe, expect, it, vi } from 'vitest'
import { costOrder } from '@/lib/costing/cost'
import { compare, type Row, sortRows } from '@/lib/methods/compare'
import { feelOf } from '@/lib/methods/feel'
import { allWays, shopWays, type Way } from '@/lib/methods/way'
import { METHODS } from '@/lib/shop/methods'
import { moreRecipes } from '@/lib/shop/recipes'
import { type Celsius, toFahrenheit } from '@/lib/units/measure'
import type { Instant } from '@/lib/units/time'
import {
  allStations,
  anOrder,
  aPrint,
  aShop,
  aStation,
  someArt,
  whitePoly,
  whiteTee,
} from '../costing/a-shop'

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
  const score = (method: (typeof METHODS)[number], blank = whiteTee, patch = 60, recipes = shop.recipes) =>
    feelOf(
      anOrder({ method, blank, prints: [aPrint({ art: { ...someArt, largestSolidCm2: patch } })] }),
      recipes,
    ).value.score
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
    expect(feelOf(anOrder(), shop.recipes).working.inputs.map(i => i.name)).toEqual([
      'Method',
      'Largest unbroken patch',
      'Covered share of the print',
    ]))
})

describe('ways', () => {
  it('each carries the shop’s own recipe', () => {
    for (const way of shopWays(shop)) expect(way.recipe).toBe(shop.recipes[way.method])
  })
  const equipped = aShop({}, { stations: [...allStations, aStation('film-printer'), aStation('cutter')] })
  it('further recipes stand beside them where the shop has the stations', () => {
    const noDryer = { ...shop, stations: shop.stations.filter(s => s.kind !== 'dryer') }
    expect(allWays(noDryer, moreRecipes).map(w => w.key)).toEqual([...METHODS, 'screen-water-based-air'])
    expect(allWays(shop, moreRecipes).map(w => w.key)).toEqual([...METHODS, 'screen-water-based'])
    expect(allWays(equipped, moreRecipes).map(w => w.key)).toEqual([
      ...METHODS,
      'transfer-film',
      'transfer-cut-film',
      'screen-water-based',
    ])
  })
  const all = (given: Parameters<typeof anOrder>[0] = {}) => {
    const read = compare(anOrder(given), equipped, {}, undefined, allWays(equipped, moreRecipes))
    if (!read.ok) throw new Error(read.message)
    return (key: string) => {
      const row = read.value.find(r => r.key === key)
      if (!row) throw new Error(`no row ${key}`)
      return row
    }
  }
  it('film made here waits for no post and buys no sheets', () => {
    const row = all()
    const used = (key: string) =>
      row(key)
        .cost.branches.flatMap(b => b.leaves)
        .map(l => l.consumable)
    expect([row('transfer').waitDays, row('transfer-film').waitDays]).toEqual([3, 0])
    expect(used('transfer')).toContain('transfer-sheet')
    expect(used('transfer-film')).not.toContain('transfer-sheet')
    expect(used('transfer-film')).toEqual(
      expect.arrayContaining(['film-colour', 'film-white', 'film-powder', 'print-film']),
    )
  })
  it('cut film takes one colour', () => {
    expect(all()('transfer-cut-film').reasons.map(r => r.code)).toEqual(['too-many-colours'])
    const one = [aPrint({ art: { ...someArt, colours: 1 } })]
    expect(all({ prints: one })('transfer-cut-film').can).toBe(true)
  })
  // Trade press, Oct 2018, p. 39: water-based ink is held 2 to 3 min at 300 to 320 °F.
  it('water-based is cured 2 to 3 minutes, stays soft, and is refused on polyester', () => {
    const cure = moreRecipes.find(r => r.id === 'screen-water-based')?.steps.find(s => s.key === 'cure')
      ?.settings[0]
    expect(cure?.dwellSeconds.value).toBeGreaterThanOrEqual(120)
    expect(cure?.dwellSeconds.value).toBeLessThanOrEqual(180)
    expect(toFahrenheit(cure?.temperature?.value as Celsius)).toBeCloseTo(315, 6)
    const patch = [aPrint({ art: { ...someArt, largestSolidCm2: 150 } })]
    const row = all({ blank: whiteTee, prints: patch })
    expect(row('screen-water-based').feel.value.score).toBeLessThan(row('screen').feel.value.score)
    expect(all({ blank: whitePoly })('screen-water-based').reasons.map(r => r.code)).toEqual(['fibre'])
    expect(
      row('screen-water-based')
        .cost.branches.flatMap(b => b.leaves)
        .map(l => l.consumable),
    ).not.toContain('plastisol')
  })
})
