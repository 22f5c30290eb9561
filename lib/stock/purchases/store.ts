import 'server-only'
import { db, Prisma, type Tx } from '@/lib/server/database'
import { record } from '@/lib/server/history'
import { withoutIndex } from '@/lib/server/sql'
import type { BaseUnit } from '@/lib/units/base-unit'
import { type Micro, micro, prorate, sumMicro } from '@/lib/units/money'
import { type Result, refuse } from '@/lib/units/result'
import { type Instant, instantOf } from '@/lib/units/time'
import type { ItemKind } from '../items'
import type { CameLot } from '../lots'
import {
  complete,
  type PurchaseLine,
  type PurchaseState,
  receive,
  refusePurchaseMove,
  refuseTrouble,
} from '../purchase'
import { type Outcome, TROUBLE_WORDS, type TroubleKind } from '../purchase-words'
import { actor, attempt, type By, Refused, receiveTx } from '../store'
import { microOf } from '../views/store'

/** A line of a purchase with its item. */
export type PurchaseLineView = PurchaseLine & {
  id: string
  itemId: string
  sku: string
  kind: ItemKind
  pack: number
}

/** What came wrong of a purchase. */
export type TroubleView = {
  id: string
  name: string
  sku: string
  unit: BaseUnit
  kind: TroubleKind
  quantity: number
  outcome: Outcome
  note: string
  at: Instant
  byName: string
}

/** A purchase with its lines. */
export type PurchaseView = {
  id: string
  number: number
  supplier: string
  state: PurchaseState
  dueAt: Instant | null
  note: string
  createdAt: Instant
  byName: string
  /** When somebody said that it went out; null: it still has to. */
  sentAt: Instant | null
  version: number
  lines: PurchaseLineView[]
  troubles: TroubleView[]
  value: Micro
}

const withLines = {
  lines: { include: { item: true }, orderBy: { item: { sku: 'asc' } } },
  troubles: { include: { item: true }, orderBy: { at: 'desc' } },
} satisfies Prisma.PurchaseInclude
type Row = Prisma.PurchaseGetPayload<{ include: typeof withLines }>

function view(row: Row): PurchaseView {
  const lines = row.lines.map(l => ({
    id: l.id,
    itemId: l.itemId,
    sku: l.item.sku,
    kind: l.item.kind as ItemKind,
    pack: l.item.pricePer,
    name: l.item.name,
    unit: l.item.unit as BaseUnit,
    quantity: l.quantity,
    received: l.received,
    givenUp: l.givenUp,
    value: microOf(l.valueMicro),
  }))
  return {
    id: row.id,
    number: row.number,
    supplier: row.supplier,
    state: row.state as PurchaseState,
    dueAt: row.dueAt && instantOf(row.dueAt),
    note: row.note,
    createdAt: instantOf(row.createdAt),
    byName: row.byName,
    sentAt: row.sentAt && instantOf(row.sentAt),
    version: row.version,
    lines,
    troubles: row.troubles.map(t => ({
      id: t.id,
      name: t.item.name,
      sku: t.item.sku,
      unit: t.item.unit as BaseUnit,
      kind: t.kind as TroubleKind,
      quantity: t.quantity,
      outcome: t.outcome as Outcome,
      note: t.note,
      at: instantOf(t.at),
      byName: t.byName,
    })),
    value: sumMicro(lines.map(l => l.value)),
  }
}

/** Purchases that are written or on the way, the earliest due first. */
export async function openPurchases(): Promise<PurchaseView[]> {
  const rows = await db().purchase.findMany({
    where: { state: { in: ['draft', 'sent'] } },
    include: withLines,
    orderBy: [{ dueAt: { sort: 'asc', nulls: 'first' } }, { number: 'asc' }],
  })
  return rows.map(view)
}

/** A page of the purchases of which nothing more comes, the newest first. @param page from 1 */
export async function endedPurchases(
  page: number,
  size: number,
): Promise<{ total: number; rows: PurchaseView[] }> {
  const where = { state: { in: ['received', 'cancelled'] } }
  const rows = await db().purchase.findMany({
    where,
    include: withLines,
    orderBy: { number: 'desc' },
    skip: (page - 1) * size,
    take: size,
  })
  return { total: await db().purchase.count({ where }), rows: rows.map(view) }
}

