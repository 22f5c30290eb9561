import { expect, it } from 'vitest'
import { gather, promiseAfterIssue, standing } from '@/lib/stock/promises'

it.each([
  [[24, 0, 0], { free: 24, short: 0, toBuy: 0 }],
  [[24, 20, 0], { free: 4, short: 0, toBuy: 0 }],
  [[24, 26, 0], { free: -2, short: 2, toBuy: 2 }],
  [[24, 26, 12], { free: -2, short: 2, toBuy: 0 }],
  [[-3, 5, 0], { free: -8, short: 5, toBuy: 8 }],
] as const)('on hand, promised, on the way %j', ([onHand, promised, onTheWay], expected) => {
  expect(standing(onHand, promised, onTheWay)).toMatchObject({ onHand, promised, onTheWay, ...expected })
})

it('one item on two lines of an order is one promise', () => {
  expect(
    gather([
      { itemId: 'a', quantity: 4 },
      { itemId: 'b', quantity: 0 },
      { itemId: 'a', quantity: 2 },
    ]),
  ).toEqual([{ itemId: 'a', quantity: 6 }])
})

it('a promise falls as its goods are issued, and never below 0', () => {
  expect([0, 4, 6, 9].map(issued => promiseAfterIssue(6, issued))).toEqual([6, 2, 0, 0])
})
