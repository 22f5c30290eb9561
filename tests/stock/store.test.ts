import { beforeEach, describe, expect, it } from 'vitest'
import { db, transaction } from '@/lib/server/database'
import { ITEM_SORTS } from '@/lib/stock/items'
import { addItem, addStyle, changeItem, changeValuation } from '@/lib/stock/items/store'
import { checkBooks } from '@/lib/stock/proof/store'
import {
  arrivals,
  chargedOn,
  chargedOtherwise,
  comingBefore,
  endPurchase,
  findPurchase,
  purchaseSent,
  receivePurchase,
  writePurchase,
} from '@/lib/stock/purchases/store'
import {
  bookAtShelf,
  extendLot,
  issueTx,
  promiseForOrderTx,
  releasePromisesTx,
  returnFromOrder,
  takeBackLine,
} from '@/lib/stock/store'
import {
  bookOf,
  comingOf,
  consumablesFree,
  dailyUse,
  expiredLots,
  findItem,
  itemPage,
  levels,
  listItems,
  lotsOf,
  promisesOf,
} from '@/lib/stock/views/store'
import { type Micro, micro } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import { instant } from '@/lib/units/time'
import { freshDatabase } from '../support/database'

beforeEach(freshDatabase)

const now = instant(Date.UTC(2026, 4, 14, 9))
const at = (minutes: number) => instant(now + minutes * 60_000)
const euros = (n: number): Micro => micro(Math.round(n * 1e6))
const value = <T>(done: Result<T>): T => {
  if (!done.ok) throw new Error(done.message)
  return done.value
}
const by = 'Ines'

async function tee(sku = 'TEE-BLK-M', over = {}) {
  return value(
    await addItem(
      {
        sku,
        name: `Tee ${sku}`,
        kind: 'blank',
        unit: 'piece',
        colour: 'black',
        size: 'M',
        price: euros(3),
        ...over,
      },
      by,
      now,
    ),
  )
}
async function anOrder(number = 1001) {
  const customer = await db().customer.create({ data: { name: 'Allotment club' } })
  return (await db().order.create({ data: { number, customerId: customer.id, state: 'agreed' } })).id
}
const receiveTen = (sku = 'TEE-BLK-M', cost = 30, when = now) =>
  bookAtShelf({ sku, by, now: when }, { kind: 'received', quantity: 10, value: euros(cost) })
const issue = (orderId: string, itemId: string, quantity: number, kind: 'issued' | 'spoiled' = 'issued') =>
  transaction(tx => issueTx(tx, { orderId, rows: [{ itemId, quantity }], by, now: at(5), kind }))

