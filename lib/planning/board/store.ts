import 'server-only'
import { createHash, randomUUID } from 'node:crypto'
import { z } from 'zod'
import { costingAsAgreed, priceLists } from '@/lib/methods/store'
import { getOrderById } from '@/lib/orders/store'
import { db, type Prisma, type Tx } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { closedSchema } from '@/lib/shop/crew'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { attempt, must, Refused } from '@/lib/stock/store'
import { ok, type Result, refuse } from '@/lib/units/result'
import { formatMoment, type Instant, instant, instantOf } from '@/lib/units/time'
import { cannotTake, changeWords, firstPlace, type PlanChange } from '../changes'
import type { Plan, Spread } from '../engine'
import {
  boardPlan,
  type PlannedRun,
  type PlanRows,
  type PlanStep,
  runsOf,
  sameRun,
  shopOf,
  stepAt,
} from '../model'
import { instantOfMinute } from '../openings'
import { rowsFrom } from '../order-work'
import { chancesAside, improveAside, planAside } from '../plan.worker'
import { type SizeCount, type StepRecipe, sizeCountsSchema, stepRecipeSchema } from '../recipe-snapshot'
import { blanksOfPart, type Split, type SplitStep, splitSteps } from '../split-steps'
import { isAfter, isRemake, type NewStep, stepsOf } from '../steps'
import {
  addStepsTx,
  mending,
  type Open,
  openWork,
  orderWork,
  printedBy,
  replanTx,
  writePlanTx,
} from '../store'
import { asPlanStep, postDue, reasonWords } from '../trial'
import { pinsInTheWay, type WhatChanges, whatChanges } from '../what-changes'
import { type WhyLine, whyWords } from '../why-words'

const json = (value: unknown) => JSON.parse(JSON.stringify(value)) as Prisma.InputJsonValue

/** What a change would mean, as a screen shows it. Nothing is written yet. */
export type Trial = {
  /** Names the trial, so that exactly this plan can be taken. */
  id: string
  /** What would be done, in the past: "moved “Press” of 1042 to Press B, Fri 10:15". */
  words: string
  /** Where it had to differ from what was asked, and why; null where it did not. */
  note: string | null
  changes: WhatChanges
  /** Where the run that was asked for would stand. */
  run: { stepId: string; stationId: string; startAt: Instant; workAt: Instant; endAt: Instant } | null
}

type Kept = {
  change: PlanChange
  words: string
  /** All that the plan was made from. */
  print: string
  made: Plan
  /** Rows with the change made. */
  rows: PlanRows
  work: Work
  at: Instant
}
/** What a change writes on the floor's list besides the plan. */
type Work =
  | { kind: 'none' }
  | { kind: 'split'; orderId: string; split: Split }
  | { kind: 'sendOut'; orderId: string; steps: NewStep[]; gone: string[]; listName: string }

/** How long a trial can be taken. */
const TRIAL_MS = 10 * 60_000
const MOST_TRIALS = 100
/** Seconds that a better plan is looked for. */
export const BETTER_SECONDS = 5

// On globalThis: pages, actions and routes are bundled apart.
const shared = globalThis as { shirtwrightTrials?: Map<string, Kept> }
shared.shirtwrightTrials ??= new Map()
const trials = shared.shirtwrightTrials

/** A mark of all that a plan is made from but the time: where it is the same, a trial plan still holds. */
function markOf({ rows, board }: Pick<Open, 'rows' | 'board'>): string {
  const { steps, stations, crew, orders, pins } = rows
  const hash = createHash('sha1')
  hash.update(
    JSON.stringify([
      steps,
      stations,
      crew,
      orders.map(o => [o.id, o.promiseAt, o.promiseHard, o.rush]),
      [...(pins ?? [])],
      [...board].sort((a, b) => (a.stepId < b.stepId ? -1 : 1)),
    ]),
  )
  return hash.digest('hex')
}

/**
 * What a change would do to the plan: it is tried in the planner's thread, beside the plan that the same search finds without it, and
 * kept for ten minutes so that exactly this plan can be taken. Nothing is written.
 * @param betterSeconds how long a better plan is looked for, where that is what was asked
 */
