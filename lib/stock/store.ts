import 'server-only'
import { db, type Tx, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import type { BaseUnit } from '@/lib/units/base-unit'
import { type Micro, micro } from '@/lib/units/money'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { formatLongDay, type Instant, instantOf } from '@/lib/units/time'
import { exactAmount } from './items'
import {
  bookLots,
  type CameLot,
  type Draw,
  type DrawnGoods,
  drawLots,
  type Lot,
  type LotBooked,
  type LotEntry,
} from './lots'
import {
  type Booked,
  type Entry,
  type Intent,
  type MovementKind,
  type ShelfRules,
  takeBack,
  valueOfReturn,
} from './movements'
import {
  gather,
  type Kept,
  type Needed,
  promiseAfterIssue,
  promiseAfterSpoiled,
  promiseAfterUnspoiled,
} from './promises'
import type { Layer, Shelf, Valuation } from './valuation'
import { levels, lotOf, microOf, openShelf } from './views/store'

/** Who books: a signed-in person, or a name alone. */
export type By = Actor | string
/** Who books, as the history names them. */
export const actor = (by: By): Actor => (typeof by === 'string' ? { id: null, name: by } : by)

/** Thrown inside a transaction to undo it; {@link attempt} turns it back into the refusal. */
export class Refused extends Error {
  constructor(readonly refusal: Refusal) {
    super(refusal.message)
  }
}
/** The value of a result, inside {@link attempt}. @throws Refused, which undoes the transaction */
export const must = <T>(result: Result<T>): T => {
  if (!result.ok) throw new Refused(result)
  return result.value
}

/** Runs work in one transaction; a refusal undoes all of it and is handed back. @param seconds see transaction */
export async function attempt<T>(work: (tx: Tx) => Promise<T>, seconds?: number): Promise<Result<T>> {
  try {
    return ok(await transaction(work, seconds))
  } catch (error) {
    if (error instanceof Refused) return error.refusal
    throw error
  }
}

/** How the shop values stock, and whether work may take what the book does not have. */
export async function stockRules(
  tx: Tx = db(),
): Promise<{ valuation: Valuation; belowZero: boolean; timeZone: string }> {
  const shop = await tx.shop.findUnique({
    where: { id: 1 },
    select: { valuation: true, belowZero: true, timeZone: true },
  })
  return {
    valuation: shop?.valuation === 'average' ? 'average' : 'fifo',
    belowZero: shop?.belowZero ?? true,
    timeZone: shop?.timeZone ?? 'UTC',
  }
}

/** What a line in the book is about. */
type About = {
  orderId?: string | undefined
  stepId?: string | undefined
  reportId?: string | undefined
  purchaseId?: string | undefined
  formKey?: string | undefined
}

/** What booking needs to know of a shelf's lots. */
const lotShelf = (lots: readonly Lot[], now: Instant, zone: string) => ({
  lots,
  now,
  day: (at: Instant) => formatLongDay(at, zone),
})

export async function write(
  tx: Tx,
  itemId: string,
  from: number,
  entries: readonly (Entry & Partial<LotEntry>)[],
  by: By,
  now: Instant,
  about: About,
): Promise<string[]> {
  const ids: string[] = []
  for (const [i, e] of entries.entries()) {
    if (e.lot) await moveLot(tx, itemId, { ...e, lot: e.lot }, now)
    const row = await tx.movement.create({
      data: {
        itemId,
        position: from + i + 1,
        kind: e.kind,
        quantity: e.quantity,
        valueMicro: BigInt(e.value),
        onHand: e.onHand,
        worthMicro: BigInt(e.worth),
        why: e.why ?? '',
        at: new Date(now),
        byName: actor(by).name,
        orderId: about.orderId ?? null,
        stepId: about.stepId ?? null,
        reportId: about.reportId ?? null,
        purchaseId: about.purchaseId ?? null,
        counters: e.counters ?? null,
        lot: e.lot ?? '',
        expiresAt: e.lot && e.goodUntil ? new Date(e.goodUntil) : null,
        formKey: i === 0 ? (about.formKey ?? null) : null,
      },
      select: { id: true },
    })
    ids.push(row.id)
  }
  return ids
}

/** Keeps the sum of a lot beside the line that names it. */
async function moveLot(
  tx: Tx,
  itemId: string,
  e: Entry & { lot: string; goodUntil?: Instant | null },
  now: Instant,
) {
  await tx.stockLot.upsert({
    where: { itemId_lot: { itemId, lot: e.lot } },
    create: {
      itemId,
      lot: e.lot,
      expiresAt: e.goodUntil ? new Date(e.goodUntil) : null,
      firstAt: new Date(now),
      onHand: e.quantity,
    },
    update: { onHand: { increment: e.quantity } },
  })
}

type Item = { id: string; sku: string; name: string; unit: string }
const rulesFor = (item: Item, shop: { valuation: Valuation; belowZero: boolean }): ShelfRules => ({
  name: item.name,
  unit: item.unit as BaseUnit,
  ...shop,
})

async function itemOf(tx: Tx, sku: string): Promise<Item> {
  const item = await tx.stockItem.findUnique({ where: { sku } })
  if (!item)
    throw new Refused(refuse('no-item', `There is no item ${sku.slice(0, 60)}: choose one from the list.`))
  return item
}

/** Whether a form has been booked already: sent twice, it counts once. */
const alreadyBooked = async (tx: Tx, formKey: string | undefined): Promise<boolean> =>
  formKey !== undefined && (await tx.movement.count({ where: { formKey } })) > 0

/** A booking that a person makes at the shelf. */
export type Booking = { sku: string; by: By; now: Instant; formKey?: string }

/**
 * Books one intent on one item, with its line in the history. Never takes more than the book has, whatever the shop
 * allows its stations: at the shelf one can count.
 */
export function bookAtShelf(
  { sku, by, now, formKey }: Booking,
  intent: Intent,
  lot: { came?: CameLot; only?: string } = {},
): Promise<Result<LotBooked | null>> {
  return attempt(async tx => {
    if (await alreadyBooked(tx, formKey)) return null
    const item = await itemOf(tx, sku)
    const { shelf, position, lots } = await openShelf(tx, item.id)
    const shop = await stockRules(tx)
    const rules = { ...rulesFor(item, shop), belowZero: false }
    const done = must(bookLots(shelf, intent, rules, lotShelf(lots, now, shop.timeZone), lot))
    await write(tx, item.id, position, done.entries, by, now, { formKey })
    await note(item, by, now, shelf, done, intent.kind)
    return done
  })
}

/** Takes back one line of an item's book by a counter-movement. */
export function takeBackLine(booking: Booking, movementId: string): Promise<Result<Booked | null>> {
  return attempt(async tx => {
    if (await alreadyBooked(tx, booking.formKey)) return null
    return takeBackTx(tx, booking, movementId)
  })
}

/** Takes back one line, inside the caller's transaction. Throws Refused. */
async function takeBackTx(tx: Tx, booking: Booking, movementId: string): Promise<Booked> {
  const item = await itemOf(tx, booking.sku)
  const line = await tx.movement.findUnique({ where: { id: movementId } })
  if (!line || line.itemId !== item.id)
    throw new Refused(refuse('no-line', `This line is not in the book of ${item.name}: open the book again.`))
  const { shelf, position, layerIds } = await openShelf(tx, item.id)
  const written = {
    id: line.id,
    kind: line.kind as MovementKind,
    quantity: line.quantity,
    value: microOf(line.valueMicro),
    counters: line.counters,
    takenBack: (await tx.movement.count({ where: { counters: line.id } })) > 0,
  }
  const rules = rulesFor(item, await stockRules(tx))
  const done = must(takeBack(shelf, written, layerIds.indexOf(line.id), rules))
  const lot = { lot: line.lot, goodUntil: line.expiresAt && instantOf(line.expiresAt) }
  const entries = done.entries.map((e, i) => (i === 0 ? { ...e, ...lot } : e))
  await write(tx, item.id, position, entries, booking.by, booking.now, {
    orderId: line.orderId ?? undefined,
    stepId: line.stepId ?? undefined,
    purchaseId: line.purchaseId ?? undefined,
    formKey: booking.formKey,
  })
  await note(item, booking.by, booking.now, shelf, done, 'took back a line of')
  return done
}

/**
 * Takes back everything that a report of the floor has booked, by counter-movements, inside the caller's transaction. What had been
 * promised to the order and was taken by it is promised again.
 * @param misprint the report is one of spoiled pieces, whose blanks came from no promise
 */
export async function takeBackReportTx(
  tx: Tx,
  reportId: string,
  by: By,
  now: Instant,
  misprint: boolean,
): Promise<void> {
  const lines = await tx.movement.findMany({
    where: { reportId },
    orderBy: { position: 'desc' },
    include: { item: { select: { sku: true, kind: true } } },
  })
  for (const line of lines) {
    await takeBackTx(tx, { sku: line.item.sku, by, now }, line.id)
    const promised = line.kind === 'issued' || (line.kind === 'spoiled' && !misprint)
    if (promised && line.item.kind === 'blank' && line.orderId)
      await promiseForOrderTx(tx, line.orderId, [{ itemId: line.itemId, quantity: -line.quantity }])
  }
}

/** Books unused goods back from an order onto the shelf, at the value that went into the order. */
export function returnFromOrder(
  booking: Booking,
  orderNumber: number,
  quantity: number,
  why: string,
): Promise<Result<Booked | null>> {
  return attempt(async tx => {
    if (await alreadyBooked(tx, booking.formKey)) return null
    const item = await itemOf(tx, booking.sku)
    const order = await tx.order.findUnique({ where: { number: orderNumber }, select: { id: true } })
    if (!order)
      throw new Refused(refuse('no-order', `There is no order ${orderNumber}: check the number.`, 'order'))
    const sums = await tx.movement.aggregate({
      where: { itemId: item.id, orderId: order.id, kind: { in: ['issued', 'returned'] } },
      _sum: { quantity: true, valueMicro: true },
    })
    const issued = {
      quantity: -Number(sums._sum.quantity ?? 0),
      value: micro(-Number(sums._sum.valueMicro ?? 0)),
    }
    const shop = await stockRules(tx)
    const rules = rulesFor(item, shop)
    const value = must(valueOfReturn(issued, quantity, rules))
    const { shelf, position, lots } = await openShelf(tx, item.id)
    const back: Intent = { kind: 'returned', to: 'shelf', quantity, value, why }
    const done = must(bookLots(shelf, back, rules, lotShelf(lots, booking.now, shop.timeZone)))
    await write(tx, item.id, position, done.entries, booking.by, booking.now, {
      orderId: order.id,
      formKey: booking.formKey,
    })
    await note(item, booking.by, booking.now, shelf, done, `returned from order ${orderNumber}`)
    return done
  })
}

const note = (item: Item, by: By, now: Instant, before: Shelf, done: Booked, what: string) =>
  record({
    by: actor(by),
    what: `${what} ${item.name}: on hand ${exactAmount(done.shelf.onHand, item.unit as BaseUnit)}`,
    entity: 'item',
    ref: item.id,
    before: { onHand: before.onHand, worthMicro: before.worth },
    after: { onHand: done.shelf.onHand, worthMicro: done.shelf.worth },
    at: new Date(now),
  })

/** What a station takes for a step of an order. Base units. */
export type Issue = {
  orderId: string
  stepId?: string
  /** The floor's report that takes them. */
  reportId?: string
  rows: readonly Needed[]
  by: By
  now: Instant
  kind: 'issued' | 'spoiled'
  /** Spoiled goods whose remake was promised them: the promise is used up. Issued ones always use it up. */
  promised?: boolean
  why?: string
}

/**
 * What was taken of an item, its value (0 or more), how far the book fell below 0 by it (0: not at all), and what of it was out of date.
 */
export type Issued = {
  itemId: string
  name: string
  unit: BaseUnit
  quantity: number
  value: Micro
  below: number
  expired: Draw[]
}

/**
 * Takes goods off the shelves for an order, inside the caller's transaction. Issued goods use up the order's promise of
 * them. A refusal (short, where the shop does not allow less than 0) comes before anything is written.
 */
export async function issueTx(tx: Tx, issue: Issue): Promise<Result<Issued[]>> {
  const rows = gather(issue.rows)
  const items = new Map(
    (await tx.stockItem.findMany({ where: { id: { in: rows.map(r => r.itemId) } } })).map(i => [i.id, i]),
  )
  const shop = await stockRules(tx)
  const decided: { item: Item; position: number; done: LotBooked; quantity: number }[] = []
  for (const { itemId, quantity } of rows) {
    const item = items.get(itemId)
    if (!item)
      return refuse('no-item', `An item of this step is not in the stockroom any more: ask the stockroom.`)
    const { shelf, position, lots } = await openShelf(tx, itemId)
    const intent: Intent = { kind: issue.kind, quantity, ...(issue.why ? { why: issue.why } : {}) }
    const done = bookLots(shelf, intent, rulesFor(item, shop), lotShelf(lots, issue.now, shop.timeZone))
    if (!done.ok) return done
    decided.push({ item, position, done: done.value, quantity })
  }
  const out: Issued[] = []
  for (const { item, position, done, quantity } of decided) {
    await write(tx, item.id, position, done.entries, issue.by, issue.now, {
      orderId: issue.orderId,
      stepId: issue.stepId,
      reportId: issue.reportId,
    })
    if (issue.kind === 'issued' || issue.promised) await lessenPromise(tx, issue.orderId, item.id, quantity)
    const value = micro(-done.entries.reduce((sum, e) => sum + e.value, 0))
    const below = Math.max(0, -done.shelf.onHand)
    const { id: itemId, name } = item
    const unit = item.unit as BaseUnit
    out.push({ itemId, name, unit, quantity, value, below, expired: done.expired })
  }
  return ok(out)
}

/** What would be drawn from lots that are out of date, if so much were taken now; nothing is written. */
export async function expiredAhead(rows: readonly Needed[], now: Instant): Promise<DrawnGoods[]> {
  const wanted = gather(rows)
  const items = await db().stockItem.findMany({
    where: { id: { in: wanted.map(r => r.itemId) }, lots: { some: { onHand: { gt: 0 } } } },
    include: { lots: true },
  })
  const shelf = await levels(items.map(i => i.id))
  return items.map(i => {
    const quantity = wanted.find(r => r.itemId === i.id)?.quantity ?? 0
    const draws = drawLots(i.lots.map(lotOf), shelf.get(i.id)?.onHand ?? 0, quantity, now)
    return { name: i.name, unit: i.unit as BaseUnit, expired: draws.filter(d => d.expired) }
  })
}

async function lessenPromise(tx: Tx, orderId: string, itemId: string, issued: number) {
  const promise = await tx.stockPromise.findUnique({ where: { orderId_itemId: { orderId, itemId } } })
  if (promise) await keep(tx, orderId, itemId, promiseAfterIssue(promise, issued))
}

async function keep(tx: Tx, orderId: string, itemId: string, { quantity, allowance }: Kept) {
  const where = { orderId_itemId: { orderId, itemId } }
  if (quantity === 0) await tx.stockPromise.deleteMany({ where: { orderId, itemId } })
  else
    await tx.stockPromise.upsert({
      where,
      create: { orderId, itemId, quantity, allowance },
      update: { quantity, allowance },
    })
}

/** What is kept of an item for an order. */
const keptFor = async (tx: Tx, orderId: string, itemId: string): Promise<Kept> =>
  (await tx.stockPromise.findUnique({ where: { orderId_itemId: { orderId, itemId } } })) ?? {
    quantity: 0,
    allowance: 0,
  }

/** Books goods that came from a supplier, inside the caller's transaction. Quantity above 0, value 0 or more. */
export async function receiveTx(
  tx: Tx,
  itemId: string,
  { came, ...goods }: Layer & { why?: string; came?: CameLot | undefined },
  by: By,
  now: Instant,
  about: { purchaseId?: string; formKey?: string },
): Promise<Result<LotBooked>> {
  const item = await tx.stockItem.findUnique({ where: { id: itemId } })
  if (!item) return refuse('no-item', 'This item is not in the stockroom any more: choose another.')
  const { shelf, position, lots } = await openShelf(tx, itemId)
  const shop = await stockRules(tx)
  const at = lotShelf(lots, now, shop.timeZone)
  const done = bookLots(shelf, { kind: 'received', ...goods }, rulesFor(item, shop), at, { came })
  if (done.ok) await write(tx, itemId, position, done.value.entries, by, now, about)
  return done
}

/**
 * Books a count inside the caller's transaction: first the shares of the difference that orders carry, then what is left of it.
 * @param found what the shelf holds after it, base units, 0 or more
 * @param shares base units used beyond what was booked, by order; below 0: less
 * @returns what the whole difference took off the shelf in value, + more was used
 */
export async function countTx(
  tx: Tx,
  itemId: string,
  found: number,
  shares: ReadonlyMap<string, number>,
  why: string,
  by: By,
  now: Instant,
): Promise<Result<Micro>> {
  const item = await tx.stockItem.findUnique({ where: { id: itemId } })
  if (!item) return refuse('no-item', 'This item is not in the stockroom any more: choose another.')
  const shop = await stockRules(tx)
  // Orders that used less come first: their goods are there for the ones that used more.
  const parts = [...[...shares].sort(([, a], [, b]) => a - b), [undefined, null] as const]
  let value = 0
  for (const [orderId, used] of parts) {
    const { shelf, position, lots } = await openShelf(tx, itemId)
    const to = used === null ? found : shelf.onHand - used
    // The shelf itself has its line even where nothing is left over: it was counted.
    const intent: Intent = {
      kind: 'counted',
      found: to,
      why: used === null ? why : `${why}: its share of what was really used`,
    }
    const done = bookLots(shelf, intent, rulesFor(item, shop), lotShelf(lots, now, shop.timeZone))
    if (!done.ok) return done
    await write(tx, itemId, position, done.value.entries, by, now, { orderId })
    value -= done.value.entries.reduce((sum, e) => sum + e.value, 0)
  }
  return ok(micro(value))
}

/** Somebody looked at a lot and says that it is good until a later day, and why: it is used as such from now on. */
export function extendLot(
  { sku, lot, until, why }: { sku: string; lot: string; until: Instant; why: string },
  by: By,
  now: Instant,
): Promise<Result<void>> {
  return attempt(async tx => {
    const item = await itemOf(tx, sku)
    const row = await tx.stockLot.findUnique({ where: { itemId_lot: { itemId: item.id, lot } } })
    if (!row?.expiresAt)
      throw new Refused(
        refuse('lot', `There is no lot ${lot.slice(0, 40)} with a date on the shelf of ${item.name}.`),
      )
    if (until < now) throw new Refused(refuse('day', 'Choose a day that is still to come.', 'until'))
    await tx.stockLot.update({
      where: { id: row.id },
      data: { extendedTo: new Date(until), extendedWhy: why, extendedBy: actor(by).name },
    })
    await record({
      by: actor(by),
      what: `lot ${lot} of ${item.name} is good for longer: ${why}`,
      entity: 'item',
      ref: item.id,
      before: { goodUntil: (row.extendedTo ?? row.expiresAt).toISOString() },
      after: { goodUntil: new Date(until).toISOString() },
      at: new Date(now),
    })
  })
}

/**
 * Promises goods to an order, on top of what it has; short ones are promised too, and asked for in the stockroom.
 * @param allowance pieces beside them that may spoil
 */
export async function promiseForOrderTx(
  tx: Tx,
  orderId: string,
  rows: readonly Needed[],
  allowance: readonly Needed[] = [],
): Promise<void> {
  const spare = new Map(gather(allowance).map(a => [a.itemId, a.quantity]))
  for (const { itemId, quantity } of gather([...rows, ...allowance])) {
    const was = await keptFor(tx, orderId, itemId)
    await keep(tx, orderId, itemId, {
      quantity: was.quantity + quantity,
      allowance: was.allowance + (spare.get(itemId) ?? 0),
    })
  }
}

/** Pieces of an order were spoiled; see {@link promiseAfterSpoiled}. @returns how many of them its allowance covered */
export async function promiseSpoiledTx(
  tx: Tx,
  orderId: string,
  { itemId, quantity }: Needed,
  drawn: boolean,
): Promise<number> {
  const { covered, ...kept } = promiseAfterSpoiled(await keptFor(tx, orderId, itemId), quantity, drawn)
  await keep(tx, orderId, itemId, kept)
  return covered
}

/** Takes {@link promiseSpoiledTx} back. @param covered what it gave back */
export async function promiseUnspoiledTx(
  tx: Tx,
  orderId: string,
  { itemId, quantity }: Needed,
  drawn: boolean,
  covered: number,
): Promise<void> {
  const kept = await keptFor(tx, orderId, itemId)
  await keep(tx, orderId, itemId, promiseAfterUnspoiled(kept, quantity, drawn, covered))
}

/** What is kept for an order and not drawn yet, by SKU. */
export async function keptForOrder(orderId: string) {
  const rows = await db().stockPromise.findMany({
    where: { orderId },
    include: { item: { select: { sku: true, name: true } } },
    orderBy: { item: { sku: 'asc' } },
  })
  return rows.map(r => ({ ...r.item, ordered: r.quantity - r.allowance, allowance: r.allowance }))
}

/** Gives the spoilage allowance of an order back: all of its pieces are good. */
export async function giveBackAllowanceTx(tx: Tx, orderId: string): Promise<void> {
  for (const p of await tx.stockPromise.findMany({ where: { orderId, allowance: { gt: 0 } } }))
    await keep(tx, orderId, p.itemId, { quantity: p.quantity - p.allowance, allowance: 0 })
}

/** Lets go what is still promised to an order: it was withdrawn, or is done. */
export async function releasePromisesTx(tx: Tx, orderId: string): Promise<void> {
  await tx.stockPromise.deleteMany({ where: { orderId } })
}
