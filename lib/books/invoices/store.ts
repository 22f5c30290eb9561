import 'server-only'
import { z } from 'zod'
import type { OfferPage } from '@/lib/orders/offer'
import type { OrderView } from '@/lib/orders/order'
import { orderTitle } from '@/lib/orders/order'
import { paidOf } from '@/lib/orders/payments'
import { OPEN_STATES } from '@/lib/orders/states'
import { getOrder } from '@/lib/orders/store'
import { db, Prisma, type Tx, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { partsOf } from '@/lib/server/sql'
import { shop } from '@/lib/shop/store'
import { formatMoney, type Minor, minor } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'
import { type Instant, instantOf } from '@/lib/units/time'
import {
  decideCredit,
  decideInvoice,
  dueOn,
  type Invoiced,
  type InvoiceKind,
  type InvoicePage,
  type Invoicing,
  invoiceName,
  invoicingSchema,
  partLine,
  partWords,
  standingInvoiced,
  usualInvoicing,
  wholeLines,
} from './invoice'
import type { OwingOrder } from './owed'
import type { TaxedOrder } from './tax-by-payments'

/** What the shop set for its invoices, or what holds until it does. */
export async function invoicing(): Promise<Invoicing> {
  const row = await db().shop.findUnique({ where: { id: 1 }, select: { invoicing: true } })
  return row?.invoicing ? invoicingSchema.parse(row.invoicing) : usualInvoicing
}

/** The number that the next invoice or credit note gets. */
const nextNumber = async (tx: Tx, kind: InvoiceKind, rules: Invoicing): Promise<number> => {
  const { _max } = await tx.invoice.aggregate({ where: { kind }, _max: { number: true } })
  return _max.number === null ? (kind === 'invoice' ? rules.first : rules.firstCredit) : _max.number + 1
}

/** The next numbers, for the settings. */
export const nextNumbers = async (): Promise<Record<InvoiceKind, number>> => {
  const rules = await invoicing()
  return {
    invoice: await nextNumber(db(), 'invoice', rules),
    credit: await nextNumber(db(), 'credit', rules),
  }
}

/** Changes what stands on invoices from now on; those that are written stay word for word. */
export function changeInvoicing(to: Invoicing, by: Actor, now: Instant): Promise<Result<void>> {
  return transaction(async tx => {
    const was = await invoicing()
    for (const [kind, field, words] of [
      ['invoice', 'first', 'invoice'],
      ['credit', 'firstCredit', 'credit note'],
    ] as const)
      if (to[field] !== was[field] && (await tx.invoice.count({ where: { kind } })))
        return refuse(
          'numbers',
          `The first ${words} is written: its numbers run on from it, without gaps.`,
          field,
        )
    await tx.shop.update({ where: { id: 1 }, data: { invoicing: to } })
    await record({
      by,
      what: 'changed what stands on invoices',
      entity: 'shop',
      ref: 'invoicing',
      before: was,
      after: to,
      at: new Date(now),
    })
    return ok(undefined)
  })
}

const columns = {
  id: true,
  kind: true,
  number: true,
  credits: true,
  lowers: true,
  issuedAt: true,
  dueAt: true,
  netMinor: true,
  taxMinor: true,
  grossMinor: true,
  rateBp: true,
  page: true,
} as const satisfies Prisma.InvoiceSelect
type Row = Prisma.InvoiceGetPayload<{ select: typeof columns }>
const pageOf = (row: Pick<Row, 'page'>): InvoicePage => row.page as unknown as InvoicePage

const asInvoiced = (row: Row): Invoiced => ({
  id: row.id,
  kind: row.kind === 'credit' ? 'credit' : 'invoice',
  name: pageOf(row).name,
  number: row.number,
  credits: row.credits,
  lowers: row.lowers,
  issuedAt: instantOf(row.issuedAt),
  dueAt: row.dueAt && instantOf(row.dueAt),
  net: minor(row.netMinor),
  tax: minor(row.taxMinor),
  gross: minor(row.grossMinor),
  rateBp: row.rateBp,
})

const oldestFirst = [
  { issuedAt: 'asc' },
  { number: 'asc' },
] as const satisfies Prisma.InvoiceOrderByWithRelationInput[]

/** Invoices and credit notes of an order, oldest first. */
export async function invoicesOf(orderId: string): Promise<Invoiced[]> {
  const rows = await db().invoice.findMany({ where: { orderId }, select: columns, orderBy: oldestFirst })
  return rows.map(asInvoiced)
}

/** One invoice or credit note with its order's others; null where there is none. */
export async function findInvoice(
  id: string,
): Promise<{ page: InvoicePage; invoice: Invoiced; orderNumber: number; issued: Invoiced[] } | null> {
  if (!z.uuid().safeParse(id).success) return null
  const row = await db().invoice.findUnique({
    where: { id },
    select: { ...columns, orderId: true, order: { select: { number: true } } },
  })
  if (!row) return null
  return {
    page: pageOf(row),
    invoice: asInvoiced(row),
    orderNumber: row.order.number,
    issued: await invoicesOf(row.orderId),
  }
}

/** Invoices and credit notes of a span, newest first, with their customers. */
export async function invoicesBetween(
  from: Instant,
  to: Instant,
): Promise<(Invoiced & { orderNumber: number; customer: string })[]> {
  const rows = await db().invoice.findMany({
    where: { issuedAt: { gte: new Date(from), lt: new Date(to) } },
    select: { ...columns, order: { select: { number: true, customer: { select: { name: true } } } } },
    orderBy: [{ issuedAt: 'desc' }, { number: 'desc' }],
  })
  return rows.map(r => ({ ...asInvoiced(r), orderNumber: r.order.number, customer: r.order.customer.name }))
}

/** What an order was agreed at, for its papers; an order whose offer kept no page has one line. */
function agreedPage(
  order: OrderView,
): Pick<OfferPage, 'lines' | 'extras' | 'title' | 'taxTerms' | 'taxExempt'> {
  const page = order.agreed?.page
  if (page?.lines && page.taxTerms) return page
  const rateBp = order.net ? Math.round(((order.tax ?? 0) / order.net) * 10_000) : 0
  return {
    lines: [],
    extras: [{ words: orderTitle(order), amount: order.net ?? minor(0) }],
    title: order.title,
    taxTerms: { name: 'Tax', rateBp, inclusive: false },
    taxExempt: order.customer.taxExempt,
  }
}

const unknownOrder = (number: number) =>
  refuse('unknown', `There is no order ${number}: look it up by its customer.`)

/**
 * Writes an invoice: over all of an order that is not invoiced yet, or a part ahead. The number follows the last one, and whoever writes
 * at the same moment waits: numbers have no gaps. The same form sent twice writes one.
 * @param amount null for all that is left, else tax included
 */
export function writeInvoice(
  ask: { orderNumber: number; amount: Minor | null; formKey: string },
  by: Actor,
  now: Instant,
): Promise<Result<{ id: string; name: string }>> {
  return transaction(async tx => {
    const before = await tx.invoice.findUnique({ where: { formKey: ask.formKey }, select: columns })
    if (before) return ok({ id: before.id, name: pageOf(before).name })
    const order = await getOrder(ask.orderNumber)
    if (!order) return unknownOrder(ask.orderNumber)
    const { currency, timeZone } = await shop()
    const rules = await invoicing()
    if (!rules.seller.trim())
      return refuse(
        'seller',
        'Nobody has said yet who invoices: the owner types the shop’s full name and address in the office, under “Invoicing”.',
      )
    const issued = await invoicesOf(order.id)
    const show = (amount: Minor) => formatMoney(amount, currency)
    const decided = decideInvoice(order, issued, ask.amount, show)
    if (!decided.ok) return decided
    const { net, tax, gross, all } = decided.value
    const agreed = agreedPage(order)
    const number = await nextNumber(tx, 'invoice', rules)
    const dueAt = dueOn(now, rules.days, timeZone)
    const name = invoiceName('invoice', number, rules)
    const page: InvoicePage = {
      kind: 'invoice',
      name,
      issuedAt: now,
      dueAt,
      suppliedAt: order.handedOverAt,
      currency,
      timeZone,
      seller: rules.seller,
      taxNumber: rules.taxNumber,
      bank: rules.bank,
      note: rules.note,
      customer: {
        name: order.customer.name,
        contact: order.customer.contact,
        address: order.customer.address,
      },
      orderNumber: order.number,
      title: order.title,
      about: null,
      why: '',
      lines: all
        ? wholeLines(agreed, issued, { net, tax, gross })
        : partLine(partWords(agreed, order.number), { net, tax, gross }, agreed),
      net,
      tax,
      gross,
      taxTerms: agreed.taxTerms,
      taxExempt: agreed.taxExempt,
      paid: minor(Math.min(gross, Math.max(0, paidOf(order.payments) - standingInvoiced(issued)))),
    }
    const made = await tx.invoice.create({
      data: {
        kind: 'invoice',
        number,
        orderId: order.id,
        issuedAt: new Date(now),
        dueAt: new Date(dueAt),
        netMinor: net,
        taxMinor: tax,
        grossMinor: gross,
        rateBp: agreed.taxExempt ? 0 : agreed.taxTerms.rateBp,
        page: page as unknown as Prisma.InputJsonValue,
        byName: by.name,
        formKey: ask.formKey,
      },
    })
    await record({
      by,
      what: `wrote invoice ${name} over ${show(gross)}`,
      entity: 'order',
      ref: order.id,
      after: { net, tax, gross },
      at: new Date(now),
    })
    return ok({ id: made.id, name })
  })
}

/**
 * Writes a credit note about an invoice. Where it lowers the price, the customer owes that much less from now on; what was paid beyond
 * it is to be given back.
 * @param amount null for all that is left of the invoice, else tax included
 */
export function writeCreditNote(
  ask: { invoiceId: string; amount: Minor | null; lowers: boolean; why: string; formKey: string },
  by: Actor,
  now: Instant,
): Promise<Result<{ id: string; name: string }>> {
  return transaction(async tx => {
    const before = await tx.invoice.findUnique({ where: { formKey: ask.formKey }, select: columns })
    if (before) return ok({ id: before.id, name: pageOf(before).name })
    const found = await findInvoice(ask.invoiceId)
    if (!found) return refuse('unknown', 'There is no such invoice: open it from its order.')
    const order = await getOrder(found.orderNumber)
    if (!order) return unknownOrder(found.orderNumber)
    const { currency } = await shop()
    const rules = await invoicing()
    const show = (amount: Minor) => formatMoney(amount, currency)
    const decided = decideCredit(order, found.invoice, found.issued, ask, show)
    if (!decided.ok) return decided
    const { net, tax, gross, lowers } = decided.value
    const about = found.page
    const number = await nextNumber(tx, 'credit', rules)
    const name = invoiceName('credit', number, rules)
    const why = ask.why.trim()
    const page: InvoicePage = {
      ...about,
      kind: 'credit',
      name,
      issuedAt: now,
      dueAt: null,
      seller: rules.seller,
      taxNumber: rules.taxNumber,
      bank: rules.bank,
      note: rules.note,
      about: { name: about.name, issuedAt: about.issuedAt },
      why,
      lines: partLine(`Credit on invoice ${about.name}: ${why}`, { net, tax, gross }, about),
      net,
      tax,
      gross,
      paid: minor(0),
    }
    const made = await tx.invoice.create({
      data: {
        kind: 'credit',
        number,
        orderId: order.id,
        credits: found.invoice.id,
        lowers,
        issuedAt: new Date(now),
        netMinor: net,
        taxMinor: tax,
        grossMinor: gross,
        rateBp: found.invoice.rateBp,
        page: page as unknown as Prisma.InputJsonValue,
        byName: by.name,
        formKey: ask.formKey,
      },
    })
    if (lowers)
      await tx.order.update({
        where: { id: order.id },
        data: { creditMinor: { increment: gross }, version: { increment: 1 } },
      })
    await record({
      by,
      what: `wrote credit note ${name} over ${show(gross)}: ${why}`,
      entity: 'order',
      ref: order.id,
      after: { net, tax, gross },
      at: new Date(now),
    })
    return ok({ id: made.id, name })
  })
}

/** Orders that one question names: the database refuses one of some thousand values. */
const AT_ONCE = 500

type OwingRow = {
  id: string
  number: number
  customerId: string
  customer: string
  state: string
  gross: number | null
  credit: number
  paid: number | null
}

/**
 * Every order with money on it whose invoices, price and payments do not come out even, as they stood at an instant.
 * @param until only invoices and payments up to then, and hand-overs up to then
 */
export async function owingOrders(until: Instant): Promise<OwingOrder[]> {
  const at = new Date(until)
  // Led by the few orders whose money can be open: years of orders that came out even are not looked at. What nothing has touched since
  // the instant stands as it stands today.
  const rows = await db().$queryRaw<(OwingRow & { out: number })[]>(Prisma.sql`
    WITH "touched" AS (
      SELECT "id" FROM "Order" WHERE "unevenMinor" > 0 OR "unevenMinor" < 0
      UNION ALL SELECT "id" FROM "Order" WHERE "state" IN (${Prisma.join([...OPEN_STATES])})
      UNION ALL SELECT "id" FROM "Order" w WHERE w."endedAt" IS NOT NULL
        AND EXISTS (SELECT 1 FROM "Invoice" v WHERE v."orderId" = w."id")
      UNION ALL SELECT "orderId" FROM "Payment" WHERE "at" > ${at}
      UNION ALL SELECT "orderId" FROM "Invoice" WHERE "issuedAt" > ${at}
      UNION ALL SELECT "id" FROM "Order" WHERE "handedOverAt" > ${at}
      UNION ALL SELECT "id" FROM "Order" WHERE "endedAt" > ${at})
    SELECT * FROM (
      SELECT o."id", o."number", o."customerId", c."name" AS "customer", o."state", o."grossMinor" AS "gross",
        (SELECT COALESCE(SUM(v."grossMinor"), 0) FROM "Invoice" v WHERE v."orderId" = o."id" AND v."lowers" AND v."issuedAt" <= ${at}) AS "credit",
        (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = o."id" AND p."at" <= ${at}) AS "paid",
        (SELECT COALESCE(SUM(CASE v."kind" WHEN 'invoice' THEN v."grossMinor" ELSE -v."grossMinor" END), 0)
          FROM "Invoice" v WHERE v."orderId" = o."id" AND v."issuedAt" <= ${at}) AS "invoiced",
        o."handedOverAt" IS NOT NULL AND o."handedOverAt" <= ${at} AS "out"
      FROM (SELECT DISTINCT "id" FROM "touched") t CROSS JOIN "Order" o JOIN "Customer" c ON c."id" = o."customerId"
      WHERE o."id" = t."id") x
    WHERE "paid" <> "invoiced" OR ("out" AND COALESCE("gross", 0) - "credit" <> "paid") ORDER BY "number"`)
  const invoices = new Map<string, Invoiced[]>()
  const ids = rows.map(r => r.id)
  for (const some of partsOf(ids, AT_ONCE))
    for (const row of await db().invoice.findMany({
      where: { orderId: { in: some }, issuedAt: { lte: at } },
      select: { ...columns, orderId: true },
      orderBy: oldestFirst,
    })) {
      const own = invoices.get(row.orderId) ?? []
      own.push(asInvoiced(row))
      invoices.set(row.orderId, own)
    }
  return rows.map(r => {
    const ended = r.state === 'withdrawn' || r.state === 'declined'
    return {
      number: Number(r.number),
      customerId: r.customerId,
      customer: r.customer,
      owed: minor(ended ? 0 : Number(r.gross ?? 0) - Number(r.credit)),
      handedOver: Number(r.out) === 1,
      paid: minor(Number(r.paid ?? 0)),
      issued: invoices.get(r.id) ?? [],
    }
  })
}

/** What stood invoiced and what was paid on all orders at an instant: what the ages are held against. */
export async function moneySums(until: Instant): Promise<{ invoiced: Minor; paid: Minor }> {
  const at = new Date(until)
  const [row] = await db().$queryRaw<
    { invoiced: number | bigint | null; paid: number | bigint | null }[]
  >(Prisma.sql`
    SELECT (SELECT SUM(CASE "kind" WHEN 'invoice' THEN "grossMinor" ELSE -"grossMinor" END) FROM "Invoice" WHERE "issuedAt" <= ${at}) AS "invoiced",
      (SELECT SUM("amountMinor") FROM "Payment" WHERE "at" <= ${at}) AS "paid"`)
  return { invoiced: minor(Number(row?.invoiced ?? 0)), paid: minor(Number(row?.paid ?? 0)) }
}

/** Money in and out of a span by means and kind. */
export async function paymentSums(
  from: Instant,
  to: Instant,
): Promise<{ means: string; received: Minor; givenBack: Minor; count: number }[]> {
  const rows = await db().$queryRaw<
    { means: string; received: number; back: number; n: number }[]
  >(Prisma.sql`
    SELECT "means", SUM(CASE WHEN "amountMinor" > 0 THEN "amountMinor" ELSE 0 END) AS "received",
      SUM(CASE WHEN "amountMinor" < 0 THEN "amountMinor" ELSE 0 END) AS "back", COUNT(*) AS "n"
    FROM "Payment" WHERE "at" >= ${new Date(from)} AND "at" < ${new Date(to)} GROUP BY "means" ORDER BY "means"`)
  return rows.map(r => ({
    means: r.means,
    received: minor(Number(r.received)),
    givenBack: minor(-Number(r.back) || 0),
    count: Number(r.n),
  }))
}

/** Orders that money moved on in a span, or whose price a credit note lowered in it, as they stood at both its ends. */
export async function taxedOrders(from: Instant, to: Instant): Promise<TaxedOrder[]> {
  const [a, b] = [new Date(from), new Date(to)]
  const paid = (until: Date) =>
    Prisma.sql`(SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = o."id" AND p."at" < ${until})`
  const given = (column: Prisma.Sql, until: Date) =>
    Prisma.sql`(SELECT COALESCE(SUM(${column}), 0) FROM "Invoice" v WHERE v."orderId" = o."id" AND v."lowers" AND v."issuedAt" < ${until})`
  const [tax, gross] = [Prisma.sql`v."taxMinor"`, Prisma.sql`v."grossMinor"`]
  // The rate stands on the order's invoice; before there is one, in what was agreed.
  const rows = await db().$queryRaw<
    Record<
      'tax' | 'gross' | 'rate' | 'paidA' | 'paidB' | 'taxA' | 'taxB' | 'grossA' | 'grossB',
      number | null
    >[]
  >(Prisma.sql`
    SELECT o."taxMinor" AS "tax", o."grossMinor" AS "gross",
      COALESCE((SELECT MAX(v."rateBp") FROM "Invoice" v WHERE v."orderId" = o."id"),
        CAST(o."agreed"->'page'->'taxTerms'->>'rateBp' AS INTEGER)) AS "rate",
      ${paid(a)} AS "paidA", ${paid(b)} AS "paidB", ${given(tax, a)} AS "taxA", ${given(tax, b)} AS "taxB",
      ${given(gross, a)} AS "grossA", ${given(gross, b)} AS "grossB"
    FROM (SELECT "orderId" FROM "Payment" WHERE "at" >= ${a} AND "at" < ${b}
      UNION SELECT "orderId" FROM "Invoice" WHERE "lowers" AND "issuedAt" >= ${a} AND "issuedAt" < ${b}) t
    CROSS JOIN "Order" o WHERE o."id" = t."orderId"`)
  return rows.map(r => {
    const of = (n: number | null) => Number(r.gross === null ? 0 : (n ?? 0))
    const at = (paid: number | null, lessTax: number | null, lessGross: number | null) => ({
      tax: minor(of(r.tax) - of(lessTax)),
      gross: minor(of(r.gross) - of(lessGross)),
      paid: minor(Number(paid ?? 0)),
    })
    const net = of(r.gross) - of(r.tax)
    const rate = r.rate ?? (net > 0 ? Math.round((of(r.tax) / net) * 10_000) : 0)
    return {
      rateBp: of(r.tax) === 0 ? 0 : Number(rate),
      before: at(r.paidA, r.taxA, r.grossA),
      after: at(r.paidB, r.taxB, r.grossB),
    }
  })
}

/**
 * The money of orders that are handed over, as it stands now: tax and totals as agreed, what credit notes gave up, what was received, and
 * what is still open or to be given back, order by order.
 */
export async function moneyOfOrders(
  from: Instant,
  to: Instant,
): Promise<{ tax: Minor; credited: Minor; paid: Minor; due: Minor; back: Minor }> {
  const [row] = await db().$queryRaw<
    Record<'tax' | 'credited' | 'paid' | 'due' | 'back', number | bigint | null>[]
  >(Prisma.sql`
    SELECT SUM(x."tax") AS "tax", SUM(x."credit") AS "credited", SUM(x."paid") AS "paid",
      SUM(CASE WHEN x."owed" > x."paid" THEN x."owed" - x."paid" ELSE 0 END) AS "due",
      SUM(CASE WHEN x."paid" > x."owed" THEN x."paid" - x."owed" ELSE 0 END) AS "back"
    FROM (SELECT COALESCE(o."taxMinor", 0) AS "tax", o."creditMinor" AS "credit", COALESCE(o."grossMinor", 0) - o."creditMinor" AS "owed",
        COALESCE((SELECT SUM(p."amountMinor") FROM "Payment" p WHERE p."orderId" = o."id"), 0) AS "paid"
      FROM "Order" o WHERE o."handedOverAt" >= ${new Date(from)} AND o."handedOverAt" < ${new Date(to)}) x`)
  const of = (name: 'tax' | 'credited' | 'paid' | 'due' | 'back') => minor(Number(row?.[name] ?? 0))
  return {
    tax: of('tax'),
    credited: of('credited'),
    paid: of('paid'),
    due: of('due'),
    back: of('back'),
  }
}
