import 'server-only'
import { db, Prisma } from '@/lib/server/database'
import { withoutIndex } from '@/lib/server/sql'
import { shop } from '@/lib/shop/store'
import { checkBooks } from '@/lib/stock/proof/store'
import { formatMicro, formatMoney, minor } from '@/lib/units/money'
import { formatMonth, type Instant, instantOf, type ShopMonth } from '@/lib/units/time'
import type { MonthReport } from '../month'
import { bookedMonth, closes, months } from '../store'

/** One part of the proof: what was looked at, and what is wrong, each in one line. */
export type Proof = { what: string; looked: number; faults: string[] }

/** Lines of faults that one part says at most. */
const MOST = 50

type Row = Record<string, string | number | bigint | null>
const rowsOf = (sql: Prisma.Sql): Promise<Row[]> => db().$queryRaw<Row[]>(sql)
const countOf = async (sql: Prisma.Sql): Promise<number> => Number((await rowsOf(sql))[0]?.n ?? 0)

/**
 * Proves the whole database from its ledgers: every shelf from its movements, every month from what was booked, orders, payments and
 * invoices against one another.
 * @param now months after it are not looked at
 */
export async function proveBooks(now: Date): Promise<Proof[]> {
  const proofs: Proof[] = []
  for await (const proof of proofsOfBooks(now)) proofs.push(proof)
  return proofs
}

/** The same, each part as it ends: ten years of books take minutes, and whoever waits wants to see where it is. */
export async function* proofsOfBooks(now: Date): AsyncGenerator<Proof> {
  yield await stockProof()
  yield await purchaseProof()
  yield await orderProof()
  yield await paymentProof()
  yield await invoiceProof()
  yield await workProof()
  yield await costProof()
  yield await monthProof(now)
}

async function stockProof(): Promise<Proof> {
  const faults = await checkBooks()
  return {
    what: 'movements of the stock book, each item rebuilt from them',
    looked: await countOf(Prisma.sql`SELECT COUNT(*) AS "n" FROM "Movement"`),
    faults: faults.map(f => `Line ${f.position} of the book of ${f.sku} ${f.what}.`),
  }
}

async function purchaseProof(): Promise<Proof> {
  // Both books in one pass, added up together: asked line by line, a database that keeps no statistics (a shop's own) reads every receipt
  // of ten years for each line. Nearly every line stands under “none” in the index of `counters`.
  const rows = await rowsOf(Prisma.sql`
    SELECT p."number", i."sku", x."received", x."book" FROM (
      SELECT "purchaseId", "itemId", SUM("received") AS "received", SUM("book") AS "book" FROM (
        SELECT "purchaseId", "itemId", "received", 0 AS "book" FROM "PurchaseLine"
        UNION ALL SELECT "purchaseId", "itemId", 0, "quantity" FROM "Movement" WHERE "purchaseId" IS NOT NULL
          AND "kind" = 'received' AND "quantity" > 0 AND ${withoutIndex(Prisma.sql`"counters"`)} IS NULL) b
      GROUP BY "purchaseId", "itemId" HAVING SUM("received") <> SUM("book") LIMIT ${MOST}) x
    JOIN "Purchase" p ON p."id" = x."purchaseId" JOIN "StockItem" i ON i."id" = x."itemId" ORDER BY p."number", i."sku"`)
  return {
    what: 'purchase lines against the stock book',
    looked: await countOf(Prisma.sql`SELECT COUNT(*) AS "n" FROM "PurchaseLine"`),
    faults: rows.map(
      r =>
        `Purchase ${r.number}: ${r.received} of ${r.sku} received on its line, ${r.book} in the stock book.`,
    ),
  }
}

async function orderProof(): Promise<Proof> {
  const { currency } = await shop()
  const show = (n: Row[string] | undefined) => formatMoney(minor(Number(n ?? 0)), currency)
  const sums = await rowsOf(Prisma.sql`
    SELECT "number", "netMinor" AS "net", "taxMinor" AS "tax", "grossMinor" AS "gross" FROM "Order"
    WHERE "grossMinor" IS NOT NULL AND "grossMinor" <> "netMinor" + "taxMinor" LIMIT ${MOST}`)
  const agreed = await rowsOf(Prisma.sql`
    SELECT o."number", o."grossMinor" AS "gross", f."grossMinor" AS "agreed" FROM "Order" o
    JOIN "Offer" f ON f."orderId" = o."id" AND f."version" =
      (SELECT MAX(l."version") FROM "Offer" l WHERE l."orderId" = o."id" AND l."agreedAt" IS NOT NULL)
    WHERE o."grossMinor" IS DISTINCT FROM f."grossMinor" LIMIT ${MOST}`)
  const dates = await rowsOf(Prisma.sql`
    SELECT "number", "state" FROM "Order"
    WHERE ("state" = 'handedOver') <> ("handedOverAt" IS NOT NULL) LIMIT ${MOST}`)
  return {
    what: 'orders, their sums, their agreed offers and their hand-over',
    looked: await countOf(Prisma.sql`SELECT COUNT(*) AS "n" FROM "Order"`),
    faults: [
      ...sums.map(
        r => `Order ${r.number}: ${show(r.net)} and tax ${show(r.tax)} do not make ${show(r.gross)}.`,
      ),
      ...agreed.map(
        r => `Order ${r.number}: its agreed offer says ${show(r.agreed)}, the order ${show(r.gross)}.`,
      ),
      ...dates.map(r => `Order ${r.number} is “${r.state}” but its hand-over says otherwise.`),
    ],
  }
}

