import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { book, type Intent, type ShelfRules } from '@/lib/stock/movements'
import { EMPTY, fifoWorth, type Shelf, type Valuation } from '@/lib/stock/valuation'
import { micro } from '@/lib/units/money'

type Event = ['buy', number, number | string] | ['sell', number]
type Figures = {
  cogs_each_issue: number[]
  cogs: number
  closing: number
  unit_cost_after_each_receipt?: number[]
}
type Case = {
  name: string
  source: string
  read: string
  events: Event[]
  goods_available: number
  fifo: Figures
  moving_average: Figures
}
const { cases } = JSON.parse(readFileSync('tests/vectors/inventory-valuation.json', 'utf8')) as {
  cases: Case[]
}

/** Plays a textbook's month and writes down what a bookkeeper would. */
function play(events: Event[], valuation: Valuation) {
  const rules: ShelfRules = { name: 'goods', unit: 'piece', valuation, belowZero: false }
  let shelf: Shelf = EMPTY
  const issues: number[] = []
  const unitCosts: number[] = []
  for (const event of events) {
    const intent: Intent =
      event[0] === 'buy'
        ? {
            kind: 'received',
            quantity: event[1],
            value: micro(Math.round(event[1] * Number(event[2]) * 1e6)),
          }
        : { kind: 'issued', quantity: event[1] }
    const done = book(shelf, intent, rules)
    if (!done.ok) throw new Error(done.message)
    shelf = done.value.shelf
    if (event[0] === 'buy') unitCosts.push(shelf.worth / shelf.onHand / 1e6)
    else issues.push(-(done.value.entries[0]?.value ?? 0) / 1e6)
  }
  return { issues, unitCosts, closing: shelf.worth / 1e6, shelf }
}

// The rule: IAS 2 Inventories, paragraphs 23 to 27: first in, first out or weighted average for interchangeable items.
describe.each(cases)('$name ($source; $read)', ({ events, goods_available, fifo, moving_average }) => {
  it.each([
    ['fifo', fifo],
    ['average', moving_average],
  ] as const)('%s', (valuation, expected) => {
    const { issues, unitCosts, closing } = play(events, valuation)
    expect(issues).toHaveLength(expected.cogs_each_issue.length)
    expected.cogs_each_issue.forEach((cost, i) => {
      expect(issues[i]).toBeCloseTo(cost, 3)
    })
    expected.unit_cost_after_each_receipt?.forEach((cost, i) => {
      expect(unitCosts[i]).toBeCloseTo(cost, 3)
    })
    expect(closing).toBeCloseTo(expected.closing, 3)
    expect(Math.round((issues.reduce((a, b) => a + b, 0) + closing) * 1e6)).toBe(goods_available * 1e6)
  })
})

it('a layer loses its value in the same steps, however the pieces leave', () => {
  const layers = [
    { quantity: 3, value: micro(10_000_000) },
    { quantity: 7, value: micro(1) },
  ]
  expect([10, 9, 8, 7, 6, 3, 0].map(onHand => fifoWorth(layers, onHand))).toEqual([
    10_000_001, 6_666_668, 3_333_334, 1, 1, 0, 0,
  ])
})
