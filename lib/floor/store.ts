import 'server-only'
import { uuidv7 } from 'uuidv7'
import { machineHour } from '@/lib/costing/machine-hour'
import { designOf } from '@/lib/costing/order'
import { unclearedOf } from '@/lib/orders/offer'
import type { OrderView } from '@/lib/orders/order'
import { getOrderById, moveOrderTx } from '@/lib/orders/store'
import { openingsOf } from '@/lib/planning/openings'
import {
  type SizeCount,
  type StepRecipe,
  sizeCountsSchema,
  stepRecipeSchema,
} from '@/lib/planning/recipe-snapshot'
import { isAfter, isBefore, isRemake, remakeJob, remakeOf } from '@/lib/planning/steps'
import { addStepsTx, replanTx } from '@/lib/planning/store'
import type { Prisma, Tx } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { activePeople } from '@/lib/server/people'
import { mayDo } from '@/lib/server/rights'
import type { StationKind } from '@/lib/shop/stations'
import { crew, ratesAt, type StationRow, shop, stations } from '@/lib/shop/store'
import { frameWords } from '@/lib/stock/frames/frames'
import { burnFramesTx, reclaimFramesTx, takeFramesTx } from '@/lib/stock/frames/store'
import { expiredWords } from '@/lib/stock/lots'
import type { Needed } from '@/lib/stock/promises'
import { attempt, expiredAhead, issueTx, must, promiseSpoiledTx, Refused } from '@/lib/stock/store'
import { levels } from '@/lib/stock/views/store'
import { microToMinor, minor, roundToMicro } from '@/lib/units/money'
import { type Result, refuse } from '@/lib/units/result'
import { formatLongDay, formatTime, type Instant, instant, instantOf, seconds } from '@/lib/units/time'
import { blanksToDraw, consumed } from './consume'
import { standing } from './counter/counter'
import { frameWorkOf } from './frames'
import { decideMisprint, MISPRINT_WORDS, type MisprintReason } from './misprint'
import {
  type Before,
  checksOf,
  countedBeside,
  decideFinish,
  decidePause,
  decideResume,
  decideStart,
  goodBySize,
  leftBySize,
  reportTime,
  type SizeGood,
  type StepFacts,
  type StepState,
} from './reports'
import { attendedSeconds, type Mark, openSpan, timeMoney, workedSeconds } from './work-clock'

/**
 * Who reports what, when. The same form sent twice is counted once by its key.
 * @param at when it happened, as the device says: before `now` where the report waited for a line
 */
export type Reporting = { stepId: string; by: Actor; now: Instant; formKey: string; at?: Instant | undefined }
/** A report under way: `now` is when it happened, `cameAt` when it came in, and its number in the book is known. */
type Made = Reporting & { cameAt: Instant; reportId: string }
/** What is said to a report: how it goes on, and what somebody has to know even where the report was sent hours later. */
export type Said = { note?: string | null; caution?: string | null }
/** What the person is told: the order's number, and what is said to the report. */
export type Reported = { number: number; note: string | null; caution: string | null }

export type StepRow = Prisma.JobStepGetPayload<{ include: { reports: true; station: true } }>
export type Loaded = {
  order: OrderView
  step: StepRow
  recipe: StepRecipe
  sizes: SizeCount[]
  /** Every step of the order, in chains. */
  chain: StepRow[]
  before: Before | null
  facts: StepFacts
  zone: string
}

const json = (value: unknown) => JSON.parse(JSON.stringify(value)) as Prisma.InputJsonValue
const at = (date: Date | null): Instant | null => (date ? instantOf(date) : null)
const say = (zone: string) => (t: Instant) => formatTime(t, zone)

/**
 * Runs a report in one transaction. One that was counted already changes nothing and is answered as the first time.
 * @param undo tells whether the report was counted before
 */
