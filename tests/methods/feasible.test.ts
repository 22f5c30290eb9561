import { describe, expect, it } from 'vitest'
import { type Feasibility, feasible } from '@/lib/methods/feasible'
import type { Blank, FibreContent } from '@/lib/shop/blanks'
import { METHODS, type MethodId } from '@/lib/shop/methods'
import { defaultRecipes } from '@/lib/shop/recipes'
import {
  allStations,
  anOrder,
  aPrint,
  aShop,
  aStation,
  blackTee,
  someArt,
  whitePoly,
  whiteTee,
} from '../costing/a-shop'

const shop = aShop()
type Given = Parameters<typeof anOrder>[0]
const judged = (method: MethodId, given: Given = {}, costing = shop): Feasibility =>
  feasible(anOrder({ method, ...given }), costing)
const codes = (f: Feasibility) => f.reasons.map(r => r.code).sort()
const remarks = (f: Feasibility) => f.remarks.map(r => r.code)
const cloth = (fibres: FibreContent, hex = '#ffffff', name = 'White'): Blank => ({
  ...whiteTee,
  fibres,
  colour: { name, hex },
})
const art = (given: object) => aPrint({ art: { ...someArt, ...given } })

describe('which method can', () => {
  it('24 black cotton tees, three colours: all but sublimation', () => {
    const can = METHODS.filter(m => judged(m).can)
    expect(can).toEqual(['transfer', 'dtg', 'screen'])
  })
  it('sublimation tells both reasons: no polyester, and too dark', () =>
    expect(codes(judged('sublimation'))).toEqual(['dark-ground', 'least-polyester']))
  it('white polyester: sublimation, transfer and screen, not DTG', () => {
    expect(METHODS.filter(m => judged(m, { blank: whitePoly }).can)).toEqual([
      'transfer',
      'sublimation',
      'screen',
    ])
    expect(codes(judged('dtg', { blank: whitePoly }))).toEqual(['plant-fibre'])
  })
  // Sublimation guide: full colour on 100 % polyester, about 65 % is the usual minimum, 40 % only a faded look.
  it.each([
    [100, true, false],
    [99, true, true],
    [65, true, true],
    [64, false, false],
    [40, false, false],
  ])('sublimation on %i %% polyester: can %s, washed out %s', (polyester, can, faded) => {
    const f = judged('sublimation', {
      blank: cloth({ polyester, ...(polyester < 100 ? { cotton: 100 - polyester } : {}) }),
    })
    expect(f.can).toBe(can)
    expect(remarks(f).includes('faded')).toBe(faded)
  })
  // Trade press: the dye is transparent and there is no white, so the ground is white or light.
  it.each([
    ['#ffffff', true, false],
    ['#f2d16b', true, true],
    ['#1a1a1a', false, false],
    ['#c1272d', false, false],
  ])('sublimation on %s: can %s, tinted %s', (hex, can, tinted) => {
    const f = judged('sublimation', { blank: cloth({ polyester: 100 }, hex) })
    expect(f.can).toBe(can)
    expect(remarks(f).includes('tinted-ground')).toBe(tinted)
  })
  it.each([
    [49, false],
    [50, true],
  ])('DTG on %i %% cotton: %s', (cotton, can) =>
    expect(judged('dtg', { blank: cloth({ cotton, polyester: 100 - cotton }) }).can).toBe(can),
  )
  it('a mug takes sublimation alone, and says that it needs the insert', () => {
    const mug: Blank = {
      kind: 'mug',
      style: 'Mug',
      colour: { name: 'White', hex: '#ffffff' },
      fibres: { coating: 100 },
    }
    const given = {
      blank: mug,
      sizes: { 'One size': 12 },
      prints: [aPrint({ placement: 'wrap', widthMm: 200, heightMm: 85 })],
    }
    expect(METHODS.filter(m => judged(m, given).can)).toEqual(['sublimation'])
    expect(remarks(judged('sublimation', given))).toContain('mug-press')
    expect(codes(judged('screen', given))).toContain('fibre')
  })
  it('screen print starts at the shop’s least quantity', () => {
    expect(codes(judged('screen', { sizes: { M: 11 } }))).toEqual(['least-pieces'])
    expect(judged('screen', { sizes: { M: 12 } }).can).toBe(true)
  })
  it('screens: inks and the underbase against the heads of the press', () => {
    const prints = (colours: number) => [art({ colours })]
    expect(judged('screen', { prints: prints(3) }).can).toBe(true)
    const five = judged('screen', { prints: prints(4) })
    expect(codes(five)).toEqual(['too-many-screens'])
    expect(five.reasons[0]?.message).toMatch(
      /needs 5 screens \(4 inks and a white underbase\); the press takes 4/,
    )
    expect(judged('screen', { prints: prints(4), blank: whiteTee }).can).toBe(true)
  })
  it('a shop without the machine cannot', () => {
    const without = (kind: string) => aShop({}, { stations: allStations.filter(s => s.kind !== kind) })
    expect(codes(judged('dtg', {}, without('dtg-printer')))).toEqual(['no-station'])
    expect(codes(judged('dtg', {}, without('pretreat-booth')))).toEqual(['no-station'])
    expect(judged('dtg', { blank: whiteTee }, without('pretreat-booth')).can).toBe(true)
    for (const method of ['transfer', 'dtg'] as const)
      expect(judged(method, {}, without('heat-press')).can, method).toBe(false)
  })
  it('the print against the bed, either way round, the largest machine of the kind counting', () => {
    const wide = (widthMm: number, heightMm: number) => [aPrint({ widthMm, heightMm })]
    const small = aShop(
      {},
      {
        stations: [
          ...allStations.filter(s => s.kind !== 'dtg-printer'),
          aStation('dtg-printer', { bedWidthMm: 300, bedHeightMm: 300 }),
        ],
      },
    )
    expect(codes(judged('dtg', { prints: wide(320, 290) }, small))).toEqual(['bed-too-small'])
    const two = aShop(
      {},
      {
        stations: [
          ...small.stations,
          aStation('dtg-printer', { id: 'b', bedWidthMm: 290, bedHeightMm: 320 }),
        ],
      },
    )
    expect(judged('dtg', { prints: wide(320, 290) }, two).can).toBe(true)
    expect(judged('dtg', { prints: wide(320, 290) }, small).reasons[0]?.message).toMatch(
      /320 × 290 mm does not fit the dtg printer/,
    )
  })
  it('paper and sheets have a size too', () => {
    const costing = aShop({
      sheets: { ...shop.rates.sheets, 'transfer-sheet': { widthMm: 200, heightMm: 280, gapMm: 5 } },
    })
    expect(codes(judged('transfer', {}, costing))).toEqual(['sheet-too-small'])
  })
  it('a print wider than the smallest garment belongs to no method', () => {
    for (const method of METHODS)
      expect(
        codes(judged(method, { sizes: { YXS: 1, L: 23 }, prints: [aPrint({ widthMm: 420 })] })),
      ).toContain('placement')
  })
  it('a print past the placement guide may still be done: it is a remark to mind', () => {
    const over = judged('screen', { sizes: { YXS: 1, L: 23 }, prints: [aPrint({ widthMm: 300 })] })
    expect(over.can).toBe(true)
    expect(over.remarks.find(r => r.code === 'off-guide')).toMatchObject({
      weight: 'warn',
      message: expect.stringMatching(/300 mm is too wide for full front on size YXS: at most 241 mm/),
    })
    expect(judged('screen', {}).remarks.map(r => r.code)).not.toContain('off-guide')
  })
  it('heat: a recipe too hot for the fibre is refused, with both temperatures', () => {
    const hot = structuredClone(defaultRecipes.transfer)
    for (const step of hot.steps)
      for (const s of step.settings)
        if (s.classes.includes('polyester') && s.temperature)
          s.temperature.value = 165 as typeof s.temperature.value
    const f = judged(
      'transfer',
      { blank: whitePoly },
      aShop({}, { recipes: { ...defaultRecipes, transfer: hot } }),
    )
    expect(codes(f)).toEqual(['scorch'])
    expect(f.reasons[0]?.message).toMatch(/165 °C .* 140 °C/)
  })
  it('art below the shop’s floor stops; below the house rule it is remarked', () => {
    expect(codes(judged('dtg', { prints: [art({ ppi: 99 })] }))).toEqual(['art-too-small'])
    expect(judged('dtg', { prints: [art({ ppi: 100 })] }).can).toBe(true)
    expect(remarks(judged('dtg', { prints: [art({ ppi: 299 })] }))).toContain('art-below-house')
    expect(remarks(judged('dtg', { prints: [art({ ppi: 300 })] }))).not.toContain('art-below-house')
    expect(judged('dtg', { prints: [art({ ppi: null })] }).can).toBe(true)
  })
  it('art that is not in yet is remarked, and stops nothing', () => {
    const f = judged('dtg', { prints: [aPrint({ art: null })] })
    expect(f.can).toBe(true)
    expect(remarks(f)).toContain('art-missing')
  })
  it('an order without a print can be made by nothing', () => {
    for (const method of METHODS) expect(codes(judged(method, { prints: [] }))).toEqual(['no-print'])
  })
})

