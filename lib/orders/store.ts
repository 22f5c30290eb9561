import 'server-only'
import { randomBytes } from 'node:crypto'
import { sizeRulesSchema } from '@/lib/artwork/size-rules'
import { recordClearance } from '@/lib/artwork/store'
import { db, Prisma, type Tx, transaction } from '@/lib/server/database'
import { type Actor, historyOf, record } from '@/lib/server/history'
import { containing, isLike, through } from '@/lib/server/sql'
import { type BlankKind, compareSizes, type FibreContent, type Size } from '@/lib/shop/blanks'
import type { MethodId } from '@/lib/shop/methods'
import type { PlacementId } from '@/lib/shop/placements'
import { type ShopFacts, styles } from '@/lib/shop/store'
import { giveBackAllowanceTx, releasePromisesTx } from '@/lib/stock/store'
import { type Minor, minor } from '@/lib/units/money'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { type Instant, instantOf } from '@/lib/units/time'
import { type Agreement, type Consent, decideAgreement, refuseAnswer } from './agree'
import type { OrderSummary } from './asks'
import { decideLines, type LineDraft, repeatOf } from './enquiry'
import type { CustomerInput, ListInput, OrderInput } from './input'
import {
  decideOffer,
  decideRenewal,
  type OfferDraft,
  type OfferSnapshot,
  type OfferTerms,
  offerName,
  openOffer,
  standingOf,
} from './offer'
import type {
  ArtworkRights,
  Customer,
  OfferRecord,
  OrderView,
  Payment,
  PaymentKind,
  PaymentMeans,
} from './order'
import { accountOf, decidePayment } from './payments'
import { OPEN_STATES, type OrderState, refuseMove, STATE_WORDS } from './states'

/** Another person saved first: what stands in the books now, to be laid beside what was typed. */
export type Conflict<Saved> = Refusal & { code: 'conflict'; saved: Saved }

const at = (date: Date | null): Instant | null => (date ? instantOf(date) : null)
const date = (instant: Instant | null): Date | null => (instant === null ? null : new Date(instant))
const money = (amount: number | null): Minor | null => (amount === null ? null : minor(amount))
// Snapshots are plain data already; this only tells the types so.
const asJson = (value: unknown) => JSON.parse(JSON.stringify(value)) as Prisma.InputJsonValue

const fullOrder = {
  customer: true,
  lines: {
    orderBy: { position: 'asc' },
    include: {
      style: true,
      sizes: { include: { item: { select: { colourHex: true } } } },
      prints: {
        orderBy: { position: 'asc' },
        include: {
          artwork: { include: { clearances: { orderBy: [{ at: 'desc' }, { id: 'desc' }], take: 1 } } },
        },
      },
    },
  },
  offers: { orderBy: { version: 'desc' } },
  payments: { orderBy: [{ at: 'asc' }, { id: 'asc' }] },
} as const satisfies Prisma.OrderInclude
type FullRow = Prisma.OrderGetPayload<{ include: typeof fullOrder }>
type ClearanceRow = { basis: string; evidence: string; byName: string; at: Date }

function rightsOf(newest: ClearanceRow | undefined): ArtworkRights {
  if (!newest) return { basis: null, takenBack: false, evidence: '', byName: '', at: null }
  const takenBack = newest.basis === 'withdrawn'
  return {
    basis: takenBack ? null : newest.basis,
    takenBack,
    evidence: newest.evidence,
    byName: newest.byName,
    at: instantOf(newest.at),
  }
}

const asOffer = (row: FullRow['offers'][number]): OfferRecord => ({
  id: row.id,
  version: row.version,
  token: row.token,
  method: row.method as MethodId,
  snapshot: row.snapshot as unknown as OfferSnapshot,
  net: minor(row.netMinor),
  tax: minor(row.taxMinor),
  gross: minor(row.grossMinor),
  cost: minor(row.costMinor),
  validUntil: instantOf(row.validUntil),
  createdAt: instantOf(row.createdAt),
  byName: row.byName,
  openedAt: at(row.openedAt),
  agreedAt: at(row.agreedAt),
  agreedName: row.agreedName,
  declinedAt: at(row.declinedAt),
  endedAt: at(row.endedAt),
})

const asPayment = (row: FullRow['payments'][number]): Payment => ({
  id: row.id,
  kind: row.kind as PaymentKind,
  amount: minor(row.amountMinor),
  means: row.means as PaymentMeans,
  note: row.note,
  at: instantOf(row.at),
  byName: row.byName,
})