export const report = <R extends Reporting>(
  what: R,
  work: (tx: Tx, on: Loaded, what: R & Made) => Promise<Said>,
): Promise<Result<Reported>> =>
  attempt<Reported>(async tx => {
    const on = await load(tx, what.stepId)
    const counted = await tx.report.findUnique({ where: { formKey: what.formKey } })
    if (counted) return { number: on.order.number, note: counted.answer, caution: counted.caution }
    const now = reportTime(what.at ?? null, at(on.step.reports.at(-1)?.at ?? null), what.now)
    const said = await work(tx, on, { ...what, now, cameAt: what.now, reportId: uuidv7() })
    const { note = null, caution = null } = said
    if (note || caution)
      await tx.report.update({ where: { formKey: what.formKey }, data: { answer: note, caution } })
    return { number: on.order.number, note, caution }
  })

async function load(tx: Tx, stepId: string): Promise<Loaded> {
  const step = await tx.jobStep.findUnique({
    where: { id: stepId },
    include: { reports: { orderBy: [{ at: 'asc' }, { id: 'asc' }] }, station: true },
  })
  if (!step)
    throw new Refused(
      refuse(
        'unknown',
        'This step is not on the floor’s list any more: open the board and look what is next.',
      ),
    )
  const [order, facts, chain] = await Promise.all([
    getOrderById(step.orderId),
    shop(),
    tx.jobStep.findMany({
      where: { orderId: step.orderId, job: step.job },
      include: { reports: { orderBy: [{ at: 'asc' }, { id: 'asc' }] }, station: true },
      orderBy: { position: 'asc' },
    }),
  ])
  if (!order) throw new Refused(refuse('unknown', 'This order is not known here: open the board again.'))
  const last = step.reports.at(-1)
  const sizes = sizeCountsSchema.parse(step.sizes)
  return {
    order,
    step,
    sizes,
    chain,
    recipe: stepRecipeSchema.parse(step.recipe),
    before: beforeOf(
      step,
      sizes,
      isAfter(step.job) && step.position === 1 ? await printsOf(tx, step) : chain,
    ),
    zone: facts.timeZone,
    facts: {
      order: { number: order.number, state: order.state },
      title: step.title,
      state: step.state as StepState,
      pieces: step.pieces,
      good: step.good,
      spoiled: step.spoiled,
      last: last ? { byName: last.byName, at: instantOf(last.at) } : null,
      stationName: step.station?.name ?? null,
      afterwards: isAfter(step.job),
    },
  }
}

/** The steps of the batch that a washing up follows, up to its last print: their screens are free after that. */
async function printsOf(tx: Tx, after: StepRow): Promise<StepRow[]> {
  const batch = await tx.jobStep
    .findMany({
      where: { orderId: after.orderId, job: { startsWith: 'batch-' } },
      include: { reports: true, station: true },
      orderBy: [{ job: 'asc' }, { position: 'asc' }],
    })
    .then(steps => steps.filter(s => isBefore(s.job, after.job)))
  const last = batch.findLastIndex(s => s.printId !== null && s.stationKind === 'screen-press')
  return batch.slice(0, last + 1)
}

/** The step that hands pieces on to this one: the last before it that works any of its blanks. */
function beforeOf(step: StepRow, sizes: readonly SizeCount[], chain: readonly StepRow[]): Before | null {
  const mine = new Set(sizes.map(s => s.itemId))
  const before = chain
    .filter(
      s =>
        (s.job !== step.job || s.position < step.position) &&
        s.state !== 'dropped' &&
        sizeCountsSchema.parse(s.sizes).some(z => mine.has(z.itemId)),
    )
    .at(-1)
  return before
    ? {
        title: before.title,
        state: before.state as StepState,
        good: before.good,
        finishedAt: at(before.finishedAt),
        gapMin: before.gapMin,
        gapMax: before.gapMax,
      }
    : null
}

