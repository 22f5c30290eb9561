import type { Closed } from '@/lib/shop/crew'
import { changeoversBetween, type StationKind, type WeekHours } from '@/lib/shop/stations'
import { type Instant, instant } from '@/lib/units/time'
import type { Attended, Choice, Job, Kept, Plan, Run, Shop, Step } from './engine'
import { instantOfMinute, minuteAfter, minuteOf, openingsOf } from './openings'
import { isAfter, isBefore } from './steps'

/** A station as the plan sees it. */
export type PlanStation = {
  id: string
  name: string
  kind: StationKind
  state: string | null
  hours: WeekHours
  closed: readonly Pick<Closed, 'from' | 'to'>[]
  /** Largest print it takes, mm; null: not limited. */
  bedWidthMm: number | null
  bedHeightMm: number | null
  /** Most screens at once; null: not limited. */
  heads: number | null
}

/** Somebody as the plan sees them. */
export type PlanMember = {
  id: string
  name: string
  skills: readonly StationKind[]
  hours: WeekHours
  closed: readonly Pick<Closed, 'from' | 'to'>[]
}

/** An agreed order as the plan sees it. */
export type PlanOrder = {
  id: string
  number: number
  promiseAt: Instant | null
  promiseHard: boolean
  rush: boolean
  /** From when its work can begin: see releaseOf. */
  release: Instant
}

/** One piece of work as the plan sees it. */
export type PlanStep = {
  id: string
  orderId: string
  /** The chain it belongs to. */
  job: string
  position: number
  title: string
  stationKind: StationKind
  stationState: string | null
  setupMinutes: number
  runMinutes: number
  attended: Attended
  pausable: boolean
  gapMin: number
  gapMax: number | null
  /** Its recipe and step as paces are taken over for them (paceKey). */
  pace?: string
  /** What the station must take: the print's size in mm, screens at once. Null: anything goes on. */
  needs: { widthMm: number; heightMm: number; screens: number } | null
  pieces: number
  good: number
  spoiled: number
  state: 'waiting' | 'running' | 'paused' | 'done' | 'dropped'
  stationId: string | null
  crewId: string | null
  startedAt: Instant | null
  finishedAt: Instant | null
  /** What its clock says, once it has begun; without, it has run since its start. */
  clock?: StepClock
}

/** What the clock of a step under way says, in minutes of work. */
export type StepClock = {
  /** Booked so far, and of that what was booked since pieces were last counted. */
  booked: number
  sinceCount: number
  /** From when it has run since the last booking; null while it is paused. */
  runsSince: Instant | null
}

/** A run held in its place by a person, and who the plan has on it. */
export type Pinned = { stationId: string; startAt: Instant; crewId: string | null }

export type PlanRows = {
  zone: string
  now: Instant
  stations: readonly PlanStation[]
  crew: readonly PlanMember[]
  orders: readonly PlanOrder[]
  steps: readonly PlanStep[]
  /** Chains that do not follow their order: nobody waits for them, and they begin at another time, or not yet (null). */
  apart?: ReadonlyMap<string, Instant | null>
  /** Runs that a person holds in their place, by step. */
  pins?: ReadonlyMap<string, Pinned>
  /** Parts of a split batch that begin at another time than their order, by the chain's name in the engine. */
  parts?: ReadonlyMap<string, Instant>
  /** How much longer or shorter than planned a step takes at a station, by its pace and the station: see stationRatios of costing. */
  paces?: ReadonlyMap<string, ReadonlyMap<string, number>>
}

/** Days ahead that a plan may use. */
export const HORIZON_DAYS = 120
const DAY = 86_400_000
/** A rushed order's lateness counts as much as that of so many others. */
export const RUSH_WEIGHT = 3