function asOrder(row: FullRow): OrderView {
  return {
    id: row.id,
    number: row.number,
    customer: row.customer,
    state: row.state as OrderState,
    title: row.title,
    note: row.note,
    asked: row.asked,
    promiseAt: at(row.promiseAt),
    promiseHard: row.promiseHard,
    rush: row.rush,
    method: row.method as MethodId | null,
    way: row.way,
    enquiredAt: instantOf(row.enquiredAt),
    offeredAt: at(row.offeredAt),
    agreedAt: at(row.agreedAt),
    agreedBy: row.agreedBy,
    readyAt: at(row.readyAt),
    handedOverAt: at(row.handedOverAt),
    endedAt: at(row.endedAt),
    endedWhy: row.endedWhy,
    agreed: row.agreed as unknown as OfferSnapshot | null,
    net: money(row.netMinor),
    tax: money(row.taxMinor),
    gross: money(row.grossMinor),
    deposit: money(row.depositMinor),
    credit: minor(row.creditMinor),
    version: row.version,
    lines: row.lines.map(line => ({
      id: line.id,
      position: line.position,
      style: {
        id: line.style.id,
        code: line.style.code,
        name: line.style.name,
        kind: line.style.kind as BlankKind,
        fibres: line.style.fibres as FibreContent,
      },
      colour: line.colour,
      colourHex: line.sizes.find(s => s.item.colourHex)?.item.colourHex ?? '#ffffff',
      sizes: line.sizes
        .map(({ itemId, size, quantity }) => ({ itemId, size: size as Size, quantity }))
        .sort((a, b) => compareSizes(a.size, b.size)),
      prints: line.prints.map(({ artwork, ...print }) => ({
        id: print.id,
        position: print.position,
        placement: print.placement as PlacementId,
        widthMm: print.widthMm,
        heightMm: print.heightMm,
        dropMm: print.dropMm,
        offsetMm: print.offsetMm,
        ...(print.bySize === null ? {} : { bySize: sizeRulesSchema.parse(print.bySize) }),
        artwork: artwork && {
          id: artwork.id,
          name: artwork.name,
          widthPx: artwork.widthPx,
          heightPx: artwork.heightPx,
          alpha: artwork.alpha,
          rights: rightsOf(artwork.clearances[0]),
        },
      })),
    })),
    offers: row.offers.map(asOffer),
    payments: row.payments.map(asPayment),
  }
}

/** An order with all that belongs to it, or null where there is no such number. */
export async function getOrder(number: number): Promise<OrderView | null> {
  const row = await db().order.findUnique({ where: { number }, include: fullOrder })
  return row && asOrder(row)
}
/** An order by its id, or null. */
export async function getOrderById(id: string): Promise<OrderView | null> {
  const row = await db().order.findUnique({ where: { id }, include: fullOrder })
  return row && asOrder(row)
}
/** Orders by their ids, in no order that can be relied on; unknown ids are left out. */
export async function getOrders(ids: readonly string[]): Promise<OrderView[]> {
  const rows = await db().order.findMany({ where: { id: { in: [...ids] } }, include: fullOrder })
  return rows.map(asOrder)
}
const noOrder = (number: number): Refusal =>
  refuse('unknown', `There is no order ${number}: look it up by its customer.`)

/** What happened to an order, newest first. */
export const orderHistory = (orderId: string) => historyOf('order', orderId, 200)

// Lists

// Not the snapshots: they are large, and a list shows none of them.
const forSummary = {
  number: true,
  customerId: true,
  title: true,
  state: true,
  asked: true,
  promiseAt: true,
  promiseHard: true,
  enquiredAt: true,
  offeredAt: true,
  readyAt: true,
  handedOverAt: true,
  grossMinor: true,
  depositMinor: true,
  creditMinor: true,
  customer: { select: { name: true } },
  lines: {
    orderBy: { position: 'asc' },
    select: { colour: true, style: { select: { name: true } }, sizes: { select: { quantity: true } } },
  },
  offers: {
    orderBy: { version: 'desc' },
    take: 1,
    select: { grossMinor: true, validUntil: true, agreedAt: true, declinedAt: true, endedAt: true },
  },
  payments: { select: { amountMinor: true } },
} as const satisfies Prisma.OrderSelect
type SummaryRow = Prisma.OrderGetPayload<{ select: typeof forSummary }>

function asSummary(row: SummaryRow): OrderSummary {
  const state = row.state as OrderState
  const newest = row.offers[0]
  const account = accountOf({
    state,
    gross: money(row.grossMinor),
    deposit: money(row.depositMinor),
    credit: minor(row.creditMinor),
    payments: row.payments.map(p => ({ amount: minor(p.amountMinor) })),
  })
  const first = row.lines[0]
  const more = row.lines.length - 1
  const blank = first ? `${first.colour} ${first.style.name}${more > 0 ? ` and ${more} more` : ''}` : ''
  const waiting = newest && !newest.agreedAt && !newest.declinedAt && !newest.endedAt
  return {
    number: row.number,
    customer: row.customer.name,
    customerId: row.customerId,
    title: row.title || blank,
    state,
    asked: row.asked,
    offerEndedAt: at(newest?.endedAt ?? null),
    pieces: row.lines.reduce((sum, l) => sum + l.sizes.reduce((s, z) => s + z.quantity, 0), 0),
    promiseAt: at(row.promiseAt),
    promiseHard: row.promiseHard,
    enquiredAt: instantOf(row.enquiredAt),
    offeredAt: at(row.offeredAt),
    readyAt: at(row.readyAt),
    handedOverAt: at(row.handedOverAt),
    gross: money(row.grossMinor ?? newest?.grossMinor ?? null),
    due: account.due,
    depositDue: account.depositDue,
    offerEnds: waiting ? instantOf(newest.validUntil) : null,
  }
}

/** Rows of one page of the list. */
export const PAGE_ROWS = 50

/**
 * Numbers of one page of the orders in the order asked for, and how many there are. Read from indexes alone, since an order's own row
 * holds all that was agreed.
 */