/** Writes a report down, in the transaction that the caller is in. Its form key is unique: the same form again is refused by the database. */
export const write = (
  tx: Tx,
  { stepId, by, now, cameAt, formKey, reportId }: Made,
  kind: string,
  more: { good?: number; spoiled?: number; note?: string; sizes?: SizeGood[]; undoes?: string } = {},
) =>
  tx.report.create({
    data: {
      id: reportId,
      stepId,
      kind,
      byName: by.name,
      at: new Date(now),
      cameAt: cameAt === now ? null : new Date(cameAt),
      formKey,
      ...more,
    },
  })

/** A line of history about a step: how it stood, and how it stands now. */
export const remember = (on: Loaded, what: Reporting, words: string, after: Prisma.InputJsonObject) =>
  record({
    by: what.by,
    what: `${words} “${on.step.title}” of order ${on.order.number}`,
    entity: 'order',
    ref: on.order.id,
    before: { step: on.step.id, state: on.step.state, good: on.step.good, spoiled: on.step.spoiled },
    after: { step: on.step.id, ...after },
    at: new Date(what.now),
  })

/** What else runs at a station, or null: a station works one step at a time. */
export async function busyWith(tx: Tx, stationId: string, stepId: string) {
  const other = await tx.jobStep.findFirst({
    where: { stationId, state: 'running', id: { not: stepId } },
    select: { title: true, order: { select: { number: true } } },
  })
  return other ? { number: other.order.number, title: other.title } : null
}

/** Why a station is out of use at an instant, or null. */
const closedWhy = (station: StationRow, now: Instant): string | null =>
  station.closed.find(c => Date.parse(c.from) <= now && now < Date.parse(c.to))?.why ?? null

/** Somebody starts a step at a station. The blanks leave the shelf for it, the order is in the making. */
export const startStep = (
  what: Reporting & { stationId: string; checks?: readonly string[] | undefined },
): Promise<Result<Reported>> =>
  report(what, async (tx, on, what) => {
    const { now, by, stationId, stepId, cameAt } = what
    const station = (await stations()).find(s => s.id === stationId)
    if (!station)
      throw new Refused(refuse('station', 'This station is not in the shop any more: choose another.'))
    const people = await activePeople()
    const { firstPiece } = await shop()
    const ticked = what.checks ?? []
    const { caution } = must(
      decideStart({
        ...on.facts,
        before: on.before,
        uncleared: unclearedOf(on.order).map(a => a.name),
        clearers: people.filter(p => mayDo(p, 'artwork.clear')).map(p => p.name),
        station: {
          name: station.name,
          kindFits: station.kind === (on.step.stationKind as StationKind),
          busyWith: await busyWith(tx, stationId, stepId),
          closedWhy: closedWhy(station, now),
        },
        ...(firstPiece ? { checks: { wanted: checksOf(on.recipe), ticked } } : {}),
        now,
        say: say(on.zone),
      }),
    )
    const below = await drawBlanks(tx, on, what)
    const old = await oldAhead(tx, on, now)
    await tx.jobStep.update({
      where: { id: stepId },
      data: { state: 'running', stationId, startedAt: new Date(now), version: { increment: 1 } },
    })
    if (on.step.stationState)
      await tx.station.update({ where: { id: stationId }, data: { state: on.step.stationState } })
    const frames = await takeFrames(tx, on, what)
    await write(tx, what, 'start', ticked.length ? { note: `looked at: ${ticked.join(', ')}` } : {})
    await remember(on, what, 'started', { state: 'running', station: station.name })
    if (on.order.state === 'agreed')
      must(
        await moveOrderTx(tx, on.order.id, 'making', {
          by,
          now,
          what: `the work on order ${on.order.number} has begun`,
        }),
      )
    await takeOn(tx, stepId, stationId, by, now)
    await replanTx(tx, `“${on.step.title}” of order ${on.order.number} started`, cameAt)
    return {
      note: frames?.note ?? null,
      caution: [caution, below, old, frames?.caution].filter(Boolean).join(' ') || null,
    }
  })

