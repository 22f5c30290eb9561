import fc from 'fast-check'
import { beforeEach, describe, expect, it } from 'vitest'
import { db, transaction } from '@/lib/server/database'
import { type CsvItem, readCounts, shareDifference, usageVariance, usageWorking } from '@/lib/stock/counts'
import {
  approveCount,
  countLine,
  dropCount,
  findCount,
  importCounts,
  startCount,
  variancesOf,
} from '@/lib/stock/counts/store'
import { addItem } from '@/lib/stock/items/store'
import { checkBooks } from '@/lib/stock/proof/store'
import { bookAtShelf, issueTx } from '@/lib/stock/store'
import { bookOf, levels } from '@/lib/stock/views/store'
import { micro } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import { instant } from '@/lib/units/time'
import { freshDatabase } from '../support/database'

const value = <T>(done: Result<T>): T => {
  if (!done.ok) throw new Error(done.message)
  return done.value
}
const by = 'Ines'
const now = instant(Date.UTC(2026, 4, 14, 9))
const at = (minutes: number) => instant(now + minutes * 60_000)

describe('usage variance', () => {
  // Direct materials usage (efficiency) variance: (actual input − budgeted input allowed) × budgeted price; Horngren, Cost Accounting,
  // Webb Company: 22,200 square yards used, 20,000 allowed for 10,000 jackets, 30 dollars: 66,000 unfavourable (from memory).
  it('is what was really used less what was allowed, at its price', () => {
    const v = usageVariance(20_000, -2_200)
    expect(v).toMatchObject({ actual: 22_200, quantity: 2_200, scale: 1.11 })
    expect(usageWorking(v, micro(66_000e6), 'piece', 'USD').result).toBe('$66,000.00')
  })
  it('less used than booked is below 0; nothing booked has no scale', () => {
    expect(usageVariance(1_000, 100)).toMatchObject({ actual: 900, quantity: -100, scale: 0.9 })
    expect(usageVariance(0, -5).scale).toBeNull()
  })
  it('is shared to the last unit, by what each order drew', () => {
    expect([
      ...shareDifference(
        10,
        new Map([
          ['a', 3],
          ['b', 1],
        ]),
      ),
    ]).toEqual([
      ['a', 8],
      ['b', 2],
    ])
    fc.assert(
      fc.property(
        fc.integer({ min: -1e9, max: 1e9 }),
        fc.array(fc.integer({ min: 1, max: 1e8 }), { minLength: 1, maxLength: 40 }),
        (difference, list) => {
          const shares = shareDifference(difference, new Map(list.map((n, i) => [i, n])))
          const sum = [...shares.values()].reduce((a, b) => a + b, 0)
          expect(sum).toBe(difference)
          const whole = list.reduce((a, b) => a + b, 0)
          list.forEach((n, i) => {
            expect(Math.abs((shares.get(i) ?? 0) - (difference * n) / whole)).toBeLessThanOrEqual(1)
          })
        },
      ),
    )
  })
})

