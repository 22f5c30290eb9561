// npm run bench:books -- FOLDER…: what ten years cost, on shops that `npm run demo:large` has made, each figure beside a baseline of the same run.
//   --pages   asks the production server for the whole pages too
import { existsSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import Database from 'better-sqlite3'
import { monthReport } from '@/lib/books/store'
import { closeDatabase, openDatabase, setDatabase } from '@/lib/server/database'
import { formatMonth, instantOf, monthBounds, monthOf, nextMonth, type ShopMonth } from '@/lib/units/time'
import { LIST_DATA, SEARCH_DATA } from './support/bench-lists'
import { compare, median, ms, pageTime, serve, signIn, timed } from './support/bench-server'
import { prepareBuild } from './support/fresh.mjs'

const ZONE = 'Europe/Lisbon'
/** Pages that list things; asked on the server: under 150 ms. */
const LISTS = [
  '/counter',
  '/counter/orders',
  '/counter/orders?state=handedOver&page=200',
  '/counter/orders?state=handedOver&sort=total&down=1&page=200',
  '/counter/orders?state=handedOver&sort=customer&page=200',
  '/counter/customers',
  '/counter/customers?page=20',
  '/office/money?tax=payments',
  '/artdesk',
  '/floor',
  '/floor/day',
  '/floor/stations',
  '/stockroom',
  '/stockroom/items',
  '/stockroom/blanks',
  '/stockroom/purchases',
  '/stockroom/purchases/new',
  '/stockroom/counts',
  '/stockroom/screens',
  '/stockroom/items/DTG-WHITE',
  '/office/history',
  '/office/money',
  '/office/buying',
  '/office/machines',
  '/office/faults',
]
/** Looking something up; asked: under 100 ms. */
const SEARCHES = [
  '/counter/orders?find=Harbour',
  '/counter/orders?find=50123',
  '/counter/orders?find=nobody%20of%20this%20name',
  '/counter/customers?find=Rowing',
  '/counter/find?find=Ferry',
  '/stockroom/items?words=black%20M',
]

const { positionals, values } = parseArgs({ allowPositionals: true, options: { pages: { type: 'boolean' } } })
const folders = positionals.filter(f => existsSync(join(f, 'demo.db')))
if (folders.length === 0) {
  console.error('Name the folders of shops that `npm run demo:large` has made, the largest last.')
  process.exit(2)
}
if (values.pages) prepareBuild(console.error)

type Sizes = {
  folder: string
  bytes: number
  orders: number
  movements: number
  history: number
  rows: Map<string, string>
}
const shops: Sizes[] = []
for (const folder of folders) shops.push(await measure(folder))

const largest = shops.at(-1) as Sizes
console.log('| what | asked |', shops.map(s => `${s.orders.toLocaleString('en')} orders`).join(' | '), '|')
console.log('| --- | --- |', shops.map(() => '---:').join(' | '), '|')
const line = (what: string, asked: string, of: (s: Sizes) => string) =>
  console.log(`| ${what} | ${asked} | ${shops.map(of).join(' | ')} |`)
line('movements of the stock book', '', s => s.movements.toLocaleString('en'))
line('lines of history', '', s => s.history.toLocaleString('en'))
line('size of the database', '', s => `${(s.bytes / 1e6).toFixed(0)} MB`)
line('bytes for each order', '', s => Math.round(s.bytes / s.orders).toLocaleString('en'))
for (const [what] of largest.rows) {
  const asked = what.startsWith('month end,')
    ? 'under 2 ×'
    : what.startsWith('search')
      ? 'under 100 ms'
      : what.startsWith('list') || what.startsWith('page')
        ? 'under 150 ms'
        : ''
  line(what, asked, s => s.rows.get(what) ?? '–')
}
process.exit(0)

async function measure(folder: string): Promise<Sizes> {
  const file = join(folder, 'demo.db')
  process.env.SHIRTWRIGHT_DATA = folder
  process.env.SHIRTWRIGHT_DEMO = '1'
  const raw = new Database(file, { readonly: true })
  const count = (table: string) =>
    (raw.prepare(`SELECT COUNT(*) AS n FROM "${table}"`).get() as { n: number }).n
  const rows = new Map<string, string>()
  setDatabase(openDatabase(`file:${file}`))
  const last = (raw.prepare('SELECT MAX("handedOverAt") AS at FROM "Order"').get() as { at: string }).at
  const month = nextMonth(monthOf(instantOf(new Date(last)), ZONE), -1)
  const books = await compare(
    () => monthReport(month),
    () => plainMonth(raw, month),
  )
  const report = (await monthReport(month)).report
  rows.set('orders of the month', String(report.rows.length))
  rows.set(
    'month end, as a multiple of plain SQL that gathers the same rows',
    `${(books.own / books.plain).toFixed(2)} × (${ms(books.own)} to ${ms(books.plain)})`,
  )
  console.error(`${folder}: ${formatMonth(month)}, ${report.rows.length} orders, ${ms(books.own)}`)
  const now = instantOf(new Date())
  for (const [what, data] of LIST_DATA) rows.set(`list: ${what}`, ms(await often(() => data(now))))
  for (const [what, data] of SEARCH_DATA) rows.set(`search: ${what}`, ms(await often(data)))
  await closeDatabase()
  const sizes = {
    folder,
    bytes: statSync(file).size,
    orders: count('Order'),
    movements: count('Movement'),
    history: count('History'),
    rows,
  }
  raw.close()
  if (!values.pages) return sizes
  const { url, child } = await serve(folder, file)
  try {
    const cookie = await signIn(url)
    for (const [kind, list] of [
      ['page', LISTS],
      ['search', SEARCHES],
    ] as const)
      for (const path of list) {
        const took = await pageTime(url + path, cookie).catch((e: Error) => e.message)
        rows.set(`${kind} ${path}`, typeof took === 'number' ? ms(took) : took)
        console.error(`${kind} ${path}: ${rows.get(`${kind} ${path}`)}`)
      }
  } finally {
    child.kill('SIGTERM')
  }
  return sizes
}

/** Median of five, after one that warms up. */
async function often(work: () => Promise<unknown>): Promise<number> {
  await work()
  const times: number[] = []
  for (let k = 0; k < 5; k++) times.push(await timed(work))
  return median(times)
}

/** The rows that month end is made of, as plain SQL reads them: the month's orders with their pieces, and every line booked on them; what is in hand at both edges; what was booked late. */
function plainMonth(db: Database.Database, month: ShopMonth) {
  const { from, to } = monthBounds(month, ZONE)
  const [a, b] = [new Date(from).toISOString(), new Date(to).toISOString()]
  const all = (sql: string, ...args: unknown[]) => db.prepare(sql).all(...args)
  const own = `SELECT "id" FROM "Order" WHERE "handedOverAt" >= ? AND "handedOverAt" < ?`
  const hand = `SELECT "id" FROM "Order" WHERE "agreedAt" < ? AND (COALESCE("handedOverAt", "endedAt") IS NULL OR COALESCE("handedOverAt", "endedAt") >= ?)`
  const rows: unknown[][] = [
    all(
      `SELECT o."id", o."number", o."title", o."method", o."netMinor", o."handedOverAt", c."name",
        (SELECT SUM(s."quantity") FROM "OrderLine" l JOIN "OrderLineSize" s ON s."lineId" = l."id" WHERE l."orderId" = o."id") AS "pieces"
       FROM "Order" o JOIN "Customer" c ON c."id" = o."customerId" WHERE o."handedOverAt" >= ? AND o."handedOverAt" < ?`,
      a,
      b,
    ),
  ]
  const line = (table: string, columns: string, join = '') =>
    `SELECT ${columns} FROM "${table}" t ${join} WHERE t."orderId" IN`
  for (const [table, at, columns, join] of [
    [
      'Movement',
      'at',
      't."orderId", t."kind", t."quantity", t."valueMicro", t."at", i."kind" AS "of"',
      'JOIN "StockItem" i ON i."id" = t."itemId"',
    ],
    [
      'WorkLog',
      'toAt',
      't."orderId", t."stationId", t."labourMinor", t."machineMinor", t."labourSeconds", t."machineSeconds"',
      '',
    ],
    ['OrderCost', 'at', 't."orderId", t."kind", t."amountMinor"', ''],
  ] as const) {
    rows.push(all(`${line(table, columns, join)} (${own})`, a, b))
    // In hand as the month began, and as it ended.
    for (const edge of [a, b])
      rows.push(all(`${line(table, columns, join)} (${hand}) AND t."${at}" < ?`, edge, edge, edge))
    // Booked in the month, whatever it was booked on.
    rows.push(
      all(
        `SELECT ${columns} FROM "${table}" t ${join} WHERE t."orderId" IS NOT NULL AND t."${at}" >= ? AND t."${at}" < ?`,
        a,
        b,
      ),
    )
  }
  return rows
}