describe('the book of an item', () => {
  it('runs line by line with on hand and worth, newest first', async () => {
    const id = await tee()
    value(await receiveTen())
    value(await receiveTen('TEE-BLK-M', 40, at(1)))
    value(
      await bookAtShelf(
        { sku: 'TEE-BLK-M', by, now: at(2) },
        { kind: 'spoiled', quantity: 1, why: 'oil on it' },
      ),
    )
    const lines = await bookOf(id)
    expect(lines.map(l => [l.position, l.kind, l.quantity, l.onHand, l.worth])).toEqual([
      [3, 'spoiled', -1, 19, euros(67)],
      [2, 'received', 10, 20, euros(70)],
      [1, 'received', 10, 10, euros(30)],
    ])
    expect(lines[0]).toMatchObject({ why: 'oil on it', byName: by, at: at(2), orderNumber: null })
    expect((await bookOf(id, { below: 2 })).map(l => l.position)).toEqual([1])
    expect(await checkBooks()).toEqual([])
  })

  it('a form sent twice books once', async () => {
    await tee()
    const booking = { sku: 'TEE-BLK-M', by, now, formKey: 'form-1' }
    value(await bookAtShelf(booking, { kind: 'received', quantity: 10, value: euros(30) }))
    expect(value(await bookAtShelf(booking, { kind: 'received', quantity: 10, value: euros(30) }))).toBeNull()
    expect((await findItem('TEE-BLK-M'))?.level.onHand).toBe(10)
  })

  it('a refusal writes nothing', async () => {
    const id = await tee()
    value(await receiveTen())
    const done = await bookAtShelf(
      { sku: 'TEE-BLK-M', by, now },
      { kind: 'returned', to: 'supplier', quantity: 11 },
    )
    expect(done).toMatchObject({ ok: false, code: 'short' })
    expect(await bookOf(id)).toHaveLength(1)
    expect(await db().history.count({ where: { entity: 'item', ref: id } })).toBe(2)
  })

  it('says which item there is not', async () => {
    expect(await receiveTen('NO-SUCH')).toMatchObject({
      message: 'There is no item NO-SUCH: choose one from the list.',
    })
  })

  it('a line is taken back by a counter-movement, once', async () => {
    const id = await tee()
    value(await receiveTen())
    const [line] = await bookOf(id)
    const booking = { sku: 'TEE-BLK-M', by, now: at(1) }
    value(await takeBackLine(booking, line?.id ?? ''))
    expect((await bookOf(id)).map(l => [l.quantity, l.takenBack, l.onHand])).toEqual([
      [-10, false, 0],
      [10, true, 10],
    ])
    expect(await takeBackLine(booking, line?.id ?? '')).toMatchObject({ ok: false, code: 'taken-back' })
    value(await receiveTen('TEE-BLK-M', 50, at(2)))
    expect((await findItem('TEE-BLK-M'))?.level).toMatchObject({ onHand: 10, worth: euros(50) })
  })

  it('layers reach as far back as what is on hand, however many there are', async () => {
    const id = await tee()
    for (let i = 0; i < 70; i++)
      value(
        await bookAtShelf(
          { sku: 'TEE-BLK-M', by, now: at(i) },
          { kind: 'received', quantity: 1, value: euros(i) },
        ),
      )
    const order = await anOrder()
    const [out] = value(await issue(order, id, 3))
    expect(out?.value).toBe(euros(0 + 1 + 2))
    expect(await checkBooks()).toEqual([])
  })

  it('shows the day-by-day use', async () => {
    const id = await tee()
    value(await receiveTen())
    value(await issue(await anOrder(), id, 4))
    expect(await dailyUse(id, 3, at(10))).toEqual([0, 0, 4])
  })
})

describe('promises and issues', () => {
  it('a promise lessens what is free, and falls as it is issued; spoiled pieces leave it alone', async () => {
    const id = await tee()
    const order = await anOrder()
    value(await receiveTen())
    await transaction(tx => promiseForOrderTx(tx, order, [{ itemId: id, quantity: 8 }]))
    expect((await levels([id])).get(id)).toMatchObject({ onHand: 10, promised: 8, free: 2, short: 0 })
    value(await issue(order, id, 5))
    value(await issue(order, id, 1, 'spoiled'))
    expect((await levels([id])).get(id)).toMatchObject({ onHand: 4, promised: 3, free: 1 })
    expect(await promisesOf(id)).toEqual([{ orderNumber: 1001, quantity: 3, allowance: 0, promiseAt: null }])
    await transaction(tx => releasePromisesTx(tx, order))
    expect((await levels([id])).get(id)).toMatchObject({ promised: 0, free: 4 })
  })

  it('work may take what the book lacks, where the shop allows it; the next receipt settles the cost', async () => {
    await db().shop.create({
      data: { id: 1, name: 'A shop', currency: 'EUR', timeZone: 'Europe/Lisbon', measures: 'metric' },
    })
    const id = await tee()
    const order = await anOrder()
    value(await receiveTen())
    expect(value(await issue(order, id, 12))[0]).toMatchObject({ quantity: 12, value: euros(36), below: 2 })
    value(await receiveTen('TEE-BLK-M', 40, at(9)))
    expect((await findItem('TEE-BLK-M'))?.level).toMatchObject({ onHand: 8, worth: euros(32) })
    expect(await checkBooks()).toEqual([])
    await db().shop.update({ where: { id: 1 }, data: { belowZero: false } })
    expect(await issue(order, id, 9)).toMatchObject({ ok: false, code: 'short' })
  })

  it('unused goods come back at what they took, and no more than went in', async () => {
    const id = await tee()
    const order = await anOrder()
    value(await receiveTen())
    value(await issue(order, id, 6))
    const booking = { sku: 'TEE-BLK-M', by, now: at(9) }
    expect(await returnFromOrder(booking, 1001, 7, '')).toMatchObject({ ok: false, field: 'quantity' })
    value(await returnFromOrder(booking, 1001, 2, 'customer took fewer'))
    expect((await findItem('TEE-BLK-M'))?.level).toMatchObject({ onHand: 6, worth: euros(18) })
    expect(await returnFromOrder(booking, 9, 1, '')).toMatchObject({
      message: 'There is no order 9: check the number.',
    })
  })
})

