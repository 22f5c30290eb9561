import 'server-only'
import { db, Prisma, type Tx } from '@/lib/server/database'
import { record } from '@/lib/server/history'
import { eachOf, eachText, isLike } from '@/lib/server/sql'
import type { BaseUnit } from '@/lib/units/base-unit'
import { type Micro, micro } from '@/lib/units/money'
import { type Result, refuse } from '@/lib/units/result'
import { formatTime, type Instant, instantOf } from '@/lib/units/time'
import {
  type CsvFault,
  type CsvItem,
  differenceWorth,
  foundNow,
  readCounts,
  refuseRecount,
  shareDifference,
  type UsageVariance,
  usageVariance,
} from '../counts'
import type { ItemKind } from '../items'
import { actor, attempt, type By, countTx, must, Refused, stockRules } from '../store'
import { levels, microOf } from '../views/store'

/** States of a round of counting. */
export type CountState = 'open' | 'approved' | 'dropped'

/** A round of counting, as lists show it. */
export type CountHead = {
  id: string
  number: number
  name: string
  blind: boolean
  state: CountState
  startedAt: Instant
  startedBy: string
  endedAt: Instant | null
  endedBy: string | null
  items: number
  counted: number
}

type HeadRow = Prisma.StockCountGetPayload<Record<string, never>>
const head = (r: HeadRow, items: number, counted: number): CountHead => ({
  id: r.id,
  number: r.number,
  name: r.name,
  blind: r.blind,
  state: r.state as CountState,
  startedAt: instantOf(r.startedAt),
  startedBy: r.startedBy,
  endedAt: r.endedAt && instantOf(r.endedAt),
  endedBy: r.endedBy,
  items,
  counted,
})

/** A page of rounds of counting, the newest first. */
export async function listCounts(page: number, size: number): Promise<{ total: number; rows: CountHead[] }> {
  const rows = await db().stockCount.findMany({
    orderBy: { number: 'desc' },
    skip: (page - 1) * size,
    take: size,
  })
  const sums = await db().$queryRaw<{ countId: string; items: bigint; counted: bigint }[]>(Prisma.sql`
    SELECT "countId", COUNT(*) AS "items", COUNT("found") AS "counted" FROM "StockCountLine"
    WHERE "countId" IN (${Prisma.join(rows.length ? rows.map(r => r.id) : [''])}) GROUP BY "countId"`)
  const of = new Map(sums.map(s => [s.countId, s]))
  return {
    total: await db().stockCount.count(),
    rows: rows.map(r => head(r, Number(of.get(r.id)?.items ?? 0), Number(of.get(r.id)?.counted ?? 0))),
  }
}

/** One item of a round of counting. Base units. */
export type CountLine = {
  itemId: string
  sku: string
  name: string
  kind: ItemKind
  unit: BaseUnit
  pack: number
  widthMm: number | null
  found: number | null
  bookHad: number | null
  countedBy: string
  countedAt: Instant | null
  decided: '' | 'booked' | 'left'
  version: number
  /** What the book says now. */
  onHand: number
  /** What the difference is worth, + more was found; 0 until it is counted. */
  worth: Micro
}

/** Which lines are asked for. */
export type LineFilter = {
  words?: string
  only?: 'open' | 'different' | undefined
  page?: number
  size?: number
}