/** What a step does with frames, and the design whose screens they carry; null for one that has to do with none. */
function framesAt({ step, chain, recipe }: Loaded) {
  const facts = (row: StepRow) => ({
    position: row.position,
    dropped: row.state === 'dropped',
    recipe: row.id === step.id ? recipe : stepRecipeSchema.parse(row.recipe),
  })
  const { print } = recipe
  if (!print?.artworkId || recipe.counted.per !== 'screen') return null
  const { artworkId, widthMm, heightMm } = print
  const design = { artworkId, widthMm, heightMm, design: designOf({ artworkId, widthMm, heightMm }) }
  return { ...frameWorkOf(facts(step), chain.map(facts)), design }
}

/** Takes the frames for the screens that are begun here, and says which. */
async function takeFrames(tx: Tx, on: Loaded, { by, now, reportId }: Made): Promise<Said | null> {
  const work = framesAt(on)
  if (!work?.takes) return null
  const taken = await takeFramesTx(tx, work.design, on.recipe.counted.units, {
    orderId: on.order.id,
    by,
    now,
    reportId,
  })
  if (!taken) return null
  return {
    note: taken.numbers.length ? `Take ${frameWords(taken.numbers)}.` : null,
    caution: taken.lacking
      ? `${taken.lacking} more ${taken.lacking === 1 ? 'frame is' : 'frames are'} needed than are free: reclaim some, and note them under “Screens” in the stockroom.`
      : null,
  }
}

/** Notes what is burnt or reclaimed with the step that is done here, and says on which frames. */
async function workFrames(tx: Tx, on: Loaded, { by, now, reportId }: Made): Promise<string | null> {
  const work = framesAt(on)
  if (!work) return null
  const of = { orderId: on.order.id, by, now, reportId }
  const burnt = work.burns ? await burnFramesTx(tx, work.design.design, of) : []
  if (burnt.length) return `Burnt on ${frameWords(burnt)}.`
  const free = work.reclaims ? await reclaimFramesTx(tx, work.design.design, of) : []
  return free.length ? `Free again: ${frameWords(free)}.` : null
}

/** Writes on the plan who works the step, so that nobody else is planned there. */
async function takeOn(tx: Tx, stepId: string, stationId: string, by: Actor, now: Instant) {
  const member = await memberOf(by, now)
  const when = new Date(now)
  const run = { stationId, crewId: member?.id ?? null }
  await tx.plannedRun.upsert({
    where: { stepId },
    create: { stepId, ...run, startAt: when, workAt: when, endAt: when, changeover: 0, setup: 0, run: 0 },
    update: run,
  })
}

const memberOf = async (by: Actor, now: Instant) =>
  (await crew(now)).find(m => m.userId !== null && m.userId === by.id) ?? null

/** Takes the blanks of a chain from the shelf when its first step on them starts. Says where the book falls below nothing. */
async function drawBlanks(tx: Tx, on: Loaded, { by, now, reportId }: Made): Promise<string | null> {
  if (!on.recipe.onBlank) return null
  const drawn = new Map<string, number>()
  const moved = await tx.movement.findMany({
    where: { stepId: { in: on.chain.map(s => s.id) }, item: { kind: 'blank' } },
    select: { itemId: true, quantity: true },
  })
  for (const m of moved) drawn.set(m.itemId, (drawn.get(m.itemId) ?? 0) - m.quantity)
  const rows = blanksToDraw(on.sizes, drawn)
  if (rows.length === 0) return null
  const remake = isRemake(on.step.job)
  const issued = must(
    await issueTx(tx, {
      orderId: on.order.id,
      stepId: on.step.id,
      reportId,
      rows,
      by,
      now,
      kind: remake ? 'spoiled' : 'issued',
      // No blank was there when the piece was spoiled: one has been kept for it since.
      ...(remake ? { why: `Remake of order ${on.order.number}`, promised: true } : {}),
    }),
  )
  const below = issued.filter(i => i.below > 0).map(i => `${i.below} × ${i.name}`)
  return below.length
    ? `The stock book falls short by ${below.join(', ')}: receive or count them in the stockroom.`
    : null
}

