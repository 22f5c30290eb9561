import 'server-only'
import type { MisprintReason } from '@/lib/floor/misprint'
import { db, Prisma } from '@/lib/server/database'
import { partsOf, secondsFrom } from '@/lib/server/sql'
import { shop } from '@/lib/shop/store'
import { type Micro, micro, minor } from '@/lib/units/money'
import { type Instant, instantOf, monthBounds, type ShopMonth } from '@/lib/units/time'
import { type Compared, compare, plannedOf, realOf, type UsedMaterial, type UsedTime } from '../estimate'
import type { OrderMargin } from '../margin'
import { monthReport } from '../store'
import { type LateOrder, lateOrder } from './late'
import { type Share, type SharedGroup, shareOut } from './shares'
import { type MonthVariance, monthVariance } from './variance'

/** Orders of one statement: SQLite takes so many values. */
const AT_ONCE = 2_000

/** Rows of statements about the orders of a month, as they were booked until it was closed. */
async function rowsOf<R>(ids: readonly string[], sql: (ids: Prisma.Sql) => Prisma.Sql): Promise<R[]> {
  const all: R[] = []
  for (const some of partsOf(ids, AT_ONCE)) all.push(...(await db().$queryRaw<R[]>(sql(Prisma.join(some)))))
  return all
}

const byOrder = <R extends { orderId: string }>(rows: readonly R[]): Map<string, R[]> => {
  const map = new Map<string, R[]>()
  for (const r of rows) {
    const own = map.get(r.orderId)
    if (own) own.push(r)
    else map.set(r.orderId, [r])
  }
  return map
}

const upTo = (column: Prisma.Sql, closedAt: Instant | null): Prisma.Sql =>
  closedAt === null ? Prisma.empty : Prisma.sql`AND ${column} <= ${new Date(closedAt)}`

type MaterialRow = {
  orderId: string
  kind: string
  blank: number
  styleId: string | null
  style: string | null
  name: string
  unit: string
  consumable: string | null
  quantity: number
  value: bigint
}

const materialOf = (ids: readonly string[], closedAt: Instant | null) =>
  rowsOf<MaterialRow>(
    ids,
    list => Prisma.sql`
      SELECT m."orderId", m."kind", i."kind" = 'blank' AS "blank", i."styleId", s."name" AS "style", i."name", i."unit", i."consumable",
        -SUM(m."quantity") AS "quantity", -SUM(m."valueMicro") AS "value"
      FROM "Movement" m JOIN "StockItem" i ON i."id" = m."itemId" LEFT JOIN "BlankStyle" s ON s."id" = i."styleId"
      WHERE m."orderId" IN (${list}) ${upTo(Prisma.sql`m."at"`, closedAt)} GROUP BY m."orderId", m."itemId", m."kind", i."id", s."id"`,
  )

type TimeRow = {
  orderId: string
  stationId: string | null
  station: string | null
  stationKind: string | null
  byName: string
  labourSeconds: number
  machineSeconds: number
  labour: number
  machine: number
}

const timeOf = (ids: readonly string[], closedAt: Instant | null) =>
  rowsOf<TimeRow>(
    ids,
    list => Prisma.sql`
      SELECT w."orderId", w."stationId", s."name" AS "station", s."kind" AS "stationKind", w."byName",
        SUM(w."labourSeconds") AS "labourSeconds",
        SUM(CASE WHEN s."kind" = 'bench' THEN 0 ELSE w."machineSeconds" END) AS "machineSeconds",
        SUM(w."labourMinor") AS "labour", SUM(w."machineMinor") AS "machine"
      FROM "WorkLog" w LEFT JOIN "Station" s ON s."id" = w."stationId"
      WHERE w."orderId" IN (${list}) ${upTo(Prisma.sql`w."toAt"`, closedAt)} GROUP BY w."orderId", w."stationId", w."byName", s."id"`,
  )

const kindOf = (r: MaterialRow): UsedMaterial['kind'] =>
  r.kind === 'spoiled' ? 'spoilage' : Number(r.blank) === 1 ? 'blanks' : 'consumables'