async function paymentProof(): Promise<Proof> {
  const { currency } = await shop()
  const show = (n: Row[string] | undefined) => formatMoney(minor(Number(n ?? 0)), currency)
  const rows = await rowsOf(Prisma.sql`
    SELECT o."number", SUM(p."amountMinor") AS "paid" FROM "Payment" p JOIN "Order" o ON o."id" = p."orderId"
    GROUP BY o."id" HAVING SUM(p."amountMinor") < 0 LIMIT ${MOST}`)
  const signs = await rowsOf(Prisma.sql`
    SELECT o."number", p."kind" FROM "Payment" p JOIN "Order" o ON o."id" = p."orderId"
    WHERE (p."kind" = 'refund') <> (p."amountMinor" < 0) LIMIT ${MOST}`)
  // Kept by the database beside an ended order, so that no page adds up years of payments.
  const uneven = await rowsOf(Prisma.sql`
    SELECT * FROM (SELECT o."number", o."unevenMinor" AS "kept", CASE WHEN o."state" IN ('handedOver', 'declined', 'withdrawn')
      THEN (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = o."id")
        - CASE o."state" WHEN 'handedOver' THEN COALESCE(o."grossMinor", 0) - o."creditMinor" ELSE 0 END
      ELSE 0 END AS "open" FROM "Order" o) x
    WHERE "kept" <> "open" LIMIT ${MOST}`)
  return {
    what: 'payments, and what is open on ended orders',
    looked: await countOf(Prisma.sql`SELECT COUNT(*) AS "n" FROM "Payment"`),
    faults: [
      ...rows.map(
        r =>
          `Order ${r.number}: more was given back than received, by ${formatMoney(minor(-Number(r.paid)), currency)}.`,
      ),
      ...signs.map(r => `Order ${r.number}: a payment of kind “${r.kind}” has the wrong sign.`),
      ...uneven.map(
        r =>
          `Order ${r.number}: ${show(r.kept)} stands beside it as paid too much (−: still owed), its payments make ${show(r.open)}.`,
      ),
    ],
  }
}

async function invoiceProof(): Promise<Proof> {
  const { currency } = await shop()
  const show = (n: Row[string] | undefined) => formatMoney(minor(Number(n ?? 0)), currency)
  const gaps = await rowsOf(Prisma.sql`
    SELECT "kind", MIN("number") AS "first", MAX("number") AS "last", COUNT(*) AS "n" FROM "Invoice"
    GROUP BY "kind" HAVING MAX("number") - MIN("number") + 1 <> COUNT(*)`)
  const sums = await rowsOf(Prisma.sql`
    SELECT "kind", "number" FROM "Invoice"
    WHERE "grossMinor" <> "netMinor" + "taxMinor" OR "grossMinor" <= 0 LIMIT ${MOST}`)
  const over = await rowsOf(Prisma.sql`
    SELECT * FROM (SELECT o."number", o."grossMinor" AS "gross", o."creditMinor" AS "credit",
      SUM(CASE v."kind" WHEN 'invoice' THEN v."grossMinor" ELSE -v."grossMinor" END) AS "invoiced",
      SUM(CASE WHEN v."lowers" THEN v."grossMinor" ELSE 0 END) AS "lowered"
    FROM "Invoice" v JOIN "Order" o ON o."id" = v."orderId" GROUP BY o."id") x
    WHERE "invoiced" > "gross" - "lowered" OR "invoiced" < 0 OR "lowered" <> "credit" LIMIT ${MOST}`)
  return {
    what: 'invoices and credit notes, their numbers, sums and orders',
    looked: await countOf(Prisma.sql`SELECT COUNT(*) AS "n" FROM "Invoice"`),
    faults: [
      ...gaps.map(
        r => `Numbers of ${r.kind}s run from ${r.first} to ${r.last}, but there are ${r.n} of them.`,
      ),
      ...sums.map(
        r => `The ${r.kind} ${r.number} does not add up: net and tax must make its total, above 0.`,
      ),
      ...over.map(
        r =>
          `Order ${r.number}: ${show(r.invoiced)} stands invoiced and ${show(r.lowered)} credited, its price is ${show(r.gross)} less ${show(r.credit)}.`,
      ),
    ],
  }
}