/** One round of counting with a page of its lines, in the order of the shelves. */
export async function findCount(
  number: number,
  { words, only, page = 1, size = 100 }: LineFilter = {},
): Promise<{ count: CountHead; lines: CountLine[]; total: number; different: number } | null> {
  const row = await db().stockCount.findUnique({ where: { number } })
  if (!row) return null
  const like = `%${(words ?? '').replace(/[%_\\]/g, '\\$&')}%`
  const where = Prisma.sql`l."countId" = ${row.id}
    ${words ? Prisma.sql`AND (i."sku" = ${words} OR ${isLike(Prisma.sql`i."name"`, like)} OR ${isLike(Prisma.sql`i."sku"`, like)})` : Prisma.empty}
    ${only === 'open' ? Prisma.sql`AND l."found" IS NULL` : Prisma.empty}
    ${only === 'different' ? Prisma.sql`AND l."found" <> l."bookHad"` : Prisma.empty}`
  const rows = await db().$queryRaw<
    {
      itemId: string
      sku: string
      name: string
      kind: string
      unit: string
      pack: number
      widthMm: number | null
      price: bigint
      found: number | null
      bookHad: number | null
      countedBy: string
      countedAt: string | null
      decided: string
      version: number
    }[]
  >(Prisma.sql`
    SELECT l."itemId", i."sku", i."name", i."kind", i."unit", i."pricePer" AS "pack", i."widthMm", i."priceMicro" AS "price", l."found", l."bookHad",
      l."countedBy", l."countedAt", l."decided", l."version"
    FROM "StockCountLine" l JOIN "StockItem" i ON i."id" = l."itemId" WHERE ${where}
    ORDER BY i."kind", i."sku" LIMIT ${size} OFFSET ${(page - 1) * size}`)
  const [sum] = await db().$queryRaw<
    { n: bigint; items: bigint; counted: bigint; different: bigint }[]
  >(Prisma.sql`
    SELECT (SELECT COUNT(*) FROM "StockCountLine" l JOIN "StockItem" i ON i."id" = l."itemId" WHERE ${where}) AS "n",
      COUNT(*) AS "items", COUNT("found") AS "counted", COUNT(CASE WHEN "found" <> "bookHad" THEN 1 END) AS "different"
    FROM "StockCountLine" WHERE "countId" = ${row.id}`)
  const at = await levels(rows.map(r => r.itemId))
  return {
    count: head(row, Number(sum?.items ?? 0), Number(sum?.counted ?? 0)),
    total: Number(sum?.n ?? 0),
    different: Number(sum?.different ?? 0),
    lines: rows.map(r => {
      const level = at.get(r.itemId)
      const onHand = level?.onHand ?? 0
      const found = r.found === null ? null : Number(r.found)
      const bookHad = r.bookHad === null ? null : Number(r.bookHad)
      const price = micro(Math.round(Number(r.price) / Math.max(1, Number(r.pack))))
      return {
        itemId: r.itemId,
        sku: r.sku,
        name: r.name,
        kind: r.kind as ItemKind,
        unit: r.unit as BaseUnit,
        pack: Number(r.pack),
        widthMm: r.widthMm === null ? null : Number(r.widthMm),
        found,
        bookHad,
        countedBy: r.countedBy,
        countedAt: r.countedAt === null ? null : instantOf(new Date(r.countedAt)),
        decided: r.decided as CountLine['decided'],
        version: Number(r.version),
        onHand,
        worth:
          found === null || bookHad === null
            ? micro(0)
            : differenceWorth(found - bookHad, onHand, level?.worth ?? micro(0), price),
      }
    }),
  }
}

/** Opens a round of counting over all items that are bought, or those of some kinds. @returns its number */
export function startCount(
  {
    name,
    blind,
    kinds,
    formKey,
  }: { name: string; blind: boolean; kinds: readonly ItemKind[]; formKey?: string },
  by: By,
  now: Instant,
): Promise<Result<number>> {
  return attempt(async tx => {
    const same = formKey && (await tx.stockCount.findUnique({ where: { formKey }, select: { number: true } }))
    if (same) return same.number
    const which = kinds.length ? Prisma.sql`AND "kind" IN (${Prisma.join([...kinds])})` : Prisma.empty
    const [found] = await tx.$queryRaw<{ n: bigint }[]>(
      Prisma.sql`SELECT COUNT(*) AS "n" FROM "StockItem" WHERE NOT "retired" ${which}`,
    )
    if (!Number(found?.n))
      throw new Refused(refuse('nothing', 'There is nothing of this kind to count: choose another.'))
    const counter = await tx.counter.upsert({
      where: { name: 'count' },
      create: { name: 'count', next: 2 },
      update: { next: { increment: 1 } },
    })
    const number = counter.next - 1
    const { id } = await tx.stockCount.create({
      data: {
        number,
        name,
        blind,
        startedAt: new Date(now),
        startedBy: actor(by).name,
        formKey: formKey ?? null,
      },
    })
    // One statement however many items there are; an id needs only to be its own.
    await tx.$executeRaw(Prisma.sql`
      INSERT INTO "StockCountLine" ("id", "countId", "itemId")
      SELECT ${id} || '-' || "id", ${id}, "id" FROM "StockItem" WHERE NOT "retired" ${which}`)
    await record({
      by: actor(by),
      what: `began count ${number}: ${name}`,
      entity: 'count',
      ref: id,
      after: { blind, items: Number(found?.n) },
      at: new Date(now),
    })
    return number
  })
}