describe('purchases', () => {
  async function ordered() {
    const id = await tee()
    const number = value(
      await writePurchase({
        supplier: 'North mill',
        dueAt: at(60),
        note: '',
        rows: [{ itemId: id, quantity: 24, value: euros(70) }],
        by,
        now,
      }),
    )
    value(await purchaseSent(number, 1, by, now))
    const purchase = await findPurchase(number)
    if (!purchase) throw new Error('not written')
    return { id, number, purchase, lineId: purchase.lines[0]?.id ?? '' }
  }

  it('what is written and not sent comes from nowhere, and need not be written again', async () => {
    const id = await tee()
    const rows = [{ itemId: id, quantity: 24, value: euros(70) }]
    const number = value(await writePurchase({ supplier: 'Mill', dueAt: at(60), note: '', rows, by, now }))
    expect((await levels([id])).get(id)).toMatchObject({ onHand: 0, onTheWay: 0, written: 24 })
    expect(await arrivals([id])).toEqual([])
    expect(await comingBefore(at(61))).toEqual([])
    expect(await comingOf(id)).toEqual([])
    expect(await comingOf(id, 'draft')).toMatchObject([{ purchase: number, quantity: 24 }])
    value(await purchaseSent(number, 1, by, now))
    expect((await levels([id])).get(id)).toMatchObject({ onTheWay: 24, written: 0 })
    expect(await arrivals([id])).toEqual([{ itemId: id, quantity: 24, dueAt: at(60) }])
    // Another is not wanted after all: what was never sent is simply cancelled.
    const second = value(await writePurchase({ supplier: 'Mill', dueAt: null, note: '', rows, by, now }))
    expect(value(await endPurchase(second, 1, 'twice', by, now))).toBe('cancelled')
    expect((await levels([id])).get(id)).toMatchObject({ onTheWay: 24, written: 0 })
  })

  it('what comes was sent, whether somebody noted that or not', async () => {
    const id = await tee()
    const rows = [{ itemId: id, quantity: 24, value: euros(70) }]
    const number = value(await writePurchase({ supplier: 'Mill', dueAt: null, note: '', rows, by, now }))
    const lineId = (await findPurchase(number))?.lines[0]?.id ?? ''
    expect(value(await receivePurchase(number, 1, [{ lineId, quantity: 10 }], by, at(50)))).toBe('sent')
    expect(await findPurchase(number)).toMatchObject({ state: 'sent', sentAt: at(50) })
    expect((await levels([id])).get(id)).toMatchObject({ onHand: 10, onTheWay: 14, written: 0 })
  })

  it('what is ordered is on the way until it is received, in parts', async () => {
    const { id, number, lineId } = await ordered()
    expect((await levels([id])).get(id)).toMatchObject({ onHand: 0, onTheWay: 24 })
    expect(await arrivals([id])).toEqual([{ itemId: id, quantity: 24, dueAt: at(60) }])
    expect((await comingBefore(at(61))).map(p => p.number)).toEqual([number])
    expect(value(await receivePurchase(number, 2, [{ lineId, quantity: 10 }], by, at(50)))).toBe('sent')
    expect((await levels([id])).get(id)).toMatchObject({ onHand: 10, onTheWay: 14, worth: 29_166_667 })
    expect(value(await receivePurchase(number, 3, [{ lineId, quantity: 14 }], by, at(55)))).toBe('received')
    expect((await levels([id])).get(id)).toMatchObject({ onHand: 24, onTheWay: 0, worth: euros(70) })
    expect((await bookOf(id))[0]).toMatchObject({ purchaseNumber: number, why: `Purchase ${number}` })
  })

  it('a price other than ordered stays told: (price charged − price ordered) × what was received', async () => {
    const { number, lineId, purchase } = await ordered()
    // 24 for 70.00. Twelve come at 3.00 each: 36.00 for what was ordered at 35.00.
    const dearer = [{ lineId, quantity: 12, value: euros(36) }]
    value(await receivePurchase(number, 2, dearer, by, at(50)))
    const told = {
      purchase: number,
      quantity: 12,
      ordered: euros(35),
      charged: euros(36),
      difference: euros(1),
    }
    expect(await chargedOn(purchase.id)).toMatchObject([told])
    expect(await chargedOtherwise({ from: at(50), to: at(51) })).toMatchObject([told])
    // The rest comes as ordered: nothing of that day is told, the purchase stays 1.00 dearer.
    value(await receivePurchase(number, 3, [{ lineId, quantity: 12 }], by, at(55)))
    expect(await chargedOtherwise({ from: at(51), to: at(60) })).toEqual([])
    expect(await chargedOn(purchase.id)).toMatchObject([
      { quantity: 24, ordered: euros(70), charged: euros(71), difference: euros(1) },
    ])
  })

  it('more than ordered is refused, and nothing is booked', async () => {
    const { id, number, lineId } = await ordered()
    const done = await receivePurchase(number, 2, [{ lineId, quantity: 25 }], by, at(50))
    expect(done).toMatchObject({ ok: false, code: 'too-many', field: `came.${lineId}` })
    expect((await levels([id])).get(id)).toMatchObject({ onHand: 0, onTheWay: 24 })
  })

  it('two people receiving one parcel: the second is told', async () => {
    const { number, lineId } = await ordered()
    value(await receivePurchase(number, 2, [{ lineId, quantity: 10 }], by, at(50)))
    expect(await receivePurchase(number, 2, [{ lineId, quantity: 10 }], 'Rui', at(50))).toMatchObject({
      code: 'changed',
    })
  })

  it('what will not come any more is no longer on the way', async () => {
    const { id, number } = await ordered()
    expect(value(await endPurchase(number, 2, 'sold out', by, at(70)))).toBe('cancelled')
    expect((await levels([id])).get(id)?.onTheWay).toBe(0)
    expect(await endPurchase(number, 3, '', by, at(71))).toMatchObject({ ok: false, code: 'state' })
  })

  it('numbers run without gaps, and a form sent twice orders once', async () => {
    const id = await tee()
    const one = {
      supplier: '',
      dueAt: null,
      note: '',
      rows: [{ itemId: id, quantity: 1, value: euros(3) }],
      by,
      now,
    }
    expect(value(await writePurchase({ ...one, formKey: 'a' }))).toBe(1)
    expect(value(await writePurchase({ ...one, formKey: 'a' }))).toBe(1)
    expect(await writePurchase({ ...one, rows: [] })).toMatchObject({ code: 'empty' })
    expect(value(await writePurchase({ ...one, formKey: 'b' }))).toBe(2)
  })
})