async function pageOfNumbers(input: ListInput): Promise<{ numbers: number[]; total: number }> {
  const state: string[] = input.state === 'open' ? [...OPEN_STATES] : [input.state]
  const inState = input.state === 'all' ? Prisma.empty : Prisma.sql`AND o."state" IN (${Prisma.join(state)})`
  const like = `%${input.find.replace(/[\\%_]/g, '\\$&')}%`
  const number = /^\d{1,9}$/.test(input.find) ? Number(input.find) : -1
  const found = input.find
    ? Prisma.sql`AND (o."number" = ${number} OR ${isLike(Prisma.sql`o."title"`, like)} OR o."customerId" IN
      (SELECT c."id" FROM "Customer" c WHERE ${isLike(Prisma.sql`c."name"`, like)} OR ${isLike(Prisma.sql`c."contact"`, like)}))`
    : Prisma.empty
  // Looked up in the index that holds what is looked for; else in the one that is in order already, or holds at least what is sorted by.
  const byTitle = through('Order_title_customerId_state_number_id_idx')
  const inOrder = {
    number: Prisma.empty,
    promise: through('Order_promiseAt_number_state_idx'),
    customer: byTitle,
    total: through('Order_grossMinor_number_state_idx'),
  }[input.sort]
  const hits =
    input.find && input.sort === 'number'
      ? Prisma.sql`"Order" o ${byTitle}`
      : input.find
        ? Prisma.sql`(SELECT o."id" FROM "Order" o ${byTitle} WHERE TRUE ${inState} ${found}) h
        JOIN "Order" o ON o."id" = h."id"`
        : Prisma.sql`"Order" o ${inOrder}`
  const down = input.down ? Prisma.sql`DESC` : Prisma.sql`ASC`
  const by = {
    number: Prisma.sql`o."number" ${down}`,
    promise: Prisma.sql`o."promiseAt" ${down} NULLS LAST, o."number"`,
    customer: Prisma.sql`(SELECT c."name" FROM "Customer" c WHERE c."id" = o."customerId") ${down}, o."number"`,
    total: Prisma.sql`o."grossMinor" ${down} NULLS LAST, o."number"`,
  }[input.sort]
  // What is looked up is counted in the same reading; without words a count of its own reads no more than one index.
  const counted = input.find ? Prisma.sql`COUNT(*) OVER ()` : Prisma.sql`NULL`
  const rows = await db().$queryRaw<{ number: bigint; n: bigint | null }[]>`
    SELECT o."number", ${counted} AS "n" FROM ${hits} WHERE TRUE ${input.find && input.sort !== 'number' ? Prisma.empty : Prisma.sql`${inState} ${found}`}
    ORDER BY ${by} LIMIT ${PAGE_ROWS} OFFSET ${(input.page - 1) * PAGE_ROWS}`
  const known = rows[0]?.n ?? null
  if (known !== null) return { numbers: rows.map(r => Number(r.number)), total: Number(known) }
  const [count] = input.find
    ? await db().$queryRaw<{ n: bigint }[]>`
        SELECT COUNT(*) AS "n" FROM "Order" o ${byTitle} WHERE TRUE ${inState} ${found}`
    : await db().$queryRaw<{ n: bigint }[]>`SELECT COUNT(*) AS "n" FROM "Order" o WHERE TRUE ${inState}`
  return { numbers: rows.map(r => Number(r.number)), total: Number(count?.n ?? 0) }
}

/** One page of the orders, and how many there are in all. */
export async function listOrders(input: ListInput): Promise<{ rows: OrderSummary[]; total: number }> {
  const { numbers, total } = await pageOfNumbers(input)
  const rows = await db().order.findMany({ where: { number: { in: numbers } }, select: forSummary })
  const of = new Map(rows.map(r => [r.number, r]))
  return { rows: numbers.flatMap(n => of.get(n) ?? []).map(asSummary), total }
}

/** How many orders stand in each state. */
export async function countByState(): Promise<Partial<Record<OrderState, number>>> {
  const rows = await db().order.groupBy({ by: ['state'], _count: { _all: true } })
  return Object.fromEntries(rows.map(r => [r.state, r._count._all]))
}

/** Every order that may ask something of the counter: the open ones, and ended ones whose money does not come out even. */
export async function ordersAsking(): Promise<OrderSummary[]> {
  // Each by its own index; asked for together, in order, the database would walk through every order instead.
  const ids = (where: Prisma.OrderWhereInput) => db().order.findMany({ where, select: { id: true } })
  const asking = await Promise.all([
    ids({ state: { in: [...OPEN_STATES] } }),
    ids({ unevenMinor: { lt: 0 } }),
    ids({ unevenMinor: { gt: 0 } }),
  ])
  const rows = await db().order.findMany({
    where: { id: { in: asking.flat().map(o => o.id) } },
    orderBy: { number: 'asc' },
    select: forSummary,
  })
  return rows.map(asSummary)
}

/** The orders of one customer, newest first. */
export async function ordersOf(customerId: string): Promise<OrderSummary[]> {
  const rows = await db().order.findMany({
    where: { customerId },
    orderBy: { number: 'desc' },
    select: forSummary,
  })
  return rows.map(asSummary)
}