async function openCount(tx: Tx, number: number) {
  const count = await tx.stockCount.findUnique({ where: { number } })
  if (!count) throw new Refused(refuse('no-count', `There is no count ${number}: choose one from the list.`))
  if (count.state !== 'open')
    throw new Refused(refuse('state', `Count ${number} is ${count.state} already: begin a new one.`))
  return count
}

/**
 * Writes down what is really there of one item, with what the book said at that moment; nothing is booked yet.
 * @param found base units, 0 or more; null takes a count back
 * @param seen version of the line on the counter's screen: two people on one shelf are told of one another
 */
export function countLine(
  { number, itemId, found, seen }: { number: number; itemId: string; found: number | null; seen: number },
  by: By,
  now: Instant,
): Promise<Result<number>> {
  return attempt(async tx => {
    const count = await openCount(tx, number)
    const line = await tx.stockCountLine.findUnique({
      where: { countId_itemId: { countId: count.id, itemId } },
      include: { item: true },
    })
    if (!line)
      throw new Refused(refuse('no-line', 'This item is not part of this count: choose one from its list.'))
    const unit = line.item.unit as BaseUnit
    if (found !== null && !(Number.isSafeInteger(found) && found >= 0))
      throw new Refused(refuse('quantity', `A count of ${line.item.name} is 0 or more.`, 'found'))
    // The same again from the same person is no second count.
    if (line.found === found && line.countedBy === actor(by).name) return line.version
    const { timeZone } = await stockRules(tx)
    const at = line.countedAt ? formatTime(instantOf(line.countedAt), timeZone) : 'some time'
    const no = refuseRecount(line.item.name, unit, seen, { ...line, at })
    if (no) throw new Refused(no)
    const bookHad = (await levels([itemId])).get(itemId)?.onHand ?? 0
    const after = await tx.stockCountLine.update({
      where: { id: line.id },
      data: {
        found,
        bookHad: found === null ? null : bookHad,
        countedBy: actor(by).name,
        countedAt: new Date(now),
        version: { increment: 1 },
      },
    })
    return after.version
  })
}

/** Every line of a count as a file of counts is read against it, by SKU. */
async function csvItems(tx: Tx, countId: string): Promise<Map<string, CsvItem>> {
  const rows = await tx.$queryRaw<
    {
      itemId: string
      sku: string
      name: string
      unit: string
      pack: number
      widthMm: number | null
      found: number | null
      countedBy: string
    }[]
  >(Prisma.sql`
    SELECT l."itemId", i."sku", i."name", i."unit", i."pricePer" AS "pack", i."widthMm", l."found", l."countedBy"
    FROM "StockCountLine" l JOIN "StockItem" i ON i."id" = l."itemId" WHERE l."countId" = ${countId}`)
  return new Map(
    rows.map(r => [
      r.sku,
      {
        itemId: r.itemId,
        name: r.name,
        unit: r.unit as BaseUnit,
        pack: Number(r.pack),
        widthMm: r.widthMm === null ? null : Number(r.widthMm),
        found: r.found === null ? null : Number(r.found),
        countedBy: r.countedBy,
      },
    ]),
  )
}

/** What became of a file of counts. */
export type Imported = { taken: number; faults: CsvFault[] }

