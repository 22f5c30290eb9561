import 'server-only'
import { db, Prisma, type Tx } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { type Result, refuse } from '@/lib/units/result'
import { type Instant, instantOf } from '@/lib/units/time'
import { attempt, bookAtShelf, must, Refused } from '../store'
import { levels } from '../views/store'
import { chooseFrames, type FreeFrame, frameWords, HIGHEST_FRAME, MOST_FRAMES, nextParts } from './frames'

/** A design at one size, in mm; `design` names both as costing does. */
export type FrameDesign = { artworkId: string; design: string; widthMm: number; heightMm: number }

/** One screen on a frame. */
export type FrameUseLine = FrameDesign & {
  id: string
  artwork: string
  part: number
  orderNumber: number | null
  takenAt: Instant
  takenBy: string
  /** Null: taken and coated, not burnt yet. */
  burntAt: Instant | null
  endedAt: Instant | null
  endedBy: string
  outcome: 'reclaimed' | 'broken' | 'undone' | ''
  kept: boolean
}

/** A frame, what is on it now and how often it was burnt and reclaimed. */
export type FrameLine = {
  id: string
  number: number
  sku: string
  itemName: string
  addedAt: Instant
  goneAt: Instant | null
  burnt: number
  reclaimed: number
  now: FrameUseLine | null
}

type UseRow = Prisma.FrameUseGetPayload<object>

async function linesOf(rows: readonly UseRow[]): Promise<Map<string, FrameUseLine>> {
  const orderIds = [...new Set(rows.flatMap(r => r.orderId ?? []))]
  const [art, orders] = await Promise.all([
    db().artwork.findMany({
      where: { id: { in: [...new Set(rows.map(r => r.artworkId))] } },
      select: { id: true, name: true },
    }),
    db().order.findMany({ where: { id: { in: orderIds } }, select: { id: true, number: true } }),
  ])
  const names = new Map(art.map(a => [a.id, a.name]))
  const numbers = new Map(orders.map(o => [o.id, o.number]))
  return new Map(
    rows.map(r => [
      r.id,
      {
        id: r.id,
        artworkId: r.artworkId,
        artwork: names.get(r.artworkId) ?? 'an artwork',
        design: r.design,
        widthMm: r.widthMm,
        heightMm: r.heightMm,
        part: r.part,
        orderNumber: (r.orderId && numbers.get(r.orderId)) || null,
        takenAt: instantOf(r.takenAt),
        takenBy: r.takenBy,
        burntAt: r.burntAt && instantOf(r.burntAt),
        endedAt: r.endedAt && instantOf(r.endedAt),
        endedBy: r.endedBy,
        outcome: r.outcome as FrameUseLine['outcome'],
        kept: r.keptId !== null,
      },
    ]),
  )
}

/** How often each frame was burnt and reclaimed, by its id. */
async function counts(where: Prisma.Sql): Promise<Map<string, { burnt: number; reclaimed: number }>> {
  const rows = await db().$queryRaw<{ frameId: string; burnt: number; reclaimed: number }[]>(Prisma.sql`
    SELECT u."frameId", COUNT(*) AS "burnt", SUM(CASE WHEN u."outcome" = 'reclaimed' THEN 1 ELSE 0 END) AS "reclaimed"
    FROM "FrameUse" u JOIN "Frame" f ON f."id" = u."frameId"
    WHERE u."burntAt" IS NOT NULL AND u."outcome" <> 'undone' AND ${where} GROUP BY u."frameId"`)
  return new Map(
    rows.map(r => [r.frameId, { burnt: Number(r.burnt), reclaimed: Number(r.reclaimed) }] as const),
  )
}

const withItem = { item: { select: { sku: true, name: true } } } as const
type FrameRow = Prisma.FrameGetPayload<{ include: typeof withItem }>

async function frameLines(rows: readonly FrameRow[], where: Prisma.Sql): Promise<FrameLine[]> {
  if (rows.length === 0) return []
  const [open, sums] = await Promise.all([
    db().frameUse.findMany({ where: { endedAt: null, frameId: { in: rows.map(r => r.id) } } }),
    counts(where),
  ])
  const lines = await linesOf(open)
  const on = new Map(open.map(u => [u.frameId, lines.get(u.id) ?? null]))
  return rows.map(({ item, ...f }) => ({
    id: f.id,
    number: f.number,
    sku: item.sku,
    itemName: item.name,
    addedAt: instantOf(f.addedAt),
    goneAt: f.goneAt && instantOf(f.goneAt),
    ...(sums.get(f.id) ?? { burnt: 0, reclaimed: 0 }),
    now: on.get(f.id) ?? null,
  }))
}