/** Whether a station can do a step: its kind, its bed (either way round), its heads. */
export function canDo(station: PlanStation, step: Pick<PlanStep, 'stationKind' | 'needs'>): boolean {
  if (station.kind !== step.stationKind) return false
  if (!step.needs) return true
  const w = station.bedWidthMm ?? Number.POSITIVE_INFINITY
  const h = station.bedHeightMm ?? Number.POSITIVE_INFINITY
  const { widthMm, heightMm, screens } = step.needs
  if (station.heads !== null && screens > station.heads) return false
  return (widthMm <= w && heightMm <= h) || (widthMm <= h && heightMm <= w)
}

/** A step as it goes at a station whose own pace was taken over: its minutes, whole and at least 1 where it has any. */
export function stepAt(step: PlanStep, stationId: string, paces: PlanRows['paces']): PlanStep {
  const ratio = (step.pace && paces?.get(step.pace)?.get(stationId)) || 1
  if (ratio === 1) return step
  const minutes = (n: number) => (n > 0 ? Math.max(1, Math.round(n * ratio)) : 0)
  return { ...step, setupMinutes: minutes(step.setupMinutes), runMinutes: minutes(step.runMinutes) }
}

/**
 * Minutes of work that a running or paused step still holds, at least 1: where good pieces are counted by those that are left, less
 * what has passed since the count; else by what has passed since its start. As time goes by, it ends when it was said to.
 * @param passed minutes worked on it in all, and since pieces were last counted
 */
export function minutesLeft(step: PlanStep, passed: { all: number; sinceCount: number }): number {
  const left =
    step.pieces > 0 && step.good > 0
      ? Math.ceil((step.runMinutes * (step.pieces - step.good - step.spoiled)) / step.pieces) -
        passed.sinceCount
      : step.setupMinutes + step.runMinutes - passed.all
  return Math.max(1, left)
}

/**
 * The engine's shop from the rows of the database. Done steps are left out: what they make the next step wait for is the job's
 * release. A running step stays on its station for what is left of it; a paused one goes on at the station where it lies; a pinned one
 * stays in its place.
 */
export function shopOf(rows: PlanRows): Shop {
  const { zone, now } = rows
  const end = instant(now + HORIZON_DAYS * DAY)
  const states = new Set<string>()
  for (const s of rows.stations) if (s.state) states.add(s.state)
  for (const s of rows.steps) if (s.stationState && s.state !== 'done') states.add(s.stationState)
  const changeovers = changeoversBetween([...states].sort())

  const stations = rows.stations.map(s => ({
    id: s.id,
    kind: s.kind,
    open: openingsOf(s.hours, s.closed, zone, now, end),
    state: s.state,
    changeovers,
  }))
  const openOf = new Map(stations.map(s => [s.id, s.open]))
  const crew = rows.crew.map(m => ({
    id: m.id,
    skills: [...m.skills],
    open: openingsOf(m.hours, m.closed, zone, now, end),
  }))

  const nowMinute = minuteAfter(now)
  const kept: Kept[] = []
  const jobs: Job[] = []
  for (const { order, steps } of chains(rows)) {
    const apart = rows.apart?.get(jobId(steps[0] as PlanStep))
    if (apart === null) continue
    const part = rows.parts?.get(jobId(steps[0] as PlanStep))
    let release = Math.max(nowMinute, minuteAfter(apart ?? part ?? order.release))
    const open: Step[] = []
    for (const step of steps) {
      if (step.state === 'done') {
        if (step.finishedAt !== null && open.length === 0)
          release = Math.max(release, minuteAfter(step.finishedAt) + step.gapMin)
        continue
      }
      const running = step.state === 'running' && step.stationId !== null
      // What runs has begun: nothing that the order waits for holds it any more.
      if (running && open.length === 0) release = nowMinute
      const begun = step.state === 'running' || step.state === 'paused'
      const here = begun ? rows.stations.filter(s => s.id === step.stationId) : []
      const pin = step.state === 'waiting' ? rows.pins?.get(step.id) : undefined
      const pinned = pin && rows.stations.find(s => s.id === pin.stationId && canDo(s, step))
      const able = here.length ? here : pinned ? [pinned] : rows.stations.filter(s => canDo(s, step))
      const passed = begun ? passedOf(rows, step) : { all: 0, sinceCount: 0 }
      const on: Choice[] = able.map(s => {
        const here = stepAt(step, s.id, rows.paces)
        return begun
          ? { station: s.id, setup: 0, run: minutesLeft(here, passed) }
          : { station: s.id, setup: here.setupMinutes, run: here.runMinutes }
      })
      open.push({
        id: step.id,
        on,
        state: step.stationState,
        attended: begun && step.attended === 'setup' ? 'none' : step.attended,
        pausable: step.pausable || begun,
        gap: { min: step.gapMin, max: step.gapMax },
      })
      // A pin whose time has gone by holds the station alone.
      if (pinned && pin && minuteOf(pin.startAt) >= nowMinute)
        kept.push({
          job: jobId(step),
          step: step.id,
          station: pinned.id,
          start: minuteOf(pin.startAt),
          crew: rows.crew.some(m => m.id === pin.crewId) ? pin.crewId : null,
        })
      if (running && step.stationId !== null) {
        const from = (openOf.get(step.stationId) ?? []).find(o => o.to > nowMinute)
        kept.push({
          job: jobId(step),
          step: step.id,
          station: step.stationId,
          start: Math.max(nowMinute, from?.from ?? nowMinute),
          crew: step.crewId,
        })
      }
    }
    if (open.length === 0) continue
    jobs.push({
      id: jobId(steps[0] as PlanStep),
      release,
      due: order.promiseAt === null || apart !== undefined ? null : minuteOf(order.promiseAt),
      weight: order.rush ? RUSH_WEIGHT : 1,
      hard: order.promiseHard && apart === undefined,
      steps: open,
    })
  }
  return { now: nowMinute, horizon: minuteAfter(end), stations, crew, jobs, kept }
}