async function workProof(): Promise<Proof> {
  const backs = await rowsOf(Prisma.sql`
    SELECT o."number", c."byName" FROM "WorkLog" c JOIN "Order" o ON o."id" = c."orderId"
    LEFT JOIN "WorkLog" w ON w."id" = c."counters"
    WHERE c."counters" IS NOT NULL AND (w."id" IS NULL OR w."labourMinor" <> -c."labourMinor"
      OR w."machineMinor" <> -c."machineMinor" OR w."orderId" <> c."orderId") LIMIT ${MOST}`)
  const strays = await rowsOf(Prisma.sql`
    SELECT o."number" FROM "WorkLog" w JOIN "JobStep" s ON s."id" = w."stepId" JOIN "Order" o ON o."id" = w."orderId"
    WHERE s."orderId" <> w."orderId" LIMIT ${MOST}`)
  return {
    what: 'work logs and what takes them back',
    looked: await countOf(Prisma.sql`SELECT COUNT(*) AS "n" FROM "WorkLog"`),
    faults: [
      ...backs.map(
        r => `Order ${r.number}: a line of ${r.byName} is not the opposite of the work it takes back.`,
      ),
      ...strays.map(r => `Order ${r.number}: work is logged on a step of another order.`),
    ],
  }
}

/** What was paid outside, against the lines of history that were written with it. */
async function costProof(): Promise<Proof> {
  const { currency } = await shop()
  const show = (n: Row[string] | undefined) => formatMoney(minor(Number(n ?? 0)), currency)
  const rows = await rowsOf(Prisma.sql`
    SELECT o."number", x."book", x."told" FROM (
      SELECT "orderId", SUM("book") AS "book", SUM("told") AS "told" FROM (
        SELECT "orderId", "amountMinor" AS "book", 0 AS "told" FROM "OrderCost"
        UNION ALL SELECT "ref", 0, CAST("after"->>'amount' AS INTEGER) FROM "History"
          WHERE "entity" = 'order' AND "what" LIKE 'wrote down %' AND "after"->>'kind' IN ('outside', 'freight')) b
      GROUP BY "orderId" HAVING SUM("book") <> SUM("told") LIMIT ${MOST}) x
    JOIN "Order" o ON o."id" = x."orderId" ORDER BY o."number"`)
  return {
    what: 'outside work and freight against the history',
    looked: await countOf(Prisma.sql`SELECT COUNT(*) AS "n" FROM "OrderCost"`),
    faults: rows.map(
      r =>
        `Order ${r.number}: ${show(r.book)} of outside work and freight stand on it, ${show(r.told)} were written down.`,
    ),
  }
}

/** Open months tie to the ledgers; closed ones are built anew from what was booked until they were closed, row by row. */
async function monthProof(now: Date): Promise<Proof> {
  // A closed month is looked at even where no order is left that would lead to it.
  const closed = await closes()
  const all = new Map<ShopMonth, Instant | null>(closed)
  for (const m of await months(instantOf(now))) all.set(m.month, m.closedAt)
  const faults: string[] = []
  for (const [month, closedAt] of [...all].sort(([a], [b]) => a.localeCompare(b))) {
    const name = formatMonth(month)
    const report = await bookedMonth(month, closedAt ?? undefined)
    for (const t of report.ties)
      if (!t.ties) faults.push(`${name}: ${t.name} is off by ${formatMicro(t.difference, report.currency)}.`)
    if (closedAt !== null) faults.push(...(await keptFaults(month, report)))
  }
  return {
    what: 'months, tied to their ledgers; closed ones rebuilt',
    looked: all.size,
    faults: faults.slice(0, MOST),
  }
}

async function keptFaults(month: ShopMonth, booked: MonthReport): Promise<string[]> {
  const row = await db().monthClose.findUniqueOrThrow({ where: { month } })
  const kept = row.totals as unknown as MonthReport
  const name = formatMonth(month)
  const faults: string[] = []
  const rows = new Map(booked.rows.map(r => [r.number, r]))
  for (const was of kept.rows) {
    const is = rows.get(was.number)
    rows.delete(was.number)
    if (!is) faults.push(`${name} was closed with order ${was.number}, which its books do not have.`)
    else if (is.revenue !== was.revenue || is.margin !== was.margin)
      faults.push(
        `${name}, order ${was.number}: closed with a margin of ${formatMoney(was.margin, kept.currency)}, its books make ${formatMoney(is.margin, kept.currency)}.`,
      )
  }
  for (const number of rows.keys())
    faults.push(`${name} was closed without order ${number}, which its books have.`)
  if (faults.length === 0 && kept.total.margin !== booked.total.margin)
    faults.push(
      `${name} was closed with a margin of ${formatMoney(kept.total.margin, kept.currency)}, its books make ${formatMoney(booked.total.margin, kept.currency)}.`,
    )
  return faults
}