export async function tryChange(
  asked: PlanChange,
  now: Instant,
  betterSeconds = BETTER_SECONDS,
): Promise<Result<Trial>> {
  const open = await openWork(now)
  const { rows } = open
  const budget = mending(open)
  const print = markOf(open)
  const prepared = await prepare(asked, open)
  if (!prepared.ok) return prepared
  const { work, rows: withChange } = prepared.value
  let { change } = prepared.value
  let after = withChange
  const before = await planAside(shopOf(rows), budget)
  let note: string | null = null
  let made: Plan
  if (change.kind === 'better') {
    made = await improveAside(shopOf(rows), before, { seconds: betterSeconds, seed: 1, moveCost: 1 })
  } else {
    // A part that is split off has no place to keep: it begins as soon as it can.
    const anew = work.kind === 'split' ? work.split.first.map(f => f.id) : []
    const stands = open.board.filter(r => !anew.includes(r.stepId))
    const mend = anew.length ? mending({ rows: after, board: stands }) : budget
    made = await planAside(shopOf(after), mend)
    if (change.kind === 'move' || change.kind === 'pin') {
      const { step } = change
      // Whoever does it can be somebody else: the one who disturbs least is taken.
      for (const crewId of ableCrew(after, step)) {
        const by = withCrew(after, step, crewId)
        const other = await planAside(shopOf(by), mend)
        if (isBetter(other, made)) {
          made = other
          after = by
        }
      }
      const wrong = pinsInTheWay(made, after.steps, new Map([[step, true]]))[0]
      if (wrong) {
        const place = nearest(change, open)
        const why = reasonWords(wrong.why, rows.steps, rows.orders, [...rows.stations, ...rows.crew])
        if (!place) return refuse('no-room', why)
        change = { kind: 'move', step, ...place }
        after = pinnedAt(rows, step, place.station, place.start)
        made = await planAside(shopOf(after), budget)
        if (pinsInTheWay(made, after.steps, new Map([[step, true]])).length)
          return refuse('no-room', `It cannot stand there. ${why}`)
        note = `${why} The first time it can be there is ${formatMoment(place.start, rows.zone)}.`
      }
    }
  }
  const id = randomUUID()
  const listName = work.kind === 'sendOut' ? work.listName : ''
  const words = changeWords(change, rows, open.board, listName)
  trials.set(id, { change, words, print, made, rows: after, work, at: now })
  for (const [old, t] of trials) if (t.at < now - TRIAL_MS || trials.size > MOST_TRIALS) trials.delete(old)
  const stepId = 'step' in change ? change.step : null
  const changes = whatChanges({ rows, plan: before }, { rows: after, plan: made }, stepId)
  const run = runsOf(made, after.steps).find(r => r.stepId === stepId)
  return ok({
    id,
    words,
    note,
    run: run ? placeOf(run) : null,
    changes: {
      ...changes,
      homeless: changes.homeless.map(h => ({
        ...h,
        why: reasonWords(h.why, after.steps, after.orders, [...after.stations, ...after.crew]),
      })),
    },
  })
}

const placeOf = ({ stepId, stationId, startAt, workAt, endAt }: PlannedRun) => ({
  stepId,
  stationId,
  startAt,
  workAt,
  endAt,
})

const pinnedAt = (rows: PlanRows, step: string, stationId: string, startAt: Instant): PlanRows => ({
  ...rows,
  pins: new Map([...(rows.pins ?? []), [step, { stationId, startAt, crewId: null }]]),
})

/** People that are tried for a run that somebody moves: more would make its mover wait. */
const MOST_TRIED = 4

function ableCrew(rows: PlanRows, stepId: string): string[] {
  const step = rows.steps.find(s => s.id === stepId)
  if (!step || step.attended === 'none') return []
  return rows.crew
    .filter(m => m.skills.includes(step.stationKind))
    .slice(0, MOST_TRIED)
    .map(m => m.id)
}

function withCrew(rows: PlanRows, step: string, crewId: string): PlanRows {
  const pin = rows.pins?.get(step)
  return pin ? { ...rows, pins: new Map([...(rows.pins ?? []), [step, { ...pin, crewId }]]) } : rows
}

/** Whether a plan is better in what matters: everything has a place, hard promises, lateness, then the fewest runs moved. */
function isBetter(a: Plan, b: Plan): boolean {
  const rank = (p: Plan) => [
    p.conflicts.length,
    p.unplaced.length,
    p.objective.hardMisses,
    p.objective.weightedLateMinutes,
    p.moved,
    p.objective.changeoverMinutes,
  ]
  const [x, y] = [rank(a), rank(b)]
  const first = x.findIndex((n, i) => n !== y[i])
  return first >= 0 && (x[first] ?? 0) < (y[first] ?? 0)
}