/**
 * Takes a file of counts in, in one transaction. Bad rows are told line by line.
 * @param bad what becomes of the file then: `skip` takes the good rows, `nothing` none
 */
export function importCounts(
  number: number,
  text: string,
  bad: 'skip' | 'nothing',
  by: By,
  now: Instant,
): Promise<Result<Imported>> {
  return attempt(async tx => {
    const count = await openCount(tx, number)
    const read = readCounts(text, await csvItems(tx, count.id))
    if (!read.ok) throw new Refused(refuse('csv', read.message, 'file'))
    const { rows, faults } = read
    if (rows.length === 0 || (bad === 'nothing' && faults.length > 0)) return { taken: 0, faults }
    const at = await levels()
    const data = JSON.stringify(rows.map(r => [r.itemId, r.found, at.get(r.itemId)?.onHand ?? 0]))
    // One statement for a hundred thousand rows; written as an insertion, so that each finds its line by the index.
    await tx.$executeRaw(Prisma.sql`
      INSERT INTO "StockCountLine" ("id", "countId", "itemId", "found", "bookHad", "countedBy", "countedAt")
      SELECT ${count.id} || '-' || (value->>0), ${count.id}, (value->>0), CAST(value->>1 AS INTEGER),
        CAST(value->>2 AS INTEGER), ${actor(by).name}, ${new Date(now)} FROM ${eachOf(data)} WHERE TRUE
      ON CONFLICT ("countId", "itemId") DO UPDATE SET "found" = excluded."found", "bookHad" = excluded."bookHad",
        "countedBy" = excluded."countedBy", "countedAt" = excluded."countedAt", "version" = "StockCountLine"."version" + 1`)
    await record({
      by: actor(by),
      what: `read ${rows.length} counts from a file into count ${number}`,
      entity: 'count',
      ref: count.id,
      after: { taken: rows.length, faults: faults.length },
      at: new Date(now),
    })
    return { taken: rows.length, faults }
  }, 120)
}

/** What an approved line did, where its item is used up by printing. */
export type Approved = { itemId: string; variance: UsageVariance; value: Micro; orders: number }

/**
 * Approves a count: the differences of the chosen items are booked, the others are left as the book has them. Consumables carry theirs
 * to the orders that drew them since the last count, each its share.
 * @param left items whose difference is not booked: somebody looks again
 */
export function approveCount(
  number: number,
  left: ReadonlySet<string>,
  by: By,
  now: Instant,
): Promise<Result<{ booked: number; left: number; variances: Approved[] }>> {
  return attempt(async tx => {
    const count = await openCount(tx, number)
    const lines = await tx.stockCountLine.findMany({
      where: { countId: count.id, found: { not: null } },
      include: { item: true },
    })
    if (lines.length === 0)
      throw new Refused(
        refuse('nothing', 'Nothing is counted yet: count at least one shelf, or drop the count.'),
      )
    const at = await levels(lines.length > 400 ? undefined : lines.map(l => l.itemId))
    const variances: Approved[] = []
    let booked = 0
    for (const line of lines) {
      if (left.has(line.itemId)) continue
      const found = line.found as number
      const bookHad = line.bookHad ?? 0
      const to = foundNow({ found, bookHad }, at.get(line.itemId)?.onHand ?? 0)
      if (to < 0)
        throw new Refused(
          refuse(
            'stale',
            `More of ${line.item.name} was used since it was counted than was found: count it again, or leave it.`,
            `left.${line.itemId}`,
          ),
        )
      const why = `Count ${number}, ${line.countedBy}`
      const draws = line.item.consumable && to !== bookHad ? await drawsSince(tx, line.itemId) : null
      const difference = found - bookHad
      const shares =
        draws && difference !== 0 ? shareDifference(-difference, draws.open) : new Map<string, number>()
      const value = must(await countTx(tx, line.itemId, to, shares, why, by, now))
      if (draws && difference !== 0)
        variances.push({
          itemId: line.itemId,
          variance: usageVariance(draws.all, difference),
          value,
          orders: shares.size,
        })
      booked++
    }
    await tx.$executeRaw(Prisma.sql`
      UPDATE "StockCountLine" SET "decided" = CASE WHEN "itemId" IN (SELECT value FROM ${eachText([...left])})
        THEN 'left' ELSE 'booked' END WHERE "countId" = ${count.id} AND "found" IS NOT NULL`)
    await end(tx, count.id, 'approved', by, now)
    await record({
      by: actor(by),
      what: `approved count ${number}`,
      entity: 'count',
      ref: count.id,
      before: { state: count.state },
      after: {
        state: 'approved',
        booked,
        left: lines.length - booked,
        variances: variances.map(v => ({ item: v.itemId, quantity: v.variance.quantity, value: v.value })),
      },
      at: new Date(now),
    })
    return { booked, left: lines.length - booked, variances }
  }, 120)
}

