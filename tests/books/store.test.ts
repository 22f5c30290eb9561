import { beforeEach, describe, expect, it } from 'vitest'
import {
  addOrderCost,
  bookedMonth,
  closeMonth,
  hoursOf,
  monthReport,
  months,
  orderBooks,
  pastChanges,
  reopenings,
  reopenMonth,
} from '@/lib/books/store'
import { db, transaction } from '@/lib/server/database'
import { addItem } from '@/lib/stock/items/store'
import { bookAtShelf, issueTx } from '@/lib/stock/store'
import { micro, minor } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import { instant, shopMonth } from '@/lib/units/time'
import { freshDatabase } from '../support/database'

const at = (text: string) => instant(Date.parse(text))
const owner = { id: null, name: 'Ines' }
const april = shopMonth('2026-04')
const may = shopMonth('2026-05')
const june = shopMonth('2026-06')
const value = <T>(done: Result<T>): T => {
  if (!done.ok) throw new Error(done.message)
  return done.value
}
let tee = ''
let ink = ''
let press = ''

beforeEach(async () => {
  const close = await freshDatabase()
  await db().shop.create({
    data: { id: 1, name: 'A shop', currency: 'EUR', timeZone: 'Europe/Lisbon', measures: 'metric' },
  })
  const now = at('2026-01-02T09:00Z')
  tee = value(
    await addItem({ sku: 'TEE', name: 'Tee', kind: 'blank', unit: 'piece', price: micro(3e6) }, 'Ines', now),
  )
  ink = value(
    await addItem(
      {
        sku: 'INK',
        name: 'Ink',
        kind: 'ink',
        unit: 'mg',
        price: micro(12e6),
        pricePer: 1e6,
        consumable: 'plastisol',
      },
      'Ines',
      now,
    ),
  )
  const stocked = { by: 'Ines', now }
  value(
    await bookAtShelf({ ...stocked, sku: 'TEE' }, { kind: 'received', quantity: 1000, value: micro(3000e6) }),
  )
  value(
    await bookAtShelf({ ...stocked, sku: 'INK' }, { kind: 'received', quantity: 1e6, value: micro(12e6) }),
  )
  press = (
    await db().station.create({
      data: {
        code: 'press',
        name: 'Screen press',
        kind: 'screen-press',
        position: 1,
        facts: {},
        hours: [],
        closed: [],
      },
    })
  ).id
  return close
})

const estimate = {
  branches: [
    {
      leaves: [
        {
          group: 'blanks',
          kind: 'blank',
          name: 'Tee',
          amount: 30e6,
          quantity: 10,
          unit: 'piece',
          consumable: null,
          stationKind: null,
        },
        {
          group: 'material',
          kind: 'material',
          name: 'Plastisol ink',
          amount: 500_000,
          quantity: 40_000,
          unit: 'mg',
          consumable: 'plastisol',
          stationKind: null,
        },
        {
          group: 'labour',
          kind: 'labour',
          name: 'Print',
          amount: 10e6,
          quantity: 3_000,
          unit: 'second',
          consumable: null,
          stationKind: 'screen-press',
        },
        {
          group: 'overhead',
          kind: 'overhead',
          name: 'Rent',
          amount: 5e6,
          quantity: 3_000,
          unit: 'second',
          consumable: null,
          stationKind: null,
        },
        {
          group: 'machine',
          kind: 'machine',
          name: 'Screen press: Print',
          amount: 2e6,
          quantity: 3_000,
          unit: 'second',
          consumable: null,
          stationKind: 'screen-press',
        },
      ],
    },
  ],
}