// Customers

/** A customer in a list. */
export type CustomerRow = Customer & { orders: number; lastOrderAt: Instant | null }

/** Customers by name, those whose name, contact, e-mail or phone holds the text. */
export async function listCustomers(
  find: string,
  page = 1,
  most = PAGE_ROWS,
): Promise<{ rows: CustomerRow[]; total: number }> {
  const contains = containing(find)
  const where: Prisma.CustomerWhereInput = find
    ? { OR: [{ name: contains }, { contact: contains }, { email: contains }, { phone: contains }] }
    : {}
  const [rows, total] = await Promise.all([
    db().customer.findMany({
      where,
      orderBy: [{ name: 'asc' }, { id: 'asc' }],
      skip: (page - 1) * most,
      take: most,
      include: {
        _count: { select: { orders: true } },
        orders: { orderBy: { enquiredAt: 'desc' }, take: 1, select: { enquiredAt: true } },
      },
    }),
    db().customer.count({ where }),
  ])
  return {
    rows: rows.map(({ _count, orders, createdAt: _, ...customer }) => ({
      ...customer,
      orders: _count.orders,
      lastOrderAt: at(orders[0]?.enquiredAt ?? null),
    })),
    total,
  }
}

/** Every customer's id and name, for choosing one; those seen last come first. */
export async function customerNames(most = 2000): Promise<{ id: string; name: string; contact: string }[]> {
  return db().customer.findMany({
    select: { id: true, name: true, contact: true },
    orderBy: { name: 'asc' },
    take: most,
  })
}

/** A customer, or null. */
export async function getCustomer(id: string): Promise<Customer | null> {
  const row = await db().customer.findUnique({ where: { id } })
  if (!row) return null
  const { createdAt: _, ...customer } = row
  return customer
}

/** Writes a new customer down. Two customers may have one name: families and clubs do. */
export async function addCustomer(input: CustomerInput, by: Actor, now: Instant): Promise<Customer> {
  return transaction(async tx => {
    const { createdAt: _, ...row } = await tx.customer.create({
      data: { ...input, createdAt: new Date(now) },
    })
    await record({
      by,
      what: `wrote down ${row.name}`,
      entity: 'customer',
      ref: row.id,
      after: input,
      at: new Date(now),
    })
    return row
  })
}

/** Changes a customer, unless somebody saved before. */
export async function editCustomer(
  id: string,
  input: CustomerInput & { version: number },
  by: Actor,
  now: Instant,
): Promise<Result<Customer> | Conflict<Customer>> {
  return transaction(async tx => {
    const saved = await getCustomer(id)
    if (!saved) return refuse('unknown', 'This customer is not known here: look again by name.')
    const { version, ...fields } = input
    if (saved.version !== version) return conflict('This customer was changed', saved)
    const { createdAt: _, ...row } = await tx.customer.update({
      where: { id },
      data: { ...fields, version: { increment: 1 } },
    })
    const { id: __, version: ___, ...before } = saved
    await record({
      by,
      what: `changed ${row.name}`,
      entity: 'customer',
      ref: id,
      before,
      after: fields,
      at: new Date(now),
    })
    return ok(row)
  })
}

const conflict = <Saved>(what: string, saved: Saved): Conflict<Saved> => ({
  ok: false,
  code: 'conflict',
  message: `${what} by somebody else while you had it open: see below in what the two differ. Save again to keep yours.`,
  saved,
})

// Enquiries

/** The first order of a shop. */
const FIRST_NUMBER = 1001

async function nextNumber(tx: Tx): Promise<number> {
  const row = await tx.counter.upsert({
    where: { name: 'order' },
    create: { name: 'order', next: FIRST_NUMBER + 1 },
    update: { next: { increment: 1 } },
  })
  return row.next - 1
}

/** The number that the next order gets. */
export const nextOrderNumber = async (): Promise<number> =>
  (await db().counter.findUnique({ where: { name: 'order' } }))?.next ?? FIRST_NUMBER

/** Lets the numbers of orders go on from a higher one: none is ever given twice. */
export function raiseOrderNumber(to: number, by: Actor, now: Instant): Promise<Result<void>> {
  return transaction(async tx => {
    const next = await nextOrderNumber()
    if (to === next) return ok(undefined)
    if (to < next)
      return refuse(
        'number',
        `The next order is ${next}: numbers only go up, so that none is given twice.`,
        'nextOrder',
      )
    await tx.counter.upsert({
      where: { name: 'order' },
      create: { name: 'order', next: to },
      update: { next: to },
    })
    await record({
      by,
      what: `let the numbers of orders go on from ${to}`,
      entity: 'shop',
      ref: 'shop',
      before: { next },
      after: { next: to },
      at: new Date(now),
    })
    return ok(undefined)
  })
}

/** Which print is still the same one after an edit: the same art at the same place of the same blank. */
const printKey = (styleId: string, print: { placement: string; artworkId: string | null }): string =>
  `${styleId} ${print.placement} ${print.artworkId}`

