// npm run bench: how fast the shop is on this machine, each figure beside a baseline measured in the same run.
//   BENCH_DATA=FOLDER  takes the demo shop of that folder instead of drawing a new one (it is copied, not changed)
import type { ChildProcess } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import Database from 'better-sqlite3'
import { monthReport } from '@/lib/books/store'
import { boardView } from '@/lib/floor/views/store'
import { replan } from '@/lib/planning/store'
import { database, openDatabase, setDatabase } from '@/lib/server/database'
import { dayOf, instantOf, monthBounds, monthOf } from '@/lib/units/time'
import { offerOf } from './support/bench-offer'
import { compare, ms, pageTime, serve, signIn } from './support/bench-server'
import { timeWays } from './support/bench-ways'
import { copyOrder } from './support/busy-shop'
import { demoShop } from './support/demo-shop'
import { prepareBuild } from './support/fresh.mjs'

const OPEN_JOBS = 300
const COMPARED_JOBS = 150
const MONTH_ORDERS = 1000
const OFFER_LINES = 60
const ZONE = 'Europe/Lisbon'
const ROOMS = [
  '/counter',
  '/artdesk',
  '/floor',
  '/floor/stations/press-a',
  '/stockroom',
  '/office',
  '/counter/new',
]

const folder = mkdtempSync(join(tmpdir(), 'shirtwright-bench-'))
process.on('exit', () => rmSync(folder, { recursive: true, force: true }))
const now = instantOf(new Date())

prepareBuild(console.error)
demoShop(folder, process.env.BENCH_DATA)
const file = join(folder, 'demo.db')
process.env.SHIRTWRIGHT_DATA = folder
const rows: [string, string, string][] = []
await rowsOfWays()
const counts = makeBusy()
setDatabase(openDatabase(`file:${file}`))

const [longOffer, shortOffer] = [await offerOf(OFFER_LINES), await offerOf(1)]
const raw = new Database(file, { readonly: true })

const board = await compare(
  () => boardView(dayOf(now, ZONE), now),
  () => plainBoard(raw),
)
rows.push([
  `board's data, ${counts.open} open jobs`,
  ms(board.own),
  `${ratio(board)} × plain SQL (${ms(board.plain)})`,
])
const month = monthOf(now, ZONE)
const books = await compare(
  () => monthReport(month),
  () => plainMonth(raw),
)
rows.push([
  `month end's data, ${counts.month} orders`,
  ms(books.own),
  `${ratio(books)} × plain SQL (${ms(books.plain)})`,
])

const { url, started, child } = await serve(folder, file)
rows.unshift(['start to first page', ms(started), 'production server, from its start to the first answer'])
const cookie = await signIn(url)
const boardPage = await pageTime(`${url}/floor`, cookie)
rows.push([
  'board, whole page',
  ms(boardPage),
  `${(boardPage / board.plain).toFixed(1)} × plain SQL, drawn as HTML`,
])
const monthPage = await pageTime(`${url}/office?month=${month}`, cookie)
rows.push([
  'month end, whole page',
  ms(monthPage),
  `${(monthPage / books.plain).toFixed(1)} × plain SQL, drawn as HTML`,
])
// As the customer asks for them, without a sign-in.
const longPage = await pageTime(`${url}/offer/${longOffer}`, '')
const shortPage = await pageTime(`${url}/offer/${shortOffer}`, '')
rows.push([
  `offer of ${OFFER_LINES} blanks, whole page`,
  ms(longPage),
  `${(longPage / shortPage).toFixed(1)} × an offer of one blank (${ms(shortPage)}); asked: under 300 ms`,
])
const longPdf = await pageTime(`${url}/offer/${longOffer}/pdf`, '')
const shortPdf = await pageTime(`${url}/offer/${shortOffer}/pdf`, '')
rows.push([
  `offer of ${OFFER_LINES} blanks, PDF`,
  ms(longPdf),
  `${(longPdf / shortPdf).toFixed(1)} × an offer of one blank (${ms(shortPdf)}); asked: under 2000 ms`,
])
for (const room of ROOMS)
  rows.push([`first-load JavaScript, ${room}`, `${await scriptKb(url, room, cookie)} kB`, 'gzip'])
const fresh = await serve(folder, file)
await fetch(`${fresh.url}/sign-in`)
await new Promise(done => setTimeout(done, 3000))
rows.push([
  'memory at rest',
  `${resident(fresh.child)} MB`,
  'resident set of the server, 3 s after its first page',
])
fresh.child.kill('SIGTERM')
child.kill('SIGTERM')

console.log('| what | measured | beside |\n| --- | --- | --- |')
for (const row of rows) console.log(`| ${row.join(' | ')} |`)
process.exit(0)

/** Copies the demo's own orders until there are as many as the bench is about. */
function makeBusy(): { open: number; month: number } {
  const db = new Database(file)
  const of = (where: string) =>
    (db.prepare(`SELECT number FROM "Order" WHERE ${where}`).all() as { number: number }[]).map(r => r.number)
  const { from } = monthBounds(monthOf(now, ZONE), ZONE)
  const inMonth = () => of(`state = 'handedOver' AND "handedOverAt" >= '${new Date(from).toISOString()}'`)
  const open = () => of(`state IN ('agreed', 'making')`)
  db.transaction(() => {
    fill(db, inMonth, MONTH_ORDERS, () => 0)
    fill(db, open, OPEN_JOBS, k => k * 600_000)
  })()
  const counted = { open: open().length, month: inMonth().length }
  db.close()
  return counted
}

