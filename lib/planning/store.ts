import 'server-only'
import { AsyncLocalStorage } from 'node:async_hooks'
import { uuidv7 } from 'uuidv7'
import { measuredFor } from '@/lib/artwork/store'
import { stationRatios } from '@/lib/costing/learned'
import { type ArtFacts, artworkOf, designsOf, type OrderWork } from '@/lib/costing/order'
import type { Costing } from '@/lib/costing/prepare'
import { takenRows } from '@/lib/costing/store'
import { contractPrice, type PriceList, sentOut } from '@/lib/methods/contract'
import { costingAsAgreed, costingAt, keptAmong, preparedAmong } from '@/lib/methods/store'
import { costingFor } from '@/lib/methods/way'
import { type OfferRecord, type OrderView, orderTitle } from '@/lib/orders/order'
import { agreeOfferTx, findOffer, getOrderById, withdrawOrderTx } from '@/lib/orders/store'
import { db, kept, Prisma, type Tx } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { eachOf, eachText, instantIn } from '@/lib/server/sql'
import type { MethodId } from '@/lib/shop/methods'
import type { Recipe } from '@/lib/shop/recipe'
import { crew, ratesAt, shop, stations } from '@/lib/shop/store'
import { arrivals } from '@/lib/stock/purchases/store'
import { attempt, must, promiseForOrderTx } from '@/lib/stock/store'
import { levels } from '@/lib/stock/views/store'
import { micro, minor } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import { type Instant, instant, instantOf } from '@/lib/units/time'
import { servesBetter } from './anew'
import type { Bound, Objective, Plan } from './engine'
import { listedSteps } from './list/store'
import {
  afterChains,
  boardPlan,
  canDo,
  jobId,
  type PlannedRun,
  type PlanOrder,
  type PlanRows,
  type PlanStep,
  runsOf,
  type StepClock,
  sameRun,
  shopOf,
} from './model'
import { instantOfMinute } from './openings'
import { allowanceOf, artFacts, type OrderFacts, rowsFrom, workFrom } from './order-work'
import { type PlanBudget, planAside } from './plan.worker'
import { type Hold, releaseOf, type Shortage } from './release'
import { shortagesOf } from './shortages'
import { blanksOfPart, missingByPart, partOf } from './split-steps'
import { isAfter, isRemake, type NewStep, stepsOf } from './steps'
import { asPlanStep, later, postDue, readyByOrder, reasonWords } from './trial'
import { pinsInTheWay } from './what-changes'

/** Candidate plans weighed for a board that is empty: fewer where each takes longer. @param work steps to place */
const quickSteps = (work: number): number =>
  Math.round(Math.min(400, Math.max(40, 60_000 / Math.max(1, work))))

const json = (value: unknown) => JSON.parse(JSON.stringify(value)) as Prisma.InputJsonValue
const at = (date: Date | null): Instant | null => (date ? instantOf(date) : null)

// ---- An order as work ----

/** What costing needs of an order beyond its rows: its artworks as measured, and what its blanks cost. */
export async function orderFacts(order: OrderView, now: Instant): Promise<OrderFacts> {
  const rates = await ratesAt(now)
  const art = new Map<string, ArtFacts>()
  for (const line of order.lines)
    for (const print of line.prints) {
      if (!print.artwork) continue
      const measured = await measuredFor(print.artwork.id, {
        widthMm: print.widthMm,
        heightMm: print.heightMm,
        garmentHex: line.colourHex,
        method: order.method ?? 'transfer',
        ppiRules: {
          house: rates.artPpi.house,
          warnBelow: rates.artPpi.warn,
          stopBelow: rates.artPpi.floor,
        },
      })
      if (measured.ok) art.set(print.id, artFacts(print.artwork.id, measured.value))
    }
  const items = await db().stockItem.findMany({
    where: { id: { in: order.lines.flatMap(l => l.sizes.map(s => s.itemId)) } },
    select: { id: true, name: true, priceMicro: true, pricePer: true },
  })
  const blanks = new Map(
    items.map(i => [
      i.id,
      { unitCost: micro(Math.round(Number(i.priceMicro) / Math.max(1, i.pricePer))), name: i.name },
    ]),
  )
  const work = workFrom(order, 'screen', { art, blanks, keptScreens: [], preparedArt: [] })
  const designs = designsOf(work)
  return {
    art,
    blanks,
    keptScreens: await keptAmong(designs),
    preparedArt: await preparedAmong([...new Set(designs.map(artworkOf))], order.id),
  }
}

