import { describe, expect, it } from 'vitest'
import {
  contractCurve,
  contractPrice,
  contractRow,
  type PriceList,
  readPriceList,
} from '@/lib/methods/contract'
import { crossings } from '@/lib/methods/crossings'
import { costCurves } from '@/lib/methods/curve'
import { shopWays } from '@/lib/methods/way'
import type { Minor } from '@/lib/units/money'
import { anOrder, aPrint, aShop, whiteTee } from '../costing/a-shop'

const shop = aShop()
const list: PriceList = {
  key: 'outside-1',
  name: 'The printers in the valley',
  method: 'screen',
  days: 6,
  setupEach: 2_500 as Minor,
  freight: 1_800 as Minor,
  rows: [
    { from: 12, each: 420 as Minor },
    { from: 48, each: 260 as Minor },
  ],
}
const row = (given = {}) => {
  const read = contractRow(anOrder(given), list, shop)
  if (!read.ok) throw new Error(read.message)
  return read.value
}

describe('contract printing', () => {
  it.each([
    [12, 12 * 420 + 2_500],
    [47, 47 * 420 + 2_500],
    [48, 48 * 260 + 2_500],
  ])('%i pieces ask %i', (M, asked) =>
    expect(contractPrice(anOrder({ sizes: { M } }), list, shop.show)).toMatchObject({
      ok: true,
      value: { value: asked },
    }),
  )
  it('front and back are two prints and two set-ups', () => {
    const prints = [aPrint(), aPrint({ placement: 'full-back' })]
    expect(contractPrice(anOrder({ sizes: { M: 12 }, prints }), list, shop.show)).toMatchObject({
      value: { value: 24 * 420 + 2 * 2_500 },
    })
  })
  it('costs our blanks, their price, freight and our packing, and nothing of our presses', () => {
    const { cost } = row()
    const by = Object.fromEntries(cost.branches.map(b => [b.group, b.minor]))
    expect(by.outside).toBe(24 * 420 + 2_500)
    expect(by.freight).toBe(1_800)
    expect(by.blanks).toBe(8_880)
    expect(cost.branches.flatMap(b => b.leaves).filter(l => l.kind === 'machine')).toEqual([])
    expect(cost.branches.reduce((sum, b) => sum + b.minor, 0)).toBe(cost.total)
  })
  it('what our press cannot do is no reason; what the cloth cannot is', () => {
    const none = aShop({}, { stations: [] })
    const read = contractRow(anOrder(), list, none)
    expect(read.ok && read.value.can).toBe(true)
    expect(row({ prints: [aPrint({ widthMm: 900 })] }).reasons.map(r => r.code)).toContain('placement')
  })
  it('starts at its first row, and says how long it is away', () => {
    expect(row({ sizes: { M: 11 } })).toMatchObject({ can: false, waitDays: 6 })
    expect(row({ sizes: { M: 11 } }).reasons[0]?.message).toMatch(/from 12 pieces; this is 11/)
    expect(row().remarks.at(-1)?.message).toMatch(/6 working days away/)
  })
  it('stands in the curves with a crossing of its own', () => {
    const order = anOrder({ blank: whiteTee })
    const ours = costCurves(order, shopWays(shop), shop).filter(c => c.key === 'screen')
    const theirs = contractCurve(order, list, shop)
    expect(theirs.amounts).toHaveLength(500)
    const sizes = { S: 4, M: 8, L: 8, '2XL': 4 }
    expect(theirs.amounts[23]).toBe(row({ blank: whiteTee, sizes }).cost.amount)
    // Nearly no set-up against ours of three screens: theirs first, ours when the set-up is spread.
    const cheap = {
      ...list,
      setupEach: 0 as Minor,
      freight: 500 as Minor,
      rows: [{ from: 1, each: 150 as Minor }],
    }
    const found = crossings([...ours, contractCurve(order, cheap, shop)])
    expect(found.at(-1)).toMatchObject({ from: 'printer:outside-1', to: 'screen' })
    expect(found.at(-1)?.pieces).toBeGreaterThan(12)
  })
  it.each([
    ['no row', { rows: [] }, /at least one row/],
    ['rows out of order', { rows: [list.rows[1], list.rows[0]] }, /Row 2 starts at 12 pieces, row 1 at 48/],
    [
      'a price below zero in its second row',
      { rows: [list.rows[0], { from: 48, each: -5 }] },
      /^Row 2, price: /,
    ],
    ['half a cent', { rows: [{ from: 1, each: 2.5 }] }, /int|whole/i],
    ['no name', { name: ' ' }, /1/],
  ])('a list with %s is refused', (_, change, message) => {
    const read = readPriceList({ ...list, ...change })
    expect(read).toMatchObject({ ok: false, code: 'price-list' })
    expect(read.ok ? '' : read.message).toMatch(message)
  })
})