describe('a file of counts', () => {
  const items = new Map<string, CsvItem>([
    ['TEE', { itemId: 't', unit: 'piece', pack: 1, name: 'Tee', found: null, countedBy: '' }],
    ['INK', { itemId: 'i', unit: 'ul', pack: 1_000_000, name: 'Ink', found: null, countedBy: '' }],
    ['CAP', { itemId: 'c', unit: 'piece', pack: 1, name: 'Cap', found: 9, countedBy: 'Pia' }],
  ])
  it('is read with commas or semicolons, in the units that people type; what was not counted is left out', () => {
    const rows = [
      { itemId: 't', found: 24 },
      { itemId: 'i', found: 1_250_000 },
    ]
    expect(readCounts('sku,name,found\nTEE,Tee,2 dozen\nINK,Ink,1.25 l\nCAP,Cap,\n', items)).toEqual({
      ok: true,
      rows,
      faults: [],
    })
    expect(readCounts('\ufeffFound;SKU\r\n24;TEE\r\n"1,25 l";INK\r\n', items)).toEqual({
      ok: true,
      rows,
      faults: [],
    })
  })
  it.each([
    ['TEE,-3', 'Line 2: -3 of TEE: a count is 0 or more.'],
    ['TEE,4 kg', 'Line 2: TEE: kg cannot be turned into pieces: use pieces, pairs, dozen.'],
    ['TEE,a few', 'Line 2: TEE: “a few” is not an amount: type it like 40 or 2.5 pieces, 0 or more.'],
    ['HAT,3', 'Line 2: “HAT” is not an item of this count: check the SKU.'],
    [',3', 'Line 2: The SKU is missing: type it, or take the row out.'],
    ['TEE,3\nTEE,4', 'Line 3: TEE was counted on line 2 already: leave one of the two.'],
    ['CAP,8', 'Line 2: Pia has counted 9 of CAP already: look together, and change it on the page.'],
  ])('%j is told', (body, fault) => {
    const read = readCounts(`sku,found\n${body}\n`, items)
    expect(read.ok && read.faults.map(f => `Line ${f.line}: ${f.message}`)).toEqual([fault])
  })
  it.each([
    ['a,b\n1,2', 'The first row must name the columns, with “sku” and “found” among them.'],
    [
      'sku,found\nTEE,"3',
      'This file is no table from line 2 on: save it as CSV, with quotes closed, and send it again.',
    ],
  ])('%j is no file of counts', (text, message) => {
    expect(readCounts(text, items)).toEqual({ ok: false, message })
  })
})