/** Checks a change against the shop as it is, and makes it on the rows. */
async function prepare(
  change: PlanChange,
  open: Open,
): Promise<Result<{ change: PlanChange; rows: PlanRows; work: Work }>> {
  const { rows, board } = open
  const none: Work = { kind: 'none' }
  const step = 'step' in change ? rows.steps.find(s => s.id === change.step) : undefined
  if ('step' in change && !step)
    return refuse('gone', 'This run is not on the plan any more: it was finished or taken off.')
  const order = 'order' in change ? rows.orders.find(o => o.id === change.order) : undefined
  if ('order' in change && !order)
    return refuse('gone', 'This order has no open work any more: load the page again.')
  switch (change.kind) {
    case 'move': {
      if (step?.state !== 'waiting') return begun(step)
      const station = rows.stations.find(s => s.id === change.station)
      if (!station) return refuse('station', 'This station is not in the shop any more.')
      const cannot = cannotTake(station, step)
      if (cannot) return refuse('station', cannot)
      if (change.start < rows.now - 60_000)
        return refuse('past', 'That time has gone by: choose a later one.')
      return ok({ change, rows: pinnedAt(rows, step.id, station.id, change.start), work: none })
    }
    case 'pin': {
      if (step?.state !== 'waiting') return begun(step)
      const run = board.find(r => r.stepId === step.id)
      if (!run) return refuse('place', 'It has no place on the plan yet, so it cannot be pinned.')
      const start = instant(Math.max(run.startAt, Math.ceil(rows.now / 60_000) * 60_000))
      return ok({ change, rows: pinnedAt(rows, step.id, run.stationId, start), work: none })
    }
    case 'unpin': {
      if (!step || !rows.pins?.has(step.id)) return refuse('pin', 'This run is not pinned any more.')
      const pins = new Map(rows.pins)
      pins.delete(step.id)
      return ok({ change, rows: { ...rows, pins }, work: none })
    }
    case 'out': {
      const { from, to, why } = change
      if (!rows.stations.some(s => s.id === change.station))
        return refuse('station', 'This station is not in the shop any more.', 'station')
      if (to <= from) return refuse('span', 'It ends before it begins: change one of the two.', 'to')
      if (to <= rows.now) return refuse('span', 'This time is over: choose a later end.', 'to')
      if (to - from > 120 * 86_400_000)
        return refuse('span', 'That is longer than the plan reaches: choose at most 120 days.', 'to')
      const span = { from: iso(from), to: iso(to), why }
      return ok({
        change,
        work: none,
        rows: {
          ...rows,
          stations: rows.stations.map(s =>
            s.id === change.station ? { ...s, closed: [...s.closed, span] } : s,
          ),
        },
      })
    }
    case 'rush': {
      if (order?.rush === change.on)
        return refuse('rush', change.on ? 'This order is rushed already.' : 'This order is not rushed.')
      const orders = rows.orders.map(o => (o.id === order?.id ? { ...o, rush: change.on } : o))
      return ok({ change, rows: { ...rows, orders }, work: none })
    }
    case 'split':
      return prepareSplit(change, step as PlanStep, open)
    case 'sendOut':
      return prepareSendOut(change, open)
    case 'better':
      return ok({ change, rows, work: none })
  }
}

const begun = (step: PlanStep | undefined) =>
  refuse('begun', `“${step?.title ?? 'This run'}” has begun: it stays where it is worked.`)
const iso = (at: Instant) => new Date(at).toISOString()

const asSplitStep = (r: Prisma.JobStepGetPayload<object>): SplitStep => ({
  ...(r as unknown as SplitStep),
  sizes: sizeCountsSchema.parse(r.sizes),
  recipe: stepRecipeSchema.parse(r.recipe),
})