/** One purchase by its number. */
export async function findPurchase(number: number): Promise<PurchaseView | null> {
  const row = await db().purchase.findUnique({ where: { number }, include: withLines })
  return row && view(row)
}

/** What was received of an item on a purchase: what the supplier charged against what was ordered for as much. */
export type Charged = {
  purchase: number
  supplier: string
  sku: string
  name: string
  unit: BaseUnit
  /** Base units received. */
  quantity: number
  ordered: Micro
  charged: Micro
  /** Charged − ordered: (price charged − price ordered) × what was received, above 0 dearer. */
  difference: Micro
}

/**
 * Receipts that a condition on "Movement" m and "Purchase" p picks out, by purchase and item; what was taken back is left out.
 * Nearly every line of the stock book stands under “none” in the index of `counters`.
 */
async function charges(which: Prisma.Sql): Promise<Charged[]> {
  const rows = await db().$queryRaw<
    (Record<'number' | 'quantity' | 'charged' | 'lineQuantity' | 'lineValue', number | bigint> &
      Record<'supplier' | 'sku' | 'name' | 'unit', string>)[]
  >(Prisma.sql`
    SELECT p."number", p."supplier", i."sku", i."name", i."unit", SUM(m."quantity") AS "quantity", SUM(m."valueMicro") AS "charged",
      (SELECT SUM(l."quantity") FROM "PurchaseLine" l WHERE l."purchaseId" = p."id" AND l."itemId" = i."id") AS "lineQuantity",
      (SELECT SUM(l."valueMicro") FROM "PurchaseLine" l WHERE l."purchaseId" = p."id" AND l."itemId" = i."id") AS "lineValue"
    FROM "Movement" m JOIN "Purchase" p ON p."id" = m."purchaseId" JOIN "StockItem" i ON i."id" = m."itemId"
    WHERE m."kind" = 'received' AND m."quantity" > 0 AND ${withoutIndex(Prisma.sql`m."counters"`)} IS NULL AND ${which}
      AND NOT EXISTS (SELECT 1 FROM "Movement" c WHERE c."counters" = m."id")
    GROUP BY p."id", p."number", p."supplier", i."id", i."sku", i."name", i."unit" ORDER BY p."number", i."sku"`)
  return rows.map(r => {
    const [quantity, charged] = [Number(r.quantity), microOf(Number(r.charged))]
    const ordered = prorate(microOf(Number(r.lineValue)), quantity, Math.max(1, Number(r.lineQuantity)))
    const { supplier, sku, name } = r
    const what = { purchase: Number(r.number), supplier, sku, name, unit: r.unit as BaseUnit }
    return { ...what, quantity, ordered, charged, difference: micro(charged - ordered) }
  })
}

/** What was charged on one purchase so far, item by item. */
export const chargedOn = (purchaseId: string): Promise<Charged[]> =>
  charges(Prisma.sql`p."id" = ${purchaseId}`)

/** What was received in a span at another price than was ordered, the furthest off first. */
export const chargedOtherwise = async ({ from, to }: { from: Instant; to: Instant }): Promise<Charged[]> =>
  (await charges(Prisma.sql`m."at" >= ${new Date(from)} AND m."at" < ${new Date(to)}`))
    .filter(c => c.difference !== 0)
    .sort((a, b) => Math.abs(b.difference) - Math.abs(a.difference))

/** Goods on the way and due before an instant, for what comes today. */
export const comingBefore = async (until: Instant): Promise<PurchaseView[]> =>
  (
    await db().purchase.findMany({
      where: { state: 'sent', dueAt: { lt: new Date(until) } },
      include: withLines,
      orderBy: { dueAt: 'asc' },
    })
  ).map(view)

