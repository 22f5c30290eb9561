import 'server-only'
import { db, Prisma, type Tx, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { containing } from '@/lib/server/sql'
import type { BaseUnit } from '@/lib/units/base-unit'
import { type Micro, micro } from '@/lib/units/money'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { formatLongDay, type Instant, instantOf } from '@/lib/units/time'
import { type PriceBreak, readBreaks } from './breaks'
import { itemDifference } from './item-difference'
import { exactAmount, type ItemKind, type ItemSort } from './items'
import {
  bookLots,
  type CameLot,
  type Draw,
  type DrawnGoods,
  drawLots,
  isExpired,
  type Lot,
  type LotBooked,
  type LotEntry,
  lotsLeft,
} from './lots'
import {
  type Booked,
  type Entry,
  type Intent,
  type MovementKind,
  onShelf,
  revalue,
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
  type Standing,
  standing,
} from './promises'
import { toOrder } from './reorder'
import { fifoWorth, type Layer, type Shelf, type Valuation } from './valuation'

/** Who books: a signed-in person, or a name alone. */
export type By = Actor | string
/** Who books, as the history names them. */
export const actor = (by: By): Actor => (typeof by === 'string' ? { id: null, name: by } : by)

/** Whole micro-units from the database. @throws RangeError beyond what a number holds exactly. */
export const microOf = (n: bigint | number | null): Micro => micro(Number(n ?? 0))

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

// ---- Reading ----

/** Where items stand, in base units, with what the shelf is worth. */
export type Level = Standing & { itemId: string; worth: Micro }

/**
 * Free quantity of each consumable that the shop keeps a book of, base units, all its items together. What is out of date is not
 * free: nobody should plan work on it.
 */
export async function consumablesFree(now: Instant): Promise<Map<string, number>> {
  const items = await db().stockItem.findMany({
    where: { consumable: { not: null }, retired: false },
    select: { id: true, consumable: true },
  })
  const shelf = await levels(items.map(i => i.id))
  const free = new Map<string, number>()
  for (const { id, consumable } of items) {
    const key = consumable ?? ''
    free.set(key, (free.get(key) ?? 0) + (shelf.get(id)?.free ?? 0))
  }
  for (const { itemId, left } of await expiredLots(now)) {
    const key = items.find(i => i.id === itemId)?.consumable
    if (key) free.set(key, (free.get(key) ?? 0) - left)
  }
  return free
}

/** A lot on a shelf, with its item and what was said about its date. */
export type LotLine = Lot & {
  itemId: string
  sku: string
  name: string
  unit: BaseUnit
  /** As the maker says; null: no date. */
  expiresAt: Instant | null
  /** Who said that it is good for longer, and why; '' nobody. */
  extendedBy: string
  extendedWhy: string
}

type LotRow = Prisma.StockLotGetPayload<{ include: { item: true } }>
const lotLine = (r: LotRow): LotLine => ({
  ...lotOf(r),
  itemId: r.itemId,
  sku: r.item.sku,
  name: r.item.name,
  unit: r.item.unit as BaseUnit,
  expiresAt: r.expiresAt && instantOf(r.expiresAt),
  extendedBy: r.extendedBy,
  extendedWhy: r.extendedWhy,
})

/** Lots with something left that are out of date, the oldest first. */
export const expiredLots = (now: Instant): Promise<LotLine[]> => lotsUntil(now)

/** Lots with something left that go out of date before an instant, or are already, the first first. */
export async function lotsUntil(until: Instant): Promise<LotLine[]> {
  const rows = await db().stockLot.findMany({
    where: { onHand: { gt: 0 }, expiresAt: { lt: new Date(until) } },
    include: { item: true },
    orderBy: { expiresAt: 'asc' },
  })
  return rows.map(lotLine).filter(l => isExpired(l, until))
}

/** The lots on one shelf in the order of use, with '' for what came without one. */
export async function lotsOf(itemId: string, now: Instant): Promise<LotLine[]> {
  const rows = await db().stockLot.findMany({
    where: { itemId, onHand: { not: 0 } },
    include: { item: true },
  })
  if (rows.length === 0) return []
  const last = await db().movement.findFirst({ where: { itemId }, orderBy: { position: 'desc' } })
  const lines = new Map(rows.map(r => [r.lot, lotLine(r)]))
  const [first] = lines.values()
  return lotsLeft([...lines.values()], last?.onHand ?? 0, now).map(l => ({
    ...(first as LotLine),
    ...{ expiresAt: null, extendedBy: '', extendedWhy: '' },
    ...lines.get(l.lot),
    ...l,
  }))
}

const lotOf = (r: {
  lot: string
  onHand: number
  expiresAt: Date | null
  extendedTo: Date | null
  firstAt: Date
}): Lot => ({
  lot: r.lot,
  left: r.onHand,
  goodUntil: r.expiresAt && instantOf(r.extendedTo ?? r.expiresAt),
  firstAt: instantOf(r.firstAt),
})

/** Levels of some items, or of all. Each is two index look-ups, however long the book is. */
export async function levels(itemIds?: readonly string[]): Promise<Map<string, Level>> {
  if (itemIds?.length === 0) return new Map()
  const which = itemIds ? Prisma.sql`WHERE i."id" IN (${Prisma.join([...new Set(itemIds)])})` : Prisma.empty
  const rows = await db().$queryRaw<
    {
      id: string
      onHand: number | null
      worth: bigint | null
      promised: number | null
      allowance: number | null
      coming: number | null
      written: number | null
      carrying: number | null
    }[]
  >(Prisma.sql`
    SELECT i."id",
      (SELECT m."onHand" FROM "Movement" m WHERE m."itemId" = i."id" ORDER BY m."position" DESC LIMIT 1) AS "onHand",
      (SELECT m."worthMicro" FROM "Movement" m WHERE m."itemId" = i."id" ORDER BY m."position" DESC LIMIT 1) AS "worth",
      (SELECT SUM(p."quantity") FROM "StockPromise" p WHERE p."itemId" = i."id") AS "promised",
      (SELECT SUM(p."allowance") FROM "StockPromise" p WHERE p."itemId" = i."id") AS "allowance",
      (SELECT SUM(l."quantity" - l."received" - l."givenUp") FROM "PurchaseLine" l JOIN "Purchase" o ON o."id" = l."purchaseId"
        WHERE l."itemId" = i."id" AND o."state" = 'sent' AND l."quantity" > l."received" + l."givenUp") AS "coming",
      (SELECT SUM(l."quantity") FROM "PurchaseLine" l JOIN "Purchase" o ON o."id" = l."purchaseId"
        WHERE l."itemId" = i."id" AND o."state" = 'draft') AS "written",
      (SELECT COUNT(*) FROM "Frame" f JOIN "FrameUse" u ON u."frameId" = f."id"
        WHERE f."itemId" = i."id" AND f."goneAt" IS NULL AND u."endedAt" IS NULL) AS "carrying"
    FROM "StockItem" i ${which}`)
  return new Map(
    rows.map(r => [
      r.id,
      {
        itemId: r.id,
        worth: microOf(r.worth),
        ...standing(
          Number(r.onHand ?? 0),
          Number(r.promised ?? 0),
          Number(r.coming ?? 0),
          Number(r.allowance ?? 0),
          Number(r.written ?? 0),
          Number(r.carrying ?? 0),
        ),
      },
    ]),
  )
}

/** An item with where it stands. Quantities in base units; `price` buys `pricePer` of them, which is also the pack. */
export type ItemLine = {
  id: string
  sku: string
  name: string
  kind: ItemKind
  unit: BaseUnit
  styleId: string | null
  styleName: string | null
  colour: string | null
  colourHex: string | null
  size: string | null
  consumable: string | null
  supplier: string
  reorderPoint: number
  reorderTo: number
  leadDays: number
  price: Micro
  pricePer: number
  /** The supplier sells no less of it, base units; 0: any quantity. */
  minOrder: number
  /** How wide the roll is that it comes off, mm, where it is counted by area; null: it does not, or nobody has said. */
  widthMm: number | null
  /** Other prices from a quantity on. */
  breaks: PriceBreak[]
  retired: boolean
  version: number
  level: Level
  /** What to order now, base units; 0 when there is enough. */
  toOrder: number
}

export type ItemSearch = {
  kind?: ItemKind
  styleId?: string
  /** Words that must all be in the name, SKU, colour or supplier; a size word means the size. */
  words?: string
  /** Retired items too. */
  retired?: boolean
}

type ItemRow = Prisma.StockItemGetPayload<{ include: { style: { select: { name: true } } } }>

const nothing = (itemId: string): Level => ({ itemId, worth: micro(0), ...standing(0, 0, 0) })

/** What is to be ordered of an item; nothing of one that is no longer bought. */
const orderOf = (
  row: Pick<ItemRow, 'kind' | 'pricePer' | 'reorderPoint' | 'reorderTo' | 'retired'>,
  at: Level,
): number =>
  row.retired
    ? 0
    : toOrder(at, { point: row.reorderPoint, upTo: row.reorderTo, pack: packOf(row.kind, row.pricePer) })

function itemLine(row: ItemRow, level: Level | undefined): ItemLine {
  const at = level ?? nothing(row.id)
  return {
    id: row.id,
    sku: row.sku,
    name: row.name,
    kind: row.kind as ItemKind,
    unit: row.unit as BaseUnit,
    styleId: row.styleId,
    styleName: row.style?.name ?? null,
    colour: row.colour,
    colourHex: row.colourHex,
    size: row.size,
    consumable: row.consumable,
    supplier: row.supplier,
    reorderPoint: row.reorderPoint,
    reorderTo: row.reorderTo,
    leadDays: row.leadDays,
    price: microOf(row.priceMicro),
    pricePer: row.pricePer,
    minOrder: row.minOrder,
    widthMm: row.widthMm,
    breaks: readBreaks(row.breaks),
    retired: row.retired,
    version: row.version,
    level: at,
    toOrder: orderOf(row, at),
  }
}

/** Blanks are ordered by the piece; everything else by the pack that its price buys. */
export const packOf = (kind: string, pricePer: number): number => (kind === 'blank' ? 1 : pricePer)

/** A word that can only mean a size: an M anywhere in a name would find nearly everything. */
const SIZE_WORD = /^(y?(xs|s|m|l|xl)|[2-5]xl)$/i

/** The rows that a search asks for. */
function foundBy(search: ItemSearch): Prisma.StockItemWhereInput {
  const words = (search.words ?? '').split(/\s+/).filter(Boolean).slice(0, 8)
  return {
    ...(search.kind ? { kind: search.kind } : {}),
    ...(search.styleId ? { styleId: search.styleId } : {}),
    ...(search.retired ? {} : { retired: false }),
    AND: words.map(word =>
      SIZE_WORD.test(word)
        ? { size: word.toUpperCase() }
        : {
            OR: [
              { name: containing(word) },
              { sku: containing(word) },
              { colour: containing(word) },
              { supplier: containing(word) },
            ],
          },
    ),
  }
}

const withStyle = { style: { select: { name: true } } } as const
const byKind = [{ kind: 'asc' }, { sku: 'asc' }] as const satisfies Prisma.StockItemOrderByWithRelationInput[]
/** Levels of many items at once: beyond some hundred all are read, for a statement names only so many values. */
const levelsOf = (ids: readonly string[]) => levels(ids.length > 400 ? undefined : ids)

/** Items by kind and SKU, with where they stand. */
export async function listItems(search: ItemSearch = {}): Promise<ItemLine[]> {
  const rows = await db().stockItem.findMany({
    where: foundBy(search),
    include: withStyle,
    orderBy: [...byKind],
  })
  const at = await levelsOf(rows.map(r => r.id))
  return rows.map(row => itemLine(row, at.get(row.id)))
}

/** A page of items: the rows that stand on it, how many fit in all, and what the shelves of all of them are worth. */
export type ItemPage = { rows: ItemLine[]; total: number; worth: Micro }

/**
 * One page of the items that fit. Of those on other pages only where they stand is read, never their rows.
 * @param page from 1
 */
export async function itemPage(
  search: ItemSearch & { only?: 'short' | 'order' | undefined; sort?: ItemSort | undefined; down?: boolean },
  page: number,
  size: number,
): Promise<ItemPage> {
  const { only, sort, down = false } = search
  const named = sort === 'name' || sort === 'sku'
  const found = await db().stockItem.findMany({
    where: foundBy(search),
    select: { id: true, kind: true, pricePer: true, reorderPoint: true, reorderTo: true, retired: true },
    orderBy: named ? [{ [sort]: down ? 'desc' : 'asc' }, { sku: 'asc' }] : [...byKind],
  })
  const at = await levelsOf(found.map(f => f.id))
  const level = (id: string): Level => at.get(id) ?? nothing(id)
  const fit = found.filter(f =>
    only === 'short' ? level(f.id).short > 0 : only === 'order' ? orderOf(f, level(f.id)) > 0 : true,
  )
  if (sort && !named) fit.sort((a, b) => (down ? -1 : 1) * (level(a.id)[sort] - level(b.id)[sort]) || 0)
  const here = fit.slice((page - 1) * size, page * size).map(f => f.id)
  const rows = await db().stockItem.findMany({ where: { id: { in: here } }, include: withStyle })
  const lines = new Map(rows.map(r => [r.id, itemLine(r, at.get(r.id))]))
  return {
    rows: here.flatMap(id => lines.get(id) ?? []),
    total: fit.length,
    worth: micro(fit.reduce((sum, f) => sum + level(f.id).worth, 0)),
  }
}

/** One item by its SKU. */
export async function findItem(sku: string): Promise<ItemLine | null> {
  const row = await db().stockItem.findUnique({
    where: { sku },
    include: { style: { select: { name: true } } },
  })
  if (!row) return null
  return itemLine(row, (await levels([row.id])).get(row.id))
}

/** A line of an item's book as people read it. */
export type BookLine = {
  id: string
  position: number
  kind: MovementKind
  quantity: number
  value: Micro
  onHand: number
  worth: Micro
  why: string
  at: Instant
  byName: string
  orderNumber: number | null
  purchaseNumber: number | null
  counters: string | null
  takenBack: boolean
  lot: string
}

/** Lines of an item's book, newest first. @param below only lines before this position */
export async function bookOf(itemId: string, { below, most = 100 }: { below?: number; most?: number } = {}) {
  const rows = await db().movement.findMany({
    where: { itemId, ...(below === undefined ? {} : { position: { lt: below } }) },
    include: { order: { select: { number: true } } },
    orderBy: { position: 'desc' },
    take: most,
  })
  const backs = await db().movement.findMany({
    where: { counters: { in: rows.map(r => r.id) } },
    select: { counters: true },
  })
  const purchases = await db().purchase.findMany({
    where: { id: { in: rows.flatMap(r => r.purchaseId ?? []) } },
    select: { id: true, number: true },
  })
  const takenBack = new Set(backs.map(b => b.counters))
  const numberOf = new Map(purchases.map(p => [p.id, p.number]))
  return rows.map(
    (r): BookLine => ({
      id: r.id,
      position: r.position,
      kind: r.kind as MovementKind,
      quantity: r.quantity,
      value: microOf(r.valueMicro),
      onHand: r.onHand,
      worth: microOf(r.worthMicro),
      why: r.why,
      at: instantOf(r.at),
      byName: r.byName,
      orderNumber: r.order?.number ?? null,
      purchaseNumber: numberOf.get(r.purchaseId ?? '') ?? null,
      counters: r.counters,
      takenBack: takenBack.has(r.id),
      lot: r.lot,
    }),
  )
}

/** What is left on the shelf of each receipt, oldest first, with what it is worth. */
export async function layersOf(itemId: string): Promise<ReturnType<typeof onShelf>> {
  return onShelf((await openShelf(db(), itemId)).shelf)
}

/** Orders that an item is promised to. */
export async function promisesOf(itemId: string) {
  const rows = await db().stockPromise.findMany({ where: { itemId }, orderBy: { id: 'asc' } })
  const orders = await db().order.findMany({
    where: { id: { in: rows.map(r => r.orderId) } },
    select: { id: true, number: true, promiseAt: true },
  })
  const found = new Map(orders.map(o => [o.id, o]))
  return rows.flatMap(r => {
    const order = found.get(r.orderId)
    return order
      ? [
          {
            orderNumber: order.number,
            quantity: r.quantity,
            allowance: r.allowance,
            promiseAt: order.promiseAt && instantOf(order.promiseAt),
          },
        ]
      : []
  })
}

/** Newest lines of an item's book, as far as what is on hand needs them: at most `most`. */
export async function newestLines(itemId: string, most = 500) {
  const rows = await db().movement.findMany({
    where: { itemId },
    select: { kind: true, quantity: true, onHand: true, at: true, byName: true },
    orderBy: { position: 'desc' },
    take: most,
  })
  return rows.map(r => ({ ...r, kind: r.kind as MovementKind, at: instantOf(r.at) }))
}

/** What is on the way of an item, purchase by purchase, the earliest first. @param state draft: what is written and not sent instead */
export async function comingOf(itemId: string, state: 'sent' | 'draft' = 'sent') {
  const rows = await db().purchaseLine.findMany({
    where: { itemId, purchase: { state } },
    include: { purchase: { select: { number: true, dueAt: true } } },
  })
  return rows
    .map(r => ({
      purchase: r.purchase.number,
      quantity: r.quantity - r.received - r.givenUp,
      dueAt: r.purchase.dueAt && instantOf(r.purchase.dueAt),
    }))
    .filter(r => r.quantity > 0)
    .sort((a, b) => (a.dueAt ?? Number.POSITIVE_INFINITY) - (b.dueAt ?? Number.POSITIVE_INFINITY))
}

/** What was used of an item on each of so many days up to now, oldest first, in base units. Days are 24 hours. */
export async function dailyUse(itemId: string, days: number, now: Instant): Promise<number[]> {
  const from = now - days * 86_400_000
  const rows = await db().movement.findMany({
    where: { itemId, kind: { in: ['issued', 'spoiled'] }, at: { gte: new Date(from), lt: new Date(now) } },
    select: { at: true, quantity: true },
  })
  const used = Array.from({ length: days }, () => 0)
  for (const r of rows) {
    const day = Math.min(days - 1, Math.floor((r.at.getTime() - from) / 86_400_000))
    used[day] = (used[day] ?? 0) - r.quantity
  }
  return used.map(n => Math.max(0, n))
}

// ---- Writing ----

/** What a line in the book is about. */
type About = {
  orderId?: string | undefined
  stepId?: string | undefined
  reportId?: string | undefined
  purchaseId?: string | undefined
  formKey?: string | undefined
}

type Open = { shelf: Shelf; position: number; layerIds: string[]; lots: Lot[] }

/** The newest layers that cover what is on hand, oldest first, with the ids of their lines. */
async function openShelf(tx: Tx, itemId: string): Promise<Open> {
  const last = await tx.movement.findFirst({ where: { itemId }, orderBy: { position: 'desc' } })
  if (!last) return { shelf: { onHand: 0, worth: micro(0), layers: [] }, position: 0, layerIds: [], lots: [] }
  const lots = (await tx.stockLot.findMany({ where: { itemId } })).map(lotOf)
  const layers: Layer[] = []
  const layerIds: string[] = []
  let covered = 0
  let below = last.position + 1
  for (;;) {
    const rows = await tx.$queryRaw<
      { id: string; position: number; quantity: number; value: bigint }[]
    >(Prisma.sql`
      SELECT m."id", m."position", m."quantity", m."valueMicro" AS "value" FROM "Movement" m
      WHERE m."itemId" = ${itemId} AND m."position" < ${below} AND m."quantity" > 0
        AND NOT EXISTS (SELECT 1 FROM "Movement" c WHERE c."counters" = m."id")
      ORDER BY m."position" DESC LIMIT 32`)
    for (const row of rows) {
      layers.unshift({ quantity: Number(row.quantity), value: microOf(row.value) })
      layerIds.unshift(row.id)
      covered += Number(row.quantity)
      below = Number(row.position)
    }
    if (rows.length < 32 || covered >= last.onHand) break
  }
  return {
    shelf: { onHand: last.onHand, worth: microOf(last.worthMicro), layers },
    position: last.position,
    layerIds,
    lots,
  }
}

/** What booking needs to know of a shelf's lots. */
const lotShelf = (lots: readonly Lot[], now: Instant, zone: string) => ({
  lots,
  now,
  day: (at: Instant) => formatLongDay(at, zone),
})

async function write(
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

// ---- Items ----

/** A new item. Quantities in base units; `price` micro-units buy `pricePer` of them. */
export type NewItem = {
  sku: string
  name: string
  kind: ItemKind
  unit: BaseUnit
  price: Micro
  pricePer?: number
  styleId?: string
  colour?: string
  colourHex?: string
  size?: string
  consumable?: string
  supplier?: string
  reorderPoint?: number
  reorderTo?: number
  leadDays?: number
  widthMm?: number | null
}

/** Adds an item, in the caller's transaction where there is one. @returns its id, or a refusal about the SKU */
export async function addItem(item: NewItem, by: By, now: Instant): Promise<Result<string>> {
  return attempt(async tx => {
    if (await tx.stockItem.count({ where: { sku: item.sku } }))
      throw new Refused(refuse('taken', `There is an item ${item.sku} already: choose another SKU.`, 'sku'))
    const { price, ...rest } = item
    const row = await tx.stockItem.create({ data: { ...rest, priceMicro: BigInt(price) } })
    await record({
      by: actor(by),
      what: `added ${item.name} to the stockroom`,
      entity: 'item',
      ref: row.id,
      after: { sku: item.sku, name: item.name },
      at: new Date(now),
    })
    return row.id
  })
}

/** A style with all its blanks, as lib/shop describes them. */
export type StyleWithBlanks = {
  code: string
  name: string
  kind: string
  fibres: Record<string, number>
  items: Omit<NewItem, 'styleId' | 'kind' | 'unit'>[]
}

/** Adds a style with its blanks, all of it or nothing. A code or SKU that is taken is refused. */
export function addStyle(style: StyleWithBlanks, by: By, now: Instant): Promise<Result<string>> {
  return attempt(async tx => {
    const { items, ...facts } = style
    if (await tx.blankStyle.count({ where: { code: style.code } }))
      throw new Refused(
        refuse('taken', `There is a style ${style.code} already: choose another code.`, 'code'),
      )
    const { id } = await tx.blankStyle.create({ data: facts })
    for (const item of items)
      must(await addItem({ ...item, styleId: id, kind: 'blank', unit: 'piece' }, by, now))
    return id
  })
}

/** What can be changed of an item later. */
export type ItemChange = Pick<
  ItemLine,
  | 'name'
  | 'supplier'
  | 'reorderPoint'
  | 'reorderTo'
  | 'leadDays'
  | 'price'
  | 'minOrder'
  | 'breaks'
  | 'retired'
> & { widthMm?: number | null }

/** Changes an item, if nobody changed it since `version` was read. The refusal shows what stands there now. */
export function changeItem(
  sku: string,
  version: number,
  change: ItemChange,
  by: By,
  now: Instant,
): Promise<Result<void>> {
  return attempt(async tx => {
    const row = await tx.stockItem.findUnique({ where: { sku } })
    if (!row)
      throw new Refused(refuse('no-item', `There is no item ${sku.slice(0, 60)}: choose one from the list.`))
    if (row.version !== version) {
      const shop = await tx.shop.findUnique({ where: { id: 1 }, select: { currency: true } })
      const saved = { ...row, price: microOf(row.priceMicro) }
      const other = itemDifference(saved, change, row.unit as BaseUnit, shop?.currency ?? 'EUR')
      throw new Refused(
        refuse(
          'changed',
          `Somebody changed ${row.name} meanwhile${other ? `; saved now: ${other}` : ''}. Load the page again, then change what you wish.`,
        ),
      )
    }
    const { price, breaks, ...rest } = change
    await tx.stockItem.update({
      where: { sku },
      data: {
        ...rest,
        priceMicro: BigInt(price),
        breaks: breaks.map(b => ({ ...b })),
        version: { increment: 1 },
      },
    })
    const before = Object.fromEntries(Object.keys(rest).map(k => [k, row[k as keyof typeof rest]]))
    await record({
      by: actor(by),
      what: `changed ${row.name}`,
      entity: 'item',
      ref: row.id,
      before: { ...before, price: Number(row.priceMicro), breaks: readBreaks(row.breaks) },
      after: { ...rest, price, breaks },
      at: new Date(now),
    })
  })
}

/**
 * Changes how the shop values stock. Toward first in, first out each shelf whose worth differs gets one line that moves no
 * goods; toward moving average nothing has to be written.
 */
export function changeValuation(valuation: Valuation, by: By, now: Instant): Promise<Result<number>> {
  return attempt(async tx => {
    const before = await stockRules(tx)
    if (before.valuation === valuation) return 0
    await tx.shop.update({ where: { id: 1 }, data: { valuation, version: { increment: 1 } } })
    let lines = 0
    if (valuation === 'fifo')
      for (const item of await tx.stockItem.findMany({ select: { id: true } })) {
        const { shelf, position } = await openShelf(tx, item.id)
        const entry = revalue(
          shelf,
          fifoWorth(shelf.layers, shelf.onHand),
          'Valued first in, first out from now on',
        )
        if (!entry) continue
        await write(tx, item.id, position, [entry], by, now, {})
        lines++
      }
    await record({
      by: actor(by),
      what: 'changed how stock is valued',
      entity: 'shop',
      ref: 'valuation',
      before: { valuation: before.valuation },
      after: { valuation },
      at: new Date(now),
    })
    return lines
  })
}