/** An order as it is costed by a method. Measures its artworks where nobody has yet, so call it outside a transaction. */
export async function orderWork(order: OrderView, method: MethodId, now: Instant): Promise<OrderWork> {
  return workFrom(order, method, await orderFacts(order, now))
}

// ---- Agreeing ----

/** An offered order as work: by the recipe, the rates, the clocked times, the kept screens and prepared art that it was priced with. */
async function agreedWork(order: OrderView, offer: OfferRecord, now: Instant) {
  const { costing, way } = await costingAsAgreed(offer.snapshot.work, now)
  const work = await orderWork(order, offer.method, now)
  if (!way) return { costing, work }
  const made = { ...work, keptScreens: way.keptScreens, preparedArt: way.preparedArt }
  return { costing, work: way.outside ? printedBy(made, way.outside, costing) : made }
}

/** The order as work when another printer does its printing. */
export function printedBy(work: OrderWork, list: PriceList, costing: Costing): OrderWork {
  const asked = contractPrice(work, list, costing.show)
  return sentOut(work, list, asked.ok ? asked.value.value : minor(0), costing.show.currency)
}

/**
 * The customer agrees: the order, its offer and declared rights, its blanks promised, its steps on the floor's list and a new plan, all of
 * it or nothing.
 */
export async function agreeAndPlan(consent: {
  token: string
  name: string
  declares: boolean
  now: Instant
}): Promise<Result<{ order: OrderView }>> {
  const { now } = consent
  const found = await findOffer(consent.token)
  // Pictures are measured before the transaction begins: other writers must not wait for them.
  const agreed = found && (await agreedWork(found.order, found.offer, now))
  return attempt(async tx => {
    const { order, agreement } = must(await agreeOfferTx(tx, consent))
    const spare = agreed ? allowanceOf(agreed.work, rowsFrom(order), agreed.costing.rates) : []
    await promiseForOrderTx(tx, order.id, agreement.blanks, spare)
    if (agreed) await addStepsTx(tx, order.id, stepsOf(agreed.work, rowsFrom(order), agreed.costing))
    await replanTx(tx, `order ${order.number} agreed`, now)
    return { order: (await getOrderById(order.id)) ?? order }
  })
}

/** Writes steps on the floor's list. */
export async function addStepsTx(
  tx: Tx,
  orderId: string,
  steps: readonly NewStep[],
  remakeOf?: string,
): Promise<void> {
  await tx.jobStep.createMany({
    data: steps.map(s => ({
      ...s,
      orderId,
      sizes: json(s.sizes),
      recipe: json(s.recipe),
      ...(remakeOf ? { remakeOf } : {}),
    })),
  })
}

/** Takes the steps of an order off the list that have not begun, and its runs off the plan: it was withdrawn. */
export async function dropStepsTx(tx: Tx, orderId: string): Promise<void> {
  await tx.plannedRun.deleteMany({ where: { step: { orderId, state: { in: ['waiting', 'paused'] } } } })
  await tx.jobStep.updateMany({
    where: { orderId, state: { in: ['waiting', 'paused'] } },
    data: { state: 'dropped', version: { increment: 1 } },
  })
}

/** Ends an agreed or earlier order that will not be made: its blanks are free, its steps off the list, the plan made anew. */
export async function withdrawAndReplan(
  number: number,
  note: { by: Actor; now: Instant; why: string; version: number },
): Promise<Result<OrderView>> {
  return attempt(async tx => {
    const order = must(await withdrawOrderTx(tx, number, note))
    await dropStepsTx(tx, order.id)
    await replanTx(tx, `order ${number} withdrawn`, note.now)
    return order
  })
}

// ---- The plan ----

/** An open order with what the plan and the board say of it. */
export type OpenWork = PlanOrder & {
  title: string
  customer: string
  state: string
  holds: Hold[]
  /** Parts of a split batch, by their chain, that nothing holds although the order waits for something. */
  freeParts: string[]
  /** Blanks that it lacks, pieces by item. */
  lacks: ReadonlyMap<string, number>
}

/** What stands on the floor's list, who is there, and the plan on the board. */
export type Open = { rows: PlanRows; orders: OpenWork[]; board: PlannedRun[] }