async function prepareSplit(
  change: PlanChange,
  step: PlanStep,
  { rows, orders }: Open,
): Promise<Result<{ change: PlanChange; rows: PlanRows; work: Work }>> {
  const list = await db().jobStep.findMany({ where: { orderId: step.orderId } })
  const chain = list.filter(s => s.job === step.job).map(asSplitStep)
  const held = orders.find(o => o.id === step.orderId)?.lacks ?? new Map()
  const here = new Map(
    [...blanksOfPart(chain)].map(([item, n]) => [item, Math.max(0, n - (held.get(item) ?? 0))]),
  )
  const split = splitSteps(
    chain,
    here,
    list.map(s => s.job),
  )
  if (!split.ok) return split
  const { first, gone, second } = split.value
  const kept = new Map(first.map(f => [f.id, f]))
  const fresh = second.map(s => asPlanStep(s, step.orderId))
  const steps = [
    ...rows.steps
      .filter(s => !gone.includes(s.id))
      .map(s => {
        const f = kept.get(s.id)
        return f ? { ...s, pieces: f.pieces, runMinutes: f.runMinutes } : s
      }),
    ...fresh,
  ]
  // The first part begins with what is here; the second as the whole would have.
  const parts = new Map(rows.parts)
  const free = [...here.values()].some(n => n > 0)
  if (free) parts.set(`${step.orderId}/${step.job}`, rows.now)
  return ok({
    change,
    rows: { ...rows, steps, parts },
    work: { kind: 'split', orderId: step.orderId, split: split.value },
  })
}

async function prepareSendOut(
  change: Extract<PlanChange, { kind: 'sendOut' }>,
  { rows }: Open,
): Promise<Result<{ change: PlanChange; rows: PlanRows; work: Work }>> {
  const list = (await priceLists()).find(l => l.list.key === change.list)?.list
  if (!list) return refuse('list', 'This printer’s price list is gone: choose another.', 'list')
  const steps = rows.steps.filter(s => s.orderId === change.order && !isAfter(s.job))
  const begunStep = steps.find(s => s.state !== 'waiting')
  if (begunStep)
    return refuse(
      'begun',
      `“${begunStep.title}” has begun: send out before the first step, or withdraw what is left.`,
    )
  if (steps.some(s => isRemake(s.job))) return refuse('begun', 'A remake of this order is under way here.')
  const order = await getOrderById(change.order)
  if (!order?.agreed || !order.method) return refuse('agreed', 'Only an agreed order can be sent out.')
  if (list.method !== order.method)
    return refuse(
      'list',
      `${list.name} prints by ${METHOD_WORDS[list.method].name.toLowerCase()}; this order was agreed as ${METHOD_WORDS[order.method].name.toLowerCase()}.`,
      'list',
    )
  const { costing } = await costingAsAgreed(order.agreed.work, rows.now)
  const work = printedBy(await orderWork(order, order.method, rows.now), list, costing)
  const taken = new Set(
    (await db().jobStep.findMany({ where: { orderId: order.id }, select: { job: true } })).map(s => s.job),
  )
  const next = Math.max(0, ...[...taken].map(j => Number(/^batch-(\d+)/.exec(j)?.[1] ?? 0)))
  const fresh = stepsOf(work, rowsFrom(order), costing)
    .filter(s => !isAfter(s.job))
    .map(s => ({
      ...s,
      job: `batch-${next + Number(s.job.split('-')[1] ?? 1)}`,
      recipe: { ...s.recipe, sentAt: rows.now },
    }))
  if (fresh.length === 0) return refuse('list', 'Nothing would be left to do here: this cannot be planned.')
  const post = Math.max(0, ...fresh.map(s => s.recipe.postDays))
  const back = post > 0 ? postDue(rows.now, post, rows.zone) : rows.now
  const gone = rows.steps.filter(s => s.orderId === order.id).map(s => s.id)
  return ok({
    change,
    work: { kind: 'sendOut', orderId: order.id, steps: fresh, gone, listName: list.name },
    rows: {
      ...rows,
      orders: rows.orders.map(o =>
        o.id === order.id ? { ...o, release: instant(Math.max(o.release, back)) } : o,
      ),
      steps: [...rows.steps.filter(s => s.orderId !== order.id), ...fresh.map(s => asPlanStep(s, order.id))],
    },
  })
}