/** What so many worked pieces use, as items of the stockroom. Consumables that it does not keep are left out. */
async function usedRows(tx: Tx, on: Loaded, before: number, after: number): Promise<Needed[]> {
  const uses = consumed(on.recipe.uses, before, after)
  if (uses.length === 0) return []
  const items = await tx.stockItem.findMany({
    where: { consumable: { in: uses.map(u => u.consumable) } },
    select: { id: true, consumable: true },
  })
  const idOf = new Map(items.map(i => [i.consumable, i.id]))
  return uses.flatMap(u => {
    const itemId = idOf.get(u.consumable)
    return itemId ? [{ itemId, quantity: u.quantity }] : []
  })
}

/** Draws what so many worked pieces have used. Says what of it was out of date. */
async function drawConsumables(
  tx: Tx,
  on: Loaded,
  before: number,
  after: number,
  { by, now, reportId }: Made,
): Promise<string | null> {
  const rows = await usedRows(tx, on, before, after)
  if (rows.length === 0) return null
  const issued = must(
    await issueTx(tx, { orderId: on.order.id, stepId: on.step.id, reportId, rows, by, now, kind: 'issued' }),
  )
  const old = expiredWords(issued, t => formatLongDay(t, on.zone))
  return old && `By the book this used ${old}: look at the prints, and tell the stockroom.`
}

/** Says before the first piece what the shelf would give out of date. */
async function oldAhead(tx: Tx, on: Loaded, now: Instant): Promise<string | null> {
  const worked = on.step.good + on.step.spoiled
  const rows = await usedRows(tx, on, worked, on.step.pieces)
  const old = expiredWords(await expiredAhead(rows, now), t => formatLongDay(t, on.zone))
  return old && `Not enough is left that is in date. This will take ${old}: try it on a test print first.`
}

/** Books the time since the step was started, went on, or was handed on in part. */
async function bookTime(tx: Tx, on: Loaded, { by, now, reportId }: Made, pieces: number) {
  const marks: Mark[] = standing(on.step.reports).map(r => ({
    kind: r.kind as Mark['kind'],
    at: instantOf(r.at),
  }))
  const span = openSpan(marks, now)
  if (!span || on.step.stationId === null) return
  const [facts, rates, machines, member] = await Promise.all([
    shop(),
    ratesAt(now),
    stations(now),
    memberOf(by, now),
  ])
  const station = machines.find(s => s.id === on.step.stationId)
  const open = station
    ? openingsOf(station.hours, station.closed, facts.timeZone, span.from, span.to).map(o => ({
        from: instant(o.from * 60_000),
        to: instant(o.to * 60_000),
      }))
    : []
  const worked = workedSeconds(span, open)
  const booked = await tx.workLog.aggregate({
    where: { stepId: on.step.id },
    _sum: { labourSeconds: true },
  })
  const labour = attendedSeconds(
    worked,
    on.step.attended as 'all' | 'setup' | 'none',
    on.step.setupMinutes,
    seconds(booked._sum.labourSeconds ?? 0),
  )
  const wage = minor(member?.wagePerHour ?? rates.wagePerHour)
  const hour = station?.cost ? machineHour(station.cost, rates, facts.currency).total : 0
  await tx.workLog.create({
    data: {
      stepId: on.step.id,
      orderId: on.order.id,
      stationId: on.step.stationId,
      crewId: member?.id ?? null,
      byName: by.name,
      fromAt: new Date(span.from),
      toAt: new Date(span.to),
      labourSeconds: labour,
      machineSeconds: worked,
      labourMinor: timeMoney(labour, minor(wage + rates.overheadPerLabourHour)),
      machineMinor: microToMinor(roundToMicro((hour * worked) / 3600), facts.currency),
      pieces,
      reportId,
    },
  })
}

