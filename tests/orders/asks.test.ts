import { describe, expect, test } from 'vitest'
import { askOf, asksOf, type OrderSummary } from '@/lib/orders/asks'
import { customerDifferences, orderDifferences, orderWords } from '@/lib/orders/difference'
import { remarkOnPrint, typedWords } from '@/lib/orders/enquiry'
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
  offerEndedAt: null,
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

  test('a customer waits from when the change was asked for', () =>
    expect(
      askOf(summary({ asked: 'bigger', offeredAt: at('2026-05-11'), offerEndedAt: at('2026-05-13') }), NOW)
        ?.since,
    ).toBe(at('2026-05-13')))

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
  test('a form that was sent as it was filled differs in nothing', () => {
    const order = anOrder()
    const input = {
      customer: { id: order.customer.id },
      title: order.title,
      note: order.note,
      promise: order.promiseAt === null ? null : { at: order.promiseAt, hard: order.promiseHard },
      rush: order.rush,
      lines: order.lines.map((line, i) => ({
        key: String(i),
        styleId: line.style.id,
        colour: line.colour,
        sizes: line.sizes,
        prints: line.prints.map((p, k) => ({ ...p, key: String(k), artworkId: p.artwork?.id ?? null })),
      })),
    }
    const names = {
      customer: order.customer.name,
      styles: order.lines.map(l => l.style),
      artworks: new Map(
        order.lines.flatMap(l => l.prints.map(p => [p.artwork?.id ?? '', p.artwork?.name ?? ''])),
      ),
    }
    const typed = typedWords(input, names, 'metric', ZONE)
    expect(orderDifferences(orderWords(order, 'metric', ZONE), typed)).toEqual([])
    const bare = typedWords({ ...input, lines: [] }, names, 'metric', ZONE)
    expect(orderDifferences(orderWords(order, 'metric', ZONE), bare)).toHaveLength(3)
  })
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

test('a customer’s form differs by field, ticks too', () => {
  const { id: _, version: __, ...saved } = anOrder().customer
  expect(customerDifferences(saved, saved)).toEqual([])
  expect(customerDifferences(saved, { ...saved, phone: '', taxExempt: true })).toEqual([
    { what: 'Phone', saved: '555 0142', typed: '' },
    { what: 'Tax exempt', saved: 'no', typed: 'yes' },
  ])
})

test('a print over the usual limit is remarked on, by the smallest size of the run', () => {
  const print = { placement: 'left-chest', widthMm: 110, heightMm: 90 } as const
  const sizes = [
    { size: 'S', quantity: 4 },
    { size: 'M', quantity: 4 },
  ] as const
  expect(remarkOnPrint('tee', sizes, print)).toMatch(/too wide for left chest on size S/)
  expect(remarkOnPrint('tee', sizes, { ...print, widthMm: 90 })).toBeNull()
  expect(remarkOnPrint('tee', [{ size: 'S', quantity: 0 }], print)).toBeNull()
})
