import { describe, expect, test } from 'vitest'
import { askOf, asksOf, type OrderSummary } from '@/lib/orders/asks'
import { orderDifferences, orderWords } from '@/lib/orders/difference'
import { formatPieces, formatSizeRun } from '@/lib/orders/size-run'
import { minor } from '@/lib/units/money'
import { instant } from '@/lib/units/time'
import { anOrder, at, NOW, uuid, ZONE } from './builders'

const summary = (more: Partial<OrderSummary>): OrderSummary => ({
  number: 1,
  customer: 'Gull Row Choir',
  customerId: uuid(2),
  title: '',
  state: 'enquiry',
  asked: '',
  pieces: 24,
  promiseAt: null,
  promiseHard: false,
  enquiredAt: at('2026-05-10'),
  offeredAt: null,
  readyAt: null,
  handedOverAt: null,
  gross: null,
  due: minor(0),
  depositDue: minor(0),
  offerEnds: null,
  ...more,
})

describe('what an order asks of the counter', () => {
  test.each([
    ['an enquiry wants an answer', { state: 'enquiry' }, 'answer'],
    ['an asked change wants one too', { state: 'enquiry', asked: 'In navy, please' }, 'change'],
    ['an open offer waits for the customer', { state: 'offered', offerEnds: instant(NOW + 1) }, undefined],
    ['an ended offer wants to be renewed', { state: 'offered', offerEnds: instant(NOW - 1) }, 'expired'],
    [
      'agreed work wants its deposit',
      { state: 'agreed', depositDue: minor(100), due: minor(200) },
      'deposit',
    ],
    ['agreed work with its deposit is the floor’s', { state: 'agreed', due: minor(100) }, undefined],
    ['what is ready wants to go', { state: 'ready', due: minor(100) }, 'handOver'],
    ['what is gone and unpaid wants its money', { state: 'handedOver', due: minor(100) }, 'rest'],
    ['what is gone and paid wants nothing', { state: 'handedOver' }, undefined],
    ['a withdrawn order gives its deposit back', { state: 'withdrawn', due: minor(-100) }, 'giveBack'],
  ] as const)('%s', (_, more, kind) => expect(askOf(summary(more), NOW)?.kind).toBe(kind))

  test('the most pressing comes first, and within a kind the one that waits longest', () => {
    const asks = asksOf(
      [
        summary({ number: 1, state: 'handedOver', due: minor(5) }),
        summary({ number: 2, enquiredAt: at('2026-05-12') }),
        summary({ number: 3, enquiredAt: at('2026-05-11') }),
        summary({ number: 4, state: 'making' }),
        summary({ number: 5, asked: 'bigger' }),
        summary({ number: 6, state: 'ready' }),
      ],
      NOW,
    )
    expect(asks.map(a => a.order.number)).toEqual([5, 6, 3, 2, 1])
  })
})

describe('two people at one order', () => {
  const words = (order = anOrder()) => orderWords(order, 'metric', ZONE)
  test('the same says nothing', () => expect(orderDifferences(words(), words())).toEqual([]))
  test('each difference is named with both sides', () => {
    const mine = words(anOrder({ title: 'Autumn concert', promiseAt: null }))
    const line = mine.lines[0]
    if (line) line.sizes = 'S 5'
    expect(orderDifferences(words(), mine)).toEqual([
      { what: 'What it is for', saved: 'Spring concert', typed: 'Autumn concert' },
      { what: 'Promise', saved: 'Fri 22 May, 17:00, hard', typed: 'none yet' },
      { what: 'Sizes of blank 1', saved: 'S 4, M 8, L 8, 2XL 4', typed: 'S 5' },
    ])
  })
  test('a line that only one of them has is named', () => {
    const none = words(anOrder({ lines: [] }))
    expect(orderDifferences(words(), none).map(d => [d.what, d.typed])).toEqual([
      ['Blank 1', ''],
      ['Sizes of blank 1', ''],
      ['Print 1 on blank 1', ''],
    ])
  })
})

test('size runs in words leave out what is zero', () => {
  expect(
    formatSizeRun([
      { size: 'S', quantity: 4 },
      { size: 'M', quantity: 0 },
      { size: '2XL', quantity: 4 },
    ]),
  ).toBe('S 4, 2XL 4')
  expect(formatPieces(1)).toBe('1 piece')
  expect(formatPieces(1200)).toBe('1,200 pieces')
})
