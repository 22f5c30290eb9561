import { describe, expect, it } from 'vitest'
import { assembleMonth, type Carried, fall, type LateFact } from '@/lib/books/month'
import { micro, minor } from '@/lib/units/money'
import { instant, shopMonth } from '@/lib/units/time'
import { anOrder, NO_LEDGERS, NOTHING_CARRIED } from './an-order'

const may = shopMonth('2026-05')
const orders = [
  anOrder({ number: 1003, customerId: 'c2', customer: 'Bakery', method: 'dtg', revenue: minor(20_000) }),
  anOrder({ number: 1001 }),
  anOrder({ number: 1002, customer: 'Allotment club', revenue: minor(9_000) }),
]
const late: LateFact[] = [
  {
    orderNumber: 990,
    ownMonth: shopMonth('2026-04'),
    kind: 'freight',
    amount: micro(12_500_000),
    at: instant(Date.UTC(2026, 4, 3)),
    byName: 'Ines',
  },
]
const ledgers = {
  stock: micro(3 * 78_204_999),
  work: minor(3 * 5_260),
  outside: minor(3 * 800),
  credits: minor(0),
  // 590.00 and 23 % tax of it, of which 20.00 with tax were given up; 700.00 were paid, so that 5.70 are still owed.
  tax: minor(13_570),
  credited: minor(2_000),
  paid: minor(70_000),
  uneven: minor(-570),
}
const carried = NOTHING_CARRIED
const words = (m: string | null) => m ?? 'no method'
const report = assembleMonth({
  month: may,
  currency: 'EUR',
  orders,
  late,
  ledgers,
  carried,
  methodWords: words,
})

describe('a month', () => {
  it('has one row for each order, by number', () => {
    expect(report.rows.map(r => r.number)).toEqual([1001, 1002, 1003])
  })
  it('totals are sums of the rows; late entries stand apart and count in what the month earned', () => {
    expect(report.orders).toMatchObject({
      revenue: 59_000,
      cost: 3 * 13_880,
      margin: 59_000 - 3 * 13_880,
      pieces: 72,
    })
    expect(report.lateCosts.freight).toBe(1_250)
    expect(report.total).toMatchObject({ revenue: 59_000, margin: 59_000 - 3 * 13_880 - 1_250, pieces: 72 })
    expect(report.total.costs.freight).toBe(3 * 800 + 1_250)
  })
  it('by method and by customer add up to the same, best first', () => {
    expect(report.byMethod.map(g => [g.name, g.orders, g.margin])).toEqual([
      ['screen', 2, 11_240],
      ['dtg', 1, 6_120],
    ])
    expect(report.byCustomer.map(g => g.name)).toEqual(['Allotment club', 'Bakery'])
    for (const groups of [report.byMethod, report.byCustomer])
      expect(groups.reduce((a, g) => a + g.margin, 0)).toBe(report.orders.margin)
  })
  it('ties to the stock book, the hours and the costs written down', () => {
    expect(report.ties.map(t => [t.orders, t.difference, t.ties])).toEqual([
      [3 * 7_820, -14_997, true],
      [3 * 5_260, 0, true],
      [3 * 800, 0, true],
      [0, 0, true],
      [59_000 + 13_570 - 2_000, 0, true],
      [0, 0, true],
    ])
  })
  it('says so when a book says something else', () => {
    const off = assembleMonth({
      month: may,
      currency: 'EUR',
      orders,
      late: [],
      ledgers: { ...ledgers, work: minor(3 * 5_260 + 1), paid: minor(70_001) },
      carried,
      methodWords: words,
    })
    expect(off.ties.map(t => t.ties)).toEqual([true, false, true, true, false, true])
    expect(off.ties[4]?.difference).toBe(-10_000)
  })
  it('says so when what is in hand does not follow from what was carried in, booked and handed over', () => {
    const inHand = {
      opening: micro(5e6),
      booked: micro(20e6),
      out: micro(18e6),
      closing: micro(7e6),
      orders: [],
    }
    const of = (carried: Carried) =>
      assembleMonth({
        month: may,
        currency: 'EUR',
        orders,
        late: [],
        ledgers,
        carried,
        methodWords: words,
      }).ties.at(-1)
    expect(of(inHand)).toMatchObject({ orders: 700, difference: 0, ties: true })
    expect(of({ ...inHand, closing: micro(7e6 + 1) })).toMatchObject({ difference: -1, ties: false })
  })
  it('with nothing handed over is all zeros, and ties', () => {
    const none = assembleMonth({
      month: may,
      currency: 'EUR',
      orders: [],
      late: [],
      ledgers: NO_LEDGERS,
      carried,
      methodWords: words,
    })
    expect(none.total).toMatchObject({ revenue: 0, cost: 0, margin: 0 })
    expect(none.ties.every(t => t.ties)).toBe(true)
  })
})

it('the fall goes from revenue down each cost to the margin', () => {
  expect(fall(report.orders)).toEqual([
    { key: 'revenue', from: 0, to: 59_000 },
    { key: 'blanks', from: 59_000, to: 37_400 },
    { key: 'consumables', from: 37_400, to: 36_440 },
    { key: 'labour', from: 36_440, to: 24_290 },
    { key: 'machine', from: 24_290, to: 20_660 },
    { key: 'spoilage', from: 20_660, to: 19_760 },
    { key: 'freight', from: 19_760, to: 17_360 },
    { key: 'margin', from: 0, to: 17_360 },
  ])
})