/** Frames that one page shows. */
export const FRAMES_SHOWN = 100

/** The shop's frames by number, those that are gone left out, a page at a time. */
export async function listFrames(page = 1): Promise<{ frames: FrameLine[]; total: number }> {
  const where = { goneAt: null }
  const [rows, total] = await Promise.all([
    db().frame.findMany({
      where,
      include: withItem,
      orderBy: { number: 'asc' },
      skip: (page - 1) * FRAMES_SHOWN,
      take: FRAMES_SHOWN,
    }),
    db().frame.count({ where }),
  ])
  return { frames: await frameLines(rows, Prisma.sql`f."goneAt" IS NULL`), total }
}

/** One frame by its number with what was on it, newest first; null where there is none. */
export async function findFrame(
  number: number,
  most = 100,
): Promise<{ frame: FrameLine; uses: FrameUseLine[] } | null> {
  const row = await db().frame.findUnique({ where: { number }, include: withItem })
  if (!row) return null
  const [frame] = await frameLines([row], Prisma.sql`f."id" = ${row.id}`)
  if (!frame) return null
  const uses = await db().frameUse.findMany({
    where: { frameId: row.id },
    orderBy: [{ takenAt: 'desc' }, { id: 'desc' }],
    take: most,
  })
  return { frame, uses: [...(await linesOf(uses)).values()] }
}

/** The frames of an item that carry a screen, by number, with what it is: what its free ones are reckoned from. */
export async function carriersOf(itemId: string): Promise<{ number: number; words: string }[]> {
  const rows = await db().frame.findMany({
    where: { itemId, goneAt: null, uses: { some: { endedAt: null } } },
    include: { uses: { where: { endedAt: null } } },
    orderBy: { number: 'asc' },
  })
  const lines = await linesOf(rows.flatMap(r => r.uses))
  return rows.map(({ number, uses }) => {
    const line = lines.get(uses[0]?.id ?? '')
    return { number, words: line ? `${line.artwork}, screen ${line.part}` : '' }
  })
}

/** A kind of frame: how many the stock book has, how many of them have a number, and how many carry something. */
export type FrameKind = {
  sku: string
  name: string
  onHand: number
  numbered: number
  carrying: number
}

/** Items of kind screen that are counted by the piece and that no print uses up: the kinds of frames that the shop has. */
export async function frameKinds(): Promise<FrameKind[]> {
  const items = await db().stockItem.findMany({
    where: { kind: 'screen', unit: 'piece', consumable: null, retired: false },
    orderBy: { sku: 'asc' },
    select: { id: true, sku: true, name: true },
  })
  const [at, numbered] = await Promise.all([
    levels(items.map(i => i.id)),
    db().frame.groupBy({
      by: ['itemId'],
      where: { goneAt: null, itemId: { in: items.map(i => i.id) } },
      _count: { _all: true },
    }),
  ])
  const count = new Map(numbered.map(n => [n.itemId, n._count._all]))
  return items.map(({ id, ...i }) => ({
    ...i,
    onHand: at.get(id)?.onHand ?? 0,
    carrying: at.get(id)?.carrying ?? 0,
    numbered: count.get(id) ?? 0,
  }))
}

/** Gives frames that the stock book has their numbers: the next ones after the highest. @returns them */
export function numberFrames(sku: string, many: number, by: Actor, now: Instant): Promise<Result<number[]>> {
  return attempt(async tx => {
    const kind = (await frameKinds()).find(k => k.sku === sku)
    if (!kind)
      throw new Refused(refuse('no-item', 'This is no kind of frame: choose one from the list.', 'sku'))
    const left = kind.onHand - kind.numbered
    if (many < 1 || many > MOST_FRAMES || many > left)
      throw new Refused(
        refuse(
          'many',
          left > 0
            ? `The stock book has ${left} of ${kind.name} without a number: number 1 to ${Math.min(left, MOST_FRAMES)} of them, or receive the others first.`
            : `Every ${kind.name} of the stock book has its number: receive or count new ones first.`,
          'many',
        ),
      )
    const item = await tx.stockItem.findUniqueOrThrow({ where: { sku }, select: { id: true } })
    const { _max } = await tx.frame.aggregate({ _max: { number: true } })
    const first = (_max.number ?? 0) + 1
    if (first + many - 1 > HIGHEST_FRAME)
      throw new Refused(refuse('many', `Frames are numbered up to ${HIGHEST_FRAME}.`, 'many'))
    const numbers = Array.from({ length: many }, (_, i) => first + i)
    await tx.frame.createMany({
      data: numbers.map(number => ({ itemId: item.id, number, byName: by.name, addedAt: new Date(now) })),
    })
    await record({
      by,
      what: `numbered ${frameWords(numbers)}`,
      entity: 'item',
      ref: item.id,
      at: new Date(now),
    })
    return numbers
  })
}