describe('the list', () => {
  beforeEach(async () => {
    await tee('TEE-BLK-M', { reorderPoint: 12, reorderTo: 36 })
    await tee('TEE-WHT-L', { colour: 'white', size: 'L' })
    await addItem(
      {
        sku: 'INK-WHITE',
        name: 'DTG white ink',
        kind: 'ink',
        unit: 'ul',
        price: euros(90),
        pricePer: 1_000_000,
        reorderPoint: 500_000,
        reorderTo: 1_200_000,
      },
      by,
      now,
    )
  })
  it('is searched by words and kind', async () => {
    const skus = async (s: Parameters<typeof listItems>[0]) => (await listItems(s)).map(i => i.sku)
    expect(await skus({})).toEqual(['TEE-BLK-M', 'TEE-WHT-L', 'INK-WHITE'])
    expect(await skus({ kind: 'ink' })).toEqual(['INK-WHITE'])
    expect(await skus({ words: 'white' })).toEqual(['TEE-WHT-L', 'INK-WHITE'])
    expect(await skus({ words: 'tee L' })).toEqual(['TEE-WHT-L'])
    expect(await skus({ words: "'; drop table" })).toEqual([])
  })
  it('is read a page at a time, in whatever order: the same rows as the whole list has', async () => {
    const [first] = await listItems()
    if (!first) throw new Error('no items')
    const { id: _, ...like } = await db().stockItem.findUniqueOrThrow({ where: { id: first.id } })
    await db().stockItem.createMany({
      data: Array.from({ length: 450 }, (_, i) => ({
        ...like,
        ...{
          sku: `ROW-${(i * 7) % 450}`,
          name: `Row ${(i * 11) % 450}`,
          kind: i % 3 ? 'packaging' : 'paper',
        },
        ...{ breaks: undefined, consumable: null, styleId: null, size: null, colour: null },
        ...{ unit: 'piece', reorderPoint: i % 9 ? 0 : 5, reorderTo: i % 9 ? 0 : 10 },
      })),
    })
    for (const n of [3, 9, 30])
      await bookAtShelf(
        { sku: `ROW-${n}`, by: 'Ines', now },
        { kind: 'received', quantity: n, value: micro(n * 1_000_000), why: '' },
      )
    const whole = await listItems()
    for (const only of [undefined, 'order'] as const) {
      const fit = whole.filter(i => only === undefined || i.toOrder > 0)
      for (const sort of [undefined, ...ITEM_SORTS])
        for (const down of [false, true]) {
          const rows: string[] = []
          for (let page = 1; page <= 6; page++) {
            const got = await itemPage({ only, sort, down }, page, 100)
            expect(got.total).toBe(fit.length)
            expect(got.worth).toBe(fit.reduce((sum, i) => sum + i.level.worth, 0))
            rows.push(...got.rows.map(i => i.sku))
          }
          expect([...rows].sort()).toEqual(fit.map(i => i.sku).sort())
          if (sort === undefined) expect(rows).toEqual(fit.map(i => i.sku))
          else if (sort !== 'name' && sort !== 'sku') {
            const of = new Map(fit.map(i => [i.sku, i.level[sort]]))
            const values = rows.map(sku => of.get(sku) ?? 0)
            expect(values).toEqual([...values].sort((a, b) => (down ? b - a : a - b)))
          }
        }
    }
    expect((await itemPage({}, 7, 100)).rows).toEqual([])
  })
  it('asks for blanks by the piece and for ink by the bottle', async () => {
    const [black, white, ink] = await listItems()
    expect([black?.toOrder, white?.toOrder, ink?.toOrder]).toEqual([36, 0, 2_000_000])
  })
})

