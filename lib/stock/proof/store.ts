import 'server-only'
import { db, Prisma } from '@/lib/server/database'
import { instantOf } from '@/lib/units/time'
import { frameFaults } from '../frames/store'
import type { MovementKind } from '../movements'
import { type BookedLine, rebuild } from '../rebuild'
import { stockRules } from '../store'
import type { Valuation } from '../valuation'
import { microOf } from '../views/store'

/** A line of some item's book that does not follow from what happened. */
export type BookFault = { sku: string; position: number; what: string }

/** Lines read at a time: a book of ten years is not held in memory as database rows. */
const PAGE = 20_000

/**
 * Rebuilds every item's book from its movements alone and holds it against what stands there, line by line.
 * @returns at most 100 faults, the first of each book; none is a whole stockroom
 */
export async function checkBooks(): Promise<BookFault[]> {
  const valuationAt = await valuations()
  const items = await db().stockItem.findMany({ select: { id: true, sku: true }, orderBy: { sku: 'asc' } })
  const faults: BookFault[] = []
  for (const { id, sku } of items) {
    const { fault } = rebuild(await bookLines(id), valuationAt)
    if (fault) faults.push({ sku, ...fault })
    if (faults.length >= 100) break
  }
  return [...faults, ...(await lotFaults()), ...(await frameFaults())].slice(0, 100)
}

/** Lots whose kept sum is not that of the lines that name them. */
async function lotFaults(): Promise<BookFault[]> {
  const rows = await db().$queryRaw<
    { sku: string; lot: string; kept: number | null; sum: number | null; position: number | null }[]
  >(Prisma.sql`
    SELECT i."sku", m."lot", m."sum", m."position", k."onHand" AS "kept" FROM
      (SELECT "itemId", "lot", SUM("quantity") AS "sum", MAX("position") AS "position" FROM "Movement" WHERE "lot" <> '' GROUP BY "itemId", "lot") m
      JOIN "StockItem" i ON i."id" = m."itemId"
      LEFT JOIN "StockLot" k ON k."itemId" = m."itemId" AND k."lot" = m."lot"
      WHERE k."onHand" IS DISTINCT FROM m."sum"
    UNION ALL
    SELECT i."sku", k."lot", 0, 0, k."onHand" FROM "StockLot" k JOIN "StockItem" i ON i."id" = k."itemId"
      WHERE k."onHand" <> 0 AND NOT EXISTS (SELECT 1 FROM "Movement" m WHERE m."itemId" = k."itemId" AND m."lot" = k."lot")
    LIMIT 100`)
  return rows.map(r => ({
    sku: r.sku,
    position: Number(r.position ?? 0),
    what: `names lot ${r.lot}, which is kept as ${r.kept ?? 'nothing'}; its lines make ${r.sum ?? 0}`,
  }))
}

async function bookLines(itemId: string): Promise<BookedLine[]> {
  const lines: BookedLine[] = []
  for (let after = -1; ; ) {
    const rows = await db().$queryRaw<
      {
        id: string
        position: number
        kind: string
        quantity: number
        value: bigint
        onHand: number
        worth: bigint
        counters: string | null
        at: string | Date
      }[]
    >(Prisma.sql`
      SELECT "id", "position", "kind", "quantity", "valueMicro" AS "value", "onHand", "worthMicro" AS "worth", "counters", "at"
      FROM "Movement" WHERE "itemId" = ${itemId} AND "position" > ${after} ORDER BY "position" LIMIT ${PAGE}`)
    for (const r of rows)
      lines.push({
        id: r.id,
        position: Number(r.position),
        kind: r.kind as MovementKind,
        quantity: Number(r.quantity),
        value: microOf(r.value),
        onHand: Number(r.onHand),
        worth: microOf(r.worth),
        counters: r.counters,
        at: new Date(r.at).getTime(),
      })
    if (rows.length < PAGE) return lines
    after = lines.at(-1)?.position ?? after
  }
}

/** How the shop valued stock at any instant, as its history tells. */
async function valuations(): Promise<(at: number) => Valuation> {
  const changes = await db().history.findMany({
    where: { entity: 'shop', what: 'changed how stock is valued' },
    orderBy: [{ at: 'asc' }, { id: 'asc' }],
    select: { at: true, before: true },
  })
  const { valuation } = await stockRules()
  const before = changes.map(c => ({
    until: instantOf(c.at),
    valuation: (c.before as { valuation: Valuation }).valuation,
  }))
  return at => before.find(b => at < b.until)?.valuation ?? valuation
}