/** An order of ten tees, made and handed over. */
async function handedOver(number: number, when: string, { net = 20_000, method = 'screen' } = {}) {
  const customer = await db().customer.create({ data: { name: `Customer of ${number}` } })
  const made = at(when) - 3_600_000
  const order = await db().order.create({
    data: {
      number,
      customerId: customer.id,
      state: 'handedOver',
      method,
      netMinor: net,
      taxMinor: 0,
      grossMinor: net,
      handedOverAt: new Date(at(when)),
      agreed: { page: {}, work: { cost: estimate } },
    },
  })
  const step = await db().jobStep.create({
    data: {
      orderId: order.id,
      job: 'print',
      position: 1,
      key: 'print',
      title: 'Print',
      stationKind: 'screen-press',
      setupMinutes: 20,
      runMinutes: 30,
      attended: 'all',
      pausable: false,
      pieces: 10,
      sizes: [],
      recipe: {},
    },
  })
  await db().workLog.create({
    data: {
      stepId: step.id,
      orderId: order.id,
      stationId: press,
      byName: 'Rui',
      fromAt: new Date(made),
      toAt: new Date(made + 3_600_000),
      labourSeconds: 3_600,
      machineSeconds: 3_000,
      labourMinor: 1_800,
      machineMinor: 210,
      pieces: 10,
    },
  })
  await transaction(async tx => {
    const by = { orderId: order.id, by: 'Rui', now: instant(made) }
    value(
      await issueTx(tx, {
        ...by,
        kind: 'issued',
        rows: [
          { itemId: tee, quantity: 10 },
          { itemId: ink, quantity: 50_000 },
        ],
      }),
    )
    value(
      await issueTx(tx, {
        ...by,
        kind: 'spoiled',
        rows: [
          { itemId: tee, quantity: 1 },
          { itemId: ink, quantity: 5_000 },
        ],
      }),
    )
  })
  return order.id
}

describe('a month', () => {
  it('has the orders handed over in it, by the shop’s clock, from revenue to margin', async () => {
    await handedOver(1001, '2026-04-30T22:59Z')
    await handedOver(1002, '2026-04-30T23:00Z')
    await handedOver(1003, '2026-05-31T22:59Z', { method: 'dtg', net: 5_000 })
    await handedOver(1004, '2026-05-31T23:00Z')
    const { report, closed } = await monthReport(may)
    expect(closed).toBeNull()
    expect(report.rows.map(r => r.number)).toEqual([1002, 1003])
    expect(report.rows[0]).toMatchObject({
      customer: 'Customer of 1002',
      revenue: 20_000,
      costs: {
        blanks: 3_000,
        consumables: 60,
        labour: 1_800,
        machine: 210,
        spoilage: 306,
        outside: 0,
        freight: 0,
        credits: 0,
      },
      margin: 14_624,
      labourSeconds: 3_600,
      machineSeconds: 3_000,
    })
    expect(report.total).toMatchObject({ revenue: 25_000, margin: 25_000 - 2 * 5_376 })
    expect(report.byMethod.map(g => g.name)).toEqual(['Screen print', 'Direct-to-garment (DTG)'])
    expect(report.ties.map(t => [t.difference, t.ties])).toEqual([
      [0, true],
      [0, true],
      [0, true],
      [0, true],
      [0, true],
      [0, true],
    ])
    expect((await months(at('2026-06-10T09:00Z'))).map(m => m.month)).toEqual([june, may, april])
  })

  it('takes outside work and freight written down for its orders', async () => {
    await handedOver(1001, '2026-05-10T10:00Z')
    const cost = {
      orderNumber: 1001,
      kind: 'outside' as const,
      amount: minor(2_500),
      note: 'neck labels',
      by: owner,
      now: at('2026-05-11T09:00Z'),
    }
    value(await addOrderCost({ ...cost, formKey: 'f1' }))
    value(await addOrderCost({ ...cost, formKey: 'f1' }))
    value(await addOrderCost({ ...cost, kind: 'freight', amount: minor(900) }))
    const { report } = await monthReport(may)
    expect(report.rows[0]?.costs).toMatchObject({ outside: 2_500, freight: 900 })
    expect(report.ties.every(t => t.ties)).toBe(true)
    expect(await addOrderCost({ ...cost, orderNumber: 7 })).toMatchObject({
      message: 'There is no order 7: check the number.',
    })
    expect(await addOrderCost({ ...cost, amount: minor(0) })).toMatchObject({ field: 'amount' })
  })

  it('with nothing in it is all zeros', async () => {
    expect((await monthReport(may)).report.total).toMatchObject({ revenue: 0, margin: 0, pieces: 0 })
  })
})