/** When what is on the way of some items is due, earliest first; without a date: null. Base units still to come. */
export async function arrivals(
  itemIds: readonly string[],
): Promise<{ itemId: string; quantity: number; dueAt: Instant | null }[]> {
  const rows = await db().purchaseLine.findMany({
    where: { itemId: { in: [...itemIds] }, purchase: { state: 'sent' } },
    include: { purchase: { select: { dueAt: true } } },
  })
  return rows
    .map(r => ({
      itemId: r.itemId,
      quantity: r.quantity - r.received - r.givenUp,
      dueAt: r.purchase.dueAt && instantOf(r.purchase.dueAt),
    }))
    .filter(r => r.quantity > 0)
    .sort((a, b) => (a.dueAt ?? Number.POSITIVE_INFINITY) - (b.dueAt ?? Number.POSITIVE_INFINITY))
}

/** What is written to buy. Quantities in base units, what each line costs in micro-units. */
export type NewPurchase = {
  supplier: string
  dueAt: Instant | null
  note: string
  rows: readonly { itemId: string; quantity: number; value: Micro }[]
  by: By
  now: Instant
  formKey?: string
}

/** The next running number, without gaps: taken inside the transaction that uses it. */
async function nextNumber(tx: Tx): Promise<number> {
  const counter = await tx.counter.upsert({
    where: { name: 'purchase' },
    create: { name: 'purchase', next: 2 },
    update: { next: { increment: 1 } },
  })
  return counter.next - 1
}

/** Writes a purchase. Nothing of it is on the way until it is sent. @returns its number */
export function writePurchase(purchase: NewPurchase): Promise<Result<number>> {
  return attempt(async tx => {
    const { supplier, dueAt, note, rows, by, now, formKey } = purchase
    if (formKey) {
      const same = await tx.purchase.findUnique({ where: { formKey }, select: { number: true } })
      if (same) return same.number
    }
    if (rows.length === 0)
      throw new Refused(
        refuse('empty', 'Nothing is on this purchase: type how much to order of at least one item.'),
      )
    const number = await nextNumber(tx)
    const row = await tx.purchase.create({
      data: {
        number,
        supplier,
        state: 'draft',
        dueAt: dueAt === null ? null : new Date(dueAt),
        note,
        byName: actor(by).name,
        createdAt: new Date(now),
        formKey: formKey ?? null,
        lines: {
          create: rows.map(({ itemId, quantity, value }) => ({
            itemId,
            quantity,
            valueMicro: BigInt(value),
          })),
        },
      },
    })
    await record({
      by: actor(by),
      what: `wrote purchase ${number} for ${supplier || 'a supplier'}`,
      entity: 'purchase',
      ref: row.id,
      after: { state: 'draft', number, lines: rows.length },
      at: new Date(now),
    })
    return number
  })
}

/**
 * What came of one line: good pieces, `value` where the supplier charged something else than was ordered, their lot; and pieces that are
 * wrong or damaged, or that the parcel lacked, with what was agreed about them.
 */
export type Came = {
  lineId: string
  quantity: number
  value?: Micro
  lot?: CameLot
  bad?: { quantity: number; kind: TroubleKind; outcome: Outcome; note: string }
}

/** Notes that a purchase went out to its supplier: from now on its goods are on the way. */
export function purchaseSent(number: number, version: number, by: By, now: Instant): Promise<Result<void>> {
  return attempt(async tx => {
    const row = await open(tx, number, version)
    if (row.state === 'sent') return
    await tx.purchase.update({
      where: { id: row.id },
      data: { state: 'sent', sentAt: new Date(now), version: { increment: 1 } },
    })
    await record({
      by: actor(by),
      what: `sent purchase ${number} to ${row.supplier || 'its supplier'}`,
      entity: 'purchase',
      ref: row.id,
      before: { state: row.state },
      after: { state: 'sent' },
      at: new Date(now),
    })
  })
}

/**
 * Receives a purchase, in part or whole: the goods go onto the shelves in the same transaction. What comes was sent, whether somebody
 * noted that or not.
 * @param version as it was when the form was drawn: two people receiving one parcel do not book it twice
 * @param keepMore more than was ordered is kept; else it is asked about
 */
