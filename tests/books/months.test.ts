import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { compare, type Used } from '@/lib/books/estimate'
import { marginOf, totalOf } from '@/lib/books/margin'
import { countBy, lateOrder } from '@/lib/books/months/late'
import { type Share, shareOut } from '@/lib/books/months/shares'
import { monthVariance } from '@/lib/books/months/variance'
import { micro, minor } from '@/lib/units/money'
import { at } from '../orders/builders'
import { anOrder } from './an-order'

const amount = fc.integer({ min: 0, max: 900_000 })
const part = fc.integer({ min: -1e9, max: 5e9 })
const order = fc
  .record({
    revenue: amount,
    blanks: part,
    consumables: part,
    spoilage: part,
    labour: amount,
    machine: amount,
    outside: amount,
    freight: amount,
    credits: amount,
    pieces: fc.integer({ min: 0, max: 500 }),
    labourSeconds: amount,
    machineSeconds: amount,
  })
  .map(o => anOrder(o as Partial<ReturnType<typeof anOrder>>))

describe('a month shared out', () => {
  const share = fc.record({
    key: fc.constantFrom('a', 'b', 'c'),
    weight: fc.integer({ min: 0, max: 1000 }),
    worth: fc.integer({ min: 0, max: 1e9 }),
    seconds: fc.integer({ min: 0, max: 90_000 }),
  })
  test('adds up to its orders to the cent, whatever falls to what', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({ order, shares: fc.uniqueArray(share, { selector: s => s.key, maxLength: 3 }) }),
          {
            maxLength: 30,
          },
        ),
        list => {
          const rows = list.map((l, i) => marginOf({ ...l.order, id: String(i), number: i + 1 }, 'EUR'))
          const groups = shareOut(rows, o =>
            (list[o.number - 1]?.shares ?? []).map(
              (s): Share => ({
                key: s.key,
                name: s.key,
                weight: s.weight,
                own: { blanks: s.worth },
                labourSeconds: s.seconds,
              }),
            ),
          )
          const { pieces, labourSeconds, machineSeconds, ...money } = totalOf(rows)
          expect(totalOf(groups)).toEqual({ pieces, labourSeconds, machineSeconds, ...money })
          for (const g of groups) expect(g.revenue - g.cost).toBe(g.margin)
        },
      ),
      { numRuns: 100 },
    )
  })

  test('gives a blank its own worth and its pieces’ share of the rest', () => {
    const row = marginOf(
      anOrder({
        revenue: minor(30_000),
        blanks: micro(90e6),
        consumables: micro(0),
        spoilage: micro(0),
        labour: minor(6_000),
        machine: minor(0),
        freight: minor(0),
      }),
      'EUR',
    )
    const groups = shareOut([row], () => [
      { key: 'tee', name: 'Tee', weight: 20, own: { blanks: 40 } },
      { key: 'hoodie', name: 'Hoodie', weight: 10, own: { blanks: 50 } },
    ])
    expect(groups.find(g => g.key === 'tee')).toMatchObject({
      revenue: 20_000,
      costs: { blanks: 4_000, labour: 4_000 },
      margin: 12_000,
    })
    expect(groups.find(g => g.key === 'hoodie')).toMatchObject({
      revenue: 10_000,
      costs: { blanks: 5_000, labour: 2_000 },
      margin: 3_000,
    })
  })

  test('names what nobody wrote down', () => {
    expect(shareOut([marginOf(anOrder(), 'EUR')], () => [])).toMatchObject([{ name: 'Not known', orders: 1 }])
  })
})