/**
 * Chains that wash up after a batch, and when each can begin: when the batch's prints are done, else when the board has them done,
 * else not yet. See PlanRows.apart.
 * @param board end of each planned run, by step
 */
export function afterChains(
  steps: readonly PlanStep[],
  board: ReadonlyMap<string, Instant>,
): Map<string, Instant | null> {
  const apart = new Map<string, Instant | null>()
  const printing = new Map<string, PlanStep[]>()
  for (const s of steps) {
    if (s.needs === null || s.state === 'dropped') continue
    const others = printing.get(s.orderId)
    if (others) others.push(s)
    else printing.set(s.orderId, [s])
  }
  for (const step of steps) {
    const id = jobId(step)
    if (!isAfter(step.job) || apart.has(id)) continue
    const prints = (printing.get(step.orderId) ?? []).filter(s => isBefore(s.job, step.job))
    let from: number | null = 0
    for (const p of prints) {
      const end: number | null = p.state === 'done' ? p.finishedAt : (board.get(p.id) ?? null)
      from = end === null || from === null ? null : Math.max(from, end)
    }
    apart.set(id, from === null ? null : instant(from))
  }
  return apart
}

/** The name of a chain in the engine: every order has its own. */
export const jobId = (step: Pick<PlanStep, 'orderId' | 'job'>): string => `${step.orderId}/${step.job}`

/** The chains of all orders, their steps in order, without those that are not needed any more. Orders by number. */
function chains(rows: PlanRows): { order: PlanOrder; steps: PlanStep[] }[] {
  const orders = new Map(rows.orders.map(o => [o.id, o]))
  const byJob = new Map<string, PlanStep[]>()
  for (const step of rows.steps)
    if (step.state !== 'dropped' && orders.has(step.orderId)) {
      const id = jobId(step)
      const chain = byJob.get(id)
      if (chain) chain.push(step)
      else byJob.set(id, [step])
    }
  return [...byJob.values()]
    .map(steps => ({
      order: orders.get((steps[0] as PlanStep).orderId) as PlanOrder,
      steps: steps.sort((a, b) => a.position - b.position),
    }))
    .sort(
      (a, b) =>
        a.order.number - b.order.number || ((a.steps[0]?.job ?? '') < (b.steps[0]?.job ?? '') ? -1 : 1),
    )
}