/** One enquiry compared by every way while so many jobs are open. */
async function rowsOfWays() {
  const db = new Database(file)
  const open = () =>
    db.prepare(`SELECT number FROM "Order" WHERE state IN ('agreed', 'making')`).all() as { number: number }[]
  db.transaction(() =>
    fill(
      db,
      () => open().map(r => r.number),
      COMPARED_JOBS,
      k => k * 600_000,
    ),
  )()
  const jobs = open().length
  const enquiry = db.prepare(`SELECT number FROM "Order" WHERE state = 'enquiry' ORDER BY number`).get() as {
    number: number
  }
  db.close()
  setDatabase(openDatabase(`file:${file}`))
  // The copies get places of their own first.
  const planned = await replan('bench', now)
  if (!planned.ok) throw new Error(planned.message)
  const t = await timeWays(enquiry.number)
  await database().$disconnect()
  rows.push(
    [
      `comparison of one enquiry, ${t.ways} ways, trial plans with ${jobs} open jobs`,
      ms(t.whole),
      `${ms(t.costed)} costing and pricing, ${ms(t.planned)} planning; asked: under 1000 ms`,
    ],
    ['cost of 500 quantities by 6 ways', ms(t.curves), 'asked: under 50 ms'],
  )
}

/** Copies the orders of a list until there are as many as wanted. */
function fill(
  db: Database.Database,
  list: () => number[],
  wanted: number,
  shift: (k: number) => number,
): void {
  const there = list()
  const each = Math.ceil((wanted - there.length) / there.length)
  for (const number of there) copyOrder(db, number, Math.max(0, each), shift)
}

/** The rows that the board shows, as plain SQL reads them. */
function plainBoard(db: Database.Database) {
  const open = `SELECT id FROM "Order" WHERE state IN ('agreed', 'making', 'ready')`
  return [
    db
      .prepare(
        `SELECT o.*, c.name FROM "Order" o JOIN "Customer" c ON c.id = o."customerId" WHERE o.id IN (${open})`,
      )
      .all(),
    db.prepare(`SELECT * FROM "OrderLine" WHERE "orderId" IN (${open})`).all(),
    db
      .prepare(
        `SELECT z.* FROM "OrderLineSize" z JOIN "OrderLine" l ON l.id = z."lineId" WHERE l."orderId" IN (${open})`,
      )
      .all(),
    db
      .prepare(
        `SELECT p.* FROM "Print" p JOIN "OrderLine" l ON l.id = p."lineId" WHERE l."orderId" IN (${open})`,
      )
      .all(),
    db.prepare(`SELECT * FROM "JobStep" WHERE "orderId" IN (${open})`).all(),
    db.prepare('SELECT * FROM "PlannedRun"').all(),
    db.prepare('SELECT * FROM "Station"').all(),
    db.prepare('SELECT * FROM "CrewMember"').all(),
    db.prepare('SELECT * FROM "StockPromise"').all(),
  ]
}

/** The rows that month end sums, as plain SQL reads them. */
function plainMonth(db: Database.Database) {
  const { from, to } = monthBounds(month, ZONE)
  const [a, b] = [new Date(from).toISOString(), new Date(to).toISOString()]
  const own = `SELECT id FROM "Order" WHERE "handedOverAt" >= ? AND "handedOverAt" < ?`
  return [
    db
      .prepare(
        `SELECT o.*, c.name FROM "Order" o JOIN "Customer" c ON c.id = o."customerId" WHERE "handedOverAt" >= ? AND "handedOverAt" < ?`,
      )
      .all(a, b),
    db
      .prepare(
        `SELECT m.*, i.kind AS of FROM "Movement" m JOIN "StockItem" i ON i.id = m."itemId" WHERE m."orderId" IN (${own})`,
      )
      .all(a, b),
    db.prepare(`SELECT * FROM "WorkLog" WHERE "orderId" IN (${own})`).all(a, b),
  ]
}

function ratio(c: { own: number; plain: number }): string {
  return (c.own / c.plain).toFixed(1)
}

/** Kilobytes of all scripts that a page loads at first, each compressed by gzip. */
async function scriptKb(at: string, path: string, cookie: string): Promise<number> {
  const html = await (await fetch(at + path, { headers: { cookie } })).text()
  const scripts = new Set(
    [...html.matchAll(/<script[^>]+src="([^"]+\.js)[^"]*"([^>]*)>/g)]
      .filter(m => !/nomodule/i.test(m[0]))
      .map(m => m[1] as string),
  )
  let bytes = 0
  for (const src of scripts)
    bytes += gzipSync(Buffer.from(await (await fetch(new URL(src, at))).arrayBuffer())).length
  return Math.round(bytes / 1000)
}

function resident(server: ChildProcess): number {
  const status = readFileSync(`/proc/${server.pid}/status`, 'utf8')
  return Math.round(Number(/VmRSS:\s+(\d+)/.exec(status)?.[1] ?? Number.NaN) / 1024)
}