/** Everything that is to be planned, as it stands. Reads inside the transaction that the caller is in. */
export async function openWork(now: Instant): Promise<Open> {
  const tx = db()
  const [facts, machines, people, clocks, listed, paces, runRows, pinRows] = await Promise.all([
    shop(),
    stations(),
    crew(),
    stepClocks(),
    listedSteps(),
    takenRows(),
    tx.plannedRun.findMany(),
    tx.pin.findMany(),
  ])
  const zone = facts.timeZone
  const board = runRows.map(asRun)
  const places = new Map(board.map(r => [r.stepId, r]))
  const steps: PlanStep[] = listed.map(({ step }) => ({
    ...step,
    crewId: places.get(step.id)?.crewId ?? null,
    ...clockOf(step, clocks),
  }))
  const views = await summaries([...new Set(steps.map(s => s.orderId))])
  const lacks = await shortages()
  const ends = new Map(board.map(r => [r.stepId, r.endAt]))
  const byOrder = grouped(listed, r => r.step.orderId)
  const parts = new Map<string, Instant>()
  const orders: OpenWork[] = views.map(view => {
    const mine = byOrder.get(view.id) ?? []
    const post = Math.max(0, ...mine.filter(r => r.step.state === 'waiting').map(r => r.recipe.postDays))
    const sentAt = Math.max(view.agreedAt ?? 0, ...mine.map(r => r.recipe.sentAt ?? 0))
    const waits = {
      now,
      zone,
      shortages: lacks.get(view.id) ?? [],
      transfersDue: post > 0 && sentAt > 0 ? postDue(instant(sentAt), post, zone) : null,
      printedBy: mine.map(r => r.recipe.printedBy).find(Boolean) ?? null,
      uncleared: view.uncleared,
    }
    const { at: release, holds } = releaseOf(waits)
    const freeParts: string[] = []
    if (mine.some(r => partOf(r.step.job) > 1)) {
      const chains = [...grouped(mine, r => r.step.job)]
        .filter(([job]) => !isAfter(job) && !isRemake(job))
        .sort(([a], [b]) => partOf(a) - partOf(b))
      const asPart = (rows: typeof mine) =>
        rows.map(({ step, sizes, recipe }) => ({ state: step.state, sizes, recipe }))
      const lacking = missingByPart(
        chains.map(([, rows]) => blanksOfPart(asPart(rows))),
        new Map(waits.shortages.map(s => [s.itemId, s.pieces])),
      )
      chains.forEach(([job, rows], i) => {
        const own = waits.shortages.flatMap(s => {
          const pieces = lacking[i]?.get(s.itemId) ?? 0
          return pieces > 0 ? [{ ...s, pieces }] : []
        })
        const part = releaseOf({ ...waits, shortages: own })
        if (holds.length > 0 && part.holds.length === 0) freeParts.push(job)
        // What is made once for all parts stands in the first.
        const first = job.split('.')[0]
        const made = mine.filter(
          r => r.step.job === first && r.step.job !== job && r.recipe.phase === 'before',
        )
        const from = made.map(r => r.step.finishedAt ?? ends.get(r.step.id) ?? 0)
        parts.set(jobId((rows[0] as (typeof rows)[number]).step), instant(Math.max(part.at, ...from)))
      })
    }
    return {
      id: view.id,
      number: view.number,
      title: view.title,
      customer: view.customer,
      state: view.state,
      promiseAt: view.promiseAt,
      promiseHard: view.promiseHard,
      rush: view.rush,
      release,
      holds: view.state === 'handedOver' ? [] : holds,
      freeParts,
      lacks: new Map(waits.shortages.map(s => [s.itemId, s.pieces])),
    }
  })
  const pins = new Map(
    pinRows.map(({ stepId, stationId, startAt }) => [
      stepId,
      { stationId, startAt: instantOf(startAt), crewId: places.get(stepId)?.crewId ?? null },
    ]),
  )
  return {
    orders,
    board,
    rows: {
      zone,
      now,
      stations: machines,
      crew: people,
      orders,
      steps,
      apart: afterChains(steps, ends),
      pins,
      parts,
      paces: stationRatios(paces),
    },
  }
}

/** What is booked on the steps under way, and when they were gone on with. */
async function stepClocks() {
  const step = { state: { in: ['running', 'paused'] } }
  const [logs, resumed] = await Promise.all([
    db().workLog.findMany({
      where: { step },
      orderBy: [{ toAt: 'asc' }, { id: 'asc' }],
      select: { stepId: true, toAt: true, machineSeconds: true, pieces: true },
    }),
    db().report.findMany({ where: { step, kind: 'resume' }, select: { stepId: true, at: true } }),
  ])
  return { logs: grouped(logs, l => l.stepId), resumed: grouped(resumed, r => r.stepId) }
}