it('a change of an item that somebody else changed meanwhile is refused', async () => {
  await tee()
  const change = {
    name: 'Tee',
    supplier: 'Mill',
    reorderPoint: 6,
    reorderTo: 24,
    leadDays: 2,
    price: euros(4),
    minOrder: 6,
    breaks: [{ from: 72, price: euros(3.5) }],
    retired: false,
  }
  value(await changeItem('TEE-BLK-M', 1, change, by, now))
  expect(await findItem('TEE-BLK-M')).toMatchObject({ ...change, version: 2 })
  const late = { ...change, price: euros(5), supplier: 'Wholesaler' }
  expect(await changeItem('TEE-BLK-M', 1, late, 'Rui', now)).toMatchObject({
    code: 'changed',
    message:
      'Somebody changed Tee meanwhile; saved now: supplier Mill, price €4.00. Load the page again, then change what you wish.',
  })
  expect(
    await addItem({ sku: 'TEE-BLK-M', name: 'x', kind: 'blank', unit: 'piece', price: euros(1) }, by, now),
  ).toMatchObject({
    field: 'sku',
  })
})

it('the width of a roll is kept with its item, and with its change', async () => {
  const film = { sku: 'FILM', name: 'Film', kind: 'film', unit: 'cm2', price: euros(102) } as const
  value(await addItem({ ...film, pricePer: 600_000, widthMm: 600 }, by, now))
  const item = await findItem('FILM')
  expect(item).toMatchObject({ widthMm: 600, pricePer: 600_000 })
  if (!item) return
  const { name, supplier, reorderPoint, reorderTo, leadDays, price, minOrder, breaks, retired } = item
  const same = { name, supplier, reorderPoint, reorderTo, leadDays, price, minOrder, breaks, retired }
  value(await changeItem('FILM', 1, { ...same, widthMm: 300 }, by, now))
  expect((await findItem('FILM'))?.widthMm).toBe(300)
  // A change that says nothing of it leaves it alone.
  value(await changeItem('FILM', 2, same, by, now))
  expect((await findItem('FILM'))?.widthMm).toBe(300)
})