/** Planned against real over a month's orders. */
export async function varianceOfMonth(month: ShopMonth): Promise<MonthVariance & { currency: string }> {
  const { report, closed } = await monthReport(month)
  const closedAt = closed?.at ?? null
  const ids = report.rows.map(r => r.id)
  const material = byOrder(await materialOf(ids, closedAt))
  const time = byOrder(await timeOf(ids, closedAt))
  const outside = byOrder(
    await rowsOf<{ orderId: string; kind: string; amount: number }>(
      ids,
      list => Prisma.sql`SELECT x."orderId", x."kind", SUM(x."amountMinor") AS "amount" FROM "OrderCost" x
        WHERE x."orderId" IN (${list}) ${upTo(Prisma.sql`x."at"`, closedAt)} GROUP BY x."orderId", x."kind"`,
    ),
  )
  const compared = new Map<number, readonly Compared[] | null>()
  const numbers = new Map(report.rows.map(r => [r.id, r.number]))
  for (const some of partsOf(ids, 200)) {
    const rows = await db().order.findMany({
      where: { id: { in: some } },
      select: { id: true, agreed: true },
    })
    for (const { id, agreed } of rows) {
      const planned = plannedOf((agreed as { work?: unknown } | null)?.work)
      const real = realOf(
        (material.get(id) ?? []).map(r => ({
          name: r.name,
          unit: r.unit,
          kind: kindOf(r),
          consumable: r.consumable,
          quantity: Number(r.quantity),
          value: micro(Number(r.value)),
        })),
        (time.get(id) ?? []).map(
          (r): UsedTime => ({
            station: r.station,
            stationKind: r.stationKind,
            labourSeconds: Number(r.labourSeconds),
            machineSeconds: Number(r.machineSeconds),
            labour: minor(Number(r.labour)),
            machine: minor(Number(r.machine)),
          }),
        ),
        (outside.get(id) ?? []).map(x => ({
          kind: x.kind === 'freight' ? 'freight' : 'outside',
          amount: minor(Number(x.amount)),
        })),
        report.currency,
      )
      compared.set(numbers.get(id) ?? 0, planned && compare(planned, real))
    }
  }
  return { ...monthVariance(report.rows, compared, report.currency), currency: report.currency }
}

/** What a month's orders brought by blank, by person and by machine; each adds up to the month's orders. */
export async function sharesOfMonth(month: ShopMonth): Promise<{
  orders: OrderMargin[]
  currency: string
  byBlank: SharedGroup[]
  byPerson: SharedGroup[]
  byMachine: SharedGroup[]
}> {
  const { report, closed } = await monthReport(month)
  const closedAt = closed?.at ?? null
  const ids = report.rows.map(r => r.id)
  const lines = byOrder(
    await rowsOf<{ orderId: string; styleId: string; style: string; pieces: number }>(
      ids,
      list => Prisma.sql`
        SELECT l."orderId", l."styleId", s."name" AS "style", SUM(z."quantity") AS "pieces"
        FROM "OrderLine" l JOIN "OrderLineSize" z ON z."lineId" = l."id" JOIN "BlankStyle" s ON s."id" = l."styleId"
        WHERE l."orderId" IN (${list}) GROUP BY l."orderId", l."styleId", s."id"`,
    ),
  )
  const material = byOrder(await materialOf(ids, closedAt))
  const time = byOrder(await timeOf(ids, closedAt))
  return {
    orders: report.rows,
    currency: report.currency,
    byBlank: shareOut(report.rows, o => blanksOf(lines.get(o.id) ?? [], material.get(o.id) ?? [])),
    byPerson: shareOut(report.rows, o => peopleOf(time.get(o.id) ?? [])),
    byMachine: shareOut(report.rows, o => machinesOf(time.get(o.id) ?? [])),
  }
}

function blanksOf(
  lines: readonly { styleId: string; style: string; pieces: number }[],
  material: readonly MaterialRow[],
): Share[] {
  const worth = (styleId: string) =>
    material.reduce(
      (sum, m) => (m.styleId === styleId && kindOf(m) === 'blanks' ? sum + Number(m.value) : sum),
      0,
    )
  return lines.map(l => ({
    key: l.styleId,
    name: l.style,
    weight: Number(l.pieces),
    own: { blanks: Math.max(0, worth(l.styleId)) },
  }))
}

/** Merges rows of one thing into a share. */
function shared(
  rows: readonly TimeRow[],
  of: (r: TimeRow) => { key: string; name: string } | null,
  weight: 'labourSeconds' | 'machineSeconds',
  cost: 'labour' | 'machine',
): Share[] {
  const map = new Map<string, Share & { own: Record<string, number> }>()
  for (const r of rows) {
    const named = of(r)
    if (!named) continue
    const share = map.get(named.key) ?? { ...named, weight: 0, own: { [cost]: 0 } }
    share.weight = Math.max(0, share.weight + Number(r[weight]))
    share.own[cost] = Math.max(0, (share.own[cost] ?? 0) + Number(r[cost]))
    share[weight] = share.weight
    map.set(named.key, share)
  }
  return [...map.values()]
}

const peopleOf = (rows: readonly TimeRow[]): Share[] =>
  shared(rows, r => ({ key: r.byName, name: r.byName }), 'labourSeconds', 'labour')

const machinesOf = (rows: readonly TimeRow[]): Share[] =>
  shared(
    rows,
    r =>
      r.stationId && r.station && r.stationKind !== 'bench' ? { key: r.stationId, name: r.station } : null,
    'machineSeconds',
    'machine',
  )

