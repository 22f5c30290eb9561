import { execFile } from 'node:child_process'
import { copyFileSync, existsSync, mkdtempSync, readdirSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { isDeepStrictEqual, promisify } from 'node:util'
import Database from 'better-sqlite3'
import { Client } from 'pg'
import { afterEach, beforeAll, beforeEach, expect, inject, test } from 'vitest'
import {
  invoicesBetween,
  moneyOfOrders,
  moneySums,
  owingOrders,
  paymentSums,
} from '@/lib/books/invoices/store'
import { journal } from '@/lib/books/journal/store'
import { machinesOf } from '@/lib/books/machines/store'
import { faultsOfMonth, sharesOfMonth, varianceOfMonth } from '@/lib/books/months/store'
import { proveBooks } from '@/lib/books/proof/store'
import {
  bookedMonth,
  customerYears,
  hoursOf,
  methodMix,
  months,
  orderBooks,
  pastChanges,
  piecesByMonth,
} from '@/lib/books/store'
import { learned } from '@/lib/floor/happened/store'
import { boardView } from '@/lib/floor/views/store'
import { printedDesigns } from '@/lib/methods/store'
import { listCustomers, listOrders, ordersAsking } from '@/lib/orders/store'
import { currentPlan } from '@/lib/planning/store'
import { closeDatabase, db, openDatabase, setDatabase } from '@/lib/server/database'
import { applyMigrations, postgresMigrationsFolder, readMigrations } from '@/lib/server/migrations'
import { recipesNow } from '@/lib/shop/recipes/store'
import { listCounts, variancesOf } from '@/lib/stock/counts/store'
import { checkBooks } from '@/lib/stock/proof/store'
import { endedPurchases, openPurchases } from '@/lib/stock/purchases/store'
import { levels, listItems, lotsUntil } from '@/lib/stock/views/store'
import { instant } from '@/lib/units/time'
import { placeOf, restore } from '../../scripts/support/backup'
import { carryToFile, carryToServer, type Held } from '../../scripts/support/carry'
import { ageOnServer } from '../../scripts/support/shop-file.mjs'
import { upgradeFile } from '../../scripts/support/upgrade'
import { freshFile, freshOnServer } from '../support/database'
import { releasedBackup, releases } from '../support/releases'

/** The demo shop as the last release kept it, brought to this version: months of orders, closed months, invoices, stock. */
let shop = ''
let url = ''
let drop: () => Promise<void>

beforeAll(async () => {
  const { backup } = releasedBackup(releases.at(-1) ?? '')
  shop = join(mkdtempSync(join(inject('scratch'), 'moving-')), 'shop.db')
  copyFileSync(join(backup, 'shop.db'), shop)
  await upgradeFile(shop, () => {})
})
beforeEach(async () => {
  ;({ url, drop } = await freshOnServer(inject('postgres') ?? ''))
})
afterEach(async () => {
  await closeDatabase()
  await drop()
})

/** Every row of a file, without what Prisma notes of its migrations. */
function contents(file: string): Record<string, unknown[]> {
  const live = new Database(file, { readonly: true })
  const names = live
    .prepare(
      "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> '_prisma_migrations' ORDER BY name",
    )
    .pluck()
    .all() as string[]
  const all = Object.fromEntries(
    names.map(name => [name, live.prepare(`SELECT * FROM "${name}" ORDER BY 1`).safeIntegers().raw().all()]),
  )
  live.close()
  return all
}

const run = async (sql: string) => {
  const client = new Client({ connectionString: url })
  await client.connect()
  await client.query(sql).finally(() => client.end())
}

const rowsIn = (held: Record<string, Held>) => Object.values(held).reduce((sum, one) => sum + one.rows, 0)

test('a shop goes to the server and back and is the same to the letter; its books prove there, and its guards stand', async () => {
  const there = await carryToServer(shop, url)
  const before = contents(shop)
  expect(Object.keys(there).sort()).toEqual(Object.keys(before))
  expect(rowsIn(there)).toBe(Object.values(before).flat().length)
  expect(there.Movement?.rows).toBeGreaterThan(300)
  // The file's own reckoning, beside what the server was asked for.
  const live = new Database(shop, { readonly: true })
  const worth = live.prepare('SELECT SUM("valueMicro") FROM "Movement"').pluck().safeIntegers().get()
  live.close()
  expect(there.Movement?.sums.valueMicro).toBe(String(worth))

  const file = await freshFile()
  expect(await carryToFile(url, file)).toEqual(there)
  expect(contents(file)).toEqual(before)

  setDatabase(openDatabase(url))
  const proofs = await proveBooks(new Date('2027-01-01'))
  expect(proofs.flatMap(p => p.faults)).toEqual([])
  expect(proofs.filter(p => p.looked > 0).length).toBeGreaterThan(4)
  await expect(db().$executeRaw`UPDATE "MonthClose" SET "byName" = 'x'`).rejects.toThrow(/never changes/)
  await expect(db().$executeRaw`DELETE FROM "Movement"`).rejects.toThrow(/never removed/)
}, 60_000)

/** What pages ask of a shop, by all the SQL that is written by hand and what is sorted or searched: each answer by its name. */
async function answers(): Promise<Record<string, unknown>> {
  const now = instant(Date.parse('2026-11-29T12:00:00Z'))
  const all = await months(now)
  expect(all.length).toBeGreaterThan(2)
  const span = [instant(0), instant(now + 1e9)] as const
  const list = { state: 'all', find: '', sort: 'number', down: true, page: 1 } as const
  const asked: Record<string, unknown> = {
    months: all,
    faults: await checkBooks(),
    owing: await owingOrders(now),
    sums: await moneySums(now),
    payments: await paymentSums(...span),
    money: await moneyOfOrders(...span),
    invoices: await invoicesBetween(...span),
    mix: await methodMix(all[0]?.month ?? ('' as never), 6),
    pieces: await piecesByMonth('transfer', now, 6),
    asking: await ordersAsking(),
    designs: await printedDesigns(),
    past: await pastChanges({ words: 'OFFER', look: 50 }),
    pastAll: await pastChanges({}),
    items: await listItems({}),
    itemsFound: await listItems({ words: 'HEAVY white' } as never),
    levels: [...(await levels())],
    lots: await lotsUntil(now),
    purchases: await openPurchases(),
    ended: await endedPurchases(1, 50),
    counts: await listCounts(1, 50),
    learned: await learned(),
    recipes: await recipesNow(),
    plan: await currentPlan(now),
    board: await boardView('2026-11-30' as never, now, true),
  }
  for (const { month } of all)
    Object.assign(asked, {
      [`${month} booked`]: await bookedMonth(month),
      [`${month} variance`]: await varianceOfMonth(month),
      [`${month} shares`]: await sharesOfMonth(month),
      [`${month} faults`]: await faultsOfMonth(month),
      [`${month} journal`]: await journal(month),
      [`${month} hours`]: await hoursOf(month),
      [`${month} machines`]: await machinesOf(month, now),
    })
  for (const sort of ['number', 'promise', 'customer', 'total'] as const)
    for (const find of ['', 'WEIR', '10', 'no such', '%'])
      asked[`orders by ${sort} with ${find}`] = await listOrders({ ...list, sort, find } as never)
  for (const find of ['', 'weir', 'É']) asked[`customers with ${find}`] = await listCustomers(find)
  for (const { id } of await db().customer.findMany({ orderBy: { name: 'asc' } }))
    asked[`years of ${id}`] = await customerYears(id)
  for (const { number } of await db().order.findMany({ orderBy: { number: 'asc' } }))
    asked[`books of ${number}`] = await orderBooks(number)
  for (const { itemId } of await db().stockLot.findMany({ orderBy: { id: 'asc' } }))
    asked[`variances of ${itemId}`] = await variancesOf(itemId)
  return asked
}

test('asked what pages ask, both databases give the same answers', async () => {
  await carryToServer(shop, url)
  const copy = await freshFile()
  copyFileSync(shop, copy)
  setDatabase(openDatabase(`file:${copy}`))
  const here = await answers()
  await closeDatabase()
  setDatabase(openDatabase(url))
  const there = await answers()
  expect(Object.keys(there)).toEqual(Object.keys(here))
  const differ = Object.keys(here).filter(name => !isDeepStrictEqual(here[name], there[name]))
  expect(Object.fromEntries(differ.map(name => [name, there[name]]))).toEqual(
    Object.fromEntries(differ.map(name => [name, here[name]])),
  )
  expect(differ).toEqual([])
}, 120_000)

test('what does not arrive is noticed, and nothing is kept', async () => {
  await run('CREATE RULE "lost" AS ON INSERT TO "Payment" DO INSTEAD NOTHING')
  await expect(carryToServer(shop, url)).rejects.toThrow(
    /The table Payment did not arrive as it was: \d+ rows in the file, 0/,
  )
  await run('DROP RULE "lost" ON "Payment"')
  await run(`CREATE RULE "less" AS ON INSERT TO "Counter" DO ALSO UPDATE "Counter" SET "next" = "next" - 1`)
  await expect(carryToServer(shop, url)).rejects.toThrow(
    /Counter did not arrive as it was: the sum of next is/,
  )
  await run('DROP RULE "less" ON "Counter"')
  await run(
    `CREATE RULE "other" AS ON INSERT TO "Customer" DO ALSO UPDATE "Customer" SET "note" = "note" || '!'`,
  )
  await expect(carryToServer(shop, url)).rejects.toThrow(/Customer did not arrive as it was: a value/)
  setDatabase(openDatabase(url))
  expect(await db().order.count()).toBe(0)
}, 60_000)

test('a database that holds something is not written to', async () => {
  setDatabase(openDatabase(url))
  await db().counter.create({ data: { name: 'order', next: 7 } })
  await expect(carryToServer(shop, url)).rejects.toThrow(/something in the table Counter already/)
  expect(await db().counter.findMany()).toEqual([{ name: 'order', next: 7 }])
})

test('npm run move-to-postgres says what moved, and keeps the file under another name', async () => {
  const data = mkdtempSync(join(inject('scratch'), 'data-'))
  copyFileSync(shop, join(data, 'shop.db'))
  const move = (env: Record<string, string>) =>
    promisify(execFile)(
      process.execPath,
      ['--conditions=react-server', '--import', 'tsx', 'scripts/move-to-postgres.ts'],
      { env: { ...process.env, SHIRTWRIGHT_DATA: data, ...env } },
    )
  await expect(move({ DATABASE_URL: '' })).rejects.toThrow(/Say where to: DATABASE_URL=postgresql:/)
  const { stdout } = await move({ DATABASE_URL: url })
  expect(stdout).toMatch(/^Payment: \d+ rows, sums: amountMinor \d+/m)
  expect(stdout).toMatch(/Moved \d+ rows of \d+ tables: counts, sums and every value are the same/)
  expect(existsSync(join(data, 'shop.db'))).toBe(false)
  expect(readdirSync(data).filter(name => /^shop\.db\.moved-/.test(name))).toHaveLength(1)
  await expect(move({ DATABASE_URL: url })).rejects.toThrow(/There is no shop in/)
}, 60_000)

test('an upgrade on the server keeps the shop of before as a backup, which is restored without the server', async () => {
  const data = mkdtempSync(join(inject('scratch'), 'data-'))
  const older = (list: ReturnType<typeof readMigrations>) => ({
    ...list,
    migrationDirectories: list.migrationDirectories.slice(0, -1),
  })
  const { backup } = releasedBackup(releases.at(-1) ?? '')
  const file = join(data, 'older.db')
  copyFileSync(join(backup, 'shop.db'), file)
  await upgradeFile(file, () => {}, older(readMigrations()), false)
  await run('DROP SCHEMA public CASCADE; CREATE SCHEMA public')
  await applyMigrations(url, older(readMigrations(postgresMigrationsFolder)))
  await carryToServer(file, url)
  const prepare = () =>
    promisify(execFile)(
      process.execPath,
      ['--conditions=react-server', '--import', 'tsx', 'scripts/prepare-shop.ts', 'upgrade'],
      { env: { ...process.env, SHIRTWRIGHT_DATA: data, DATABASE_URL: url } },
    )
  expect(await ageOnServer(url)).toBe('older')
  const { stdout } = await prepare()
  const kept = /Kept the database from before as (.+)/.exec(stdout)?.[1] ?? ''
  expect(await ageOnServer(url)).toBe('current')
  expect(readdirSync(dirname(kept))).toEqual([basename(kept)])
  expect(contents(join(kept, 'shop.db'))).toEqual(contents(file))
  const place = placeOf(mkdtempSync(join(inject('scratch'), 'back-')))
  await restore(kept, place, new Date(), () => {})
  expect(contents(place.database)).toEqual(contents(shop))
}, 60_000)