/** Lines as rows. @param films how the films of prints are made that were there before, by their key */
const lineRows = (lines: readonly LineDraft[], films = new Map<string, Prisma.JsonValue>()) =>
  lines.map((line, position) => ({
    position,
    styleId: line.styleId,
    colour: line.colour,
    sizes: { create: line.sizes },
    prints: {
      create: line.prints.map(({ bySize, ...print }, k) => ({
        position: k,
        ...print,
        ...(bySize ? { bySize } : {}),
        layers: films.get(printKey(line.styleId, print)) ?? undefined,
      })),
    },
  }))

/** Refuses artwork that is not in the books, naming the field. */
async function refuseArtwork(input: OrderInput): Promise<Refusal | null> {
  const wanted = input.lines.flatMap(l =>
    l.prints.map(p => ({ ...p, field: `lines.${l.key}.prints.${p.key}.artwork` })),
  )
  const ids = [...new Set(wanted.map(w => w.artworkId).filter(id => id !== null))]
  const known = new Set(
    (await db().artwork.findMany({ where: { id: { in: ids } }, select: { id: true } })).map(r => r.id),
  )
  const lost = wanted.find(w => w.artworkId !== null && !known.has(w.artworkId))
  return lost ? refuse('artwork', 'This artwork is not known here: choose the file again.', lost.field) : null
}

/** The names of the artworks on an order form, by id. */
export async function getArtworkNames(input: OrderInput): Promise<Map<string, string>> {
  const ids = input.lines.flatMap(l => l.prints.flatMap(p => p.artworkId ?? []))
  const rows = await db().artwork.findMany({ where: { id: { in: ids } }, select: { id: true, name: true } })
  return new Map(rows.map(r => [r.id, r.name]))
}

async function customerFor(tx: Tx, input: OrderInput, by: Actor, now: Instant): Promise<Result<string>> {
  if ('typed' in input.customer) return ok((await addCustomer(input.customer.typed, by, now)).id)
  const found = await tx.customer.findUnique({ where: { id: input.customer.id }, select: { id: true } })
  return found
    ? ok(found.id)
    : refuse('customer', 'This customer is not known here: choose again, or type a new one.', 'customerId')
}

/** Writes a new enquiry down, with its customer where that is new. The same form sent twice makes one order. */
export async function addOrder(
  input: OrderInput & { formKey: string },
  by: Actor,
  now: Instant,
  films?: Map<string, Prisma.JsonValue>,
): Promise<Result<{ number: number }>> {
  return transaction(async tx => {
    const known = await tx.order.findUnique({ where: { formKey: input.formKey }, select: { number: true } })
    if (known) return ok({ number: known.number })
    const lines = decideLines(input.lines, await styles())
    if (!lines.ok) return lines
    const lost = await refuseArtwork(input)
    if (lost) return lost
    const customer = await customerFor(tx, input, by, now)
    if (!customer.ok) return customer
    const number = await nextNumber(tx)
    const row = await tx.order.create({
      data: {
        number,
        customerId: customer.value,
        title: input.title,
        note: input.note,
        promiseAt: date(input.promise?.at ?? null),
        promiseHard: input.promise?.hard ?? false,
        rush: input.rush,
        enquiredAt: new Date(now),
        formKey: input.formKey,
        lines: { create: lineRows(lines.value, films) },
      },
    })
    await record({
      by,
      what: `wrote down enquiry ${number}`,
      entity: 'order',
      ref: row.id,
      after: { state: row.state, title: input.title },
      at: new Date(now),
    })
    return ok({ number })
  })
}

/**
 * Writes an order down again for the same customer: the same blanks, sizes, prints and films, as a new enquiry that is priced by today's
 * rates. The promise is left open, and the same form sent twice makes one. Blanks that are no longer sold are left out: its note names them.
 * @returns its number, the way it was made by, and what was left out
 */
export function repeatOrder(
  number: number,
  formKey: string,
  by: Actor,
  now: Instant,
): Promise<Result<{ number: number; way: string | null; left: string[] }>> {
  return transaction(async tx => {
    const old = await getOrder(number)
    if (!old) return noOrder(number)
    const again = repeatOf(old, await styles())
    if (!again.ok) return again
    const { input, left } = again.value
    const prints = await tx.print.findMany({
      where: { line: { orderId: old.id } },
      select: { placement: true, artworkId: true, layers: true, line: { select: { styleId: true } } },
    })
    const films = new Map(prints.flatMap(p => (p.layers ? [[printKey(p.line.styleId, p), p.layers]] : [])))
    const made = await addOrder({ ...input, formKey }, by, now, films)
    if (!made.ok) return made
    const row = await tx.order.findUniqueOrThrow({
      where: { number: made.value.number },
      select: { id: true },
    })
    await record({
      by,
      what: `repeats order ${number}${left.length ? ` without ${left.join('; ')}` : ''}`,
      entity: 'order',
      ref: row.id,
      at: new Date(now),
    })
    return ok({ number: made.value.number, way: old.way ?? old.method, left })
  })
}

