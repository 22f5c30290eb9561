import { describe, expect, it } from 'vitest'
import { costOrder } from '@/lib/costing/cost'
import { priceOrder } from '@/lib/costing/price'
import { METHODS } from '@/lib/shop/methods'
import type { Micro, Minor } from '@/lib/units/money'
import { anOrder, aShop } from './a-shop'

// ISO 4217: digits after the decimal sign.
describe.each([
  ['EUR', 2, 1],
  ['JPY', 0, 150],
  ['KWD', 3, 1],
] as const)('a shop in %s, with %i digits', (currency, digits, worth) => {
  const { rates } = aShop()
  const inMinor = (major: number) => Math.round(major * worth * 10 ** digits) as Minor
  const shop = aShop(
    {
      wagePerHour: inMinor(18),
      overheadPerLabourHour: inMinor(9),
      transferFreight: inMinor(8),
      leastOrder: inMinor(25),
    },
    { show: { currency, locale: 'en', system: 'metric' }, stations: [] },
  )
  const order = (method: (typeof METHODS)[number]) => {
    const made = anOrder({ method })
    for (const line of made.lines)
      for (const size of line.sizes) size.unitCost = (size.unitCost * worth) as Micro
    return made
  }
  it.each(METHODS)('%s: leaves and price add up to whole minor units', method => {
    const read = costOrder(order(method), shop)
    if (!read.ok) throw new Error(read.message)
    const { cost } = read.value
    const leaves = cost.branches.flatMap(b => b.leaves)
    expect(leaves.reduce((sum, l) => sum + l.minor, 0)).toBe(cost.total)
    expect(Math.abs(cost.total * 10 ** (6 - digits) - cost.amount)).toBeLessThanOrEqual(
      10 ** (6 - digits) / 2,
    )
    const priced = priceOrder([{ name: 'Tee', pieces: 24, cost: cost.total }], rates, {}, shop.show)
    expect(priced.net + priced.tax).toBe(priced.gross)
    expect(Number.isSafeInteger(priced.lines[0]?.each)).toBe(true)
  })
})