/** What went wrong in a month: orders that were ready after their promise, and pieces spoiled by cause. */
export async function faultsOfMonth(month: ShopMonth): Promise<{
  currency: string
  promised: number
  late: LateOrder[]
  spoiled: { key: MisprintReason; n: number; value: Micro }[]
  printed: number
}> {
  const { timeZone, currency } = await shop()
  const { from, to } = monthBounds(month, timeZone)
  const [a, b] = [new Date(from), new Date(to)]
  const [counted] = await db().$queryRaw<{ n: bigint }[]>(Prisma.sql`
    SELECT COUNT(*) AS "n" FROM "Order" WHERE "readyAt" >= ${a} AND "readyAt" < ${b} AND "promiseAt" IS NOT NULL`)
  const rows = await db().order.findMany({
    where: { readyAt: { gte: a, lt: b, not: null }, promiseAt: { not: null } },
    select: {
      id: true,
      number: true,
      promiseAt: true,
      promiseHard: true,
      readyAt: true,
      agreedAt: true,
      customer: { select: { name: true } },
    },
    orderBy: { number: 'asc' },
  })
  const behind = rows.filter(r => r.readyAt && r.promiseAt && r.readyAt > r.promiseAt)
  const ids = behind.map(r => r.id)
  const steps = byOrder(
    await rowsOf<{ orderId: string; planned: number; began: string | null }>(
      ids,
      list => Prisma.sql`
        SELECT "orderId", SUM(CASE WHEN "remakeOf" IS NULL THEN "setupMinutes" + "runMinutes" ELSE 0 END) AS "planned", MIN("startedAt") AS "began"
        FROM "JobStep" WHERE "orderId" IN (${list}) GROUP BY "orderId"`,
    ),
  )
  const worked = byOrder(
    await rowsOf<{ orderId: string; seconds: number }>(
      ids,
      list => Prisma.sql`
        SELECT "orderId", SUM(${secondsFrom(Prisma.sql`"fromAt"`, Prisma.sql`"toAt"`)} * (CASE WHEN "counters" IS NULL THEN 1 ELSE -1 END)) AS "seconds"
        FROM "WorkLog" WHERE "orderId" IN (${list}) GROUP BY "orderId"`,
    ),
  )
  const remade = byOrder(
    await rowsOf<{ orderId: string; n: number }>(
      ids,
      list => Prisma.sql`SELECT "orderId", SUM("quantity") AS "n" FROM "Misprint"
        WHERE "orderId" IN (${list}) AND NOT "undone" GROUP BY "orderId"`,
    ),
  )
  const goods = byOrder(
    await rowsOf<{ orderId: string; at: string | null }>(
      ids,
      list => Prisma.sql`
        SELECT l."orderId", MAX(m."at") AS "at" FROM "OrderLine" l JOIN "OrderLineSize" z ON z."lineId" = l."id"
        JOIN "Movement" m ON m."itemId" = z."itemId" AND m."kind" = 'received' AND m."purchaseId" IS NOT NULL
        JOIN "Order" o ON o."id" = l."orderId"
        WHERE l."orderId" IN (${list}) AND m."at" >= o."agreedAt" AND m."at" <= o."readyAt"
          AND NOT EXISTS (SELECT 1 FROM "JobStep" s WHERE s."orderId" = o."id" AND s."startedAt" < m."at")
        GROUP BY l."orderId"`,
    ),
  )
  const when = (text: string | null | undefined): Instant | null => (text ? instantOf(new Date(text)) : null)
  const late = behind
    .map(r =>
      lateOrder({
        number: r.number,
        customer: r.customer.name,
        promiseAt: instantOf(r.promiseAt as Date),
        promiseHard: r.promiseHard,
        readyAt: instantOf(r.readyAt as Date),
        agreedAt: r.agreedAt && instantOf(r.agreedAt),
        goodsAt: when(goods.get(r.id)?.[0]?.at),
        beganAt: when(steps.get(r.id)?.[0]?.began),
        remade: Number(remade.get(r.id)?.[0]?.n ?? 0),
        plannedMinutes: Number(steps.get(r.id)?.[0]?.planned ?? 0),
        workedMinutes: Math.round(Number(worked.get(r.id)?.[0]?.seconds ?? 0) / 60),
      }),
    )
    .sort((x, y) => y.minutesLate - x.minutesLate)
  const spoiled = await db().$queryRaw<
    { reason: string; n: number; value: number | bigint | null }[]
  >(Prisma.sql`
    SELECT p."reason", SUM(p."quantity") AS "n",
      SUM((SELECT -SUM(m."valueMicro") FROM "Movement" m WHERE m."reportId" = p."reportId" AND m."kind" = 'spoiled')) AS "value"
    FROM "Misprint" p WHERE p."at" >= ${a} AND p."at" < ${b} AND NOT p."undone" GROUP BY p."reason"`)
  const [good] = await db().$queryRaw<{ n: number | bigint | null }[]>(Prisma.sql`
    SELECT SUM(w."pieces") AS "n" FROM "WorkLog" w JOIN "JobStep" s ON s."id" = w."stepId"
    WHERE w."toAt" >= ${a} AND w."toAt" < ${b} AND s."position" = 1`)
  return {
    currency,
    promised: Number(counted?.n ?? 0),
    late,
    spoiled: spoiled.map(s => ({
      key: s.reason as MisprintReason,
      n: Number(s.n),
      value: micro(Number(s.value ?? 0)),
    })),
    printed: Number(good?.n ?? 0),
  }
}
