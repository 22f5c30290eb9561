import 'server-only'
import { db, Prisma, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { eachText, isLike } from '@/lib/server/sql'
import { isMethod, METHOD_WORDS } from '@/lib/shop/methods'
import type { Rates } from '@/lib/shop/rates'
import { addRateCard, rateCards, shop } from '@/lib/shop/store'
import type { BaseUnit } from '@/lib/units/base-unit'
import { type Micro, type Minor, micro, minor, minorToMicro, sumMicro } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'
import { type Instant, instantOf, monthBounds, monthOf, nextMonth, type ShopMonth } from '@/lib/units/time'
import { type Closes, landing, refuseClose, refuseReopen } from './close'
import { differences } from './difference'
import { type Compared, compare, plannedOf, realOf, type UsedMaterial } from './estimate'
import { type CostKind, type Margin, marginOf, type OrderFacts, type OrderMargin, totalOf } from './margin'
import { assembleMonth, type Carried, type LateFact, type Ledgers, type MonthReport } from './month'

/** What people read for an order's method. @param short for narrow places */
export const methodWords = (method: string | null, short?: boolean): string =>
  method !== null && isMethod(method) ? METHOD_WORDS[method][short ? 'short' : 'name'] : 'No method'

/** When each closed month was closed. */
export async function closes(): Promise<Closes> {
  const rows = await db().monthClose.findMany({ select: { month: true, closedAt: true } })
  return new Map(rows.map(r => [r.month as ShopMonth, instantOf(r.closedAt)]))
}

type OrderRow = {
  id: string
  number: number
  title: string
  customerId: string
  customer: string
  method: string | null
  doneAt: string | Date | null
  withdrawn: number
  net: number | null
  pieces: number | null
}
type SumRow = { orderId: string; kind: string; blank: number; value: bigint }
type WorkRow = {
  orderId: string
  labour: number
  machine: number
  labourSeconds: number
  machineSeconds: number
}
type CostRow = { orderId: string; kind: string; amount: number }

/** Bookings of a span: from `from` on, before `to`; up to and including `until`. */
type Span = { from?: Instant; to?: Instant; until?: Instant }

const booked = (column: Prisma.Sql, { from, to, until }: Span): Prisma.Sql =>
  Prisma.sql`${from === undefined ? Prisma.empty : Prisma.sql`AND ${column} >= ${new Date(from)}`}
    ${to === undefined ? Prisma.empty : Prisma.sql`AND ${column} < ${new Date(to)}`}
    ${until === undefined ? Prisma.empty : Prisma.sql`AND ${column} <= ${new Date(until)}`}`

/** Handed over, or ended while it was being made: then its costs are spent, and no price stands against them. */
const doneIn = ({ from, to }: { from: Instant; to: Instant }): Prisma.Sql => {
  const [a, b] = [new Date(from), new Date(to)]
  return Prisma.sql`((o."handedOverAt" >= ${a} AND o."handedOverAt" < ${b})
    OR (o."endedAt" >= ${a} AND o."endedAt" < ${b} AND o."agreedAt" IS NOT NULL AND o."handedOverAt" IS NULL))`
}
const doneBefore = (at: Instant): Prisma.Sql =>
  Prisma.sql`COALESCE(o."handedOverAt", o."endedAt") < ${new Date(at)}`
// By a list of ids from the index alone: years of orders done since are not looked at one by one. Before it is agreed an order has no work
// and no goods; what was paid for it outside may come earlier.
const inHandAt = (at: Instant): Prisma.Sql => {
  const when = new Date(at)
  return Prisma.sql`o."id" IN (SELECT h."id" FROM "Order" h WHERE h."agreedAt" IS NOT NULL
    AND (COALESCE(h."handedOverAt", h."endedAt") IS NULL OR COALESCE(h."handedOverAt", h."endedAt") >= ${when})
    AND (h."agreedAt" < ${when} OR EXISTS (SELECT 1 FROM "OrderCost" c WHERE c."orderId" = h."id" AND c."at" < ${when})))`
}

type Sums = { stock: SumRow[]; work: WorkRow[]; outside: CostRow[]; credits: CostRow[] }

/** What was booked in a span on the orders that a condition on "Order" o picks out, by order. */
async function sumsOf(which: Prisma.Sql, span: Span = {}): Promise<Sums> {
  const stock = await db().$queryRaw<SumRow[]>(Prisma.sql`
    SELECT m."orderId", m."kind", i."kind" = 'blank' AS "blank", SUM(m."valueMicro") AS "value"
    FROM "Order" o JOIN "Movement" m ON m."orderId" = o."id" JOIN "StockItem" i ON i."id" = m."itemId"
    WHERE ${which} ${booked(Prisma.sql`m."at"`, span)} GROUP BY m."orderId", m."kind", i."kind" = 'blank'`)
  const work = await db().$queryRaw<WorkRow[]>(Prisma.sql`
    SELECT w."orderId", SUM(w."labourMinor") AS "labour", SUM(w."machineMinor") AS "machine",
      SUM(w."labourSeconds") AS "labourSeconds",
      SUM(CASE WHEN s."kind" = 'bench' THEN 0 ELSE w."machineSeconds" END) AS "machineSeconds"
    FROM "Order" o JOIN "WorkLog" w ON w."orderId" = o."id" LEFT JOIN "Station" s ON s."id" = w."stationId"
    WHERE ${which} ${booked(Prisma.sql`w."toAt"`, span)} GROUP BY w."orderId"`)
  const outside = await db().$queryRaw<CostRow[]>(Prisma.sql`
    SELECT x."orderId", x."kind", SUM(x."amountMinor") AS "amount"
    FROM "Order" o JOIN "OrderCost" x ON x."orderId" = o."id"
    WHERE ${which} ${booked(Prisma.sql`x."at"`, span)} GROUP BY x."orderId", x."kind"`)
  const credits = await db().$queryRaw<CostRow[]>(Prisma.sql`
    SELECT v."orderId", 'credits' AS "kind", SUM(v."netMinor") AS "amount"
    FROM "Order" o JOIN "Invoice" v ON v."orderId" = o."id"
    WHERE ${which} AND v."lowers" ${booked(Prisma.sql`v."issuedAt"`, span)} GROUP BY v."orderId"`)
  return { stock, work, outside, credits }
}

/** Facts of the orders that a condition on "Order" o picks out, with the costs booked on them in a span. */
async function factsOf(which: Prisma.Sql, span: Span = {}): Promise<OrderFacts[]> {
  const orders = await db().$queryRaw<OrderRow[]>(Prisma.sql`
    SELECT o."id", o."number", o."title", o."customerId", c."name" AS "customer", o."method",
      COALESCE(o."handedOverAt", o."endedAt") AS "doneAt",
      o."handedOverAt" IS NULL AND o."endedAt" IS NOT NULL AS "withdrawn", o."netMinor" AS "net",
      (SELECT SUM(s."quantity") FROM "OrderLine" l JOIN "OrderLineSize" s ON s."lineId" = l."id" WHERE l."orderId" = o."id") AS "pieces"
    FROM "Order" o JOIN "Customer" c ON c."id" = o."customerId" WHERE ${which} ORDER BY o."number"`)
  const { stock, work, outside, credits } = await sumsOf(which, span)
  const facts = new Map<string, OrderFacts>()
  const withdrawn = new Set(orders.filter(o => Number(o.withdrawn) === 1).map(o => o.id))
  for (const o of orders)
    facts.set(o.id, {
      id: o.id,
      number: Number(o.number),
      title: o.title,
      customerId: o.customerId,
      customer: o.customer,
      method: o.method,
      handedOverAt: instantOf(new Date(o.doneAt ?? 0)),
      pieces: Number(o.pieces ?? 0),
      revenue: minor(withdrawn.has(o.id) ? 0 : Number(o.net ?? 0)),
      blanks: micro(0),
      consumables: micro(0),
      spoilage: micro(0),
      labour: minor(0),
      machine: minor(0),
      outside: minor(0),
      freight: minor(0),
      credits: minor(0),
      labourSeconds: 0,
      machineSeconds: 0,
    })
  for (const s of stock) {
    const f = facts.get(s.orderId)
    if (!f) continue
    const kind = materialKind(s.kind, Number(s.blank) === 1)
    f[kind] = micro(f[kind] - Number(s.value))
  }
  for (const w of work) {
    const f = facts.get(w.orderId)
    if (!f) continue
    f.labour = minor(Number(w.labour))
    f.machine = minor(Number(w.machine))
    f.labourSeconds = Number(w.labourSeconds)
    f.machineSeconds = Number(w.machineSeconds)
  }
  for (const x of [...outside, ...credits]) {
    const f = facts.get(x.orderId)
    if (!f) continue
    const kind = x.kind === 'freight' || x.kind === 'credits' ? x.kind : 'outside'
    f[kind] = minor(f[kind] + Number(x.amount))
  }
  // A withdrawn order on which nothing was spent is none of the month's business.
  return [...facts.values()].filter(f => !withdrawn.has(f.id) || spentOn(f))
}

const spentOn = (f: OrderFacts): boolean =>
  [f.blanks, f.consumables, f.spoilage, f.labour, f.machine, f.outside, f.freight, f.credits].some(
    n => n !== 0,
  )

/** Cost of each order that sums speak of, micro-units. */
function costOf({ stock, work, outside }: Sums, currency: string): Map<string, Micro> {
  const cost = new Map<string, Micro>()
  const add = (id: string, amount: number) => cost.set(id, micro((cost.get(id) ?? 0) + amount))
  for (const s of stock) add(s.orderId, -Number(s.value))
  for (const w of work) add(w.orderId, minorToMicro(minor(Number(w.labour) + Number(w.machine)), currency))
  for (const x of outside) add(x.orderId, minorToMicro(minor(Number(x.amount)), currency))
  return cost
}

/** What was in hand at the edges of a month, and how it came from the one to the other. */
async function carriedOver(
  month: ShopMonth,
  inMonth: Prisma.Sql,
  timeZone: string,
  currency: string,
): Promise<Carried> {
  const { from, to } = monthBounds(month, timeZone)
  const total = async (which: Prisma.Sql, span: Span) =>
    sumMicro(costOf(await sumsOf(which, span), currency).values())
  const closing = costOf(await sumsOf(inHandAt(to), { to }), currency)
  const ids = [...closing.keys()]
  const rows: { id: string; number: number; customer: { name: string } }[] = []
  // In parts: the database refuses a question of some thousand values.
  for (let i = 0; i < ids.length; i += 500)
    rows.push(
      ...(await db().order.findMany({
        where: { id: { in: ids.slice(i, i + 500) } },
        select: { id: true, number: true, customer: { select: { name: true } } },
      })),
    )
  return {
    opening: await total(inHandAt(from), { to: from }),
    booked: await total(Prisma.sql`TRUE`, { from, to }),
    out: sumMicro([await total(inMonth, { to }), await total(doneBefore(from), { from, to })]),
    closing: sumMicro(closing.values()),
    orders: rows
      .map(r => ({ number: r.number, customer: r.customer.name, cost: closing.get(r.id) ?? micro(0) }))
      .filter(r => r.cost !== 0)
      .sort((a, b) => b.cost - a.cost || a.number - b.number),
  }
}

const materialKind = (movement: string, blank: boolean): 'blanks' | 'consumables' | 'spoilage' =>
  movement === 'spoiled' ? 'spoilage' : blank ? 'blanks' : 'consumables'

/** Costs booked in a month for orders of earlier months that were closed before. */
async function lateFacts(
  month: ShopMonth,
  closed: Closes,
  zone: string,
  currency: string,
): Promise<LateFact[]> {
  if (closed.size === 0) return []
  const { from, to } = monthBounds(month, zone)
  // From the month's own lines to their orders, in this order: the other way leads through every order of the shop's life.
  const lateIds = async (lines: Prisma.Sql): Promise<string[]> => {
    const rows = await db().$queryRaw<{ id: string }[]>(Prisma.sql`
      SELECT x."id" FROM (${lines}) x CROSS JOIN "Order" o
      WHERE o."id" = x."orderId" AND COALESCE(o."handedOverAt", o."endedAt") < ${new Date(from)}`)
    return rows.map(r => r.id)
  }
  const within = (column: Prisma.Sql) => booked(column, { from, to })
  const shown = { select: { number: true, handedOverAt: true, endedAt: true } }
  const stock = await db().movement.findMany({
    where: {
      id: {
        in: await lateIds(
          Prisma.sql`SELECT m."id", m."orderId" FROM "Movement" m WHERE m."orderId" IS NOT NULL ${within(Prisma.sql`m."at"`)}`,
        ),
      },
    },
    select: {
      at: true,
      byName: true,
      kind: true,
      valueMicro: true,
      item: { select: { kind: true } },
      order: shown,
    },
  })
  const outside = await db().orderCost.findMany({
    where: {
      id: {
        in: await lateIds(
          Prisma.sql`SELECT c."id", c."orderId" FROM "OrderCost" c WHERE TRUE ${within(Prisma.sql`c."at"`)}`,
        ),
      },
    },
    select: { at: true, byName: true, kind: true, amountMinor: true, order: shown },
  })
  const work = await db().workLog.findMany({
    where: {
      id: {
        in: await lateIds(
          Prisma.sql`SELECT w."id", w."orderId" FROM "WorkLog" w WHERE TRUE ${within(Prisma.sql`w."toAt"`)}`,
        ),
      },
    },
    select: {
      toAt: true,
      byName: true,
      labourMinor: true,
      machineMinor: true,
      step: { select: { order: shown } },
    },
  })
  const credits = await db().invoice.findMany({
    where: {
      id: {
        in: await lateIds(
          Prisma.sql`SELECT v."id", v."orderId" FROM "Invoice" v WHERE v."lowers" ${within(Prisma.sql`v."issuedAt"`)}`,
        ),
      },
    },
    select: { issuedAt: true, byName: true, netMinor: true, order: shown },
  })
  const facts: LateFact[] = []
  const add = (
    of: { number: number; handedOverAt: Date | null; endedAt: Date | null } | null,
    at: Date,
    byName: string,
    kind: CostKind,
    amount: Micro,
  ) => {
    const done = of?.handedOverAt ?? of?.endedAt
    if (!of || !done || amount === 0) return
    const handedOver = instantOf(done)
    if (!landing(instantOf(at), handedOver, closed, zone).late) return
    facts.push({
      orderNumber: of.number,
      ownMonth: monthOf(handedOver, zone),
      kind,
      amount,
      at: instantOf(at),
      byName,
    })
  }
  for (const s of stock)
    add(s.order, s.at, s.byName, materialKind(s.kind, s.item.kind === 'blank'), micro(-Number(s.valueMicro)))
  for (const x of outside)
    add(
      x.order,
      x.at,
      x.byName,
      x.kind === 'freight' ? 'freight' : 'outside',
      minorToMicro(minor(x.amountMinor), currency),
    )
  for (const c of credits)
    add(c.order, c.issuedAt, c.byName, 'credits', minorToMicro(minor(c.netMinor), currency))
  for (const w of work) {
    add(w.step.order, w.toAt, w.byName, 'labour', minorToMicro(minor(w.labourMinor), currency))
    add(w.step.order, w.toAt, w.byName, 'machine', minorToMicro(minor(w.machineMinor), currency))
  }
  return facts
}

/** A month with where it stands. */
export type MonthView = {
  report: MonthReport
  /** Null while it is open. */
  closed: { at: Instant; byName: string } | null
}

/** The month as the books have it now; a closed one as it was kept. */
export async function monthReport(month: ShopMonth): Promise<MonthView> {
  const kept = await db().monthClose.findUnique({ where: { month } })
  if (kept)
    return {
      report: kept.totals as unknown as MonthReport,
      closed: { at: instantOf(kept.closedAt), byName: kept.byName },
    }
  return { report: await bookedMonth(month), closed: null }
}

/**
 * The month as its books have it.
 * @param until only what was booked on its orders up to and including then: how a closed month stood when it was closed
 */
export async function bookedMonth(month: ShopMonth, until?: Instant): Promise<MonthReport> {
  const { timeZone, currency } = await shop()
  // Looked up once; named from then on, so that their long rows are not read for every sum.
  const done = await db().$queryRaw<{ id: string }[]>(
    Prisma.sql`SELECT o."id" FROM "Order" o WHERE ${doneIn(monthBounds(month, timeZone))}`,
  )
  const inMonth = Prisma.sql`o."id" IN (SELECT value FROM ${eachText(done.map(o => o.id))})`
  const span = until === undefined ? {} : { until }
  const orders = await factsOf(inMonth, span)
  const earlier = new Map([...(await closes())].filter(([m]) => m < month))
  return assembleMonth({
    month,
    currency,
    orders,
    late: await lateFacts(month, earlier, timeZone, currency),
    ledgers: await ledgers(inMonth, span),
    carried: await carriedOver(month, inMonth, timeZone, currency),
    methodWords,
  })
}

/**
 * The other books' own sums over the same orders, read straight from them. What was paid outside has one book of its own: its second record
 * is the line of history that was written with each cost.
 */
async function ledgers(which: Prisma.Sql, span: Span): Promise<Ledgers> {
  const orders = Prisma.sql`(SELECT o."id" FROM "Order" o WHERE ${which})`
  const [row] = await db().$queryRaw<Record<keyof Ledgers, bigint | number | null>[]>(Prisma.sql`
    SELECT
      (SELECT SUM(COALESCE(b."worthMicro", 0) - m."worthMicro") FROM "Movement" m
        LEFT JOIN "Movement" b ON b."itemId" = m."itemId" AND b."position" = m."position" - 1
        WHERE m."orderId" IN ${orders} ${booked(Prisma.sql`m."at"`, span)}) AS "stock",
      (SELECT SUM(w."labourMinor" + w."machineMinor") FROM "JobStep" s JOIN "WorkLog" w ON w."stepId" = s."id"
        WHERE s."orderId" IN ${orders} ${booked(Prisma.sql`w."toAt"`, span)}) AS "work",
      (SELECT SUM(CAST(h."after"->>'amount' AS INTEGER)) FROM ${orders} k CROSS JOIN "History" h
        WHERE h."entity" = 'order' AND h."ref" = k."id" AND h."what" LIKE 'wrote down %' AND h."after"->>'kind' IN ('outside', 'freight')
          ${booked(Prisma.sql`h."at"`, span)}) AS "outside",
      (SELECT SUM(v."netMinor") FROM "Invoice" v WHERE v."lowers" AND v."orderId" IN ${orders} ${booked(Prisma.sql`v."issuedAt"`, span)}) AS "credits",
      (SELECT SUM(t."taxMinor") FROM "Order" t WHERE t."handedOverAt" IS NOT NULL AND t."id" IN ${orders}) AS "tax",
      (SELECT SUM(v."grossMinor") FROM "Invoice" v JOIN "Order" t ON t."id" = v."orderId"
        WHERE v."lowers" AND t."handedOverAt" IS NOT NULL AND v."orderId" IN ${orders}) AS "credited",
      (SELECT SUM(p."amountMinor") FROM "Payment" p WHERE p."orderId" IN ${orders}) AS "paid",
      (SELECT SUM(t."unevenMinor") FROM "Order" t WHERE t."id" IN ${orders}) AS "uneven"`)
  const of = (name: keyof Ledgers) => minor(Number(row?.[name] ?? 0))
  return {
    stock: micro(Number(row?.stock ?? 0)),
    work: of('work'),
    outside: of('outside'),
    credits: of('credits'),
    tax: of('tax'),
    credited: of('credited'),
    paid: of('paid'),
    uneven: of('uneven'),
  }
}

/** The months from the first hand-over to the present one, newest first, with when they were closed. */
export async function months(now: Instant): Promise<{ month: ShopMonth; closedAt: Instant | null }[]> {
  const { timeZone } = await shop()
  const first = await firstHandOver()
  const closed = await closes()
  const last = monthOf(now, timeZone)
  let month = first === null ? last : monthOf(first, timeZone)
  const list: { month: ShopMonth; closedAt: Instant | null }[] = []
  for (; month <= last; month = nextMonth(month)) list.unshift({ month, closedAt: closed.get(month) ?? null })
  return list
}

/** Revenue by method of a month and those before it, oldest first. Closed months as they were kept. */
export async function methodMix(
  month: ShopMonth,
  count: number,
): Promise<{ month: ShopMonth; revenue: Map<string, Minor> }[]> {
  const { timeZone } = await shop()
  const first = await firstHandOver()
  const kept = await db().$queryRaw<{ month: string; groups: string }[]>(
    Prisma.sql`SELECT "month", CAST("totals"->'byMethod' AS TEXT) AS "groups" FROM "MonthClose" WHERE "month" <= ${month} ORDER BY "month" DESC LIMIT ${count}`,
  )
  const list: { month: ShopMonth; revenue: Map<string, Minor> }[] = []
  for (let m = nextMonth(month, 1 - count); m <= month; m = nextMonth(m)) {
    if (first === null || m < monthOf(first, timeZone)) continue
    const closed = kept.find(k => k.month === m)
    const groups = closed
      ? (JSON.parse(closed.groups) as { key: string; revenue: Minor }[])
      : await openMix(monthBounds(m, timeZone))
    list.push({ month: m, revenue: new Map(groups.map(g => [g.key, g.revenue])) })
  }
  return list
}

/** What the work for one customer earned, year by year of its hand-over, the latest first; late entries are with their orders. */
export async function customerYears(
  customerId: string,
): Promise<({ year: string; orders: number } & Margin)[]> {
  const { currency, timeZone } = await shop()
  const facts = await factsOf(
    Prisma.sql`o."customerId" = ${customerId} AND (o."handedOverAt" IS NOT NULL OR (o."endedAt" IS NOT NULL AND o."agreedAt" IS NOT NULL))`,
  )
  const years = new Map<string, OrderMargin[]>()
  for (const f of facts) {
    const year = monthOf(f.handedOverAt, timeZone).slice(0, 4)
    years.set(year, [...(years.get(year) ?? []), marginOf(f, currency)])
  }
  return [...years]
    .map(([year, rows]) => ({ year, orders: rows.length, ...totalOf(rows) }))
    .sort((a, b) => b.year.localeCompare(a.year))
}

/** Pieces handed over that were made by one method, in the months that are over, the latest first. */
export async function piecesByMonth(
  method: string,
  now: Instant,
  most: number,
): Promise<{ month: ShopMonth; pieces: number }[]> {
  const { timeZone } = await shop()
  const list: { month: ShopMonth; pieces: number }[] = []
  for (const { month } of (await months(now)).slice(1, 1 + most)) {
    const { from, to } = monthBounds(month, timeZone)
    const [row] = await db().$queryRaw<{ pieces: number | bigint | null }[]>(Prisma.sql`
      SELECT SUM(s."quantity") AS "pieces" FROM "Order" o JOIN "OrderLine" l ON l."orderId" = o."id"
      JOIN "OrderLineSize" s ON s."lineId" = l."id"
      WHERE o."handedOverAt" >= ${new Date(from)} AND o."handedOverAt" < ${new Date(to)} AND o."method" = ${method}`)
    list.push({ month, pieces: Number(row?.pieces ?? 0) })
  }
  return list
}

async function openMix({ from, to }: { from: Instant; to: Instant }) {
  const rows = await db().order.groupBy({
    by: ['method'],
    where: { handedOverAt: { gte: new Date(from), lt: new Date(to) } },
    _sum: { netMinor: true },
    orderBy: { method: 'asc' },
  })
  return rows.map(r => ({ key: r.method ?? '', revenue: minor(r._sum.netMinor ?? 0) }))
}

async function firstHandOver(): Promise<Instant | null> {
  const row = await db().order.findFirst({
    where: { handedOverAt: { not: null } },
    orderBy: { handedOverAt: 'asc' },
    select: { handedOverAt: true },
  })
  return row?.handedOverAt ? instantOf(row.handedOverAt) : null
}

/** Closes a month: its figures are kept as they are now, and never change again. */
export function closeMonth(month: ShopMonth, by: Actor, now: Instant): Promise<Result<MonthReport>> {
  return transaction(async tx => {
    const { timeZone } = await shop()
    const closed = await closes()
    const firstOpen = (await months(now)).findLast(m => m.closedAt === null)?.month ?? null
    const no = refuseClose(month, now, timeZone, closed, firstOpen)
    if (no) return no
    const bounds = monthBounds(month, timeZone)
    const { report } = await monthReport(month)
    await tx.monthClose.create({
      data: {
        month,
        fromAt: new Date(bounds.from),
        untilAt: new Date(bounds.to),
        closedAt: new Date(now),
        byName: by.name,
        totals: report as unknown as Prisma.InputJsonValue,
      },
    })
    await record({
      by,
      what: `closed ${month}`,
      entity: 'month',
      ref: month,
      before: { state: 'open' },
      after: {
        state: 'closed',
        orders: report.rows.length,
        revenue: report.total.revenue,
        margin: report.total.margin,
      },
      at: new Date(now),
    })
    return ok(report)
  }, 60)
}

/** A month that was opened again. */
export type Reopening = { closedAt: Instant; closedBy: string; at: Instant; byName: string; why: string }

/** When and why a month was opened again, newest first. */
export async function reopenings(month: ShopMonth): Promise<Reopening[]> {
  const rows = await db().monthReopen.findMany({
    where: { month },
    orderBy: { reopenedAt: 'desc' },
    omit: { totals: true },
  })
  return rows.map(r => ({
    closedAt: instantOf(r.closedAt),
    closedBy: r.closedBy,
    at: instantOf(r.reopenedAt),
    byName: r.byName,
    why: r.why,
  }))
}

/**
 * Opens the newest closed month again. What it said and why it was opened is kept. Entries that came late for it count in it from now on.
 * @param why at least a few words
 */
export function reopenMonth(month: ShopMonth, why: string, by: Actor, now: Instant): Promise<Result<void>> {
  return transaction(async tx => {
    const no = refuseReopen(month, why, await closes())
    if (no) return no
    const closed = await tx.monthClose.findUniqueOrThrow({ where: { month } })
    await tx.monthReopen.create({
      data: {
        month,
        closedAt: closed.closedAt,
        closedBy: closed.byName,
        totals: closed.totals as Prisma.InputJsonValue,
        reopenedAt: new Date(now),
        byName: by.name,
        why: why.trim(),
      },
    })
    await tx.monthClose.delete({ where: { month } })
    const { total } = closed.totals as unknown as MonthReport
    await record({
      by,
      what: `opened ${month} again: ${why.trim()}`,
      entity: 'month',
      ref: month,
      before: { state: 'closed', revenue: total.revenue, margin: total.margin },
      after: { state: 'open' },
      at: new Date(now),
    })
    return ok(undefined)
  })
}

/** A line of the stock book on an order, summed by item and kind. Value + for what went into the order. */
export type MaterialLine = UsedMaterial & { itemId: string; sku: string }

/** Time on an order, as it was logged. */
export type WorkLine = {
  id: string
  step: string
  station: string | null
  stationKind: string | null
  byName: string
  fromAt: Instant
  toAt: Instant
  labourSeconds: number
  /** 0 at the bench: it is no machine. */
  machineSeconds: number
  labour: Minor
  machine: Minor
}

/** What was written down for an order beyond the shop's own stock and hours. */
export type OutsideLine = {
  id: string
  kind: 'outside' | 'freight'
  amount: Minor
  note: string
  at: Instant
  byName: string
}

/** One order in the books: what it brought, what it took, line by line, and against its estimate. */
export type OrderBooks = {
  row: OrderMargin
  state: string
  /** Null until it is handed over. */
  month: ShopMonth | null
  monthClosed: boolean
  material: MaterialLine[]
  work: WorkLine[]
  outside: OutsideLine[]
  /** Null where the agreed offer kept no estimate. */
  compared: Compared[] | null
}

/** One order by its number, also before it is handed over: then the costs are those so far. */
export async function orderBooks(number: number): Promise<OrderBooks | null> {
  const order = await db().order.findUnique({
    where: { number },
    select: { id: true, state: true, agreed: true, handedOverAt: true },
  })
  if (!order) return null
  const { currency, timeZone } = await shop()
  const [facts] = await factsOf(Prisma.sql`o."id" = ${order.id}`)
  if (!facts) return null
  const movements = await db().movement.findMany({
    where: { orderId: order.id },
    include: { item: true },
    orderBy: [{ at: 'asc' }, { id: 'asc' }],
  })
  const material = new Map<string, MaterialLine>()
  for (const m of movements) {
    const kind = materialKind(m.kind, m.item.kind === 'blank')
    const key = `${kind} ${m.itemId}`
    const line = material.get(key) ?? {
      itemId: m.itemId,
      sku: m.item.sku,
      name: m.item.name,
      unit: m.item.unit,
      kind,
      consumable: m.item.consumable,
      quantity: 0,
      value: micro(0),
    }
    line.quantity -= m.quantity
    line.value = micro(line.value - Number(m.valueMicro))
    material.set(key, line)
  }
  const work = (
    await db().workLog.findMany({
      where: { orderId: order.id },
      include: { step: { select: { title: true } }, station: { select: { name: true, kind: true } } },
      orderBy: [{ fromAt: 'asc' }, { id: 'asc' }],
    })
  ).map(
    (w): WorkLine => ({
      id: w.id,
      step: w.step.title,
      station: w.station?.name ?? null,
      stationKind: w.station?.kind ?? null,
      byName: w.byName,
      fromAt: instantOf(w.fromAt),
      toAt: instantOf(w.toAt),
      labourSeconds: w.labourSeconds,
      machineSeconds: w.station?.kind === 'bench' ? 0 : w.machineSeconds,
      labour: minor(w.labourMinor),
      machine: minor(w.machineMinor),
    }),
  )
  const outside = (
    await db().orderCost.findMany({ where: { orderId: order.id }, orderBy: { at: 'asc' } })
  ).map(
    (x): OutsideLine => ({
      id: x.id,
      kind: x.kind === 'freight' ? 'freight' : 'outside',
      amount: minor(x.amountMinor),
      note: x.note,
      at: instantOf(x.at),
      byName: x.byName,
    }),
  )
  const planned = plannedOf((order.agreed as { work?: unknown } | null)?.work)
  const month = order.handedOverAt && monthOf(instantOf(order.handedOverAt), timeZone)
  return {
    row: marginOf(facts, currency),
    state: order.state,
    month,
    monthClosed: month !== null && (await closes()).has(month),
    material: [...material.values()].filter(m => m.quantity !== 0 || m.value !== 0),
    work,
    outside,
    compared: planned && compare(planned, realOf([...material.values()], work, outside, currency)),
  }
}

/** Writes down what an order cost outside the shop. Negative takes back an earlier one. A form sent twice books once. */
export function addOrderCost(cost: {
  orderNumber: number
  kind: 'outside' | 'freight'
  amount: Minor
  note: string
  by: Actor
  now: Instant
  formKey?: string
}): Promise<Result<void>> {
  return transaction(async tx => {
    const { orderNumber, kind, amount, note, by, now, formKey } = cost
    if (formKey && (await tx.orderCost.count({ where: { formKey } }))) return ok(undefined)
    const order = await tx.order.findUnique({ where: { number: orderNumber }, select: { id: true } })
    if (!order) return refuse('no-order', `There is no order ${orderNumber}: check the number.`)
    if (amount === 0) return refuse('amount', 'A cost of nothing needs no line: type the amount.', 'amount')
    await tx.orderCost.create({
      data: {
        orderId: order.id,
        kind,
        amountMinor: amount,
        note,
        at: new Date(now),
        byName: by.name,
        formKey: formKey ?? null,
      },
    })
    await record({
      by,
      what: `wrote down ${kind === 'freight' ? 'freight' : 'outside work'} on order ${orderNumber}`,
      entity: 'order',
      ref: order.id,
      after: { kind, amount, note },
      at: new Date(now),
    })
    return ok(undefined)
  })
}

/** Time and money that the logs of a month show for something, by the end of each log. */
export type Hours = {
  key: string
  labourSeconds: number
  machineSeconds: number
  labour: Minor
  machine: Minor
}

/** Work of a month by station, and by person. */
export async function hoursOf(month: ShopMonth): Promise<{ stations: Hours[]; people: Hours[] }> {
  const { timeZone } = await shop()
  const { from, to } = monthBounds(month, timeZone)
  const where = { toAt: { gte: new Date(from), lt: new Date(to) } }
  const _sum = { labourSeconds: true, machineSeconds: true, labourMinor: true, machineMinor: true } as const
  const sums = (key: string, s: Record<keyof typeof _sum, number | null>): Hours => ({
    key,
    labourSeconds: s.labourSeconds ?? 0,
    machineSeconds: s.machineSeconds ?? 0,
    labour: minor(s.labourMinor ?? 0),
    machine: minor(s.machineMinor ?? 0),
  })
  const stations = await db().workLog.groupBy({
    by: ['stationId'],
    where,
    _sum,
    orderBy: { stationId: 'asc' },
  })
  const people = await db().workLog.groupBy({ by: ['byName'], where, _sum, orderBy: { byName: 'asc' } })
  return {
    stations: stations.map(s => sums(s.stationId ?? '', s._sum)),
    people: people.map(p => sums(p.byName, p._sum)).sort((a, b) => b.labourSeconds - a.labourSeconds),
  }
}

/**
 * Adds a card of rates that counts from an instant, now or later: the past is never rewritten.
 * @param basedOn id of the newest card when the form was drawn: two people changing rates do not undo one another
 */
export function changeRates(
  change: { rates: Rates; from: Instant; basedOn: string },
  by: Actor,
  now: Instant,
): Promise<Result<void>> {
  return transaction(async () => {
    const [newest] = await rateCards()
    if (newest && newest.id !== change.basedOn)
      return refuse(
        'changed',
        `${newest.byName} changed the rates meanwhile: load the page again to see them, then change what you wish.`,
      )
    if (change.from < now)
      return refuse(
        'past',
        'Rates count from today or later: what was agreed before stays as it was.',
        'from',
      )
    await addRateCard({ validFrom: change.from, rates: change.rates, byName: by.name })
    const changed = differences(newest?.rates ?? {}, change.rates)
    await record({
      by,
      what: `changed ${changed.length} ${changed.length === 1 ? 'rate' : 'rates'}`,
      entity: 'rates',
      ref: 'rates',
      before: Object.fromEntries(changed.map(d => [d.name, d.before])),
      after: Object.fromEntries(changed.map(d => [d.name, d.after])),
      at: new Date(now),
    })
    return ok(undefined)
  })
}

/** A line of the history; `unit`: of the item that it is about, where it is about one. */
export type PastChange = {
  id: string
  at: Instant
  byName: string
  what: string
  entity: string
  before: unknown
  after: unknown
  unit: BaseUnit | undefined
}

/** Lines of the history that one search reads: within a tenth of a second on a small computer, whatever the shop has lived through. */
const LOOKED_AT = 30_000

/** Lines of the history, and where to go on: older than this line. `seenTo` with words: everything since then was read. */
export type PastChanges = { lines: PastChange[]; next: { before: string; seenTo: Instant } | null }

/**
 * Who changed what, newest first. Words are looked for in a part of the history at a time, since years of it would be read whole.
 * @param of of one thing alone
 * @param before only lines older than this one's moment and id
 */
export async function pastChanges({
  entity,
  ref,
  words,
  before,
  most = 100,
  look = LOOKED_AT,
}: {
  entity?: string | undefined
  ref?: string | undefined
  words?: string | undefined
  before?: string | undefined
  most?: number
  look?: number
}): Promise<PastChanges> {
  const from = before
    ? await db().history.findUnique({ where: { id: before }, select: { at: true, id: true } })
    : null
  const about = Prisma.sql`${entity ? Prisma.sql`AND "entity" = ${entity}` : Prisma.empty}
    ${ref ? Prisma.sql`AND "ref" = ${ref}` : Prisma.empty} ${from ? Prisma.sql`AND "at" <= ${from.at}` : Prisma.empty}`
  // The end of the part that is read, from the index alone.
  const edge = words
    ? (
        await db().$queryRaw<{ id: string; at: string }[]>(Prisma.sql`
          SELECT h."id", h."at" FROM "History" h WHERE h."at" =
            (SELECT "at" FROM "History" WHERE TRUE ${about} ORDER BY "at" DESC LIMIT 1 OFFSET ${look - 1})
          ORDER BY h."id" LIMIT 1`)
      )[0]
    : undefined
  const like = `%${(words ?? '').replace(/[\\%_]/g, '\\$&')}%`
  const found = await db().$queryRaw<{ id: string }[]>(Prisma.sql`
    SELECT "id" FROM "History" WHERE TRUE ${about}
      ${from ? Prisma.sql`AND ("at" < ${from.at} OR "id" < ${from.id})` : Prisma.empty}
      ${edge ? Prisma.sql`AND "at" >= ${edge.at}` : Prisma.empty}
      ${words ? Prisma.sql`AND (${isLike(Prisma.sql`"what"`, like)} OR ${isLike(Prisma.sql`"byName"`, like)})` : Prisma.empty}
    ORDER BY "at" DESC, "id" DESC LIMIT ${most}`)
  const rows = await db().history.findMany({
    where: { id: { in: found.map(f => f.id) } },
    orderBy: [{ at: 'desc' }, { id: 'desc' }],
  })
  const items = rows.filter(r => r.entity === 'item').map(r => r.ref)
  const units = new Map(
    (items.length
      ? await db().stockItem.findMany({ where: { id: { in: items } }, select: { id: true, unit: true } })
      : []
    ).map(i => [i.id, i.unit as BaseUnit]),
  )
  const last = rows.length === most ? rows.at(-1) : edge
  return {
    lines: rows.map(r => ({
      id: r.id,
      at: instantOf(r.at),
      byName: r.byName,
      what: r.what,
      entity: r.entity,
      before: r.before,
      after: r.after,
      unit: units.get(r.ref),
    })),
    next: last ? { before: last.id, seenTo: instantOf(new Date(last.at)) } : null,
  }
}