/** Minutes worked on a step under way. */
function passedOf(rows: PlanRows, step: PlanStep): { all: number; sinceCount: number } {
  const { booked, sinceCount, runsSince } = step.clock ?? {
    booked: 0,
    sinceCount: 0,
    runsSince: step.startedAt,
  }
  const running = runsSince === null ? 0 : openMinutes(rows, step, runsSince)
  return { all: booked + running, sinceCount: sinceCount + running }
}

/**
 * Open minutes of its station from an instant until the plan's now; all minutes where none was open. Both count from the minute that they
 * stand in to the one that the plan begins with, so that what runs ends at the same minute whenever that is asked.
 */
function openMinutes(rows: PlanRows, step: PlanStep, from: Instant): number {
  const station = rows.stations.find(s => s.id === step.stationId)
  const a = minuteOf(from)
  const b = minuteAfter(rows.now)
  let inside = 0
  if (station && b > a)
    for (const o of openingsOf(station.hours, station.closed, rows.zone, from, rows.now))
      inside += Math.max(0, Math.min(b, o.to) - Math.max(a, o.from))
  return inside > 0 ? inside : Math.max(0, b - a)
}

/** A run as the board keeps it. */
export type PlannedRun = {
  stepId: string
  stationId: string
  crewId: string | null
  startAt: Instant
  workAt: Instant
  endAt: Instant
  changeover: number
  setup: number
  run: number
}

/** Whether a run stands where another one stood. */
export const sameRun = (a: PlannedRun | undefined, b: PlannedRun): boolean =>
  a !== undefined &&
  a.stationId === b.stationId &&
  a.crewId === b.crewId &&
  a.startAt === b.startAt &&
  a.workAt === b.workAt &&
  a.endAt === b.endAt &&
  a.changeover === b.changeover &&
  a.setup === b.setup &&
  a.run === b.run

/** The engine's runs as instants. A running step is shown from when it really began. */
export function runsOf(plan: Plan, steps: readonly PlanStep[]): PlannedRun[] {
  const byId = new Map(steps.map(s => [s.id, s]))
  return plan.runs.map(r => {
    const step = byId.get(r.step)
    const began = step?.state === 'running' ? step.startedAt : null
    return {
      stepId: r.step,
      stationId: r.station,
      crewId: r.crew,
      startAt: began ?? instantOfMinute(r.start),
      workAt: began ?? instantOfMinute(r.work),
      endAt: instantOfMinute(r.end),
      changeover: r.changeover,
      setup: r.setup,
      run: r.run,
    }
  })
}

/**
 * The plan on the board in the engine's words, so that a new one moves no more than it must. Runs of steps that are gone are
 * left out.
 */
export function boardPlan(runs: readonly PlannedRun[], steps: readonly PlanStep[]): Plan {
  const byId = new Map(steps.map(s => [s.id, s]))
  const back: Run[] = []
  for (const r of runs) {
    const step = byId.get(r.stepId)
    if (!step) continue
    back.push({
      job: jobId(step),
      step: r.stepId,
      station: r.stationId,
      crew: r.crewId,
      start: minuteOf(r.startAt),
      work: minuteOf(r.workAt),
      end: minuteOf(r.endAt),
      changeover: r.changeover,
      setup: r.setup,
      run: r.run,
    })
  }
  const nothing = { hardMisses: 0, weightedLateMinutes: 0, finish: 0 }
  return {
    runs: back.sort((a, b) => a.work - b.work || (a.station < b.station ? -1 : 1)),
    late: [],
    objective: { ...nothing, changeoverMinutes: 0 },
    bound: nothing,
    unplaced: [],
    conflicts: [],
    optimal: false,
    moved: 0,
    steps: 0,
  }
}