/** The first place at or after what was asked where a run can really stand. */
function nearest(
  change: Extract<PlanChange, { kind: 'move' | 'pin' }>,
  { rows, board }: Open,
): { station: string; start: Instant } | null {
  const step = rows.steps.find(s => s.id === change.step)
  const own = board.find(r => r.stepId === change.step)
  const station = rows.stations.find(s => s.id === (change.kind === 'move' ? change.station : own?.stationId))
  const order = rows.orders.find(o => o.id === step?.orderId)
  if (!step || !station || !order) return null
  const previous = rows.steps
    .filter(s => s.orderId === step.orderId && s.job === step.job && s.position < step.position)
    .sort((a, b) => b.position - a.position)
    .find(s => s.state !== 'dropped')
  const ended = previous && (previous.finishedAt ?? board.find(r => r.stepId === previous.id)?.endAt)
  const states = new Map(rows.steps.map(s => [s.id, s.state]))
  const stays = board.filter(
    r =>
      r.stationId === station.id &&
      r.stepId !== step.id &&
      (states.get(r.stepId) === 'running' || rows.pins?.has(r.stepId)),
  )
  const start = firstPlace(
    stepAt(step, station.id, rows.paces),
    {
      station,
      crew: rows.crew,
      zone: rows.zone,
      now: rows.now,
      release: rows.parts?.get(`${step.orderId}/${step.job}`) ?? order.release,
    },
    change.kind === 'move' ? change.start : (own?.startAt ?? rows.now),
    previous && ended ? { endAt: ended, gapMin: previous.gapMin } : null,
    stays.map(r => ({ from: r.startAt, to: r.endAt })),
  )
  return start === null ? null : { station: station.id, start }
}

// ---- Taking ----

/** What a change replaced: enough to take it back. */
const beforeSchema = z.object({
  pin: z.object({ stationId: z.string(), startAt: z.number(), byName: z.string() }).nullable().optional(),
  step: z.string().optional(),
  closed: z.object({ station: z.string(), span: closedSchema }).optional(),
  rush: z.object({ order: z.string(), was: z.boolean() }).optional(),
  /** Steps as they stood, and those that came instead. */
  steps: z
    .array(
      z.object({
        id: z.string(),
        job: z.string(),
        position: z.number(),
        pieces: z.number(),
        sizes: sizeCountsSchema,
        runMinutes: z.number(),
        recipe: stepRecipeSchema,
        state: z.string(),
      }),
    )
    .optional(),
  fresh: z.object({ orderId: z.string(), jobs: z.array(z.string()) }).optional(),
  /** Runs that stood elsewhere. */
  runs: z.array(
    z.object({
      stepId: z.string(),
      stationId: z.string(),
      crewId: z.string().nullable(),
      startAt: z.number(),
      workAt: z.number(),
      endAt: z.number(),
      changeover: z.number(),
      setup: z.number(),
      run: z.number(),
    }),
  ),
})
type Before = z.output<typeof beforeSchema>

/**
 * Takes a trial as it was shown: the change is written, its plan hung on the board, with a line of history and the way back. Refused, with
 * nothing written, where the shop has changed since it was tried.
 */
export function takeTrial(id: string, by: Actor, now: Instant): Promise<Result<{ words: string }>> {
  return attempt(async tx => {
    const trial = trials.get(id)
    if (!trial || now - trial.at > TRIAL_MS)
      throw new Refused(refuse('stale', 'This is too long ago: look at what it would mean once more.'))
    const open = await openWork(now)
    if (markOf(open) !== trial.print)
      throw new Refused(
        refuse('stale', 'Something in the shop has changed meanwhile: look at what it would mean now.'),
      )
    const before = await writeChangeTx(tx, trial, by, now)
    const rows = await rowsWithIds(trial, open)
    const { rows: final, made } = rows
    const runs = new Map(runsOf(made, final.steps).map(r => [r.stepId, r]))
    const elsewhere = open.board.filter(r => {
      const is = runs.get(r.stepId)
      return !is || !sameRun(r, is)
    })
    await writePlanTx(tx, { rows: final, board: await boardNow(tx, open) }, made, trial.words, now)
    const change = await tx.planChange.create({
      data: {
        at: new Date(now),
        byName: by.name,
        words: trial.words,
        change: json(trial.change),
        before: json({ ...before, runs: elsewhere } satisfies Before),
      },
    })
    await record({
      by,
      what: trial.words,
      ...aboutOf(trial.change, final.steps, change.id),
      before: json({ ...before, runs: elsewhere.length }),
      after: json({ ...trial.change, objective: made.objective }),
      at: new Date(now),
    })
    trials.delete(id)
    return { words: trial.words }
  })
}