/** Frames without anything on them, with how often each was burnt. */
async function freeFrames(tx: Tx): Promise<FreeFrame[]> {
  const rows = await tx.$queryRaw<{ id: string; number: number; itemId: string; burnt: number }[]>(Prisma.sql`
    SELECT f."id", f."number", f."itemId",
      (SELECT COUNT(*) FROM "FrameUse" u WHERE u."frameId" = f."id" AND u."burntAt" IS NOT NULL AND u."outcome" <> 'undone') AS "burnt"
    FROM "Frame" f WHERE f."goneAt" IS NULL
      AND NOT EXISTS (SELECT 1 FROM "FrameUse" u WHERE u."frameId" = f."id" AND u."endedAt" IS NULL)
    ORDER BY f."number"`)
  return rows.map(r => ({ ...r, number: Number(r.number), burnt: Number(r.burnt) }))
}

/** What frames are taken, burnt and freed for. */
type ForOrder = { orderId: string; by: Actor; now: Instant; reportId: string }

/**
 * Takes frames for the screens of a design that an order is about to have made, inside the caller's transaction: as many as are still
 * missing. A shop that numbers no frames is left alone.
 * @returns the frames that the order then has for it, and how many are lacking; null where no frame has a number
 */
export async function takeFramesTx(
  tx: Tx,
  design: FrameDesign,
  screens: number,
  { orderId, by, now, reportId }: ForOrder,
): Promise<{ numbers: number[]; lacking: number } | null> {
  if ((await tx.frame.count({ where: { goneAt: null } })) === 0) return null
  const has = await tx.frameUse.findMany({
    where: { orderId, design: design.design, endedAt: null },
    include: { frame: { select: { number: true } } },
  })
  const wanted = Math.max(0, screens - has.length)
  const taken = chooseFrames(await freeFrames(tx), wanted)
  const parts = nextParts(
    has.map(u => u.part),
    taken.length,
  )
  await tx.frameUse.createMany({
    data: taken.map((f, i) => ({
      frameId: f.id,
      ...design,
      part: parts[i] as number,
      orderId,
      takenAt: new Date(now),
      takenBy: by.name,
      reportId,
    })),
  })
  return {
    numbers: [...has.map(u => u.frame.number), ...taken.map(f => f.number)],
    lacking: wanted - taken.length,
  }
}

/** Notes that the screens of a design are burnt on the frames that an order took. @returns their numbers */
export async function burnFramesTx(
  tx: Tx,
  design: string,
  { orderId, now, reportId }: ForOrder,
): Promise<number[]> {
  const uses = await tx.frameUse.findMany({
    where: { orderId, design, endedAt: null, burntAt: null },
    include: { frame: { select: { number: true } } },
  })
  await tx.frameUse.updateMany({
    where: { id: { in: uses.map(u => u.id) } },
    data: { burntAt: new Date(now), burnReportId: reportId },
  })
  return uses.map(u => u.frame.number)
}

/** Notes that an order's screens of a design are reclaimed; those that are kept stay as they are. @returns the frames that are free now */
export async function reclaimFramesTx(
  tx: Tx,
  design: string,
  { orderId, by, now, reportId }: ForOrder,
): Promise<number[]> {
  const uses = await tx.frameUse.findMany({
    where: { orderId, design, endedAt: null, keptId: null },
    include: { frame: { select: { number: true } } },
  })
  await tx.frameUse.updateMany({
    where: { id: { in: uses.map(u => u.id) } },
    data: { endedAt: new Date(now), endedBy: by.name, outcome: 'reclaimed', endReportId: reportId },
  })
  return uses.map(u => u.frame.number)
}