/** Ends a count of which nothing is booked. */
export function dropCount(number: number, by: By, now: Instant): Promise<Result<void>> {
  return attempt(async tx => {
    const count = await openCount(tx, number)
    await end(tx, count.id, 'dropped', by, now)
    await record({
      by: actor(by),
      what: `dropped count ${number}`,
      entity: 'count',
      ref: count.id,
      before: { state: count.state },
      after: { state: 'dropped' },
      at: new Date(now),
    })
  })
}

const end = (tx: Tx, id: string, state: CountState, by: By, now: Instant) =>
  tx.stockCount.update({ where: { id }, data: { state, endedAt: new Date(now), endedBy: actor(by).name } })

/**
 * What was drawn of an item since its last count: all of it, and by each order that is in no closed month, since those may still carry
 * their share.
 */
async function drawsSince(tx: Tx, itemId: string): Promise<{ all: number; open: Map<string, number> }> {
  const last = await tx.movement.findFirst({
    where: { itemId, kind: 'counted', orderId: null, quantity: { not: 0 } },
    orderBy: { position: 'desc' },
    select: { position: true },
  })
  const rows = await tx.$queryRaw<{ orderId: string | null; drawn: bigint; closed: bigint }[]>(Prisma.sql`
    SELECT m."orderId", -SUM(m."quantity") AS "drawn", EXISTS (SELECT 1 FROM "Order" o JOIN "MonthClose" c
      ON COALESCE(o."handedOverAt", o."endedAt") >= c."fromAt" AND COALESCE(o."handedOverAt", o."endedAt") < c."untilAt"
      WHERE o."id" = m."orderId") AS "closed"
    FROM "Movement" m WHERE m."itemId" = ${itemId} AND m."position" > ${last?.position ?? 0} AND m."kind" IN ('issued', 'spoiled', 'returned')
      AND m."purchaseId" IS NULL GROUP BY m."orderId" HAVING SUM(m."quantity") < 0 ORDER BY m."orderId"`)
  const open = new Map<string, number>()
  let all = 0
  for (const r of rows) {
    all += Number(r.drawn)
    if (r.orderId !== null && !Number(r.closed)) open.set(r.orderId, Number(r.drawn))
  }
  return { all, open }
}

/** Usage variances of an item at its last counts, the newest first, as the history kept them. */
export async function variancesOf(
  itemId: string,
  most = 6,
): Promise<{ at: Instant; quantity: number; value: Micro }[]> {
  const rows = await db().$queryRaw<{ at: string | Date; quantity: bigint; value: bigint }[]>(Prisma.sql`
    SELECT h."at", CAST(v.value->>'quantity' AS BIGINT) AS "quantity", CAST(v.value->>'value' AS BIGINT) AS "value"
    FROM "History" h, ${eachOf(Prisma.sql`h."after"->'variances'`)} v
    WHERE h."entity" = 'count' AND v.value->>'item' = ${itemId} ORDER BY h."at" DESC LIMIT ${most}`)
  return rows.map(r => ({
    at: instantOf(new Date(r.at)),
    quantity: Number(r.quantity),
    value: microOf(r.value),
  }))
}