function clockOf(
  step: Pick<PlanStep, 'id' | 'state' | 'startedAt'>,
  { logs, resumed }: Awaited<ReturnType<typeof stepClocks>>,
): { clock: StepClock } | null {
  if (step.startedAt === null || (step.state !== 'running' && step.state !== 'paused')) return null
  const booked = logs.get(step.id) ?? []
  const minutes = (list: typeof booked) => Math.round(list.reduce((n, l) => n + l.machineSeconds, 0) / 60)
  const since = [...booked.map(l => l.toAt), ...(resumed.get(step.id) ?? []).map(r => r.at)]
  return {
    clock: {
      booked: minutes(booked),
      sinceCount: minutes(booked.slice(booked.findLastIndex(l => l.pieces > 0) + 1)),
      runsSince:
        step.state === 'paused' ? null : instant(Math.max(step.startedAt, ...since.map(d => d.getTime()))),
    },
  }
}

function grouped<T>(list: readonly T[], key: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>()
  for (const item of list) {
    const group = groups.get(key(item))
    if (group) group.push(item)
    else groups.set(key(item), [item])
  }
  return groups
}

/** What the plan shows of orders. Not their snapshots: they are large, and there may be hundreds. */
async function summaries(ids: string[]) {
  const rows = await db().order.findMany({
    where: { id: { in: ids } },
    select: {
      id: true,
      number: true,
      title: true,
      state: true,
      promiseAt: true,
      promiseHard: true,
      rush: true,
      agreedAt: true,
      customer: { select: { name: true } },
    },
  })
  const [lines, uncleared] = await Promise.all([
    // What stands in for a title is only read where there is none.
    db().orderLine.findMany({
      where: { orderId: { in: rows.filter(r => !r.title).map(r => r.id) } },
      orderBy: { position: 'asc' },
      select: { orderId: true, colour: true, style: { select: { name: true } } },
    }),
    unclearedArt(ids),
  ])
  const byOrder = grouped(lines, l => l.orderId)
  return rows.map(({ customer, ...row }) => ({
    id: row.id,
    number: row.number,
    state: row.state,
    promiseHard: row.promiseHard,
    rush: row.rush,
    customer: customer.name,
    promiseAt: at(row.promiseAt),
    agreedAt: at(row.agreedAt),
    title: orderTitle({ title: row.title, lines: byOrder.get(row.id) ?? [] }),
    uncleared: uncleared.get(row.id) ?? [],
  }))
}

/** Names of the artworks on these orders that may not be printed: the newest word on them is a withdrawal, or there is none. */
async function unclearedArt(ids: string[]): Promise<Map<string, string[]>> {
  const rows = await db().$queryRaw<{ orderId: string; name: string }[]>`
    SELECT l."orderId", a."name" FROM "OrderLine" l JOIN "Print" p ON p."lineId" = l."id" JOIN "Artwork" a ON a."id" = p."artworkId"
    WHERE l."orderId" IN (SELECT value FROM ${eachText(ids)})
      AND COALESCE((SELECT c."basis" FROM "Clearance" c WHERE c."artworkId" = a."id" ORDER BY c."at" DESC, c."id" DESC LIMIT 1), 'withdrawn') = 'withdrawn'
    ORDER BY l."orderId", l."position", p."position"`
  return new Map(
    [...grouped(rows, r => r.orderId)].map(([id, of]) => [id, [...new Set(of.map(r => r.name))]]),
  )
}

/** Items as the look for shortages knows them, where each stands, and what of it is on its way. */
async function shelvesOf(itemIds: string[]) {
  const [items, stand, coming] = await Promise.all([
    db().stockItem.findMany({
      where: { id: { in: itemIds } },
      select: { id: true, name: true, leadDays: true },
    }),
    levels(itemIds),
    arrivals(itemIds),
  ])
  const shelves = items.map(i => ({
    itemId: i.id,
    name: i.name,
    leadDays: i.leadDays,
    onHand: stand.get(i.id)?.onHand ?? 0,
    unsent: (stand.get(i.id)?.written ?? 0) > 0,
  }))
  return { shelves, stand, coming }
}