/** Takes back what a report of the floor had noted on frames. A frame that carries something else by now stays as it is. */
export async function undoFramesTx(tx: Tx, reportId: string, by: Actor, now: Instant): Promise<void> {
  await tx.frameUse.updateMany({
    where: { reportId, burntAt: null, endedAt: null },
    data: { endedAt: new Date(now), endedBy: by.name, outcome: 'undone' },
  })
  await tx.frameUse.updateMany({
    where: { burnReportId: reportId, endedAt: null },
    data: { burntAt: null, burnReportId: null },
  })
  for (const use of await tx.frameUse.findMany({
    where: { endReportId: reportId, frame: { goneAt: null } },
  }))
    if ((await tx.frameUse.count({ where: { frameId: use.frameId, endedAt: null } })) === 0)
      await tx.frameUse.update({
        where: { id: use.id },
        data: { endedAt: null, endedBy: '', outcome: '', endReportId: null },
      })
}

/** The frame that a form names, inside a transaction, with what is on it. Throws Refused. */
async function frameOf(tx: Tx, number: number) {
  const frame = await tx.frame.findUnique({
    where: { number },
    include: { uses: { where: { endedAt: null } }, item: { select: { sku: true, name: true } } },
  })
  if (!frame)
    throw new Refused(
      refuse('no-frame', `There is no frame ${number}: look at the list of frames.`, 'frames'),
    )
  if (frame.goneAt)
    throw new Refused(refuse('gone', `Frame ${number} is gone: choose another one.`, 'frames'))
  return { ...frame, on: frame.uses[0] ?? null }
}

/** Frame by frame as the history tells it. */
const tell = (frameId: string, by: Actor, now: Instant, what: string) =>
  record({ by, what, entity: 'screens', ref: frameId, at: new Date(now) })

/** Notes by hand that the screens of a design are burnt on some frames. Those that are kept of it are then among the kept ones. */
export function burnByHand(
  design: FrameDesign,
  numbers: readonly number[],
  by: Actor,
  now: Instant,
): Promise<Result<void>> {
  return attempt(async tx => {
    if (!(await tx.artwork.findUnique({ where: { id: design.artworkId }, select: { id: true } })))
      throw new Refused(
        refuse('artwork', 'This artwork is not known here: choose a design from the list.', 'design'),
      )
    const set = await tx.keptScreen.findFirst({ where: { design: design.design, goneAt: null } })
    const there = await tx.frameUse.findMany({
      // What an order has of the same design besides is a set of its own.
      where: {
        design: design.design,
        endedAt: null,
        ...(set ? { keptId: set.id } : { keptId: null, orderId: null }),
      },
      select: { part: true },
    })
    const parts = nextParts(
      there.map(u => u.part),
      numbers.length,
    )
    for (const [i, number] of numbers.entries()) {
      const frame = await frameOf(tx, number)
      if (frame.on)
        throw new Refused(
          refuse('carries', `Frame ${number} carries something already: reclaim it first.`, 'frames'),
        )
      await tx.frameUse.create({
        data: {
          frameId: frame.id,
          ...design,
          part: parts[i] as number,
          keptId: set?.id ?? null,
          takenAt: new Date(now),
          takenBy: by.name,
          burntAt: new Date(now),
        },
      })
      await tell(frame.id, by, now, `noted what is burnt on frame ${number}`)
    }
  })
}

/** Notes that a frame is free again. One of a kept set goes with its set. */
export function reclaimFrame(number: number, by: Actor, now: Instant): Promise<Result<void>> {
  return attempt(async tx => {
    const frame = await frameOf(tx, number)
    if (!frame.on) throw new Refused(refuse('free', `Nothing is on frame ${number}: it is free already.`))
    if (frame.on.keptId)
      throw new Refused(
        refuse('kept', `Frame ${number} is one of a set that is kept: take the set off the shelf.`),
      )
    await tx.frameUse.update({
      where: { id: frame.on.id },
      data: {
        endedAt: new Date(now),
        endedBy: by.name,
        outcome: frame.on.burntAt === null ? 'undone' : 'reclaimed',
      },
    })
    await tell(frame.id, by, now, `reclaimed frame ${number}`)
  })
}