describe('a round of counting', () => {
  beforeEach(freshDatabase)
  const item = async (sku: string, over = {}) =>
    value(
      await addItem(
        { sku, name: `Item ${sku}`, kind: 'blank', unit: 'piece', price: micro(3e6), ...over },
        by,
        now,
      ),
    )
  const receive = (sku: string, quantity: number, cost: number) =>
    bookAtShelf({ sku, by, now }, { kind: 'received', quantity, value: micro(cost) })
  const order = async (number: number) => {
    const customer = await db().customer.create({ data: { name: 'Allotment club' } })
    return (await db().order.create({ data: { number, customerId: customer.id, state: 'making' } })).id
  }
  const issue = (orderId: string, itemId: string, quantity: number) =>
    transaction(tx => issueTx(tx, { orderId, rows: [{ itemId, quantity }], by, now: at(1), kind: 'issued' }))
  const lineOf = async (number: number, sku: string) => {
    const found = await findCount(number, { words: sku })
    if (!found?.lines[0]) throw new Error('no line')
    return found.lines[0]
  }

  it('books nothing until a person approves; what moved meanwhile counts on; what is left stays', async () => {
    const tee = await item('TEE')
    const cap = await item('CAP')
    value(await receive('TEE', 10, 30e6))
    value(await receive('CAP', 10, 20e6))
    const number = value(await startCount({ name: 'May', blind: true, kinds: [] }, by, now))
    value(await countLine({ number, itemId: tee, found: 8, seen: 1 }, by, now))
    value(await countLine({ number, itemId: cap, found: 7, seen: 1 }, by, now))
    expect(await levels([tee])).toMatchObject(new Map([[tee, expect.objectContaining({ onHand: 10 })]]))
    value(await issue(await order(1001), tee, 3))
    expect((await findCount(number, { only: 'different' }))?.lines.map(l => [l.sku, l.worth])).toEqual([
      ['CAP', -6e6],
      ['TEE', -6e6],
    ])
    expect(value(await approveCount(number, new Set([cap]), 'Maren', at(5)))).toMatchObject({
      booked: 1,
      left: 1,
    })
    const level = await levels([tee, cap])
    expect([level.get(tee)?.onHand, level.get(cap)?.onHand]).toEqual([5, 10])
    expect((await bookOf(tee))[0]).toMatchObject({
      kind: 'counted',
      quantity: -2,
      why: 'Count 1, Ines',
      byName: 'Maren',
    })
    expect(await approveCount(number, new Set(), by, at(6))).toMatchObject({
      ok: false,
      message: 'Count 1 is approved already: begin a new one.',
    })
    expect(await checkBooks()).toEqual([])
  })

  it('two people counting one shelf: the second is told who found what, and writes over it knowing', async () => {
    const tee = await item('TEE')
    value(await receive('TEE', 10, 30e6))
    const number = value(await startCount({ name: 'May', blind: false, kinds: ['blank'] }, by, now))
    value(await countLine({ number, itemId: tee, found: 8, seen: 1 }, 'Pia', now))
    expect(await countLine({ number, itemId: tee, found: 9, seen: 1 }, 'Idris', at(2))).toMatchObject({
      ok: false,
      field: 'found',
      message:
        'Pia counted 8 of Item TEE at 09:00, while this was on your screen. Look at the shelf together, then load the page again and type what is right.',
    })
    expect((await lineOf(number, 'TEE')).found).toBe(8)
    // The same number from the same person is no second count.
    value(await countLine({ number, itemId: tee, found: 8, seen: 1 }, 'Pia', at(3)))
    value(await countLine({ number, itemId: tee, found: 9, seen: 2 }, 'Idris', at(4)))
    expect(await lineOf(number, 'TEE')).toMatchObject({ found: 9, countedBy: 'Idris' })
  })

  it('refuses a count below nothing, of another count, and one that was overtaken by use', async () => {
    const tee = await item('TEE')
    value(await receive('TEE', 10, 30e6))
    const number = value(await startCount({ name: 'May', blind: false, kinds: [] }, by, now))
    expect(await countLine({ number, itemId: tee, found: -1, seen: 1 }, by, now)).toMatchObject({
      ok: false,
      message: 'A count of Item TEE is 0 or more.',
    })
    const late = await item('LATE')
    expect(await countLine({ number, itemId: late, found: 1, seen: 1 }, by, now)).toMatchObject({
      ok: false,
      code: 'no-line',
    })
    value(await countLine({ number, itemId: tee, found: 2, seen: 1 }, by, now))
    value(await issue(await order(1001), tee, 5))
    expect(await approveCount(number, new Set(), by, at(5))).toMatchObject({
      ok: false,
      message: 'More of Item TEE was used since it was counted than was found: count it again, or leave it.',
    })
    expect((await levels([tee])).get(tee)?.onHand).toBe(5)
    value(await dropCount(number, by, at(6)))
    expect((await findCount(number))?.count.state).toBe('dropped')
  })

  it('ink that was weighed: orders since the last count carry their share, closed months do not; the variance is kept', async () => {
    const ink = await item('INK', {
      kind: 'ink',
      unit: 'ul',
      consumable: 'dtg-white',
      price: micro(90e6),
      pricePer: 1_000_000,
    })
    value(await receive('INK', 1_000_000, 90e6))
    const [first, second, done] = [await order(1001), await order(1002), await order(1003)]
    await db().order.update({
      where: { id: done },
      data: { state: 'handedOver', handedOverAt: new Date(Date.UTC(2026, 3, 20)) },
    })
    value(await issue(done, ink, 100_000))
    await db().monthClose.create({
      data: {
        month: '2026-04',
        fromAt: new Date(Date.UTC(2026, 3, 1)),
        untilAt: new Date(Date.UTC(2026, 4, 1)),
        closedAt: new Date(at(2)),
        byName: by,
        totals: {},
      },
    })
    value(await issue(first, ink, 30_000))
    value(await issue(second, ink, 10_000))
    const number = value(await startCount({ name: 'Ink', blind: false, kinds: ['ink'] }, by, now))
    // 860 ml in the book, 852 ml on the scale: 148 ml were really used instead of 140.
    value(await countLine({ number, itemId: ink, found: 852_000, seen: 1 }, by, at(3)))
    const approved = value(await approveCount(number, new Set(), by, at(4)))
    expect(approved.variances).toMatchObject([
      { variance: { standard: 140_000, actual: 148_000, quantity: 8_000 }, value: 720_000, orders: 2 },
    ])
    const sum = async (orderId: string) =>
      (
        await db().movement.aggregate({
          where: { orderId, itemId: ink },
          _sum: { quantity: true, valueMicro: true },
        })
      )._sum
    expect(await sum(first)).toEqual({ quantity: -36_000, valueMicro: -3_240_000n })
    expect(await sum(second)).toEqual({ quantity: -12_000, valueMicro: -1_080_000n })
    expect(await sum(done)).toMatchObject({ quantity: -100_000 })
    expect((await levels([ink])).get(ink)).toMatchObject({ onHand: 852_000, worth: 76_680_000 })
    expect(await variancesOf(ink)).toEqual([{ at: at(4), quantity: 8_000, value: 720_000 }])
    expect(await checkBooks()).toEqual([])
  })

  it('a file of 100,000 rows with ten bad ones: ten clear rows back, the rest as chosen', async () => {
    const many = 100_000
    // Straight into the table: writing items one by one is another matter.
    await db().$executeRaw`
      WITH RECURSIVE n(k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n WHERE k < ${many})
      INSERT INTO "StockItem" ("id", "sku", "name", "kind", "unit", "priceMicro")
      SELECT 'item-' || k, 'SKU-' || k, 'Item ' || k, 'blank', 'piece', 3000000 FROM n`
    const number = value(await startCount({ name: 'All', blind: false, kinds: [] }, by, now))
    const bad = new Map([
      [7, 'SKU-7,-3'],
      [70, 'SKU-70,'.concat('x')],
      [700, ',5'],
      [7_000, 'SKU-6999,5'],
      [20_000, 'NO-SUCH,5'],
      [30_000, 'SKU-30000,1.5'],
      [40_000, 'SKU-40000,2 kg'],
      [50_000, 'SKU-50000,3 boxes'],
      [60_000, 'SKU-60000,99999999999'],
      [100_000, 'SKU-100000,1e3'],
    ])
    const rows = Array.from({ length: many }, (_, i) => bad.get(i + 1) ?? `SKU-${i + 1},${i % 50}`)
    const file = `sku,found\n${rows.join('\n')}\n`
    // One bad row is enough where nothing is to be taken then.
    const few = `sku,found\n${rows.slice(0, 20).join('\n')}\n`
    expect(value(await importCounts(number, few, 'nothing', by, now))).toMatchObject({
      taken: 0,
      faults: [{ line: 8 }],
    })
    expect((await findCount(number, { size: 1 }))?.count.counted).toBe(0)
    const { taken, faults } = value(await importCounts(number, file, 'skip', by, now))
    expect(taken).toBe(many - 10)
    expect(faults.map(f => [f.line, f.message])).toEqual([
      [8, '-3 of SKU-7: a count is 0 or more.'],
      [71, 'SKU-70: “x” is not an amount: type it like 40 or 2.5 pieces, 0 or more.'],
      [701, 'The SKU is missing: type it, or take the row out.'],
      [7_001, 'SKU-6999 was counted on line 7000 already: leave one of the two.'],
      [20_001, '“NO-SUCH” is not an item of this count: check the SKU.'],
      [30_001, 'SKU-30000: “1.5” is not a whole number of pieces.'],
      [40_001, 'SKU-40000: kg cannot be turned into pieces: use pieces, pairs, dozen.'],
      [
        50_001,
        'SKU-50000: “boxes” has no size for this item: use pieces, pairs, dozen, or set what a pack holds.',
      ],
      [60_001, 'SKU-60000: “99999999999” is more than one shelf holds here: check the amount and its unit.'],
      [100_001, 'SKU-100000: “e3” is not a unit known here: use pieces, pairs, dozen.'],
    ])
    expect((await findCount(number, { size: 1 }))?.count.counted).toBe(many - 10)
  }, 120_000)
})