/** What each order lacks of its blanks. */
async function shortages(): Promise<Map<string, Shortage[]>> {
  const tx = db()
  const promises = await tx.stockPromise.findMany({
    select: { orderId: true, itemId: true, quantity: true, allowance: true },
  })
  const itemIds = [...new Set(promises.map(p => p.itemId))]
  const [{ shelves, coming }, orders] = await Promise.all([
    shelvesOf(itemIds),
    tx.order.findMany({
      where: { id: { in: [...new Set(promises.map(p => p.orderId))] } },
      select: { id: true, promiseAt: true },
    }),
  ])
  const promised = new Map(orders.map(o => [o.id, at(o.promiseAt)]))
  return shortagesOf(
    // The ordered pieces are enough to begin with: what may spoil is bought, and not waited for.
    promises.map(({ allowance, ...p }) => ({
      ...p,
      quantity: p.quantity - allowance,
      promiseAt: promised.get(p.orderId) ?? null,
    })),
    shelves,
    coming,
  )
}

const asRun = (r: {
  stepId: string
  stationId: string
  crewId: string | null
  startAt: Date
  workAt: Date
  endAt: Date
  changeover: number
  setup: number
  run: number
}): PlannedRun => ({
  stepId: r.stepId,
  stationId: r.stationId,
  crewId: r.crewId,
  startAt: instantOf(r.startAt),
  workAt: instantOf(r.workAt),
  endAt: instantOf(r.endAt),
  changeover: r.changeover,
  setup: r.setup,
  run: r.run,
})

const held = new AsyncLocalStorage<true>()
/** Does much work that would each make a new plan (a seed, an import) without planning in between; plan once when it is done. */
export const withoutPlanning = <T>(work: () => Promise<T>): Promise<T> => held.run(true, work)

/**
 * The plan on the board as a new one begins from: it is mended, so that no run moves that need not (see MOVE_COST in the engine), and late
 * work takes what room there is: also after news that no run shows, such as blanks that came early or a station that is back. An
 * empty board is planned from the start.
 */
export function mending({ rows, board }: Pick<Open, 'rows' | 'board'>): PlanBudget {
  const open = new Set(rows.steps.filter(s => s.state !== 'done').map(s => s.id))
  if (!board.some(r => open.has(r.stepId))) return { steps: quickSteps(open.size), seed: 1 }
  // Runs of what is done stay in it: where one ended early, there is room for what is late.
  return { seed: 1, from: boardPlan(board, rows.steps) }
}

/**
 * Makes a new plan from what is now known, in the transaction that the caller is in. What runs stays, and what is pinned; what gains nothing
 * stays where the board has it. A pin that cannot be kept any more goes along with its run, and the history says why.
 * @param reason in words: "order 1047 agreed"
 * @param anew what does not run and is not pinned may move, where that serves better: see servesBetter
 * @returns how many runs changed
 */
export async function replanTx(tx: Tx, reason: string, now: Instant, anew = false): Promise<number> {
  if (held.getStore()) return 0
  const open = await openWork(now)
  const budget = mending(open)
  let { rows } = open
  let made = await planAside(shopOf(rows), budget)
  const loose = pinsInTheWay(made, rows.steps, rows.pins ?? new Map())
  if (loose.length > 0) {
    const pins = new Map(rows.pins)
    for (const { stepId } of loose) pins.delete(stepId)
    rows = { ...rows, pins }
    made = await planAside(shopOf(rows), budget)
    await movePinsTx(tx, loose, made, rows, now)
  }
  if (anew) {
    const work = rows.steps.filter(s => s.state !== 'done').length
    const drawn = await planAside(shopOf(rows), { steps: quickSteps(work), seed: 1 })
    const stays = pinsInTheWay(drawn, rows.steps, rows.pins ?? new Map()).length === 0
    if (stays && servesBetter(drawn, made)) made = drawn
  }
  return writePlanTx(tx, { ...open, rows }, made, reason, now)
}

/** Pins go along with runs that could not stay. */
async function movePinsTx(
  tx: Tx,
  loose: readonly { stepId: string; why: string }[],
  made: Plan,
  rows: PlanRows,
  now: Instant,
) {
  for (const { stepId, why } of loose) {
    const step = rows.steps.find(s => s.id === stepId)
    const run = made.runs.find(r => r.step === stepId)
    if (run)
      await tx.pin.update({
        where: { stepId },
        data: { stationId: run.station, startAt: new Date(instantOfMinute(run.start)) },
      })
    else await tx.pin.delete({ where: { stepId } })
    await record({
      by: { id: null, name: 'the plan' },
      what: `the pinned “${step?.title}” could not stay: ${reasonWords(why, rows.steps, rows.orders, [...rows.stations, ...rows.crew])}`,
      entity: 'order',
      ref: step?.orderId ?? '',
      at: new Date(now),
    })
  }
}