/** Puts right which frame somebody took: what stood on one stands on another, and the first was never burnt with it. */
export function moveToFrame(number: number, to: number, by: Actor, now: Instant): Promise<Result<void>> {
  return attempt(async tx => {
    const frame = await frameOf(tx, number)
    const other = await frameOf(tx, to)
    if (!frame.on) throw new Refused(refuse('free', `Nothing is on frame ${number}.`))
    if (other.on)
      throw new Refused(
        refuse('carries', `Frame ${to} carries something already: look at which one was taken.`, 'to'),
      )
    const { id, frameId: _, ...use } = frame.on
    await tx.frameUse.update({
      where: { id },
      data: { endedAt: new Date(now), endedBy: by.name, outcome: 'undone', keptId: null },
    })
    await tx.frameUse.create({ data: { ...use, frameId: other.id } })
    await tell(frame.id, by, now, `put right: it was frame ${to}, not frame ${number}`)
    await tell(other.id, by, now, `put right: it was frame ${to}, not frame ${number}`)
  })
}

/**
 * Notes that a frame is torn, broken or given away: it is taken off the stock book, too. A kept set that it stood in is a set no more: the
 * next order has the screens made anew.
 * @returns whether it stood in a kept set
 */
export function frameGone(number: number, why: string, by: Actor, now: Instant): Promise<Result<boolean>> {
  return attempt(async tx => {
    const frame = await frameOf(tx, number)
    must(
      await bookAtShelf(
        { sku: frame.item.sku, by, now },
        { kind: 'spoiled', quantity: 1, why: `frame ${number}: ${why}` },
      ),
    )
    await tx.frame.update({ where: { id: frame.id }, data: { goneAt: new Date(now) } })
    if (frame.on)
      await tx.frameUse.update({
        where: { id: frame.on.id },
        data: { endedAt: new Date(now), endedBy: by.name, outcome: 'broken' },
      })
    const set = frame.on?.keptId
    if (set) {
      await tx.keptScreen.updateMany({
        where: { id: set, goneAt: null },
        data: { goneAt: new Date(now) },
      })
      await tx.frameUse.updateMany({ where: { keptId: set, endedAt: null }, data: { keptId: null } })
    }
    await tell(frame.id, by, now, `frame ${number} is gone: ${why}`)
    return Boolean(set)
  })
}

/** Puts the frames that carry a design among its kept screens, inside the caller's transaction. @returns their numbers */
export async function keepFramesTx(tx: Tx, keptId: string, design: string): Promise<number[]> {
  const uses = await tx.frameUse.findMany({
    where: { design, endedAt: null, burntAt: { not: null } },
    include: { frame: { select: { number: true } } },
  })
  await tx.frameUse.updateMany({ where: { id: { in: uses.map(u => u.id) } }, data: { keptId } })
  return uses.map(u => u.frame.number)
}

/** The frames of kept screens that were reclaimed are free, inside the caller's transaction. */
export async function freeKeptTx(tx: Tx, keptId: string, by: Actor, now: Instant): Promise<void> {
  await tx.frameUse.updateMany({
    where: { keptId, endedAt: null },
    data: { endedAt: new Date(now), endedBy: by.name, outcome: 'reclaimed' },
  })
}

/** The frames of each kept set, by its id. */
export async function framesOfKept(keptIds: readonly string[]): Promise<Map<string, number[]>> {
  const uses = await db().frameUse.findMany({
    where: { keptId: { in: [...keptIds] }, endedAt: null },
    select: { keptId: true, frame: { select: { number: true } } },
    orderBy: { frame: { number: 'asc' } },
  })
  const found = new Map<string, number[]>()
  for (const { keptId, frame } of uses)
    if (keptId) found.set(keptId, [...(found.get(keptId) ?? []), frame.number])
  return found
}

/** Frames whose rows contradict each other: two screens on one frame at once, or one on a frame that is gone. For the proof of the books. */
export async function frameFaults(): Promise<{ sku: string; position: number; what: string }[]> {
  const rows = await db().$queryRaw<
    { sku: string; number: number; open: number; gone: number | boolean }[]
  >(Prisma.sql`
    SELECT i."sku", f."number", COUNT(*) AS "open", CASE WHEN f."goneAt" IS NULL THEN 0 ELSE 1 END AS "gone"
    FROM "FrameUse" u JOIN "Frame" f ON f."id" = u."frameId" JOIN "StockItem" i ON i."id" = f."itemId"
    WHERE u."endedAt" IS NULL GROUP BY f."id", i."sku", f."number", f."goneAt"
    HAVING COUNT(*) > 1 OR f."goneAt" IS NOT NULL ORDER BY f."number" LIMIT 100`)
  return rows.map(r => ({
    sku: r.sku,
    position: 0,
    what: Number(r.gone)
      ? `frame ${r.number} is gone, and carries a screen`
      : `frame ${r.number} carries ${r.open} screens at once`,
  }))
}
