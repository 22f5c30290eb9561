import 'server-only'
import { db, Prisma, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { shop } from '@/lib/shop/store'
import { type Minor, micro, minor } from '@/lib/units/money'
import { type Instant, instantOf, monthBounds, type ShopMonth } from '@/lib/units/time'
import { differences } from '../difference'
import type { InvoicePage } from '../invoices/invoice'
import { bookedMonth, monthReport } from '../store'
import { type Chart, chartSchema, type Journal, journalOf, type MoneyEvent, usualChart } from './journal'

/** The book-keeper's accounts as the shop set them, or the usual ones. */
export async function chart(): Promise<Chart> {
  const row = await db().shop.findUnique({ where: { id: 1 }, select: { accounts: true } })
  const read = chartSchema.safeParse(row?.accounts)
  return read.success ? read.data : usualChart
}

/** Sets the book-keeper's accounts. Journals are written anew from the books each time, so they count for every month. */
export function changeChart(to: Chart, by: Actor, now: Instant): Promise<void> {
  return transaction(async tx => {
    const changed = differences(await chart(), to)
    if (changed.length === 0) return
    await tx.shop.update({ where: { id: 1 }, data: { accounts: to } })
    await record({
      by,
      what: `changed ${changed.length === 1 ? 'an account' : `${changed.length} accounts`} of the journal`,
      entity: 'shop',
      ref: 'accounts',
      before: Object.fromEntries(changed.map(d => [d.name, d.before])),
      after: Object.fromEntries(changed.map(d => [d.name, d.after])),
      at: new Date(now),
    })
  })
}

/** The journal of a month, from the books. One that is closed says what was kept. */
export async function journal(month: ShopMonth): Promise<{ journal: Journal; closedAt: Instant | null }> {
  const { timeZone } = await shop()
  const { from, to } = monthBounds(month, timeZone)
  const kept = await monthReport(month)
  // A month closed before work in progress was carried is built anew as it stood then.
  const report = kept.report.carried ? kept.report : await bookedMonth(month, kept.closed?.at)
  const events = await eventsOf(from, to)
  const facts = {
    report,
    timeZone,
    events,
    before: await standingBefore(from, [...new Set(events.map(e => e.orderNumber))]),
    stock: await stockSums(from, to),
    ...(await costSums(from, to)),
  }
  return { journal: journalOf(facts), closedAt: kept.closed?.at ?? null }
}

/** Invoices, credit notes and payments of a span, oldest first; at one instant an invoice comes before money. */
async function eventsOf(from: Instant, to: Instant): Promise<MoneyEvent[]> {
  const span = { gte: new Date(from), lt: new Date(to) }
  const order = { select: { number: true, customer: { select: { name: true } } } } as const
  const papers = await db().invoice.findMany({
    where: { issuedAt: span },
    include: { order },
    orderBy: [{ issuedAt: 'asc' }, { kind: 'desc' }, { number: 'asc' }],
  })
  const payments = await db().payment.findMany({
    where: { at: span },
    include: { order },
    orderBy: [{ at: 'asc' }, { id: 'asc' }],
  })
  const events: MoneyEvent[] = [
    ...papers.map(
      (v): MoneyEvent => ({
        orderNumber: v.order.number,
        customer: v.order.customer.name,
        at: instantOf(v.issuedAt),
        kind: v.kind === 'credit' ? 'credit' : 'invoice',
        name: (v.page as unknown as InvoicePage).name,
        lowers: v.lowers,
        net: minor(v.netMinor),
        tax: minor(v.taxMinor),
        gross: minor(v.grossMinor),
      }),
    ),
    ...payments.map(
      (p): MoneyEvent => ({
        orderNumber: p.order.number,
        customer: p.order.customer.name,
        at: instantOf(p.at),
        kind: 'payment',
        means: p.means === 'cash' || p.means === 'card' ? p.means : 'transfer',
        words: `${p.amountMinor < 0 ? 'Given back' : 'Received'}, ${p.kind}, ${p.means}${p.note ? `: ${p.note}` : ''}`,
        amount: minor(p.amountMinor),
      }),
    ),
  ]
  return events.sort((a, b) => a.at - b.at)
}

/** What stood invoiced and paid on orders before an instant. */
async function standingBefore(
  at: Instant,
  orders: readonly number[],
): Promise<Map<number, { invoiced: Minor; paid: Minor }>> {
  const found = new Map<number, { invoiced: Minor; paid: Minor }>()
  for (let i = 0; i < orders.length; i += 5_000) {
    const rows = await db().$queryRaw<
      { number: number; invoiced: number | null; paid: number | null }[]
    >(Prisma.sql`
      SELECT o."number",
        (SELECT SUM(CASE v."kind" WHEN 'invoice' THEN v."grossMinor" ELSE -v."grossMinor" END) FROM "Invoice" v
          WHERE v."orderId" = o."id" AND v."issuedAt" < ${new Date(at)}) AS "invoiced",
        (SELECT SUM(p."amountMinor") FROM "Payment" p WHERE p."orderId" = o."id" AND p."at" < ${new Date(at)}) AS "paid"
      FROM "Order" o WHERE o."number" IN (${Prisma.join(orders.slice(i, i + 5_000))})`)
    for (const r of rows)
      found.set(Number(r.number), {
        invoiced: minor(Number(r.invoiced ?? 0)),
        paid: minor(Number(r.paid ?? 0)),
      })
  }
  return found
}

/** The stock book's movements of a span by what they were for, and the worth of all shelves at its edges. */
async function stockSums(from: Instant, to: Instant) {
  const rows = await db().$queryRaw<{ what: string; value: bigint }[]>(Prisma.sql`
    SELECT CASE WHEN "orderId" IS NOT NULL THEN 'orders' WHEN "purchaseId" IS NOT NULL THEN 'purchases'
      WHEN "kind" = 'received' THEN 'brought' WHEN "kind" = 'counted' THEN 'counted' ELSE 'shopUse' END AS "what",
      SUM("valueMicro") AS "value"
    FROM "Movement" WHERE "at" >= ${new Date(from)} AND "at" < ${new Date(to)} GROUP BY 1`)
  const [edge] = await db().$queryRaw<{ opening: bigint | null }[]>(
    Prisma.sql`SELECT SUM("valueMicro") AS "opening" FROM "Movement" WHERE "at" < ${new Date(from)}`,
  )
  const of = (what: string) => micro(Number(rows.find(r => r.what === what)?.value ?? 0))
  const opening = micro(Number(edge?.opening ?? 0))
  return {
    opening,
    closing: micro(opening + rows.reduce((sum, r) => sum + Number(r.value), 0)),
    purchases: of('purchases'),
    brought: of('brought'),
    orders: of('orders'),
    counted: of('counted'),
    shopUse: of('shopUse'),
  }
}

/** Hours and outside costs booked in a span, on any order. */
async function costSums(from: Instant, to: Instant) {
  const span = { gte: new Date(from), lt: new Date(to) }
  const work = await db().workLog.aggregate({
    where: { toAt: span },
    _sum: { labourMinor: true, machineMinor: true },
  })
  const outside = await db().orderCost.aggregate({ where: { at: span }, _sum: { amountMinor: true } })
  return {
    work: { labour: minor(work._sum.labourMinor ?? 0), machine: minor(work._sum.machineMinor ?? 0) },
    outside: minor(outside._sum.amountMinor ?? 0),
  }
}