/** What a change is about: its order, its station, or the plan as a whole. */
function aboutOf(
  change: PlanChange,
  steps: readonly PlanStep[],
  id: string,
): { entity: string; ref: string } {
  if ('order' in change) return { entity: 'order', ref: change.order }
  if (change.kind === 'out') return { entity: 'station', ref: change.station }
  const orderId = 'step' in change ? steps.find(s => s.id === change.step)?.orderId : undefined
  return orderId ? { entity: 'order', ref: orderId } : { entity: 'plan', ref: id }
}

/** Runs of steps that were taken off the list are gone with them. */
async function boardNow(tx: Tx, { board }: Open): Promise<PlannedRun[]> {
  const there = new Set((await tx.plannedRun.findMany({ select: { stepId: true } })).map(r => r.stepId))
  return board.filter(r => there.has(r.stepId))
}

/** New steps have keys of their own once they are written: the trial's plan is told of them. */
async function rowsWithIds(trial: Kept, { rows: { now } }: Open): Promise<{ rows: PlanRows; made: Plan }> {
  if (trial.work.kind === 'none') return { rows: trial.rows, made: trial.made }
  const { orderId } = trial.work
  const written = await db().jobStep.findMany({
    where: { orderId, state: { not: 'dropped' } },
    select: { id: true, job: true, position: true },
  })
  const key = new Map(written.map(s => [`${orderId}/${s.job}/${s.position}`, s.id]))
  const as = (id: string) => key.get(id) ?? id
  return {
    rows: { ...trial.rows, now, steps: trial.rows.steps.map(s => ({ ...s, id: as(s.id) })) },
    made: {
      ...trial.made,
      runs: trial.made.runs.map(r => ({ ...r, step: as(r.step) })),
      unplaced: trial.made.unplaced.map(u => ({ ...u, step: as(u.step) })),
    },
  }
}

async function writeChangeTx(tx: Tx, trial: Kept, by: Actor, now: Instant): Promise<Omit<Before, 'runs'>> {
  const { change, work } = trial
  switch (change.kind) {
    case 'move':
    case 'pin': {
      const pin = trial.rows.pins?.get(change.step)
      if (!pin) throw new Error('A move without its pin.')
      const was = await tx.pin.findUnique({ where: { stepId: change.step } })
      const data = {
        stationId: pin.stationId,
        startAt: new Date(pin.startAt),
        byName: by.name,
        at: new Date(now),
      }
      await tx.pin.upsert({
        where: { stepId: change.step },
        create: { stepId: change.step, ...data },
        update: data,
      })
      return { step: change.step, pin: was && asPin(was) }
    }
    case 'unpin': {
      const was = await tx.pin.delete({ where: { stepId: change.step } })
      return { step: change.step, pin: asPin(was) }
    }
    case 'out': {
      const span = { from: iso(change.from), to: iso(change.to), why: change.why }
      const row = await tx.station.findUniqueOrThrow({ where: { id: change.station } })
      const closed = z.array(closedSchema).parse(row.closed)
      await tx.station.update({
        where: { id: row.id },
        data: { closed: json([...closed, span]), version: { increment: 1 } },
      })
      return { closed: { station: row.id, span } }
    }
    case 'rush': {
      await tx.order.update({
        where: { id: change.order },
        data: { rush: change.on, version: { increment: 1 } },
      })
      return { rush: { order: change.order, was: !change.on } }
    }
    case 'split':
      return work.kind === 'split' ? writeSplitTx(tx, work) : {}
    case 'sendOut':
      return work.kind === 'sendOut' ? writeSendOutTx(tx, work) : {}
    case 'better':
      return {}
  }
}

const asPin = (p: { stationId: string; startAt: Date; byName: string }) => ({
  stationId: p.stationId,
  startAt: instantOf(p.startAt),
  byName: p.byName,
})

const asBefore = (r: Prisma.JobStepGetPayload<object>): NonNullable<Before['steps']>[number] => ({
  id: r.id,
  job: r.job,
  position: r.position,
  pieces: r.pieces,
  sizes: r.sizes as unknown as SizeCount[],
  runMinutes: r.runMinutes,
  recipe: r.recipe as unknown as StepRecipe,
  state: r.state,
})

