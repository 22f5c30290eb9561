import { expect, it } from 'vitest'
import {
  bearsOnPlan,
  gather,
  promiseAfterIssue,
  promiseAfterSpoiled,
  promiseAfterUnspoiled,
  standing,
} from '@/lib/stock/promises'

it.each([
  [[24, 0, 0], { free: 24, short: 0, toBuy: 0 }],
  [[24, 20, 0], { free: 4, short: 0, toBuy: 0 }],
  [[24, 26, 0], { free: -2, short: 2, toBuy: 2 }],
  [[24, 26, 12], { free: -2, short: 2, toBuy: 0 }],
  [[-3, 5, 0], { free: -8, short: 5, toBuy: 8 }],
] as const)('on hand, promised, on the way %j', ([onHand, promised, onTheWay], expected) => {
  expect(standing(onHand, promised, onTheWay)).toMatchObject({ onHand, promised, onTheWay, ...expected })
})

it('what is written and not sent is to be sent, not to be bought again', () => {
  // 30 promised, 10 there, 5 on the way: 15 are lacking. Twelve are written: those are to be sent, 3 to be bought.
  expect(standing(10, 30, 5, 0, 12)).toMatchObject({
    short: 20,
    toSend: 12,
    toBuy: 3,
    onTheWay: 5,
    written: 12,
  })
  expect(standing(10, 30, 5, 0, 40)).toMatchObject({ toSend: 15, toBuy: 0 })
  expect(standing(40, 30, 0, 0, 12)).toMatchObject({ short: 0, toSend: 0, toBuy: 0 })
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

it('what may spoil is bought, but work does not wait for it', () => {
  // 4 ordered and 1 that may spoil: with 4 on the shelf nothing is short, and one is to be bought.
  expect(standing(4, 5, 0, 1)).toMatchObject({ free: -1, short: 0, toBuy: 1, allowance: 1 })
  expect(standing(3, 5, 1, 1)).toMatchObject({ free: -2, short: 1, toBuy: 1 })
})

it('a promise falls as its goods are issued, the ordered ones first, and never below 0', () => {
  const kept = { quantity: 6, allowance: 1 }
  expect([0, 4, 5, 6, 9].map(issued => promiseAfterIssue(kept, issued))).toEqual([
    { quantity: 6, allowance: 1 },
    { quantity: 2, allowance: 1 },
    { quantity: 1, allowance: 1 },
    { quantity: 0, allowance: 0 },
    { quantity: 0, allowance: 0 },
  ])
})

it('the allowance covers spoiled pieces as far as it goes, and has them again when that is taken back', () => {
  // Two allowed, three spoiled with blanks from the shelf: the allowance is used up, and nothing more is kept.
  const kept = { quantity: 2, allowance: 2 }
  expect(promiseAfterSpoiled(kept, 3, true)).toEqual({ quantity: 0, allowance: 0, covered: 2 })
  // No blank is there: three are kept for the remake, two of which were kept already.
  expect(promiseAfterSpoiled(kept, 3, false)).toEqual({ quantity: 3, allowance: 0, covered: 2 })
  for (const drawn of [true, false]) {
    const { covered, ...after } = promiseAfterSpoiled(kept, 3, drawn)
    expect(promiseAfterUnspoiled(after, 3, drawn, covered)).toEqual(kept)
  }
})

it.each([
  ['held all, and still does', 20, 24, 60, false],
  ['held just enough, and still does', 20, 24, 20, false],
  ['promised to nobody', 0, 5, 2, false],
  ['a count finds one too few', 20, 24, 19, true],
  ['goods come that were lacking', 20, 12, 24, true],
  ['some come, and still too few', 20, 4, 10, true],
  ['even a shelf of nobody, that the book has below nothing', 0, -3, 5, true],
] as const)('a booking bears on the plan: %s', (_, promised, before, after, does) => {
  expect(bearsOnPlan(promised, before, after)).toBe(does)
  // The way back asks the same.
  expect(bearsOnPlan(promised, after, before)).toBe(does)
})