/** Somebody pauses a running step. */
export const pauseStep = (what: Reporting & { reason: string }): Promise<Result<Reported>> =>
  report(what, async (tx, on, what) => {
    must(decidePause(on.facts, what.reason, say(on.zone)))
    await bookTime(tx, on, what, 0)
    await tx.jobStep.update({
      where: { id: on.step.id },
      data: { state: 'paused', version: { increment: 1 } },
    })
    await write(tx, what, 'pause', { note: what.reason.trim().slice(0, 500) })
    await remember(on, what, 'paused', { state: 'paused', reason: what.reason.trim().slice(0, 500) })
    await replanTx(tx, `“${on.step.title}” of order ${on.order.number} paused`, what.cameAt)
    return {}
  })

/** Somebody goes on with a paused step. */
export const resumeStep = (what: Reporting): Promise<Result<Reported>> =>
  report(what, async (tx, on, what) => {
    const busy = on.step.stationId ? await busyWith(tx, on.step.stationId, on.step.id) : null
    must(decideResume(on.facts, busy, say(on.zone)))
    await tx.jobStep.update({
      where: { id: on.step.id },
      data: { state: 'running', version: { increment: 1 } },
    })
    await write(tx, what, 'resume')
    await remember(on, what, 'went on with', { state: 'running' })
    if (on.step.stationId) await takeOn(tx, on.step.id, on.step.stationId, what.by, what.now)
    await replanTx(tx, `“${on.step.title}” of order ${on.order.number} goes on`, what.cameAt)
    return {}
  })

/**
 * Somebody counts good pieces: all that are left finish the step, fewer are handed on and the step runs on.
 * @param seen pieces that were good or spoiled already as the reporting screen knew it; more than that are somebody else's count
 */
export const finishStep = (
  what: Reporting & {
    good: number
    sizes?: ReadonlyMap<string, number> | undefined
    seen?: number | undefined
  },
): Promise<Result<Reported>> =>
  report(what, async (tx, on, what) => {
    const { by, now, cameAt } = what
    const done = must(decideFinish({ ...on.facts, before: on.before }, what.good, say(on.zone)))
    const sizes = must(goodBySize(await sizesLeft(tx, on.step), what.good, what.sizes ?? null))
    await bookTime(tx, on, what, what.good)
    const worked = on.step.good + on.step.spoiled
    const old = await drawConsumables(tx, on, worked, worked + what.good, what)
    await tx.jobStep.update({
      where: { id: on.step.id },
      data: {
        good: done.good,
        version: { increment: 1 },
        ...(done.complete ? { state: 'done', finishedAt: new Date(now) } : {}),
      },
    })
    const frames = done.complete ? await workFrames(tx, on, what) : null
    await write(tx, what, 'finish', { good: what.good, sizes })
    await remember(on, what, done.complete ? 'finished' : 'handed on a part of', {
      state: done.complete ? 'done' : on.step.state,
      good: done.good,
    })
    await readyTx(tx, on.order.id, by, now)
    await replanTx(
      tx,
      `“${on.step.title}” of order ${on.order.number} ${done.complete ? 'finished' : 'handed on in part'}`,
      cameAt,
    )
    return {
      note: done.complete ? frames : `${done.left} still to do; what is done can go on to the next step.`,
      caution: [old, besideOf(on, what.seen)].filter(Boolean).join(' ') || null,
    }
  })

/** What is said where somebody else has counted at the step meanwhile. */
const besideOf = ({ step, zone }: Loaded, seen: number | undefined): string | null => {
  const worked = step.good + step.spoiled
  const reports = standing(step.reports).map(r => ({ ...r, at: instantOf(r.at) }))
  return countedBeside(reports, worked, seen ?? worked, say(zone))
}