async function writeSplitTx(
  tx: Tx,
  { orderId, split }: Extract<Work, { kind: 'split' }>,
): Promise<Omit<Before, 'runs'>> {
  const ids = [...split.first.map(f => f.id), ...split.gone]
  const was = await tx.jobStep.findMany({ where: { id: { in: ids } } })
  for (const { id, sizes, recipe, ...rest } of split.first)
    await tx.jobStep.update({
      where: { id },
      data: { ...rest, sizes: json(sizes), recipe: json(recipe), version: { increment: 1 } },
    })
  await takeOffTx(tx, split.gone)
  await addStepsTx(tx, orderId, split.second)
  return {
    steps: was.map(asBefore),
    fresh: { orderId, jobs: [...new Set(split.second.map(s => s.job))] },
  }
}

async function writeSendOutTx(
  tx: Tx,
  { orderId, steps, gone }: Extract<Work, { kind: 'sendOut' }>,
): Promise<Omit<Before, 'runs'>> {
  const was = await tx.jobStep.findMany({ where: { id: { in: gone } } })
  await takeOffTx(tx, gone)
  await addStepsTx(tx, orderId, steps)
  return { steps: was.map(asBefore), fresh: { orderId, jobs: [...new Set(steps.map(s => s.job))] } }
}

async function takeOffTx(tx: Tx, ids: readonly string[]) {
  await tx.plannedRun.deleteMany({ where: { stepId: { in: [...ids] } } })
  await tx.pin.deleteMany({ where: { stepId: { in: [...ids] } } })
  await tx.jobStep.updateMany({
    where: { id: { in: [...ids] } },
    data: { state: 'dropped', version: { increment: 1 } },
  })
}

// ---- Why ----

/** Why a run starts when it does, decisive reason first; null where the board has no such run. */
export async function whyRun(stepId: string, now: Instant): Promise<WhyLine[] | null> {
  const { rows, board, orders } = await openWork(now)
  const step = rows.steps.find(s => s.id === stepId)
  if (!step || !board.some(r => r.stepId === stepId)) return null
  const holds = orders.find(o => o.id === step.orderId)?.holds ?? []
  const open = new Set(rows.steps.filter(s => s.state !== 'done').map(s => s.id))
  const plan = boardPlan(
    board.filter(r => open.has(r.stepId)),
    rows.steps,
  )
  return whyWords(shopOf(rows), plan, stepId, rows, holds)
}

// ---- How sure ----

/**
 * How sure each promise is on the plan as it hangs there: the share of so many futures in which the order is ready in time, and by when nine
 * in ten have it. By order; orders without a place are left out.
 * @param spreads how the minutes of steps vary, where that was measured
 */
export async function promiseChances(
  spreads: ReadonlyMap<string, Spread>,
  options: { seed: number; futures: number },
  now: Instant,
): Promise<Record<string, { onTime: number | null; nineInTen: Instant | null }>> {
  const { rows, board } = await openWork(now)
  const open = new Set(rows.steps.filter(s => s.state !== 'done').map(s => s.id))
  const plan = boardPlan(
    board.filter(r => open.has(r.stepId)),
    rows.steps,
  )
  const shop = shopOf(rows)
  const found = await chancesAside(shop, plan, Object.fromEntries(spreads), options)
  const placed = new Map<string, number>()
  for (const r of plan.runs) placed.set(r.job, (placed.get(r.job) ?? 0) + 1)
  const orders: Record<string, { onTime: number | null; nineInTen: Instant | null }> = {}
  for (const [i, c] of found.entries()) {
    const job = shop.jobs[i]
    const [orderId = '', chain = ''] = c.job.split('/')
    if (!job || isAfter(chain) || placed.get(job.id) !== job.steps.length) continue
    const is = orders[orderId]
    const nine = c.nineInTen === null ? null : instantOfMinute(c.nineInTen)
    // An order is ready with the last of its chains; those wait for the same machines, so the least sure one tells.
    orders[orderId] = is
      ? {
          onTime: is.onTime === null || c.onTime === null ? null : Math.min(is.onTime, c.onTime),
          nineInTen: is.nineInTen === null || nine === null ? null : instant(Math.max(is.nineInTen, nine)),
        }
      : { onTime: c.onTime, nineInTen: nine }
  }
  return orders
}

// ---- Undo ----

/** The newest change of the plan that still stands. */
export type LastChange = { id: string; words: string; byName: string; at: Instant }

/** Changes older than this are no longer offered for undoing: too much has followed from them. */
const UNDO_MS = 24 * 3_600_000