/** An instant as the client keeps it. */
const stored = (at: Instant) => new Date(at).toISOString().replace('Z', '+00:00')

/**
 * Hangs a plan on the board, in the transaction that the caller is in. Runs that stay where they are are not written again.
 * @returns how many did not stay
 */
export async function writePlanTx(
  tx: Tx,
  { rows, board }: Pick<Open, 'rows' | 'board'>,
  made: Plan,
  reason: string,
  now: Instant,
): Promise<number> {
  const runs = runsOf(made, rows.steps)
  const stood = new Map(board.map(r => [r.stepId, r]))
  const changed = runs.filter(r => !sameRun(stood.get(r.stepId), r))
  const stays = new Set(runs.filter(r => sameRun(stood.get(r.stepId), r)).map(r => r.stepId))
  const gone = board.filter(r => !stays.has(r.stepId)).map(r => r.stepId)
  if (gone.length > 0) await tx.plannedRun.deleteMany({ where: { stepId: { in: gone } } })
  // In one statement: with hundreds of runs, the client takes longer to write them one by one than the search takes.
  if (changed.length > 0) {
    const list = JSON.stringify(
      changed.map(r => [
        uuidv7(),
        r.stepId,
        r.stationId,
        r.crewId,
        stored(r.startAt),
        stored(r.workAt),
        stored(r.endAt),
        r.changeover,
        r.setup,
        r.run,
      ]),
    )
    const part = (i: number) => Prisma.raw(`value->>${i}`)
    const when = (i: number) => instantIn(part(i))
    const whole = (i: number) => Prisma.sql`CAST(${part(i)} AS INTEGER)`
    await tx.$executeRaw(
      Prisma.sql`INSERT INTO "PlannedRun" ("id", "stepId", "stationId", "crewId", "startAt", "workAt", "endAt", "changeover", "setup", "run")
        SELECT ${Prisma.join([...[0, 1, 2, 3].map(part), ...[4, 5, 6].map(when), ...[7, 8, 9].map(whole)])} FROM ${eachOf(list)}`,
    )
  }
  const number = new Map(rows.orders.map(o => [o.id, o.number]))
  const stepOrder = new Map(rows.steps.map(s => [s.id, s.orderId]))
  const saved = {
    madeAt: new Date(now),
    reason,
    objective: json(made.objective),
    bound: json(made.bound),
    unplaced: json(
      made.unplaced.map(u => ({
        stepId: u.step,
        orderId: stepOrder.get(u.step) ?? '',
        why: reasonWords(u.why, rows.steps, rows.orders, [...rows.stations, ...rows.crew]),
      })),
    ),
    late: json(
      made.late.map(l => ({
        orderId: l.job.split('/')[0],
        number: number.get(l.job.split('/')[0] ?? '') ?? 0,
        minutes: l.minutes,
      })),
    ),
  }
  await tx.planRecord.upsert({
    where: { id: 1 },
    create: { id: 1, ...saved },
    update: { ...saved, version: { increment: 1 } },
  })
  return changed.length
}

/** A run with what it works on. */
export type BoardRun = PlannedRun & {
  orderId: string
  number: number
  title: string
  job: string
  position: number
  pieces: number
  good: number
  state: string
  stationState: string | null
  gapMin: number
  /** Held in its place by a person. */
  pinned: boolean
  /** Ids of the stations that can take it; empty where it has begun. */
  can: string[]
}

/** The plan that hangs on the board, whole. */
export type CurrentPlan = {
  madeAt: Instant | null
  reason: string
  version: number
  objective: Objective
  bound: Bound
  runs: BoardRun[]
  unplaced: { stepId: string; orderId: string; why: string }[]
  /** Open orders with what holds them and when the plan has them ready (null: some of it finds no place). */
  orders: (OpenWork & { readyAt: Instant | null })[]
}

const NOTHING: Objective & Bound = { hardMisses: 0, weightedLateMinutes: 0, changeoverMinutes: 0, finish: 0 }

