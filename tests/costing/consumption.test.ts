import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { consumption, depositEach, printUse } from '@/lib/costing/consumption'
import { METHODS } from '@/lib/shop/methods'
import { unitPrice } from '@/lib/shop/rates'
import { defaultRecipes } from '@/lib/shop/recipes'
import { anOrder, aPrint, aShop, whitePoly, whiteTee } from './a-shop'

const facts = JSON.parse(
  readFileSync(new URL('../vectors/costing-operations.json', import.meta.url), 'utf8'),
) as {
  dtg_ink: { example_10x12in_m2: number; colour_ml: number; white_ml: number }
  pretreat: { example_grams: [number, number]; example_length_in: number }
  sublimation_ink: { ml_per_m2: number }
  ink_cost_per_print: { g_per_print: number; cost_per_print_3dp: number }
}
const deposit = (method: (typeof METHODS)[number], consumable: string) => {
  const found = defaultRecipes[method].deposits.find(d => d.consumable === consumable)
  if (!found) throw new Error(`${method} uses no ${consumable}`)
  return found
}

describe('consumption against published figures', () => {
  // DTG machine maker: colour 15 ml/m², white about four times that; a print of 10 × 12 in.
  it('DTG uses 1.16 ml colour and 4.65 ml white on 10 × 12 in, fully covered', () => {
    const full = { coveredCm2: facts.dtg_ink.example_10x12in_m2 * 10_000, printedCm2: 774.2 }
    expect(depositEach(deposit('dtg', 'dtg-colour'), full) / 1000).toBeCloseTo(facts.dtg_ink.colour_ml, 3)
    expect(depositEach(deposit('dtg', 'dtg-white'), full) / 1000).toBeCloseTo(facts.dtg_ink.white_ml, 3)
  })
  // Trade press on pretreating, Sep 2015, p. 97: 16 × 20 in takes 30 to 34 g.
  it('pretreat on 16 × 20 in is 30 to 34 g', () => {
    const printedCm2 = (16 * 20 * 25.4 ** 2) / 100
    const g = depositEach(deposit('dtg', 'pretreat'), { coveredCm2: 0, printedCm2 }) / 1000
    expect(g).toBeGreaterThanOrEqual(facts.pretreat.example_grams[0])
    expect(g).toBeLessThanOrEqual(facts.pretreat.example_grams[1])
  })
  // Sublimation ink maker: about 1 ml a square foot.
  it('sublimation ink is about 1 ml a square foot', () => {
    const m2 = depositEach(deposit('sublimation', 'sublimation-ink'), {
      coveredCm2: 10_000,
      printedCm2: 10_000,
    })
    expect(m2 / 1000).toBeCloseTo(facts.sublimation_ink.ml_per_m2, 1)
  })
  // Plastisol ink maker's cost sheet, 2011: $60 a gallon of 5,443 g; 3 g a print is $0.033.
  it('3 g of plastisol cost 0.033', () =>
    expect((3000 * unitPrice(aShop().rates, 'plastisol')) / 1e6).toBeCloseTo(
      facts.ink_cost_per_print.cost_per_print_3dp,
      3,
    ))
  // The same sheet takes 3 g a print for its example: ours for an average full front lies about there.
  it('an average full front takes about 2 g of plastisol, and about 5 g with the underbase', () => {
    const use = { coveredCm2: 464.5, printedCm2: 774.2 }
    const ink = depositEach(deposit('screen', 'plastisol'), use) / 1000
    const base = depositEach(deposit('screen', 'plastisol-white'), use) / 1000
    expect(ink).toBeGreaterThan(1.5)
    expect(ink).toBeLessThan(3)
    expect(ink + base).toBeGreaterThan(3)
    expect(ink + base).toBeLessThan(6)
  })
})

describe('what an order draws from the shelf', () => {
  const drawn = (order: Parameters<typeof consumption>[0], costing = aShop()) =>
    Object.fromEntries(consumption(order, costing).map(u => [u.consumable, u.quantity]))

  it('white ink and pretreat only on dark cloth', () => {
    expect(Object.keys(drawn(anOrder()))).toEqual(
      expect.arrayContaining(['pretreat', 'dtg-white', 'dtg-colour']),
    )
    expect(drawn(anOrder({ blank: whiteTee }))).not.toHaveProperty('dtg-white')
    expect(drawn(anOrder({ blank: whiteTee }))).not.toHaveProperty('pretreat')
  })
  it('26 started shirts: 24 good and 2 extra', () => {
    expect(drawn(anOrder())['dtg-colour']).toBe(Math.ceil(464.5 * 1.5 * 26))
  })
  it('whole base units, for every method', () => {
    for (const method of METHODS)
      for (const { quantity } of consumption(anOrder({ method, blank: whitePoly }), aShop())) {
        expect(Number.isSafeInteger(quantity)).toBe(true)
        expect(quantity).toBeGreaterThan(0)
      }
  })
  it('several prints share a sheet', () => {
    const small = aPrint({ widthMm: 90, heightMm: 90 })
    // 5 × 6 of 90 mm with 6 mm between stand on 559 × 610 mm: 30.
    expect(drawn(anOrder({ method: 'transfer', sizes: { M: 25 }, prints: [small] }))['transfer-sheet']).toBe(
      1,
    )
    expect(drawn(anOrder({ method: 'transfer', sizes: { M: 30 }, prints: [small] }))['transfer-sheet']).toBe(
      2,
    )
  })
  it('what the floor books for so many pieces grows with them and leaves set-up and sheets out', () => {
    const cloth = { coveredCm2: 464.5, printedCm2: 774.2, ground: 'dark' as const }
    const one = printUse(defaultRecipes.screen, cloth, 1)
    const ten = printUse(defaultRecipes.screen, cloth, 10)
    expect(one.map(u => u.consumable)).toEqual(['plastisol', 'plastisol-white', 'platen-adhesive'])
    for (const u of ten)
      expect(u.quantity / (one.find(o => o.consumable === u.consumable)?.quantity ?? 0)).toBeCloseTo(10, 1)
    expect(printUse(defaultRecipes.screen, cloth, 0)).toEqual([])
  })
})