/** Changes an enquiry, unless somebody saved before. What is offered or agreed stays as it is. */
export async function editOrder(
  number: number,
  input: OrderInput & { version: number },
  by: Actor,
  now: Instant,
): Promise<Result<{ number: number }> | Conflict<OrderView>> {
  return transaction(async tx => {
    const saved = await getOrder(number)
    if (!saved) return noOrder(number)
    if (saved.state !== 'enquiry')
      return refuse(
        'state',
        saved.state === 'offered'
          ? `Order ${number} is offered, so it stays as the customer reads it: take the offer back first.`
          : `Order ${number} is ${STATE_WORDS[saved.state]} and stays as it was agreed: write a new order for anything else.`,
      )
    if (saved.version !== input.version) return conflict(`Order ${number} was changed`, saved)
    const lines = decideLines(input.lines, await styles())
    if (!lines.ok) return lines
    const lost = await refuseArtwork(input)
    if (lost) return lost
    const customer = await customerFor(tx, input, by, now)
    if (!customer.ok) return customer
    const made = await tx.print.findMany({
      where: { line: { orderId: saved.id }, layers: { not: Prisma.DbNull } },
      select: { placement: true, artworkId: true, layers: true, line: { select: { styleId: true } } },
    })
    const films = new Map(made.map(p => [printKey(p.line.styleId, p), p.layers]))
    await tx.orderLine.deleteMany({ where: { orderId: saved.id } })
    await tx.order.update({
      where: { id: saved.id },
      data: {
        customerId: customer.value,
        title: input.title,
        note: input.note,
        promiseAt: date(input.promise?.at ?? null),
        promiseHard: input.promise?.hard ?? false,
        rush: input.rush,
        version: { increment: 1 },
        lines: { create: lineRows(lines.value, films) },
      },
    })
    await record({
      by,
      what: `changed enquiry ${number}`,
      entity: 'order',
      ref: saved.id,
      before: asJson({
        title: saved.title,
        note: saved.note,
        promiseAt: saved.promiseAt,
        lines: saved.lines,
      }),
      after: asJson(input),
      at: new Date(now),
    })
    return ok({ number })
  })
}

// Offers

const offerRow = (draft: OfferDraft) => ({
  version: draft.version,
  method: draft.method,
  snapshot: asJson(draft.snapshot),
  netMinor: draft.net,
  taxMinor: draft.tax,
  grossMinor: draft.gross,
  costMinor: draft.cost,
  validUntil: new Date(draft.validUntil),
})

/** Writes an offer down; what was open before it ends. @returns its address */
async function writeOffer(
  tx: Tx,
  orderId: string,
  draft: OfferDraft,
  by: Actor,
  now: Instant,
): Promise<string> {
  await tx.offer.updateMany({
    where: { orderId, agreedAt: null, declinedAt: null, endedAt: null },
    data: { endedAt: new Date(now) },
  })
  // 192 bits: nobody comes upon an address by trying.
  const token = randomBytes(24).toString('base64url')
  await tx.offer.create({
    data: { ...offerRow(draft), orderId, token, createdAt: new Date(now), byName: by.name },
  })
  return token
}

/** Makes an offer. An earlier one that nobody has answered ends with it. */
export async function makeOffer(
  number: number,
  version: number,
  terms: OfferTerms,
  shop: ShopFacts,
  by: Actor,
  now: Instant,
): Promise<Result<{ version: number; token: string }>> {
  return transaction(async tx => {
    const order = await getOrder(number)
    if (!order) return noOrder(number)
    if (order.version !== version)
      return refuse(
        'conflict',
        `Order ${number} was changed while you looked at it: look at the new figures, then offer again.`,
      )
    const { name, currency, timeZone, measures } = shop
    const next = (order.offers[0]?.version ?? 0) + 1
    const draft = decideOffer(order, terms, { name, currency, timeZone, measures }, next, now)
    if (!draft.ok) return draft
    const token = await writeOffer(tx, order.id, draft.value, by, now)
    await tx.order.update({
      where: { id: order.id },
      data: {
        state: 'offered',
        offeredAt: new Date(now),
        asked: '',
        method: terms.method,
        way: terms.way ?? null,
        promiseAt: new Date(terms.promise.at),
        promiseHard: terms.promise.hard,
        version: { increment: 1 },
      },
    })
    await record({
      by,
      what: `made offer ${offerName(number, next)}`,
      entity: 'order',
      ref: order.id,
      before: { state: order.state },
      after: {
        state: 'offered',
        net: terms.price.net,
        cost: terms.price.cost,
        belowCostWhy: draft.value.snapshot.belowCostWhy,
      },
      at: new Date(now),
    })
    return ok({ version: next, token })
  })
}

/** Offers the same again with a later last day, as a new version. What was offered before ends as it was read. */
export async function renewOffer(
  number: number,
  input: { version: number; validUntil: Instant },
  by: Actor,
  now: Instant,
): Promise<Result<{ version: number; token: string }>> {
  return transaction(async tx => {
    const order = await getOrder(number)
    const newest = order?.offers[0]
    if (!order || !newest) return noOrder(number)
    if (newest.version !== input.version)
      return refuse(
        'conflict',
        `There is a newer offer ${offerName(number, newest.version)}: look at that one first.`,
      )
    const draft = decideRenewal(order, newest, input.validUntil, now)
    if (!draft.ok) return draft
    const token = await writeOffer(tx, order.id, draft.value, by, now)
    await tx.order.update({
      where: { id: order.id },
      data: { offeredAt: new Date(now), version: { increment: 1 } },
    })
    await record({
      by,
      what: `offered it again as ${offerName(number, draft.value.version)}`,
      entity: 'order',
      ref: order.id,
      before: { validUntil: newest.validUntil },
      after: { validUntil: input.validUntil },
      at: new Date(now),
    })
    return ok({ version: draft.value.version, token })
  })
}