describe('a closed month', () => {
  it('never changes; what is booked late lands in the open month and says what it belongs to', async () => {
    await handedOver(1001, '2026-04-20T10:00Z')
    await handedOver(1002, '2026-05-20T10:00Z')
    const before = (await monthReport(april)).report
    const kept = value(await closeMonth(april, owner, at('2026-05-02T09:00Z')))
    expect(kept).toEqual(before)
    const late = {
      orderNumber: 1001,
      kind: 'freight' as const,
      amount: minor(1_250),
      note: 'forgotten parcel',
      by: owner,
      now: at('2026-05-05T09:00Z'),
    }
    value(await addOrderCost(late))
    await expect(db().order.update({ where: { number: 1001 }, data: { netMinor: 1 } })).rejects.toThrow()
    const view = await monthReport(april)
    expect(view.report).toEqual(before)
    expect(view.closed).toMatchObject({ byName: 'Ines', at: at('2026-05-02T09:00Z') })
    const { report } = await monthReport(may)
    expect(report.late).toEqual([
      {
        orderNumber: 1001,
        ownMonth: april,
        kind: 'freight',
        amount: 1_250,
        at: at('2026-05-05T09:00Z'),
        byName: 'Ines',
      },
    ])
    expect(report.total.margin).toBe(report.orders.margin - 1_250)
    expect(report.rows.map(r => r.number)).toEqual([1002])
  })

  it('a receipt taken back from stock for its order counts late too', async () => {
    const orderId = await handedOver(1001, '2026-04-20T10:00Z')
    value(await closeMonth(april, owner, at('2026-05-02T09:00Z')))
    await transaction(async tx =>
      value(
        await issueTx(tx, {
          orderId,
          kind: 'spoiled',
          rows: [{ itemId: tee, quantity: 2 }],
          by: 'Rui',
          now: at('2026-05-03T09:00Z'),
        }),
      ),
    )
    const { report } = await monthReport(may)
    expect(report.late.map(l => [l.kind, l.amount])).toEqual([['spoilage', 600]])
    expect(report.rows).toEqual([])
  })

  it('stands in its books as it was kept, whatever was booked since', async () => {
    await handedOver(1001, '2026-04-20T10:00Z')
    const closing = at('2026-05-02T09:00Z')
    const kept = value(await closeMonth(april, owner, closing))
    const freight = { orderNumber: 1001, kind: 'freight' as const, amount: minor(900), note: '', by: owner }
    value(await addOrderCost({ ...freight, now: at('2026-05-05T09:00Z') }))
    expect(await bookedMonth(april, closing)).toEqual(kept)
    expect((await bookedMonth(april)).total.margin).toBe(kept.total.margin - 900)
  })

  it('takes nothing dated back into it, not even from the database’s own console', async () => {
    const orderId = await handedOver(1001, '2026-04-20T10:00Z')
    value(await closeMonth(april, owner, at('2026-05-02T09:00Z')))
    const cost = { orderId, kind: 'freight', amountMinor: 900, byName: 'Ines' }
    const early = new Date('2026-04-21T09:00Z')
    await expect(db().orderCost.create({ data: { ...cost, at: early } })).rejects.toThrow()
    await db().orderCost.create({ data: { ...cost, at: new Date('2026-05-03T09:00Z') } })
    const move = {
      itemId: tee,
      position: 900,
      kind: 'issued',
      quantity: -1,
      valueMicro: 0n,
      onHand: 0,
      worthMicro: 0n,
    }
    await expect(
      db().movement.create({ data: { ...move, orderId, at: early, byName: 'Ines' } }),
    ).rejects.toThrow()
    await expect(
      db().order.update({ where: { id: orderId }, data: { handedOverAt: new Date('2026-05-20T10:00Z') } }),
    ).rejects.toThrow()
    await expect(db().monthClose.delete({ where: { month: april } })).rejects.toThrow()
  })

  it('is opened again with a reason that is kept; late entries then count in it, and closing again changes nothing else', async () => {
    await handedOver(1001, '2026-04-20T10:00Z')
    await handedOver(1002, '2026-05-20T10:00Z')
    const first = value(await closeMonth(april, owner, at('2026-05-02T09:00Z')))
    expect(await reopenMonth(april, '  ', owner, at('2026-05-03T09:00Z'))).toMatchObject({ field: 'why' })
    expect(await reopenMonth(may, 'a parcel', owner, at('2026-05-03T09:00Z'))).toMatchObject({ code: 'open' })
    value(await reopenMonth(april, 'only looking', owner, at('2026-05-03T09:00Z')))
    expect(value(await closeMonth(april, owner, at('2026-05-03T10:00Z')))).toEqual(first)
    const freight = { orderNumber: 1001, kind: 'freight' as const, amount: minor(900), note: '', by: owner }
    value(await addOrderCost({ ...freight, now: at('2026-05-05T09:00Z') }))
    expect((await monthReport(may)).report.late).toHaveLength(1)
    value(await reopenMonth(april, 'the parcel was forgotten', owner, at('2026-05-06T09:00Z')))
    expect((await monthReport(april)).report.total.margin).toBe(first.total.margin - 900)
    expect((await monthReport(may)).report.late).toEqual([])
    const again = value(await closeMonth(april, owner, at('2026-05-07T09:00Z')))
    expect(again.total.margin).toBe(first.total.margin - 900)
    expect((await monthReport(may)).report.late).toEqual([])
    expect(await reopenings(april)).toMatchObject([
      { byName: 'Ines', why: 'the parcel was forgotten', closedAt: at('2026-05-03T10:00Z') },
      { byName: 'Ines', why: 'only looking' },
    ])
    value(await closeMonth(may, owner, at('2026-06-02T09:00Z')))
    expect(await reopenMonth(april, 'one more time', owner, at('2026-06-03T09:00Z'))).toMatchObject({
      message: 'May 2026 was closed after April 2026: open that one again first.',
    })
  })

  it('what was spent on a withdrawn order is a loss of the month in which it ended', async () => {
    await handedOver(1001, '2026-05-10T10:00Z')
    const orderId = await handedOver(1002, '2026-05-12T10:00Z')
    await db().order.update({
      where: { id: orderId },
      data: {
        state: 'withdrawn',
        agreedAt: new Date('2026-05-01T10:00Z'),
        handedOverAt: null,
        endedAt: null,
      },
    })
    const edge = (await monthReport(may)).report.carried
    expect(edge.closing).toBe(53_760_000)
    expect(edge.orders).toMatchObject([{ number: 1002, cost: 53_760_000 }])
    await db().order.update({ where: { id: orderId }, data: { endedAt: new Date('2026-06-03T10:00Z') } })
    const { report } = await monthReport(june)
    expect(report.rows).toMatchObject([{ number: 1002, revenue: 0, margin: -5_376 }])
    expect(report.carried).toMatchObject({ opening: 53_760_000, booked: 0, out: 53_760_000, closing: 0 })
    expect(report.ties.every(t => t.ties)).toBe(true)
  })

  it('is closed once, in order, when it is over', async () => {
    await handedOver(1001, '2026-04-20T10:00Z')
    await handedOver(1002, '2026-05-20T10:00Z')
    const now = at('2026-06-02T09:00Z')
    expect(await closeMonth(may, owner, now)).toMatchObject({ ok: false, code: 'order' })
    value(await closeMonth(april, owner, now))
    expect(await closeMonth(april, owner, now)).toMatchObject({ ok: false, code: 'closed' })
    value(await closeMonth(may, owner, now))
    expect(await closeMonth(june, owner, now)).toMatchObject({ ok: false, code: 'running' })
    expect((await pastChanges({ entity: 'month' })).lines.map(c => c.what)).toEqual(
      expect.arrayContaining(['closed 2026-04', 'closed 2026-05']),
    )
  })
})