/** Open pieces of a step by size: those that are neither good nor spoiled yet. */
export async function sizesLeft(tx: Tx, step: StepRow): Promise<SizeGood[]> {
  const lost = await tx.misprint.findMany({
    where: { stepId: step.id, undone: false },
    select: { itemId: true, quantity: true },
  })
  return leftBySize(sizeCountsSchema.parse(step.sizes), standing(step.reports), lost)
}

/** Moves the order to ready once everything that the customer waits for is done. */
async function readyTx(tx: Tx, orderId: string, by: Actor, now: Instant) {
  const open = await tx.jobStep.findMany({
    where: { orderId, state: { in: ['waiting', 'running', 'paused'] } },
    select: { job: true },
  })
  if (open.some(s => !isAfter(s.job))) return
  const order = await tx.order.findUnique({ where: { id: orderId }, select: { state: true, number: true } })
  if (order?.state === 'making')
    must(
      await moveOrderTx(tx, orderId, 'ready', {
        by,
        now,
        what: `order ${order.number} is all made and packed`,
      }),
    )
}

/** Somebody spoiled pieces: they are counted, new blanks are drawn, and a chain of its own makes them good. */
export const reportMisprint = (
  what: Reporting & {
    itemId: string
    quantity: number
    reason: MisprintReason
    note: string
    /** A kept picture of it, by its content. */
    photo?: string | undefined
    /** As for a count. */
    seen?: number | undefined
  },
): Promise<Result<Reported>> =>
  report(what, async (tx, on, what) => {
    const { by, now, cameAt, itemId, quantity, reason, reportId } = what
    if (!on.recipe.onBlank)
      throw new Refused(
        refuse(
          'no-blank',
          `No blank is worked at “${on.step.title}”: make it again here, and count only what came out well.`,
        ),
      )
    const before = await tx.misprint.aggregate({
      where: { stepId: on.step.id, itemId, undone: false },
      _sum: { quantity: true },
    })
    const lost = must(
      decideMisprint(
        { ...on.facts, before: on.before, sizes: on.sizes },
        on.chain.map(s => ({ ...s, state: s.state as StepState, sizes: sizeCountsSchema.parse(s.sizes) })),
        on.step.id,
        { itemId, quantity, alreadySpoiledOfSize: before._sum.quantity ?? 0 },
      ),
    )
    const running = on.step.state === 'running'
    const complete = lost.here.complete && on.step.state !== 'done'
    if (complete && running) await bookTime(tx, on, what, 0)
    const worked = on.step.good + on.step.spoiled
    const old = await drawConsumables(
      tx,
      on,
      worked,
      Math.max(worked, lost.here.good + lost.here.spoiled),
      what,
    )
    await tx.jobStep.update({
      where: { id: on.step.id },
      data: {
        good: lost.here.good,
        spoiled: lost.here.spoiled,
        version: { increment: 1 },
        ...(complete ? { state: 'done', finishedAt: new Date(now) } : {}),
      },
    })
    for (const step of lost.later) await shrink(tx, on.chain, step, now)
    const remake = await addRemake(tx, on, { ...lost, by, now, reason, reportId })
    const saved = await tx.misprint.create({
      data: {
        orderId: on.order.id,
        stepId: on.step.id,
        itemId,
        size: lost.size,
        quantity,
        reason,
        note: what.note.trim().slice(0, 500),
        remake: remake.job,
        fromAllowance: remake.covered,
        later: on.chain
          .filter(s => lost.later.some(l => l.id === s.id))
          .map(({ id, pieces, runMinutes }) => ({ id, pieces, runMinutes })),
        photo: what.photo ?? null,
        reportId,
        byName: by.name,
        at: new Date(now),
      },
    })
    await tx.jobStep.updateMany({
      where: { orderId: on.order.id, job: remake.job },
      data: { remakeOf: saved.id },
    })
    await write(tx, what, 'misprint', {
      spoiled: quantity,
      // Good ones that turned out bad: 0 or less.
      good: lost.here.good - on.step.good,
      note: `${lost.size}: ${MISPRINT_WORDS[reason]}`,
    })
    await remember(on, what, `spoiled ${quantity} × ${lost.size} at`, {
      spoiled: lost.here.spoiled,
      reason,
      remake: remake.job,
    })
    if (on.order.state === 'ready')
      must(await moveOrderTx(tx, on.order.id, 'making', { by, now, what: 'a piece was found spoiled' }))
    await replanTx(tx, `misprint at “${on.step.title}” of order ${on.order.number}`, cameAt)
    const beside = [old, besideOf(on, what.seen)].filter(Boolean).join(' ') || null
    if (remake.drawn)
      return {
        note: `${quantity} × ${lost.size} is on the list again, from the first step on.`,
        caution: beside,
      }
    const none = `${quantity} × ${lost.size} is on the list again, but no blank of it is on the shelf: it waits for one.`
    return { caution: [none, beside].filter(Boolean).join(' ') }
  })