/** The plan on the board, and how every open order stands on it. */
export async function currentPlan(now: Instant): Promise<CurrentPlan> {
  const [record, open] = await Promise.all([db().planRecord.findUnique({ where: { id: 1 } }), openWork(now)])
  const steps = new Map(open.rows.steps.map(s => [s.id, s]))
  const numbers = new Map(open.orders.map(o => [o.id, o.number]))
  // Hundreds of steps ask for one of a few things.
  const ables = new Map<string, string[]>()
  const able = (s: PlanStep) => {
    const key = `${s.stationKind} ${s.needs ? Object.values(s.needs).join(' ') : ''}`
    const known = ables.get(key) ?? open.rows.stations.filter(x => canDo(x, s)).map(x => x.id)
    ables.set(key, known)
    return known
  }
  const runs = open.board.flatMap((r): BoardRun[] => {
    const s = steps.get(r.stepId)
    return s
      ? [
          // Field by field: spread first, an object of this many fields takes ten times as long to make, and there are over a thousand.
          {
            stepId: r.stepId,
            stationId: r.stationId,
            crewId: r.crewId,
            startAt: r.startAt,
            workAt: r.workAt,
            endAt: r.endAt,
            changeover: r.changeover,
            setup: r.setup,
            run: r.run,
            orderId: s.orderId,
            number: numbers.get(s.orderId) ?? 0,
            title: s.title,
            job: s.job,
            position: s.position,
            pieces: s.pieces,
            good: s.good,
            state: s.state,
            stationState: s.stationState,
            gapMin: s.gapMin,
            pinned: s.state === 'waiting' && (open.rows.pins?.has(s.id) ?? false),
            can: s.state === 'waiting' ? able(s) : [],
          },
        ]
      : []
  })
  const ready = new Map<string, Instant>()
  for (const r of runs)
    if (!isAfter(r.job) && r.endAt > (ready.get(r.orderId) ?? 0)) ready.set(r.orderId, r.endAt)
  const placed = new Set(runs.map(r => r.stepId))
  const homeless = new Set(
    open.rows.steps
      .filter(s => s.state !== 'done' && !isAfter(s.job) && !placed.has(s.id))
      .map(s => s.orderId),
  )
  return {
    madeAt: at(record?.madeAt ?? null),
    reason: record?.reason ?? '',
    version: record?.version ?? 0,
    objective: (record?.objective ?? NOTHING) as unknown as Objective,
    bound: (record?.bound ?? NOTHING) as unknown as Bound,
    unplaced: (record?.unplaced ?? []) as CurrentPlan['unplaced'],
    runs: runs.sort((a, b) => a.startAt - b.startAt),
    orders: open.orders.map(o => ({
      ...o,
      readyAt: homeless.has(o.id) ? null : (ready.get(o.id) ?? null),
    })),
  }
}

/** Tables that say nothing of what is to be done, by whom or until when: the plan stays as it is read while they are written. */
const BESIDE_THE_PLAN: readonly string[] = [
  'Session',
  'Account',
  'Verification',
  'TwoFactor',
  'Counter',
  'History',
  'Payment',
  'Invoice',
  'OfferMail',
  'ApiKey',
  'ApiCall',
  'MailServer',
]
const OF_THE_PLAN = Object.values(Prisma.ModelName).filter(name => !BESIDE_THE_PLAN.includes(name))

/** The plan on the board, to look at: read once a minute, and once for each change, for all who look. */
export const sharedPlan = (now: Instant): Promise<CurrentPlan> =>
  kept(OF_THE_PLAN, `plan ${Math.floor(now / 60_000)}`, () => currentPlan(now))

// ---- What if ----

/** A way that an enquiry is tried by: a recipe of its own where it is not the usual one of the method, or another printer. */
export type TrialWay = { key: string; method: MethodId; recipe?: Recipe; outside?: PriceList | null }

/** When an enquiry would be ready by a way, and what that would do to others. */
export type ReadyTime = {
  /** Key of the way. */
  key: string
  /** Null where some of its work finds no place. */
  readyAt: Instant | null
  /** What it would wait for, and why it finds no place: one sentence each. */
  waits: string[]
  /** Numbers of the orders that would become late, or later, by so many minutes. */
  makesLate: { number: number; minutes: number }[]
}