/** What one piece of the newest offer costs to make, rounded; null before the first offer. */
export async function costOfNewestOffer(): Promise<Minor | null> {
  const row = await db().offer.findFirst({
    orderBy: { createdAt: 'desc' },
    select: { costMinor: true, snapshot: true },
  })
  if (!row || row.costMinor <= 0) return null
  const { page } = row.snapshot as unknown as OfferSnapshot
  const pieces = page.lines.reduce((sum, l) => sum + l.pieces, 0)
  return pieces > 0 ? minor(Math.max(1, Math.round(row.costMinor / pieces))) : null
}

/** Takes the open offer back: the order is an enquiry again and can be changed. */
export async function takeOfferBack(
  number: number,
  by: Actor,
  now: Instant,
): Promise<Result<{ number: number }>> {
  return transaction(async tx => {
    const order = await getOrder(number)
    if (!order) return noOrder(number)
    const moved = await moveOrderTx(tx, order.id, 'enquiry', { by, now, what: 'took the offer back' })
    return moved.ok ? ok({ number }) : moved
  })
}

/** An offer and its order by the address that the customer holds; null where there is none. */
export async function findOffer(token: string): Promise<{ order: OrderView; offer: OfferRecord } | null> {
  if (!/^[\w-]{20,64}$/.test(token)) return null
  const row = await db().offer.findUnique({ where: { token }, include: { order: { include: fullOrder } } })
  if (!row) return null
  return { order: asOrder(row.order), offer: asOffer(row) }
}
const noOffer = (): Refusal =>
  refuse('unknown', 'There is no offer at this address: check that it was copied whole, or ask the shop.')

/** An offer that its customer may still answer, or why not. */
async function findOpenOffer(
  token: string,
  now: Instant,
): Promise<Result<{ order: OrderView; offer: OfferRecord }>> {
  const found = await findOffer(token)
  if (!found) return noOffer()
  return refuseAnswer(found.order, found.offer, now) ?? ok(found)
}

/** Notes that the customer has looked at an offer, the first time. */
export async function noteOpened(offerId: string, now: Instant): Promise<void> {
  await db().offer.updateMany({ where: { id: offerId, openedAt: null }, data: { openedAt: new Date(now) } })
}

/** Agrees to an offer: the order, the offer and the declared rights, in the transaction that the caller is in. */
export async function agreeOfferTx(
  tx: Tx,
  consent: Consent & { token: string; now: Instant },
): Promise<Result<{ order: OrderView; agreement: Agreement }>> {
  const { token, now, name } = consent
  const found = await findOffer(token)
  if (!found) return noOffer()
  const { order, offer } = found
  const decided = decideAgreement(order, offer, consent, now)
  if (!decided.ok) return decided
  const agreement = decided.value
  const by: Actor = { id: null, name }
  const when = new Date(now)
  for (const { artworkId, evidence } of agreement.declarations) {
    const declared = await recordClearance(
      { artwork: artworkId, basis: 'customerDeclaration', evidence },
      by,
      when,
    )
    if (!declared.ok) return declared
  }
  await tx.offer.update({ where: { id: offer.id }, data: { agreedAt: when, agreedName: name } })
  const { agreedAt, promiseAt, agreed, net, tax, gross, deposit, ...plain } = agreement.order
  await tx.order.update({
    where: { id: order.id },
    data: {
      ...plain,
      agreedAt: date(agreedAt),
      promiseAt: date(promiseAt),
      agreed: asJson(agreed),
      netMinor: net,
      taxMinor: tax,
      grossMinor: gross,
      depositMinor: deposit,
      version: { increment: 1 },
    },
  })
  await record({
    by,
    what: agreement.what,
    entity: 'order',
    ref: order.id,
    before: { state: order.state },
    after: { state: 'agreed', net, tax, gross, method: offer.method },
    at: when,
  })
  const saved = await getOrderById(order.id)
  if (!saved) return noOrder(order.number)
  return ok({ order: saved, agreement })
}

/** The customer asks for something else: the offer ends, and the enquiry carries the wish. */
export async function askChange(asked: {
  token: string
  name: string
  text: string
  now: Instant
}): Promise<Result<{ number: number }>> {
  return transaction(async tx => {
    const found = await findOpenOffer(asked.token, asked.now)
    if (!found.ok) return found
    const { order, offer } = found.value
    const moved = await moveOrderTx(tx, order.id, 'enquiry', {
      by: { id: null, name: asked.name },
      now: asked.now,
      what: `asked for a change to offer ${offerName(order.number, offer.version)}`,
      asked: asked.text,
    })
    return moved.ok ? ok({ number: order.number }) : moved
  })
}

/** The customer says no. */
export async function declineOffer(answer: {
  token: string
  name: string
  why: string
  now: Instant
}): Promise<Result<{ number: number }>> {
  return transaction(async tx => {
    const found = await findOpenOffer(answer.token, answer.now)
    if (!found.ok) return found
    const { order, offer } = found.value
    await tx.offer.update({ where: { id: offer.id }, data: { declinedAt: new Date(answer.now) } })
    const moved = await moveOrderTx(tx, order.id, 'declined', {
      by: { id: null, name: answer.name },
      now: answer.now,
      what: `declined offer ${offerName(order.number, offer.version)}`,
      why: answer.why,
    })
    return moved.ok ? ok({ number: order.number }) : moved
  })
}