async function shrink(
  tx: Tx,
  chain: readonly StepRow[],
  step: { id: string; pieces: number; sizes: SizeCount[]; dropped: boolean; done: boolean },
  now: Instant,
) {
  const row = chain.find(s => s.id === step.id)
  if (!row) return
  await tx.jobStep.update({
    where: { id: step.id },
    data: {
      pieces: step.pieces,
      sizes: json(step.sizes),
      runMinutes: Math.ceil((row.runMinutes * step.pieces) / Math.max(1, row.pieces)),
      version: { increment: 1 },
      ...(step.dropped
        ? { state: 'dropped' }
        : step.done
          ? { state: 'done', finishedAt: new Date(now) }
          : {}),
    },
  })
}

async function addRemake(
  tx: Tx,
  on: Loaded,
  lost: {
    size: string
    itemId: string
    quantity: number
    by: Actor
    now: Instant
    reason: MisprintReason
    reportId: string
  },
): Promise<{ job: string; drawn: boolean; covered: number }> {
  const jobs = await tx.jobStep.findMany({
    where: { orderId: on.order.id },
    select: { job: true },
    distinct: ['job'],
  })
  const job = remakeJob(jobs.filter(j => isRemake(j.job)).length + 1)
  const colour = on.sizes.find(s => s.itemId === lost.itemId)?.colour ?? ''
  const steps = remakeOf(
    on.chain.map(s => ({
      ...s,
      stationKind: s.stationKind as StationKind,
      attended: s.attended as 'all' | 'setup' | 'none',
      sizes: sizeCountsSchema.parse(s.sizes),
      recipe: stepRecipeSchema.parse(s.recipe),
    })),
    [{ size: lost.size, colour, itemId: lost.itemId, quantity: lost.quantity }],
    job,
  )
  await addStepsTx(tx, on.order.id, steps)
  const first = await tx.jobStep.findFirst({
    where: { orderId: on.order.id, job },
    orderBy: { position: 'asc' },
  })
  const free = (await levels([lost.itemId])).get(lost.itemId)?.onHand ?? 0
  const row = { itemId: lost.itemId, quantity: lost.quantity }
  const drawn = free >= lost.quantity && first !== null
  const covered = await promiseSpoiledTx(tx, on.order.id, row, drawn)
  if (!drawn) return { job, drawn, covered }
  must(
    await issueTx(tx, {
      orderId: on.order.id,
      stepId: first.id,
      reportId: lost.reportId,
      rows: [row],
      by: lost.by,
      now: lost.now,
      kind: 'spoiled',
      why: `Misprint on order ${on.order.number}: ${MISPRINT_WORDS[lost.reason]}`,
    }),
  )
  return { job, drawn, covered }
}