export function receivePurchase(
  number: number,
  version: number,
  came: readonly Came[],
  by: By,
  now: Instant,
  keepMore = false,
): Promise<Result<PurchaseState>> {
  return attempt(async tx => {
    const row = await open(tx, number, version)
    const here = came.filter(c => c.quantity !== 0 || c.bad)
    if (here.length === 0)
      throw new Refused(refuse('nothing', 'Nothing was received: type how much came of at least one line.'))
    const lines = new Map(view(row).lines.map(l => [l.id, l]))
    for (const { lineId, quantity, value, lot, bad } of here) {
      const line = lines.get(lineId)
      if (!line)
        throw new Refused(refuse('no-line', `A line is not on purchase ${number} any more: open it again.`))
      const part = receive(line, quantity, keepMore)
      if (!part.ok) throw new Refused({ ...part, field: `came.${lineId}` })
      if (quantity > 0) {
        const goods = { quantity, value: value ?? part.value.value, why: `Purchase ${number}`, came: lot }
        const put = await receiveTx(tx, line.itemId, goods, by, now, { purchaseId: row.id })
        if (!put.ok) throw new Refused({ ...put, field: `${put.field ?? 'came'}.${lineId}` })
      }
      const after = { ...line, received: part.value.received }
      if (bad) {
        const no = refuseTrouble(after, bad.quantity)
        if (no) throw new Refused({ ...no, field: `bad.${lineId}` })
        if (bad.outcome === 'credit') after.givenUp += bad.quantity
        await tx.purchaseTrouble.create({
          data: {
            purchaseId: row.id,
            itemId: line.itemId,
            ...bad,
            at: new Date(now),
            byName: actor(by).name,
          },
        })
      }
      const { received, givenUp } = after
      await tx.purchaseLine.update({ where: { id: lineId }, data: { received, givenUp } })
      lines.set(lineId, after)
    }
    const state: PurchaseState = complete([...lines.values()]) ? 'received' : 'sent'
    const sentAt = row.state === 'draft' ? new Date(now) : row.sentAt
    await tx.purchase.update({ where: { id: row.id }, data: { state, sentAt, version: { increment: 1 } } })
    await record({
      by: actor(by),
      what: `received ${state === 'received' ? 'all' : 'a part'} of purchase ${number}`,
      entity: 'purchase',
      ref: row.id,
      before: { state: row.state },
      after: {
        state,
        lines: here.map(c => ({
          sku: lines.get(c.lineId)?.sku ?? '',
          quantity: c.quantity,
          ...(c.bad ? { [TROUBLE_WORDS[c.bad.kind]]: c.bad.quantity } : {}),
        })),
      },
      at: new Date(now),
    })
    return state
  })
}

/** Ends a purchase of which nothing more will come: what was received stays, the rest is no longer on the way. */
export function endPurchase(
  number: number,
  version: number,
  why: string,
  by: By,
  now: Instant,
): Promise<Result<PurchaseState>> {
  return attempt(async tx => {
    const row = await open(tx, number, version)
    const state: PurchaseState = row.lines.some(l => l.received > 0) ? 'received' : 'cancelled'
    const no = refusePurchaseMove(number, row.state as PurchaseState, state)
    if (no) throw new Refused(no)
    await tx.purchase.update({
      where: { id: row.id },
      data: { state, note: [row.note, why].filter(Boolean).join('\n'), version: { increment: 1 } },
    })
    await record({
      by: actor(by),
      what: `ended purchase ${number}: ${why || 'no reason given'}`,
      entity: 'purchase',
      ref: row.id,
      before: { state: row.state },
      after: { state },
      at: new Date(now),
    })
    return state
  })
}

async function open(tx: Tx, number: number, version: number): Promise<Row> {
  const row = await tx.purchase.findUnique({ where: { number }, include: withLines })
  if (!row)
    throw new Refused(refuse('no-purchase', `There is no purchase ${number}: choose one from the list.`))
  if (row.state !== 'draft' && row.state !== 'sent')
    throw new Refused(
      refuse('state', `Purchase ${number} is ${row.state} already: nothing more is expected of it.`),
    )
  if (row.version !== version)
    throw new Refused(
      refuse(
        'changed',
        `Somebody received or changed purchase ${number} meanwhile: open it again to see what came.`,
      ),
    )
  return row
}