describe('the history', () => {
  const line = (minute: number, what: string) => ({
    at: new Date(Date.UTC(2026, 2, 1, 9, minute)),
    what,
    byName: 'Ines',
    entity: 'order',
    ref: 'one',
  })

  it('is searched a part at a time, and every line is found once', async () => {
    // Two lines of each minute: an edge falls between lines of one moment.
    await db().history.createMany({
      data: Array.from({ length: 40 }, (_, k) =>
        line(Math.floor(k / 2), k % 8 === 0 ? `found 100%_${k}` : `line ${k}`),
      ),
    })
    const seen: string[] = []
    let before: string | undefined
    let parts = 0
    do {
      const part = await pastChanges({ entity: 'order', words: '100%_', before, look: 7 })
      seen.push(...part.lines.map(l => l.what))
      // What was not yet read is older than what the search says it looked at.
      for (const l of part.lines) expect(l.at).toBeGreaterThanOrEqual(part.next?.seenTo ?? 0)
      before = part.next?.before
      parts++
    } while (before && parts < 30)
    expect(seen).toEqual([32, 24, 16, 8, 0].map(k => `found 100%_${k}`))
    expect(parts).toBeGreaterThan(3)
    // Marks of a pattern are looked for as they are typed.
    expect((await pastChanges({ entity: 'order', words: '10_%' })).lines).toEqual([])
  })

  it('is read page by page', async () => {
    await db().history.createMany({ data: Array.from({ length: 25 }, (_, k) => line(0, `line ${k}`)) })
    const seen = new Set<string>()
    let before: string | undefined
    for (let page = 0; page < 9; page++) {
      const part = await pastChanges({ entity: 'order', ref: 'one', before, most: 10 })
      for (const l of part.lines) seen.add(l.what)
      before = part.next?.before
      if (!before) break
    }
    expect(seen.size).toBe(25)
  })

  it('says the unit of an item’s amounts', async () => {
    const [ink] = (await pastChanges({ entity: 'item', words: 'ink' })).lines
    expect(ink?.unit).toBe('mg')
  })
})