it('a change from moving average to first in, first out revalues each shelf once', async () => {
  await db().shop.create({
    data: {
      id: 1,
      name: 'A shop',
      currency: 'EUR',
      timeZone: 'UTC',
      measures: 'metric',
      valuation: 'average',
    },
  })
  const id = await tee()
  value(await receiveTen())
  value(await receiveTen('TEE-BLK-M', 50, at(1)))
  value(await issue(await anOrder(), id, 10))
  expect((await levels([id])).get(id)?.worth).toBe(euros(40))
  expect(value(await changeValuation('fifo', by, at(9)))).toBe(1)
  expect((await levels([id])).get(id)).toMatchObject({ onHand: 10, worth: euros(50) })
  expect(await checkBooks()).toEqual([])
})

it('the proof finds a line that does not follow from the one before', async () => {
  const id = await tee()
  value(await receiveTen())
  value(await receiveTen('TEE-BLK-M', 40, at(1)))
  await db().movement.create({
    data: {
      itemId: id,
      position: 3,
      kind: 'issued',
      quantity: -1,
      valueMicro: -3_000_000n,
      onHand: 20,
      worthMicro: 67_000_000n,
      at: new Date(now),
      byName: by,
    },
  })
  expect(await checkBooks()).toEqual([
    { sku: 'TEE-BLK-M', position: 3, what: 'says 20 on hand, its movements make 19' },
  ])
})

it('a style comes with all its blanks, or not at all', async () => {
  const item = (sku: string) => ({ sku, name: sku, price: euros(3), colour: 'black', size: 'M' })
  const style = { code: 'T9', name: 'Soft tee', kind: 'tee', fibres: { cotton: 100 } }
  value(await addStyle({ ...style, items: [item('T9-BLA-M'), item('T9-BLA-L')] }, by, now))
  expect((await listItems({ kind: 'blank' })).map(i => [i.sku, i.styleName])).toEqual([
    ['T9-BLA-L', 'Soft tee'],
    ['T9-BLA-M', 'Soft tee'],
  ])
  expect(await addStyle({ ...style, items: [] }, by, now)).toMatchObject({ ok: false, field: 'code' })
  expect(
    await addStyle({ ...style, code: 'T8', items: [item('T8-M'), item('T9-BLA-M')] }, by, now),
  ).toMatchObject({
    ok: false,
    field: 'sku',
  })
  expect(await db().blankStyle.count()).toBe(1)
  expect(await listItems()).toHaveLength(2)
})

