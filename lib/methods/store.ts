import 'server-only'
import { sizeRanges } from '@/lib/artwork/print-sizes'
import { sizeRulesSchema } from '@/lib/artwork/size-rules'
import { artKey, designOf } from '@/lib/costing/order'
import { type Costing, prepare } from '@/lib/costing/prepare'
import { takenPaces } from '@/lib/costing/store'
import { db, kept, Prisma, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { withoutIndex } from '@/lib/server/sql'
import { SIZES } from '@/lib/shop/blanks'
import { finish } from '@/lib/shop/recipes'
import { recipeAt, recipesNow } from '@/lib/shop/recipes/store'
import { rateCardAt, ratesOf, shop, stations } from '@/lib/shop/store'
import { framesOfKept, freeKeptTx, keepFramesTx } from '@/lib/stock/frames/store'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { type Instant, instantOf } from '@/lib/units/time'
import { type AgreedWay, readAgreedWay } from './agreed-way'
import { type PriceList, priceListSchema } from './contract'
import { allWays, type Way } from './way'

/** The shop as costing needs it, and every way that it has to make an order: its own recipes, and other printers. */
export type ShopWays = { costing: Costing; rateCard: string; ways: Way[]; lists: PriceList[] }

/** The shop's ways with the recipes, rates, clocked times and price lists that count at an instant. */
export async function shopWaysAt(now: Instant): Promise<ShopWays> {
  const [facts, card, machines, recipes, taken, lists] = await Promise.all([
    shop(),
    rateCardAt(now),
    stations(now),
    recipesNow(),
    takenPaces(),
    priceLists(),
  ])
  const costing = prepare({
    recipes: recipes.usual,
    finish,
    stations: machines,
    rates: card.rates,
    show: { currency: facts.currency, locale: 'en', system: facts.measures },
    taken,
  })
  return {
    costing,
    rateCard: card.id,
    ways: allWays(costing, recipes.more),
    lists: lists.map(l => l.list),
  }
}

/** The shop as costing needs it, with its usual recipes and the rates that count at an instant. */
export const costingAt = async (now: Instant): Promise<Costing> => (await shopWaysAt(now)).costing

/**
 * The shop as costing needs it for what was agreed: the recipe version, the rates and the clocked times of the offer, whatever was
 * changed since. An offer that kept none of them is worked by what counts now.
 */
export async function costingAsAgreed(
  work: unknown,
  now: Instant,
): Promise<{ costing: Costing; way: AgreedWay | null }> {
  const costing = await costingAt(now)
  const way = readAgreedWay(work)
  if (!way) return { costing, way }
  const [recipe, rates] = await Promise.all([
    way.recipe ? recipeAt(way.recipe.id, way.recipe.version) : null,
    ratesOf(way.rateCard),
  ])
  return {
    way,
    costing: prepare({
      ...costing,
      recipes: recipe ? { ...costing.recipes, [recipe.method]: recipe } : costing.recipes,
      rates: rates ?? costing.rates,
      taken: way.taken,
    }),
  }
}

/** A price list as it counts now, with its version and who wrote it. */
export type ListRow = { list: PriceList; version: number; byName: string; at: Instant }

/** The price lists of other printers that count now, by name. */
export const priceLists = (): Promise<readonly ListRow[]> => kept(['PrinterList'], 'price lists', readLists)

async function readLists(): Promise<ListRow[]> {
  const rows = await db().printerList.findMany({ orderBy: [{ listId: 'asc' }, { version: 'desc' }] })
  const seen = new Set<string>()
  return rows
    .filter(r => {
      const first = !seen.has(r.listId)
      seen.add(r.listId)
      return first && !r.retired
    })
    .map(r => ({
      list: priceListSchema.parse(r.data),
      version: r.version,
      byName: r.byName,
      at: instantOf(r.createdAt),
    }))
    .sort((a, b) => a.list.name.localeCompare(b.list.name))
}

/** Somebody saved first: what stands now. */
export type ListConflict = Refusal & { code: 'conflict'; saved: ListRow }

/** Writes a price list down, a new one (version 0) or a newer version of one. Offers made with an earlier one keep theirs. */
export function savePriceList(
  list: PriceList,
  basedOn: number,
  by: Actor,
  now: Instant,
): Promise<Result<PriceList> | ListConflict> {
  return transaction(async tx => {
    const all = await priceLists()
    const saved = all.find(l => l.list.key === list.key)
    if (saved && saved.version !== basedOn)
      return {
        ok: false,
        code: 'conflict',
        message: `${saved.byName} changed this list while you had it open: see below what stands now. Save again to put yours on top.`,
        saved,
      }
    if (all.some(l => l.list.key !== list.key && l.list.name.toLowerCase() === list.name.toLowerCase()))
      return refuse(
        'name-taken',
        `There is a price list “${list.name}” already: give this one another name.`,
        'name',
      )
    const last = await tx.printerList.findFirst({
      where: { listId: list.key },
      orderBy: { version: 'desc' },
    })
    await tx.printerList.create({
      data: {
        listId: list.key,
        version: (last?.version ?? 0) + 1,
        data: list as unknown as Prisma.InputJsonValue,
        byName: by.name,
        createdAt: new Date(now),
      },
    })
    await record({
      by,
      what: `${saved ? 'changed' : 'wrote down'} the price list of ${list.name}`,
      entity: 'price list',
      ref: list.key,
      ...(saved ? { before: saved.list as unknown as Prisma.InputJsonValue } : {}),
      after: list as unknown as Prisma.InputJsonValue,
      at: new Date(now),
    })
    return ok(list)
  })
}

/** Takes a price list out of the comparison. What was offered by it stays as it was. */
export function retirePriceList(key: string, by: Actor, now: Instant): Promise<Result<string>> {
  return transaction(async tx => {
    const saved = (await priceLists()).find(l => l.list.key === key)
    if (!saved) return refuse('unknown', 'This price list is not in use any more.')
    await tx.printerList.create({
      data: {
        listId: key,
        version: saved.version + 1,
        data: saved.list as unknown as Prisma.InputJsonValue,
        retired: true,
        byName: by.name,
        createdAt: new Date(now),
      },
    })
    await record({
      by,
      what: `put the price list of ${saved.list.name} away`,
      entity: 'price list',
      ref: key,
      before: { inUse: true },
      after: { inUse: false },
      at: new Date(now),
    })
    return ok(saved.list.name)
  })
}

/** A design whose screens stand on the shelf. Lengths in mm. */
export type ShelfScreens = {
  id: string
  artworkId: string
  artwork: string
  design: string
  widthMm: number
  heightMm: number
  screens: number
  place: string
  /** The frames that carry them, by number; none where the shop has not noted them. */
  frames: number[]
  byName: string
  keptAt: Instant
  /** Orders that were screen printed with this design since the screens stand here, and their pieces. */
  orders: number
  pieces: number
  /** The last of them; null: none yet. */
  lastOrder: number | null
}

/** Every design whose screens stand on the shelf, newest first. */
export async function screensOnShelf(): Promise<ShelfScreens[]> {
  const rows = await db().keptScreen.findMany({ where: { goneAt: null }, orderBy: { keptAt: 'desc' } })
  const art = await db().artwork.findMany({
    where: { id: { in: rows.map(r => r.artworkId) } },
    select: { id: true, name: true },
  })
  const names = new Map(art.map(a => [a.id, a.name]))
  const frames = await framesOfKept(rows.map(r => r.id))
  const prints = await db().print.findMany({
    where: {
      artworkId: { in: rows.map(r => r.artworkId) },
      line: { order: { method: 'screen', state: { in: ['making', 'ready', 'handedOver'] } } },
    },
    select: {
      artworkId: true,
      widthMm: true,
      heightMm: true,
      bySize: true,
      line: {
        select: {
          sizes: ORDERED,
          order: { select: { number: true, agreedAt: true } },
        },
      },
    },
  })
  return rows.map(({ goneAt: _, keptAt, ...r }) => {
    const used = prints.flatMap(p =>
      p.line.order.agreedAt !== null && p.line.order.agreedAt >= keptAt
        ? designsOfPrint(p, p.line.sizes)
            .filter(d => designOf(d) === r.design)
            .map(d => ({ pieces: d.pieces, number: p.line.order.number }))
        : [],
    )
    const numbers = used.map(p => p.number)
    return {
      ...r,
      artwork: names.get(r.artworkId) ?? 'an artwork',
      frames: frames.get(r.id) ?? [],
      keptAt: instantOf(keptAt),
      orders: new Set(numbers).size,
      pieces: used.reduce((sum, p) => sum + p.pieces, 0),
      lastOrder: numbers.length ? Math.max(...numbers) : null,
    }
  })
}

const ORDERED = { select: { quantity: true, item: { select: { size: true } } } } as const

/** The designs of a print as it stands in an order: one for each size that its pieces have it in, with how many they are. */
function designsOfPrint(
  print: { artworkId: string | null; widthMm: number; heightMm: number; bySize: unknown },
  ordered: readonly { quantity: number; item: { size: string | null } }[],
): { artworkId: string; widthMm: number; heightMm: number; pieces: number }[] {
  const { artworkId } = print
  if (artworkId === null) return []
  const rules = sizeRulesSchema.safeParse(print.bySize)
  const pieces = ordered.flatMap(z => {
    const size = SIZES.find(s => s === z.item.size)
    return size && z.quantity > 0 ? [{ size, quantity: z.quantity }] : []
  })
  return sizeRanges(
    print,
    pieces.map(z => z.size),
    rules.success ? rules.data : [],
  ).map(({ sizes, widthMm, heightMm }) => ({
    artworkId,
    widthMm,
    heightMm,
    pieces: pieces.reduce((n, z) => n + (sizes.includes(z.size) ? z.quantity : 0), 0),
  }))
}

/**
 * Puts the screens of a design on the shelf: a repeat of it skips making them, in cost and in time. The frames that carry it stay with them.
 * @returns the numbers of those frames
 */
export function keepScreens(
  asked: Pick<ShelfScreens, 'artworkId' | 'widthMm' | 'heightMm' | 'screens' | 'place'>,
  by: Actor,
  now: Instant,
): Promise<Result<number[]>> {
  return transaction(async tx => {
    const kept = { ...asked, design: designOf(asked) }
    if (!(await tx.artwork.findUnique({ where: { id: kept.artworkId }, select: { id: true } })))
      return refuse('artwork', 'This artwork is not known here: choose a design from the list.', 'design')
    const there = await tx.keptScreen.findFirst({ where: { design: kept.design, goneAt: null } })
    if (there) return refuse('kept', 'The screens of this design stand on the shelf already.')
    const row = await tx.keptScreen.create({ data: { ...kept, byName: by.name, keptAt: new Date(now) } })
    await record({
      by,
      what: `put ${kept.screens} ${kept.screens === 1 ? 'screen' : 'screens'} on the shelf${kept.place ? `: ${kept.place}` : ''}`,
      entity: 'screens',
      ref: row.id,
      after: { ...kept },
      at: new Date(now),
    })
    return ok(await keepFramesTx(tx, row.id, kept.design))
  })
}

/** Notes that kept screens are reclaimed or broken: the next order makes them anew. */
export function dropScreens(id: string, by: Actor, now: Instant): Promise<Result<void>> {
  return transaction(async tx => {
    const row = await tx.keptScreen.findFirst({ where: { id, goneAt: null } })
    if (!row) return refuse('gone', 'These screens are off the shelf already.')
    await tx.keptScreen.update({ where: { id }, data: { goneAt: new Date(now) } })
    await freeKeptTx(tx, id, by, now)
    await record({
      by,
      what: `took ${row.screens} kept ${row.screens === 1 ? 'screen' : 'screens'} off the shelf`,
      entity: 'screens',
      ref: id,
      before: { screens: row.screens, place: row.place },
      after: { screens: 0, place: '' },
      at: new Date(now),
    })
    return ok(undefined)
  })
}

/** The designs among these whose screens stand on the shelf. */
export async function keptAmong(designs: readonly string[]): Promise<string[]> {
  const rows = await db().keptScreen.findMany({
    where: { design: { in: [...designs] }, goneAt: null },
    select: { design: true },
  })
  return [...new Set(rows.map(r => r.design))]
}

/**
 * The artworks among these that an order before this one had prepared for a recipe, as artKey names them: it printed them here by that
 * recipe, or has done the step that prepares them.
 * @param orderId the order that asks: what it prepares itself is not yet there
 */
export async function preparedAmong(artworkIds: readonly string[], orderId: string): Promise<string[]> {
  const prints = await db().print.findMany({
    where: {
      artworkId: { in: [...artworkIds] },
      line: { orderId: { not: orderId }, order: { agreedAt: { not: null } } },
    },
    select: { artworkId: true, id: true, line: { select: { orderId: true } } },
    orderBy: { id: 'desc' },
    take: 500,
  })
  if (prints.length === 0) return []
  const done = await db().$queryRaw<{ printId: string; recipe: string | null }[]>(Prisma.sql`
    SELECT DISTINCT "printId", "recipe"->'recipe'->>'id' AS "recipe" FROM "JobStep"
    WHERE "orderId" IN (${Prisma.join([...new Set(prints.map(p => p.line.orderId))])})
      AND "state" = 'done' AND "printId" IN (${Prisma.join(prints.map(p => p.id))})`)
  const artwork = new Map(prints.map(p => [p.id, p.artworkId]))
  return [
    ...new Set(
      done.flatMap(({ printId, recipe }) => {
        const of = artwork.get(printId)
        return of && recipe ? [artKey(recipe, of)] : []
      }),
    ),
  ]
}

/** A design that was printed by screens, as it can be put on the shelf. */
export type PrintedDesign = { artworkId: string; artwork: string; widthMm: number; heightMm: number }

/** Designs of orders that are or were screen printed here and whose screens do not stand on the shelf, newest first. */
export async function printedDesigns(most = 100): Promise<PrintedDesign[]> {
  // By the index of method and number: years of others are not looked at, and no other index is of use here.
  const orders = await db().$queryRaw<{ id: string }[]>(Prisma.sql`
    SELECT "id" FROM "Order" WHERE "method" = 'screen' AND ${withoutIndex(Prisma.sql`"state"`)} IN ('making', 'ready', 'handedOver')
    ORDER BY "number" DESC LIMIT 300`)
  const lines = await db().orderLine.findMany({
    where: { orderId: { in: orders.map(o => o.id) } },
    select: { id: true },
  })
  const rows = await db().print.findMany({
    where: { artworkId: { not: null }, lineId: { in: lines.map(l => l.id) } },
    select: {
      artworkId: true,
      widthMm: true,
      heightMm: true,
      bySize: true,
      artwork: { select: { name: true } },
      line: { select: { sizes: ORDERED } },
    },
    orderBy: { line: { order: { number: 'desc' } } },
    take: 500,
  })
  const kept = new Set((await screensOnShelf()).map(s => s.design))
  const seen = new Map<string, PrintedDesign>()
  for (const row of rows)
    for (const { pieces: _, ...design } of designsOfPrint(row, row.line.sizes)) {
      const key = designOf(design)
      if (kept.has(key) || seen.has(key)) continue
      seen.set(key, { ...design, artwork: row.artwork?.name ?? 'an artwork' })
    }
  return [...seen.values()].slice(0, most)
}