describe('what is good to know', () => {
  it('bought-in transfers wait for the post', () => {
    expect(judged('transfer')).toMatchObject({ can: true, waitDays: 3 })
    expect(remarks(judged('transfer'))).toContain('post')
    expect(judged('dtg').waitDays).toBe(0)
  })
  // Ink maker's sheet: dye migration starts above 265 °F (129 °C).
  it('dye migration on dyed polyester, not on white', () => {
    const red = cloth({ polyester: 100 }, '#c1272d', 'Red')
    expect(remarks(judged('screen', { blank: red }))).toContain('dye-migration')
    expect(remarks(judged('screen', { blank: whitePoly }))).not.toContain('dye-migration')
    expect(remarks(judged('screen', { blank: blackTee }))).not.toContain('dye-migration')
  })
  it('a large unbroken film is stiff and holds sweat', () => {
    expect(remarks(judged('transfer', { prints: [art({ largestSolidCm2: 120 })] }))).toContain('sweaty')
    expect(remarks(judged('transfer', { prints: [art({ largestSolidCm2: 60 })] }))).not.toContain('sweaty')
  })
  it('tones are remarked where they cannot print as they are', () => {
    const prints = [art({ partlyTransparent: 0.3 })]
    for (const method of ['screen', 'transfer', 'dtg'] as const)
      expect(remarks(judged(method, { prints }))).toContain('tone')
    expect(remarks(judged('dtg', { prints, blank: whiteTee }))).not.toContain('tone')
  })
  it('elastane stretches more than film and ink', () =>
    expect(remarks(judged('screen', { blank: cloth({ cotton: 95, elastane: 5 }) }))).toContain('stretch'))
  it('youth sizes remind of the rules for children', () => {
    const f = judged('dtg', { sizes: { YM: 24 }, prints: [aPrint({ widthMm: 200, heightMm: 250 })] })
    expect(remarks(f)).toContain('children')
  })
  it('every sentence is whole and names no one twice', () => {
    for (const method of METHODS)
      for (const blank of [blackTee, whiteTee, whitePoly]) {
        const f = judged(method, { blank, sizes: { YM: 4, M: 4 } })
        const all = [...f.reasons, ...f.remarks].map(x => x.message)
        expect(new Set(all).size).toBe(all.length)
        for (const message of all) expect(message).toMatch(/^.{15,}[.!]$/)
      }
  })
})
