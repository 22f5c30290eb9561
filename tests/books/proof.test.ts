import Database from 'better-sqlite3'
import { beforeEach, describe, expect, test } from 'vitest'
import { proveBooks } from '@/lib/books/proof/store'
import { addOrderCost, closeMonth } from '@/lib/books/store'
import { closeDatabase, db, openDatabase, setDatabase, transaction } from '@/lib/server/database'
import { addItem } from '@/lib/stock/items/store'
import { bookAtShelf, issueTx } from '@/lib/stock/store'
import { micro, minor } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import { instant, shopMonth } from '@/lib/units/time'
import { freshFile } from '../support/database'

const at = (text: string) => instant(Date.parse(text))
const now = new Date('2026-06-10T09:00Z')
const by = { id: null, name: 'Ines' }
const value = <T>(done: Result<T>): T => {
  if (!done.ok) throw new Error(done.message)
  return done.value
}
let file = ''

beforeEach(async () => {
  file = await freshFile()
  setDatabase(openDatabase(`file:${file}`))
  await db().shop.create({
    data: { id: 1, name: 'A shop', currency: 'EUR', timeZone: 'Europe/Lisbon', measures: 'metric' },
  })
  const start = at('2026-04-01T09:00Z')
  const item = { sku: 'TEE', name: 'Tee', kind: 'blank', unit: 'piece', price: micro(3e6) } as const
  const itemId = value(await addItem(item, by, start))
  value(
    await bookAtShelf(
      { sku: 'TEE', by, now: start },
      { kind: 'received', quantity: 90, value: micro(270e6) },
    ),
  )
  const customer = await db().customer.create({ data: { name: 'Allotment club' } })
  const order = await db().order.create({
    data: {
      number: 1001,
      customerId: customer.id,
      state: 'handedOver',
      netMinor: 20_000,
      taxMinor: 4_600,
      grossMinor: 24_600,
      handedOverAt: new Date('2026-04-20T10:00Z'),
    },
  })
  const rows = [{ itemId, quantity: 10 }]
  await transaction(async tx =>
    value(await issueTx(tx, { orderId: order.id, kind: 'issued', rows, by, now: at('2026-04-19T10:00Z') })),
  )
  await db().payment.create({
    data: { orderId: order.id, kind: 'rest', amountMinor: 24_600, means: 'card', byName: 'Ines' },
  })
  value(await closeMonth(shopMonth('2026-04'), by, at('2026-05-02T09:00Z')))
  return closeDatabase
})

/** Changes the file past every guard, as damage would, and says what the proof then finds. */
async function faultsAfter(...damage: string[]): Promise<string[]> {
  const raw = new Database(file)
  for (const { name } of raw.prepare("SELECT name FROM sqlite_master WHERE type = 'trigger'").all() as {
    name: string
  }[])
    raw.exec(`DROP TRIGGER "${name}"`)
  for (const sql of damage) raw.exec(sql)
  raw.close()
  return (await proveBooks(now)).flatMap(p => p.faults)
}

test('sound books have no fault, and every part of them was looked at', async () => {
  const proofs = await proveBooks(now)
  expect(proofs.flatMap(p => p.faults)).toEqual([])
  expect(proofs.map(p => p.looked)).toEqual([2, 0, 1, 1, 0, 0, 0, 3])
})

const bought = `INSERT INTO Purchase (id, number, supplier, byName) VALUES ('p', 7, 'Mill', 'Ines');
  UPDATE Movement SET purchaseId = 'p' WHERE quantity = 90;`
test.each([
  [
    `${bought} INSERT INTO PurchaseLine (id, purchaseId, itemId, quantity, received, valueMicro)
      SELECT 'l', 'p', id, 90, 80, 270000000 FROM StockItem`,
    /^Purchase 7: 80 of TEE received on its line, 90 in the stock book\.$/,
  ],
  [bought, /^Purchase 7: 0 of TEE received on its line, 90 in the stock book\.$/],
  [
    `UPDATE Movement SET quantity = -9, onHand = 81 WHERE quantity = -10`,
    /^Line 2 of the book of TEE says worth 240000000 .* make 243000000/,
  ],
  [`UPDATE Movement SET onHand = 79 WHERE quantity = -10`, /^Line 2 of the book of TEE says 79 on hand/],
  [
    `UPDATE Movement SET valueMicro = -31000000, worthMicro = 239000000 WHERE quantity = -10`,
    /^Line 2 of the book of TEE says worth/,
  ],
  [`UPDATE "Order" SET taxMinor = 4601`, /^Order 1001: €200.00 and tax €46.01 do not make €246.00\.$/],
  [
    `UPDATE "Order" SET netMinor = 19000, taxMinor = 5600`,
    /^April 2026, order 1001: closed with a margin of €170.00, its books make €160.00\.$/,
  ],
  [`UPDATE "Order" SET state = 'making'`, /^Order 1001 is “making” but its hand-over says otherwise\.$/],
  [`UPDATE Payment SET amountMinor = -1`, /^Order 1001: more was given back than received, by €0.01\.$/],
  [
    `UPDATE "Order" SET unevenMinor = 100`,
    /^Order 1001: €1.00 stands beside it as paid too much .* its payments make €0.00\.$/,
  ],
  [
    `UPDATE Payment SET amountMinor = 20000`,
    /^Order 1001: €0.00 stands beside it .* its payments make [−-]€46.00\.$/,
  ],
  [
    `DELETE FROM Payment; UPDATE "Order" SET handedOverAt = NULL, state = 'ready'`,
    /^April 2026 was closed with order 1001/,
  ],
])('%s is found', async (damage, sentence) => {
  expect(await faultsAfter(damage)).toContainEqual(expect.stringMatching(sentence))
})