it('the database itself refuses to edit or remove a line of the book', async () => {
  const id = await tee()
  value(await receiveTen())
  await expect(db().movement.updateMany({ where: { itemId: id }, data: { quantity: 99 } })).rejects.toThrow()
  await expect(db().movement.deleteMany({ where: { itemId: id } })).rejects.toThrow()
  expect((await bookOf(id)).map(l => l.quantity)).toEqual([10])
})

describe('ink with a lot and a date', () => {
  const day = 86_400_000
  const ink = () =>
    tee('WHITE', { kind: 'ink', unit: 'ul', consumable: 'dtg-white', price: euros(90), pricePer: 1_000_000 })
  const take = (lot: string, days: number, when = now) =>
    bookAtShelf(
      { sku: 'WHITE', by, now: when },
      { kind: 'received', quantity: 1_000, value: euros(1) },
      { came: { lot, goodUntil: instant(now + days * day) } },
    )
  const later = instant(now + 20 * day)

  it('is drawn by date; out-of-date ink is not free, used last, and said in the book for good', async () => {
    const id = await ink()
    value(await take('B', 90))
    value(await take('A', 10))
    const order = await anOrder()
    expect((await consumablesFree(now)).get('dtg-white')).toBe(2_000)
    expect((await consumablesFree(later)).get('dtg-white')).toBe(1_000)
    expect((await expiredLots(later)).map(l => [l.sku, l.lot, l.left])).toEqual([['WHITE', 'A', 1_000]])
    const used = value(
      await transaction(tx =>
        issueTx(tx, {
          orderId: order,
          rows: [{ itemId: id, quantity: 1_300 }],
          by,
          now: later,
          kind: 'issued',
        }),
      ),
    )
    expect(used).toMatchObject([{ below: 0, expired: [{ lot: 'A', quantity: 300 }] }])
    const [last, before] = await bookOf(id)
    expect([before?.lot, before?.quantity, last?.lot, last?.quantity]).toEqual(['B', -1_000, 'A', -300])
    expect(last?.why).toBe('Lot A was out of date since Sunday 24 May 2026')
    expect((await lotsOf(id, later)).map(l => [l.lot, l.left])).toEqual([['A', 700]])
    expect(await checkBooks()).toEqual([])
  })

  it('is good for longer when somebody says why; a line taken back gives its lot back', async () => {
    const id = await ink()
    value(await take('A', 10))
    const until = instant(later + 30 * day)
    value(await extendLot({ sku: 'WHITE', lot: 'A', until, why: 'Test print is clean' }, by, later))
    expect(await expiredLots(later)).toEqual([])
    expect((await lotsOf(id, later))[0]).toMatchObject({ goodUntil: until, extendedBy: 'Ines' })
    const out = { kind: 'spoiled', quantity: 1_000, why: 'Spilt' } as const
    value(await bookAtShelf({ sku: 'WHITE', by, now: later }, out))
    expect(await lotsOf(id, later)).toEqual([])
    const [line] = await bookOf(id)
    value(await takeBackLine({ sku: 'WHITE', by, now: later }, line?.id ?? ''))
    expect((await lotsOf(id, later)).map(l => [l.lot, l.left])).toEqual([['A', 1_000]])
    expect(await extendLot({ sku: 'WHITE', lot: 'Z', until, why: 'x' }, by, later)).toMatchObject({
      ok: false,
      message: 'There is no lot Z with a date on the shelf of Tee WHITE.',
    })
  })

  it('the proof finds a lot whose sum is not that of its lines', async () => {
    await ink()
    value(await take('A', 10))
    await db().stockLot.updateMany({ data: { onHand: 999 } })
    expect(await checkBooks()).toMatchObject([
      { sku: 'WHITE', what: 'names lot A, which is kept as 999; its lines make 1000' },
    ])
  })
})