/** Plans an order that nobody has agreed to yet, once for each way. Nothing is written. */
export async function readyTimes(
  order: OrderView,
  ways: readonly TrialWay[],
  now: Instant,
): Promise<ReadyTime[]> {
  const [open, costing, facts] = await Promise.all([openWork(now), costingAt(now), orderFacts(order, now)])
  const { rows, board } = open
  const base = rows.orders.filter(o => o.id !== order.id)
  const others = { ...rows, orders: base, steps: rows.steps.filter(s => s.orderId !== order.id) }
  const budget = mending({ rows: others, board })
  const before = await planAside(shopOf(others), budget)
  const lateBefore = new Map(before.late.map(l => [l.job, l.minutes]))
  const lacks = await trialShortages(order, now)
  const times: ReadyTime[] = []
  for (const { key, method, recipe, outside } of ways) {
    const own = recipe ? costingFor({ key, name: recipe.name, method, recipe }, costing) : costing
    const plain = workFrom(order, method, facts)
    const work = outside ? printedBy(plain, outside, own) : plain
    const fresh = stepsOf(work, rowsFrom(order), own)
    const steps = fresh.filter(s => !isAfter(s.job)).map(s => asPlanStep(s, order.id))
    const post = Math.max(0, ...fresh.map(s => s.recipe.postDays))
    const { at: release, holds } = releaseOf({
      now,
      zone: rows.zone,
      shortages: lacks,
      transfersDue: post > 0 ? postDue(now, post, rows.zone) : null,
      printedBy: outside?.name ?? null,
      uncleared: [],
    })
    const trial: PlanOrder = {
      id: order.id,
      number: order.number,
      promiseAt: order.promiseAt,
      promiseHard: order.promiseHard,
      rush: order.rush,
      release: later(release, now),
    }
    const all = { ...others, orders: [...base, trial], steps: [...others.steps, ...steps] }
    const made = await planAside(shopOf(all), budget)
    const ready = readyByOrder(made, all.steps, instantOfMinute, () => true)
    const numbers = new Map(base.map(o => [o.id, o.number]))
    times.push({
      key,
      readyAt: steps.length ? (ready.get(order.id) ?? null) : null,
      waits: [
        ...holds.map(h => h.text),
        ...made.unplaced
          .filter(u => u.job.startsWith(`${order.id}/`))
          .slice(0, 1)
          .map(u => reasonWords(u.why, all.steps, all.orders, rows.stations)),
      ],
      makesLate: made.late.flatMap(l => {
        const number = numbers.get(l.job.split('/')[0] ?? '')
        const more = l.minutes - (lateBefore.get(l.job) ?? 0)
        return number !== undefined && more > 0 ? [{ number, minutes: more }] : []
      }),
    })
  }
  return times
}

/** What an enquiry would lack if it were agreed now: free blanks first, then what is on the way beyond other promises. */
async function trialShortages(order: OrderView, now: Instant): Promise<Shortage[]> {
  const wanted = new Map<string, number>()
  for (const line of order.lines)
    for (const s of line.sizes)
      if (s.quantity > 0) wanted.set(s.itemId, (wanted.get(s.itemId) ?? 0) + s.quantity)
  const itemIds = [...wanted.keys()]
  const { shelves, stand, coming } = await shelvesOf(itemIds)
  const own = new Map(
    (await db().stockPromise.findMany({ where: { orderId: order.id } })).map(p => [
      p.itemId,
      p.quantity - p.allowance,
    ]),
  )
  const others = itemIds.map(itemId => {
    const { promised = 0, allowance = 0 } = stand.get(itemId) ?? {}
    return {
      orderId: '',
      itemId,
      quantity: promised - allowance - (own.get(itemId) ?? 0),
      promiseAt: instant(0),
    }
  })
  return (
    shortagesOf(
      [
        ...others.filter(o => o.quantity > 0),
        ...itemIds.map(itemId => ({
          orderId: order.id,
          itemId,
          quantity: wanted.get(itemId) ?? 0,
          promiseAt: now,
        })),
      ],
      shelves,
      coming,
    ).get(order.id) ?? []
  )
}

/** Makes a new plan now, outside any report: from a button on the board, after settings were changed. */
export const replan = (reason: string, now: Instant): Promise<Result<null>> =>
  attempt(async tx => {
    await replanTx(tx, reason, now)
    return null
  })

/** Draws the plan anew because somebody asked for it. @returns how many runs changed */
export const planAnew = (by: string, now: Instant): Promise<Result<{ changed: number }>> =>
  attempt(async tx => ({ changed: await replanTx(tx, `${by} asked for a new plan`, now, true) }))
