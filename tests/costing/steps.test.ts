import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { costOrder } from '@/lib/costing/cost'
import { artKey } from '@/lib/costing/order'
import { daysBefore, stepsTime } from '@/lib/costing/steps'
import { METHODS } from '@/lib/shop/methods'
import { defaultRecipes, moreRecipes } from '@/lib/shop/recipes'
import { anOrder, aPrint, aShop, firstLine, someArt, whitePoly, whiteTee } from './a-shop'

const noSpoilage = Object.fromEntries(
  METHODS.map(m => [m, { rate: 0, pieces: 0, spoiled: 0, from: 'setting' as const }]),
) as ReturnType<typeof aShop>['rates']['spoilage']
const shop = aShop({ spoilage: noSpoilage })
const told = (order: Parameters<typeof stepsTime>[0], costing = shop) =>
  stepsTime(order, costing).map(s => [s.key, s.stationKind, s.state, s.setupMinutes, s.runMinutes])

describe('steps of an order', () => {
  it('24 black tees by transfer: cut, press in one visit, pack', () => {
    // Cut 24 × 8 s; press set-up 180 + 120 s, each 12 + 5, 15 + 16, 6 + 5 = 59 s; pack 240 s and 25 s each.
    expect(told(anOrder({ method: 'transfer' }))).toEqual([
      ['cut', 'bench', null, 0, 4],
      ['press', 'heat-press', '149C', 5, 24],
      ['pack', 'bench', null, 4, 10],
    ])
  })
  it('sublimation prints sheets, presses at 204 °C, settles, then peels', () => {
    const steps = stepsTime(anOrder({ method: 'sublimation', blank: whitePoly }), shop)
    expect(steps.map(s => s.key)).toEqual(['art', 'print', 'press', 'peel', 'pack'])
    expect(steps[1]).toMatchObject({ per: 'sheet', units: 24, attended: 'setup' })
    expect(steps[2]).toMatchObject({ state: '204C', gapMin: 1 })
  })
  it('DTG on white goes without pretreat; on black it is sprayed, dried, printed, cured', () => {
    expect(stepsTime(anOrder({ blank: whiteTee }), shop).map(s => s.key)).toEqual([
      'art',
      'print',
      'cure',
      'pack',
    ])
    expect(stepsTime(anOrder(), shop).map(s => s.key)).toEqual([
      'art',
      'pretreat',
      'dry',
      'print',
      'cure',
      'pack',
    ])
  })
  it('screen: screens first, then print with flash, cure, pack; wash-up and reclaim wait for no promise', () => {
    const steps = stepsTime(anOrder({ method: 'screen' }), shop)
    expect(steps.map(s => [s.key, s.phase])).toEqual([
      ['art', 'before'],
      ['coat', 'before'],
      ['expose', 'before'],
      ['print', 'work'],
      ['cure', 'work'],
      ['pack', 'work'],
      ['wash-up', 'after'],
      ['reclaim', 'after'],
    ])
    // The art 600 s, and 180 s for each of four films.
    expect(steps[0]).toMatchObject({ setupMinutes: 0, runMinutes: 22, units: 1, extraUnits: 0 })
    // Four screens at 10 min; each piece 25 + 4 × 15 s, underbase 4 + 6 s: 95 s.
    expect(steps[3]).toMatchObject({ setupMinutes: 40, runMinutes: 38, state: 'plastisol' })
    // The belt: 24 s apart, and the last one 75 s through.
    expect(steps[4]).toMatchObject({ unitSeconds: 24, tailSeconds: 75 })
  })
  it('art is prepared once for an artwork and a method, at whatever size, and not again for a repeat', () => {
    const front = aPrint()
    const small = aPrint({ placement: 'left-chest', widthMm: 90, heightMm: 108 })
    const keys = (given: Parameters<typeof anOrder>[0]) => stepsTime(anOrder(given), shop).map(s => s.key)
    const arts = (given: Parameters<typeof anOrder>[0]) => keys(given).filter(k => k === 'art').length
    for (const method of ['sublimation', 'dtg', 'screen'] as const) {
      const blank = method === 'sublimation' ? whitePoly : whiteTee
      expect(arts({ method, blank, prints: [front, small] }), method).toBe(1)
      expect(
        arts({ method, blank, prints: [front], preparedArt: [artKey(defaultRecipes[method].id, 'art-1')] }),
        method,
      ).toBe(0)
    }
    const other = aPrint({ placement: 'full-back', art: { ...someArt, id: 'art-2' } })
    expect(arts({ prints: [front, other] })).toBe(2)
    expect(arts({ prints: [front, other], preparedArt: [artKey('dtg', 'art-2')] })).toBe(1)
    // Films are of no use on the DTG printer, nor a white below to the screens.
    expect(arts({ prints: [front], preparedArt: [artKey('screen-plastisol', 'art-1')] })).toBe(1)
    // Whoever prints bought-in transfers prepares their art.
    expect(arts({ method: 'transfer', prints: [front] })).toBe(0)
    // Screens that were reclaimed are made anew from art that is there.
    expect(
      keys({ method: 'screen', prints: [front], preparedArt: [artKey('screen-plastisol', 'art-1')] }).slice(
        0,
        2,
      ),
    ).toEqual(['coat', 'expose'])
  })
  it('ink that cures in the air is packed three days later, and asks for no dryer', () => {
    const air = moreRecipes.find(r => r.id === 'screen-water-based-air')
    if (!air) throw new Error('no such recipe')
    const costing = { ...shop, recipes: { ...shop.recipes, screen: air } }
    const steps = stepsTime(anOrder({ method: 'screen', blank: whiteTee }), costing)
    expect(steps.some(s => s.stationKind === 'dryer')).toBe(false)
    // 72 h, the longer end of what ink makers' data sheets say; from memory.
    expect(steps.find(s => s.key === 'cure')).toMatchObject({
      stationKind: 'bench',
      gapMin: 4320,
      phase: 'work',
    })
  })
  it('polyester is pressed cooler than cotton', () => {
    const cool = stepsTime(anOrder({ method: 'transfer', blank: whitePoly }), shop).find(
      s => s.key === 'press',
    )
    expect(cool?.state).toBe('132C')
  })
  it('a small DTG print takes less time than a large one', () => {
    const at = (widthMm: number) =>
      stepsTime(anOrder({ blank: whiteTee, prints: [aPrint({ widthMm })] }), shop).find(
        s => s.key === 'print',
      )?.steps[0]?.dwellSeconds
    expect(at(254)).toBeCloseTo(120, 1)
    expect(at(127)).toBeCloseTo(60, 1)
  })
  it('front and back are two batches; what ends the job comes once', () => {
    const steps = stepsTime(
      anOrder({ method: 'transfer', prints: [aPrint(), aPrint({ placement: 'full-back', widthMm: 200 })] }),
      shop,
    )
    expect(steps.map(s => s.key)).toEqual(['cut', 'press', 'cut', 'press', 'pack'])
    expect(steps.map(s => s.setupMinutes)).toEqual([0, 5, 0, 2, 4])
    expect(steps[1]?.prints).toEqual([{ line: 0, print: 0 }])
    expect(steps[3]?.prints).toEqual([{ line: 0, print: 1 }])
    expect(steps[4]?.prints).toEqual([])
  })
  it('lines with one design on one cloth are one batch', () => {
    const line = firstLine(anOrder({ method: 'transfer' }))
    const steps = stepsTime({ method: 'transfer', lines: [line, line] }, shop)
    expect(steps.map(s => [s.key, s.units])).toEqual([
      ['cut', 48],
      ['press', 48],
      ['pack', 48],
    ])
  })
  it('plans the extra blanks too', () => {
    const steps = stepsTime(anOrder(), aShop())
    expect(steps.find(s => s.key === 'print')).toMatchObject({ units: 24, extraUnits: 2 })
    expect(steps.find(s => s.key === 'pack')).toMatchObject({ units: 24, extraUnits: 0 })
  })
  it('bought-in transfers wait for the post, the others do not', () => {
    expect(daysBefore(anOrder({ method: 'transfer' }), shop)).toBe(3)
    expect(daysBefore(anOrder({ method: 'dtg' }), shop)).toBe(0)
    expect(daysBefore(anOrder({ prints: [aPrint(), aPrint({ method: 'transfer' })] }), shop)).toBe(3)
  })
  it('labour in the cost is the attended time of these very steps, at the wage', () => {
    fc.assert(
      fc.property(fc.constantFrom(...METHODS), fc.integer({ min: 1, max: 200 }), (method, M) => {
        const order = anOrder({ method, blank: whitePoly, sizes: { M } })
        const costing = aShop()
        const read = costOrder(order, costing)
        if (!read.ok) throw new Error(read.message)
        const labour = read.value.cost.branches
          .flatMap(b => b.leaves)
          .filter(l => l.kind === 'labour')
          .reduce((sum, l) => sum + l.amount, 0)
        const seconds = stepsTime(order, costing).reduce(
          (sum, s) =>
            sum +
            (s.attended === 'none' ? 0 : s.setupSeconds) +
            (s.attended === 'all' ? s.tailSeconds + s.unitSeconds * (s.units + s.extraUnits) : 0),
          0,
        )
        expect(Math.abs(labour - seconds * costing.wagePerSecond)).toBeLessThan(20)
      }),
      { numRuns: 40 },
    )
  })
})