describe('a purchase that does not come as ordered', () => {
  const written = async () => {
    const id = await tee()
    const number = value(
      await writePurchase({
        supplier: 'Mill',
        dueAt: null,
        note: '',
        rows: [{ itemId: id, quantity: 24, value: euros(72) }],
        by,
        now,
      }),
    )
    const purchase = await findPurchase(number)
    return { id, number, version: purchase?.version ?? 0, line: purchase?.lines[0]?.id ?? '' }
  }
  const level = async (id: string) => (await levels([id])).get(id)

  it('is not sent until somebody says so', async () => {
    const { number, version } = await written()
    expect(await findPurchase(number)).toMatchObject({ state: 'draft', sentAt: null })
    value(await purchaseSent(number, version, by, now))
    expect(await findPurchase(number)).toMatchObject({ state: 'sent', sentAt: now, version: version + 1 })
    expect(await purchaseSent(number, version, by, now)).toMatchObject({ ok: false, code: 'changed' })
  })

  it('damaged pieces that are sent again stay on the way, credited ones do not', async () => {
    const { id, number, version, line } = await written()
    const bad = (quantity: number, outcome: 'replace' | 'credit') =>
      ({ quantity, kind: 'damaged', outcome, note: 'wet box' }) as const
    value(
      await receivePurchase(
        number,
        version,
        [{ lineId: line, quantity: 18, bad: bad(4, 'replace') }],
        by,
        now,
      ),
    )
    expect(await level(id)).toMatchObject({ onHand: 18, onTheWay: 6, worth: euros(54) })
    value(
      await receivePurchase(
        number,
        version + 1,
        [{ lineId: line, quantity: 4, bad: bad(2, 'credit') }],
        by,
        now,
      ),
    )
    expect(await level(id)).toMatchObject({ onHand: 22, onTheWay: 0, worth: euros(66) })
    const after = await findPurchase(number)
    expect(after).toMatchObject({ state: 'received', lines: [{ received: 22, givenUp: 2 }] })
    expect(after?.troubles.map(t => [t.quantity, t.outcome])).toEqual(
      expect.arrayContaining([
        [4, 'replace'],
        [2, 'credit'],
      ]),
    )
    await expect(db().$executeRaw`UPDATE "PurchaseTrouble" SET "quantity" = 1`).rejects.toThrow()
  })

  it('more can be wrong only as far as it is expected, and nothing is half written', async () => {
    const { id, number, version, line } = await written()
    const bad = { quantity: 7, kind: 'wrong', outcome: 'replace', note: '' } as const
    expect(
      await receivePurchase(number, version, [{ lineId: line, quantity: 18, bad }], by, now),
    ).toMatchObject({
      ok: false,
      field: `bad.${line}`,
    })
    expect(await level(id)).toMatchObject({ onHand: 0, onTheWay: 0, written: 24 })
  })

  it('more than ordered is asked about, and kept when somebody says so', async () => {
    const { id, number, version, line } = await written()
    const came = [{ lineId: line, quantity: 26 }]
    expect(await receivePurchase(number, version, came, by, now)).toMatchObject({
      ok: false,
      field: `came.${line}`,
      message:
        '26 of Tee TEE-BLK-M is more than the 24 still to come: tick “keep what is more” to take all of it in, or type 24 and send the rest back.',
    })
    value(await receivePurchase(number, version, came, by, now, true))
    expect(await level(id)).toMatchObject({ onHand: 26, onTheWay: 0, worth: euros(78) })
  })
})