/** What the undo button would take back; null where there is nothing of the last day. */
export async function lastChange(now: Instant): Promise<LastChange | null> {
  const row = await db().planChange.findFirst({
    where: { undoneAt: null, at: { gte: new Date(now - UNDO_MS) } },
    orderBy: [{ at: 'desc' }, { id: 'desc' }],
    select: { id: true, words: true, byName: true, at: true },
  })
  return row && { ...row, at: instantOf(row.at) }
}

/**
 * Takes back the newest change: what it replaced stands again, and runs go back to where they were as far as that is still possible. What has
 * begun since stays.
 * @param id the change that the person saw, so that nobody takes back another one by a late touch
 */
export function undoChange(id: string, by: Actor, now: Instant): Promise<Result<{ words: string }>> {
  return attempt(async tx => {
    const newest = await lastChange(now)
    if (newest?.id !== id)
      throw new Refused(
        refuse(
          'undone',
          newest
            ? 'Somebody has changed the plan since: what would be undone now stands on the button.'
            : 'There is nothing to undo any more.',
        ),
      )
    const row = await tx.planChange.findUniqueOrThrow({ where: { id } })
    const before = beforeSchema.parse(row.before)
    must(await takeBackTx(tx, before, now))
    // The plan starts from how it stood before, and goes on from there.
    const places = new Map(before.runs.map(r => [r.stepId, r]))
    await putBackTx(tx, places)
    await replanTx(tx, `${by.name} took back: ${row.words}`, now)
    await tx.planChange.update({ where: { id }, data: { undoneAt: new Date(now) } })
    await record({
      by,
      what: `took back: ${row.words}`,
      ...aboutOf(row.change as PlanChange, (await openWork(now)).rows.steps, id),
      before: json(row.change),
      at: new Date(now),
    })
    return { words: row.words }
  })
}

async function takeBackTx(tx: Tx, before: Before, now: Instant): Promise<Result<null>> {
  const { step, pin, closed, rush, steps, fresh } = before
  if (step !== undefined) {
    await tx.pin.deleteMany({ where: { stepId: step } })
    if (pin && (await tx.jobStep.count({ where: { id: step, state: 'waiting' } })))
      await tx.pin.create({
        data: { ...pin, stepId: step, startAt: new Date(pin.startAt), at: new Date(now) },
      })
  }
  if (closed) {
    const row = await tx.station.findUnique({ where: { id: closed.station } })
    if (row) {
      const { from, to, why } = closed.span
      const list = z.array(closedSchema).parse(row.closed)
      const left = list.filter(c => !(c.from === from && c.to === to && c.why === why))
      await tx.station.update({
        where: { id: row.id },
        data: { closed: json(left), version: { increment: 1 } },
      })
    }
  }
  if (rush)
    await tx.order.updateMany({
      where: { id: rush.order },
      data: { rush: rush.was, version: { increment: 1 } },
    })
  if (steps && fresh) {
    const came = await tx.jobStep.findMany({ where: { orderId: fresh.orderId, job: { in: fresh.jobs } } })
    const stood = await tx.jobStep.findMany({ where: { id: { in: steps.map(s => s.id) } } })
    const worked = [...came, ...stood].find(
      s => (s.state !== 'waiting' && s.state !== 'dropped') || s.good + s.spoiled > 0,
    )
    if (worked)
      return refuse('begun', `“${worked.title}” has begun since: this cannot be taken back any more.`)
    // Nothing was reported on them: they leave no trace but the history's.
    await tx.jobStep.deleteMany({ where: { id: { in: came.map(s => s.id) } } })
    for (const { id, sizes, recipe, ...rest } of steps)
      await tx.jobStep.update({
        where: { id },
        data: { ...rest, sizes: json(sizes), recipe: json(recipe), version: { increment: 1 } },
      })
  }
  return ok(null)
}

/** Runs that have not begun stand again where they stood. */
async function putBackTx(tx: Tx, places: ReadonlyMap<string, Before['runs'][number]>) {
  const steps = await tx.jobStep.findMany({
    where: { id: { in: [...places.keys()] }, state: 'waiting' },
    select: { id: true },
  })
  const ids = steps.map(s => s.id)
  await tx.plannedRun.deleteMany({ where: { stepId: { in: ids } } })
  await tx.plannedRun.createMany({
    data: ids.flatMap(id => {
      const r = places.get(id)
      return r
        ? [{ ...r, startAt: new Date(r.startAt), workAt: new Date(r.workAt), endAt: new Date(r.endAt) }]
        : []
    }),
  })
}