describe('planned against real over a month', () => {
  test('textbook variances of materials and labour, summed as one month', () => {
    // Warren, Accounting, exercise 23-5 (materials), and an exercise with its printed solution (labour): the vectors of variance.test.ts.
    const { variances } = JSON.parse(readFileSync('tests/vectors/costing-operations.json', 'utf8')) as {
      variances: Record<
        'actual_price' | 'std_price' | 'actual_qty' | 'std_qty' | 'price_variance' | 'quantity_variance',
        number
      >[]
    }
    const [material, , labour] = variances as [
      (typeof variances)[0],
      (typeof variances)[0],
      (typeof variances)[0],
    ]
    const used = (kind: 'blanks' | 'labour', quantity: number, price: number): Used => ({
      key: kind,
      kind,
      name: kind,
      quantity,
      unit: kind === 'blanks' ? 'piece' : 'second',
      cost: micro(Math.round(quantity * price * 1e6)),
    })
    const compared = compare(
      [
        used('blanks', material.std_qty, material.std_price),
        used('labour', labour.std_qty, labour.std_price),
      ],
      [
        used('blanks', material.actual_qty, material.actual_price),
        used('labour', labour.actual_qty, labour.actual_price),
      ],
    )
    const cents = (n: number) => Math.round(n * 100)
    const row = marginOf(
      anOrder({
        blanks: micro(cents(material.actual_qty * material.actual_price) * 10_000),
        labour: minor(cents(labour.actual_qty * labour.actual_price)),
        consumables: micro(0),
        spoilage: micro(0),
        machine: minor(0),
        freight: minor(0),
      }),
      'EUR',
    )
    const month = monthVariance([row], new Map([[1001, compared]]), 'EUR')
    expect(month.rows).toMatchObject([
      { kind: 'blanks', price: cents(material.price_variance), usage: cents(material.quantity_variance) },
      {
        kind: 'labour',
        price: cents(labour.price_variance),
        time: cents(labour.quantity_variance),
        usage: 0,
      },
    ])
    expect(month.all).toMatchObject({
      price: -25_700,
      usage: cents(material.quantity_variance),
      time: cents(labour.quantity_variance),
      total: -1_900,
    })
    expect(month.all.usage + month.all.time).toBe(23_800)
  })

  test('columns add up down and rows across, and real is what month end says', () => {
    const used = fc.record({
      kind: fc.constantFrom('blanks' as const, 'consumables' as const, 'labour' as const, 'machine' as const),
      quantity: fc.integer({ min: 0, max: 10_000 }),
      cost: fc.integer({ min: 0, max: 1e9 }),
    })
    const lines = fc
      .array(used, { maxLength: 6 })
      .map(list =>
        list.map((u): Used => ({ ...u, key: u.kind, name: u.kind, unit: 'piece', cost: micro(u.cost) })),
      )
    fc.assert(
      fc.property(
        fc.array(fc.record({ order, planned: fc.option(lines), real: lines }), { maxLength: 20 }),
        list => {
          const rows = list.map((l, i) => marginOf({ ...l.order, number: i + 1, credits: minor(0) }, 'EUR'))
          const month = monthVariance(
            rows,
            new Map(list.map((l, i) => [i + 1, l.planned && compare(l.planned, l.real)])),
            'EUR',
          )
          const kept = rows.filter((_, i) => list[i]?.planned)
          expect(month.all.real).toBe(totalOf(kept).cost)
          for (const r of [...month.rows, ...month.orders, month.all]) {
            expect(r.real - r.planned).toBe(r.total)
            expect(r.price + r.usage + r.time).toBe(r.total)
          }
          expect(month.orders.length + month.without.length).toBe(rows.length)
        },
      ),
      { numRuns: 60 },
    )
  })
})

describe('why an order was late', () => {
  const late = {
    number: 1042,
    customer: 'Gull Row Choir',
    promiseAt: at('2026-05-22', '17:00'),
    promiseHard: true,
    readyAt: at('2026-05-23', '11:00'),
    agreedAt: at('2026-05-14'),
    goodsAt: at('2026-05-18'),
    beganAt: at('2026-05-20'),
    remade: 0,
    plannedMinutes: 300,
    workedMinutes: 310,
  }
  test.each([
    ['agreed', { agreedAt: at('2026-05-22', '13:00') }, 'agreed 4 h before the promise; its work takes 5 h'],
    ['goods', { goodsAt: at('2026-05-22', '18:00') }, 'goods came 1 h after the promise; its work takes 5 h'],
    ['remake', { remade: 3 }, '3 pieces made again'],
    ['slow', { workedMinutes: 600 }, '10 h worked, 5 h planned'],
    ['start', { beganAt: at('2026-05-22', '15:00') }, 'begun 2 h before the promise; its work takes 5 h'],
    ['other', {}, 'agreed, supplied and begun in time, and as fast as planned'],
  ] as const)('%s', (reason, more, why) => {
    expect(lateOrder({ ...late, ...more })).toMatchObject({ reason, why, minutesLate: 1080 })
  })
  test('the first cause is named where there are several', () => {
    expect(lateOrder({ ...late, goodsAt: at('2026-05-22', '18:00'), remade: 2 }).reason).toBe('goods')
  })
  test('causes are counted, the most frequent first', () => {
    expect(
      countBy(['goods', 'slow', 'other'] as const, [
        { key: 'slow', n: 1 },
        { key: 'goods', n: 1 },
        { key: 'slow', n: 1 },
      ]),
    ).toEqual([
      { key: 'slow', n: 2 },
      { key: 'goods', n: 1 },
    ])
  })
})