describe('one order', () => {
  it('shows what it took, and against its estimate', async () => {
    await handedOver(1001, '2026-05-20T10:00Z')
    const books = await orderBooks(1001)
    expect(books?.material.map(m => [m.sku, m.kind, m.quantity, m.value])).toEqual([
      ['TEE', 'blanks', 10, 30e6],
      ['INK', 'consumables', 50_000, 600_000],
      ['TEE', 'spoilage', 1, 3e6],
      ['INK', 'spoilage', 5_000, 60_000],
    ])
    expect(books?.compared?.map(c => [c.key, c.planned.cost, c.real.cost, c.variance])).toEqual([
      ['blanks', 30e6, 30e6, { price: 0, usage: 0, time: 0, total: 0 }],
      // 50 g for 40 g: usage at the planned price. The planned price is 12.50 a kilogram, 12.00 was paid.
      ['consumable plastisol', 500_000, 600_000, { price: -25_000, usage: 125_000, time: 0, total: 100_000 }],
      // An hour for 50 minutes at 18.00 an hour.
      ['labour', 15e6, 18e6, { price: 0, usage: 0, time: 3e6, total: 3e6 }],
      ['machine screen-press', 2e6, 2.1e6, { price: 100_000, usage: 0, time: 0, total: 100_000 }],
      ['spoilage', 0, 3_060_000, { price: 0, usage: 3_060_000, time: 0, total: 3_060_000 }],
    ])
    expect(books).toMatchObject({ month: may, monthClosed: false, state: 'handedOver' })
    expect(books?.work[0]).toMatchObject({ step: 'Print', station: 'Screen press', labour: 1_800 })
  })
  it('without an estimate it compares nothing, and an unknown number is nothing', async () => {
    const id = await handedOver(1001, '2026-05-20T10:00Z')
    await db().order.update({ where: { id }, data: { agreed: { page: {}, work: 'old' } } })
    expect((await orderBooks(1001))?.compared).toBeNull()
    expect(await orderBooks(4)).toBeNull()
  })
})

it('hours of the month by station and person', async () => {
  await handedOver(1001, '2026-05-20T10:00Z')
  await handedOver(1002, '2026-05-21T10:00Z')
  const { stations, people } = await hoursOf(may)
  expect(stations).toEqual([
    { key: press, labourSeconds: 7_200, machineSeconds: 6_000, labour: 3_600, machine: 420 },
  ])
  expect(people[0]).toMatchObject({ key: 'Rui', labourSeconds: 7_200 })
})
