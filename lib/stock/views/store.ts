import 'server-only'
import { db, Prisma, type Tx } from '@/lib/server/database'
import { containing } from '@/lib/server/sql'
import type { BaseUnit } from '@/lib/units/base-unit'
import { type Micro, micro } from '@/lib/units/money'
import { type Instant, instantOf } from '@/lib/units/time'
import { type PriceBreak, readBreaks } from '../breaks'
import type { ItemKind, ItemSort } from '../items'
import { isExpired, type Lot, lotsLeft } from '../lots'
import { type MovementKind, onShelf } from '../movements'
import { type Standing, standing } from '../promises'
import { toOrder } from '../reorder'
import type { Layer, Shelf } from '../valuation'

// What lies on the shelves, as pages and other parts read it. Nothing is written here.

/** Whole micro-units from the database. @throws RangeError beyond what a number holds exactly. */
export const microOf = (n: bigint | number | null): Micro => micro(Number(n ?? 0))

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

export const lotOf = (r: {
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

export type Open = { shelf: Shelf; position: number; layerIds: string[]; lots: Lot[] }

/** The newest layers that cover what is on hand, oldest first, with the ids of their lines. */
export async function openShelf(tx: Tx, itemId: string): Promise<Open> {
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