// Every line of the tie on the month's page must be able to fail: each of these damages one book past every guard.
describe('a tie of the month', () => {
  beforeEach(async () => {
    const order = await db().order.findFirstOrThrow()
    const station = await db().station.create({
      data: { code: 'a', name: 'A', kind: 'bench', position: 1, facts: {}, hours: [], closed: [] },
    })
    const step = {
      ...{ job: 'batch-1', position: 1, key: 'pack', title: 'Pack', stationKind: 'bench', setupMinutes: 1 },
      ...{ runMinutes: 1, attended: 'all', pausable: false, pieces: 1, sizes: [], recipe: {} },
    }
    // A second order, in May, which is open: 100.00 and 23.00 tax, of which 123.00 were paid and 12.30 then credited.
    const may = await db().order.create({
      data: {
        ...{ number: 1002, customerId: order.customerId, state: 'handedOver', netMinor: 10_000 },
        ...{ taxMinor: 2_300, grossMinor: 12_300, agreedAt: new Date('2026-05-02T10:00Z') },
        ...{ handedOverAt: new Date('2026-05-20T10:00Z'), creditMinor: 1_230 },
      },
    })
    const making = await db().order.create({
      data: {
        ...{ number: 1003, customerId: order.customerId, state: 'making' },
        agreedAt: new Date('2026-05-02T10:00Z'),
      },
    })
    const { id: itemId } = await db().stockItem.findFirstOrThrow()
    const when = { at: new Date('2026-05-10T10:00Z'), byName: 'Ines' }
    for (const of of [may, making]) {
      const rows = [{ itemId, quantity: 5 }]
      const issue = { orderId: of.id, kind: 'issued' as const, rows, by, now: at('2026-05-10T10:00Z') }
      await transaction(async tx => value(await issueTx(tx, issue)))
    }
    const pack = await db().jobStep.create({ data: { ...step, orderId: may.id } })
    await db().jobStep.create({ data: { ...step, orderId: making.id } })
    await db().workLog.create({
      data: {
        ...{ stepId: pack.id, orderId: may.id, stationId: station.id, byName: 'Ines', fromAt: when.at },
        ...{ toAt: when.at, labourSeconds: 60, machineSeconds: 0, labourMinor: 100, machineMinor: 7 },
      },
    })
    const cost = { orderNumber: 1002, note: '', by, now: at('2026-05-10T10:00Z') }
    // Two at one moment: they are told apart by nothing but their sum.
    value(await addOrderCost({ ...cost, kind: 'freight', amount: minor(500) }))
    value(await addOrderCost({ ...cost, kind: 'outside', amount: minor(4_000) }))
    const invoice = {
      ...{ orderId: may.id, byName: 'Ines', issuedAt: when.at, page: {}, rateBp: 2300 },
      ...{ netMinor: 1_000, taxMinor: 230, grossMinor: 1_230 },
    }
    await db().invoice.create({ data: { ...invoice, kind: 'credit', number: 1, lowers: true } })
    await db().payment.create({
      data: { orderId: may.id, kind: 'rest', amountMinor: 12_300, means: 'card', ...when },
    })
  })

  const ofMay = (sql: string) => sql.replaceAll('@may', '(SELECT id FROM "Order" WHERE number = 1002)')
  test('holds while nothing is damaged', async () => {
    expect((await faultsAfter()).filter(f => / is off by /.test(f))).toEqual([])
  })
  test.each([
    [
      'Material against the stock book',
      'UPDATE Movement SET worthMicro = worthMicro + 9000000 WHERE orderId = @may',
    ],
    [
      'Labour and machine against the work logs',
      `UPDATE WorkLog SET stepId = (SELECT id FROM JobStep WHERE orderId <> @may)`,
    ],
    [
      'Outside work and freight against what the history tells',
      "UPDATE OrderCost SET amountMinor = 501 WHERE kind = 'freight'",
    ],
    // A cost that is gone leaves no line to compare: the history still tells of it.
    [
      'Outside work and freight against what the history tells',
      "DELETE FROM OrderCost WHERE kind = 'freight'",
    ],
    [
      'Outside work and freight against what the history tells',
      'PRAGMA foreign_keys = OFF; UPDATE "Order" SET customerId = \'gone\' WHERE number = 1002',
    ],
    [
      'Credit notes against the invoice book',
      'PRAGMA foreign_keys = OFF; UPDATE "Order" SET customerId = \'gone\' WHERE number = 1002',
    ],
    [
      'Prices with tax, less credit notes, against payments and what is kept as still open',
      'UPDATE Payment SET amountMinor = amountMinor - 1 WHERE orderId = @may',
    ],
    [
      'Prices with tax, less credit notes, against payments and what is kept as still open',
      'UPDATE "Order" SET netMinor = netMinor + 1 WHERE number = 1002',
    ],
    [
      'Prices with tax, less credit notes, against payments and what is kept as still open',
      'UPDATE Invoice SET grossMinor = grossMinor + 1',
    ],
    [
      'Work in progress: carried in and booked, less what went out, against what is still being made',
      'UPDATE "Order" SET agreedAt = NULL WHERE number = 1003',
    ],
  ])('“%s” fails after %s', async (name, damage) => {
    const faults = await faultsAfter(ofMay(damage))
    expect(faults).toContainEqual(expect.stringContaining(`May 2026: ${name} is off by `))
  })
  test.each(["UPDATE OrderCost SET amountMinor = 501 WHERE kind = 'freight'", 'DELETE FROM OrderCost'])(
    'what was paid outside is held against the history: %s',
    async damage => {
      expect(await faultsAfter(damage)).toContainEqual(
        expect.stringMatching(
          /^Order 1002: €\d+\.\d\d of outside work and freight stand on it, €45\.00 were/,
        ),
      )
    },
  )
})