// States

/** What goes with a change of state. */
export type MoveNote = {
  by: Actor
  now: Instant
  /** For the history, in words; the state's own word when left out. */
  what?: string
  /** Why it ended. */
  why?: string
  /** What the customer asks to be changed. */
  asked?: string
  /** Refuses when somebody has changed the order since. */
  version?: number
}

/** Changes the state of an order by the table, in the transaction that the caller is in, with its dates and its history. */
export async function moveOrderTx(
  tx: Tx,
  orderId: string,
  to: OrderState,
  note: MoveNote,
): Promise<Result<OrderView>> {
  const order = await getOrderById(orderId)
  if (!order) return refuse('unknown', 'This order is not known here: look it up by its number.')
  const no = refuseMove(order.number, order.state, to)
  if (no) return no
  if (note.version !== undefined && note.version !== order.version)
    return refuse(
      'conflict',
      `Order ${order.number} was changed while you looked at it: look again, then decide.`,
    )
  const when = new Date(note.now)
  if (order.state === 'offered' && to !== 'agreed')
    await tx.offer.updateMany({
      where: { orderId, agreedAt: null, declinedAt: null, endedAt: null },
      data: { endedAt: when },
    })
  await tx.order.update({
    where: { id: orderId },
    data: {
      state: to,
      version: { increment: 1 },
      ...(to === 'ready' ? { readyAt: when } : {}),
      // Back from ready: it will be ready again, later.
      ...(to === 'making' ? { readyAt: null } : {}),
      ...(to === 'handedOver' ? { handedOverAt: when } : {}),
      ...(to === 'declined' || to === 'withdrawn' ? { endedAt: when, endedWhy: note.why ?? '' } : {}),
      ...(to === 'enquiry' ? { asked: note.asked ?? '' } : {}),
    },
  })
  if (to === 'ready') await giveBackAllowanceTx(tx, orderId)
  if (to === 'handedOver' || to === 'withdrawn') await releasePromisesTx(tx, orderId)
  await record({
    by: note.by,
    what: note.what ?? `order ${order.number} is ${STATE_WORDS[to]}`,
    entity: 'order',
    ref: orderId,
    before: { state: order.state },
    after: {
      state: to,
      ...(note.why ? { why: note.why } : {}),
      ...(note.asked ? { asked: note.asked } : {}),
    },
    at: when,
  })
  const saved = await getOrderById(orderId)
  return saved ? ok(saved) : noOrder(order.number)
}

/** Hands a ready order over. What is still due stays due: payment is a matter of its own. */
export async function handOver(
  number: number,
  version: number,
  by: Actor,
  now: Instant,
): Promise<Result<OrderView>> {
  return transaction(async tx => {
    const order = await getOrder(number)
    if (!order) return noOrder(number)
    return moveOrderTx(tx, order.id, 'handedOver', { by, now, version, what: `handed order ${number} over` })
  })
}

/** Ends an order that will not be made, in the transaction that the caller is in: its blanks are free again. */
export async function withdrawOrderTx(
  tx: Tx,
  number: number,
  note: { by: Actor; now: Instant; why: string; version: number },
): Promise<Result<OrderView>> {
  const order = await getOrder(number)
  if (!order) return noOrder(number)
  return moveOrderTx(tx, order.id, 'withdrawn', { ...note, what: `withdrew order ${number}` })
}

// Payments

/** Books money taken or given back. The same form sent twice books once. */
export async function bookPayment(
  number: number,
  input: { kind: PaymentKind; amount: Minor; means: PaymentMeans; note: string; formKey: string },
  by: Actor,
  now: Instant,
  show: (amount: Minor) => string,
): Promise<Result<{ amount: Minor; again: boolean }>> {
  return transaction(async tx => {
    const booked = await tx.payment.findUnique({ where: { formKey: input.formKey } })
    if (booked) return ok({ amount: minor(booked.amountMinor), again: true })
    const order = await getOrder(number)
    if (!order) return noOrder(number)
    const decided = decidePayment(order, openOffer(order.offers, now), input.kind, input.amount, show)
    if (!decided.ok) return decided
    const { amount } = decided.value
    await tx.payment.create({
      data: {
        orderId: order.id,
        kind: input.kind,
        amountMinor: amount,
        means: input.means,
        note: input.note,
        at: new Date(now),
        byName: by.name,
        formKey: input.formKey,
      },
    })
    await record({
      by,
      what:
        amount < 0
          ? `gave ${show(minor(-amount))} back`
          : `took ${show(amount)} (${input.kind}, ${input.means})`,
      entity: 'order',
      ref: order.id,
      before: { paid: accountOf(order).paid },
      after: { paid: accountOf(order).paid + amount },
      at: new Date(now),
    })
    return ok({ amount, again: false })
  })
}

/** Whether any offer of an order is waiting for its customer. */
export const isWaiting = (order: OrderView, now: Instant): boolean =>
  order.offers.some(o => standingOf(o, now) === 'open')
