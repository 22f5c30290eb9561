import { DEFAULT_STEPS } from './budget'
import { subtractOpenings } from './calendar'
import { plan } from './plan'
import { type Part, splitJob } from './split'
import type { Job, Plan, PlanOptions, Shop } from './types'

/** Something that happens to the shop, or might. Minutes are on the axis of the shop. */
export type Change =
  /** The plan is only mended: the shop given is already as it is now. */
  | { kind: 'none' }
  /** A run goes to a station at a minute, and stays there. */
  | { kind: 'pin'; job: string; step: string; station: string; start: number; crew?: string | null }
  /** A pinned run may move again. */
  | { kind: 'unpin'; job: string; step: string }
  /** A station is out of work, for repair say. */
  | { kind: 'station-out'; station: string; from: number; to: number }
  /** A crew member is away. */
  | { kind: 'crew-away'; crew: string; from: number; to: number }
  /** A run takes so many minutes more (fewer where negative). */
  | { kind: 'longer'; job: string; step: string; minutes: number }
  /** What a job needs arrives then. */
  | { kind: 'release'; job: string; release: number }
  /** More work. */
  | { kind: 'add'; jobs: Job[] }
  /** A job goes through in parts, each when its own goods are there. One that has begun, or a name that is taken, changes nothing. */
  | { kind: 'split'; job: string; parts: Part[] }
  /** Work that is not needed any more. */
  | { kind: 'drop'; job: string }

/** What a new plan means beside the one before it. */
export interface Consequences {
  /** Jobs that end later than promised and are later than they were; `before` is 0 where the job was in time or is new. Worst first. */
  later: { job: string; before: number; after: number }[]
  /** Jobs that were late and are less so. Most gained first. */
  sooner: { job: string; before: number; after: number }[]
  /** Jobs that have no place any more, with the reason. */
  unplaced: { job: string; why: string }[]
  /** Changeover minutes more (or fewer, negative) than before, over the runs that both plans hold. */
  changeoverMinutes: number
  /** Hard promises missed, and weighted late minutes, more or (negative) fewer. */
  hardMisses: number
  weightedLateMinutes: number
  /** Runs that start at another time or station. */
  moved: number
}

export interface Repaired {
  shop: Shop
  plan: Plan
  consequences: Consequences
}

/** The shop after a change. What names something the shop does not have changes nothing. */
export function changed(shop: Shop, change: Change): Shop {
  switch (change.kind) {
    case 'none':
      return shop
    case 'pin': {
      const { job, step, station, start, crew = null } = change
      return {
        ...shop,
        kept: [...shop.kept.filter(k => !isRun(k, change)), { job, step, station, start, crew }],
      }
    }
    case 'unpin':
      return { ...shop, kept: shop.kept.filter(k => !isRun(k, change)) }
    case 'station-out':
      return { ...shop, stations: shop.stations.map(s => (s.id === change.station ? closed(s, change) : s)) }
    case 'crew-away':
      return { ...shop, crew: shop.crew.map(m => (m.id === change.crew ? closed(m, change) : m)) }
    case 'longer':
      return withJob(shop, change.job, j => ({
        ...j,
        steps: j.steps.map(s =>
          s.id === change.step
            ? { ...s, on: s.on.map(c => ({ ...c, run: Math.max(0, c.run + change.minutes) })) }
            : s,
        ),
      }))
    case 'release':
      return withJob(shop, change.job, j => ({ ...j, release: change.release }))
    case 'split':
      return split(shop, change)
    case 'add':
      return { ...shop, jobs: [...shop.jobs, ...change.jobs] }
    case 'drop':
      return {
        ...shop,
        jobs: shop.jobs.filter(j => j.id !== change.job),
        kept: shop.kept.filter(k => k.job !== change.job),
      }
  }
}

const isRun = (a: { job: string; step: string }, b: { job: string; step: string }) =>
  a.job === b.job && a.step === b.step
const closed = <T extends { open: Shop['stations'][number]['open'] }>(
  who: T,
  { from, to }: { from: number; to: number },
): T => (to > from ? { ...who, open: subtractOpenings(who.open, [{ from, to }]) } : who)
const withJob = (shop: Shop, id: string, f: (job: Job) => Job): Shop => ({
  ...shop,
  jobs: shop.jobs.map(j => (j.id === id ? f(j) : j)),
})

function split(shop: Shop, { job, parts }: { job: string; parts: Part[] }): Shop {
  const taken = new Set(shop.jobs.map(j => j.id))
  taken.delete(job)
  const names = new Set(parts.map(p => p.id))
  if (shop.kept.some(k => k.job === job) || names.size < parts.length || parts.some(p => taken.has(p.id)))
    return shop
  return { ...shop, jobs: shop.jobs.flatMap(j => (j.id === job ? splitJob(j, parts) : [j])) }
}

/**
 * Mends a plan after a change, and says what follows from it. What runs or is pinned stays; runs move only where they must, or
 * where moving one keeps jobs from becoming later than the plan had them, by more weighted minutes than `moveCost`.
 */
export function repair(
  shop: Shop,
  previous: Plan,
  change: Change,
  options: Omit<PlanOptions, 'from' | 'rule'> = {},
): Repaired {
  const after = changed(shop, change)
  const made = plan(after, { ...options, from: previous })
  return { shop: after, plan: made, consequences: consequences(shop, previous, after, made) }
}

/**
 * A better plan than the one given, as far as steps or seconds allow (DEFAULT_STEPS without either). `onBetter` is told of each
 * better plan on the way; whenever it is stopped it answers with the best so far.
 */
export function improve(shop: Shop, from: Plan, options: Omit<PlanOptions, 'from' | 'rule'> = {}): Plan {
  const bounded = options.steps !== undefined || options.seconds !== undefined
  return plan(shop, { ...options, ...(bounded ? {} : { steps: DEFAULT_STEPS }), from, better: true })
}

/** What a plan means beside an earlier one, each with its own shop. Lateness is reckoned from runs and promises alone. */
export function consequences(shopBefore: Shop, before: Plan, shopAfter: Shop, after: Plan): Consequences {
  const was = lateness(shopBefore, before)
  const is = lateness(shopAfter, after)
  const later: Consequences['later'] = []
  const sooner: Consequences['sooner'] = []
  for (const [job, a] of is) {
    const b = was.get(job) ?? 0
    if (a > b) later.push({ job, before: b, after: a })
    else if (a < b) sooner.push({ job, before: b, after: a })
  }
  const placedBefore = new Set(before.unplaced.map(u => u.job))
  const unplaced = after.unplaced
    .filter((u, i, all) => !placedBefore.has(u.job) && all.findIndex(x => x.job === u.job) === i)
    .map(({ job, why }) => ({ job, why }))
  const key = (r: { job: string; step: string }) => JSON.stringify([r.job, r.step])
  const old = new Map(before.runs.map(r => [key(r), r]))
  let moved = 0
  let changeoverMinutes = 0
  for (const r of after.runs) {
    const o = old.get(key(r))
    if (!o) continue
    if (o.start !== r.start || o.station !== r.station) moved++
    changeoverMinutes += r.changeover - o.changeover
  }
  const sums = (shop: Shop, late: Map<string, number>) => {
    let hard = 0
    let weighted = 0
    for (const j of shop.jobs) {
      const minutes = late.get(j.id) ?? 0
      weighted += minutes * j.weight
      if (j.hard && minutes > 0) hard++
    }
    return { hard, weighted }
  }
  const a = sums(shopAfter, is)
  const b = sums(shopBefore, was)
  return {
    later: later.sort((x, y) => y.after - y.before - (x.after - x.before)),
    sooner: sooner.sort((x, y) => x.after - x.before - (y.after - y.before)),
    unplaced,
    changeoverMinutes,
    hardMisses: a.hard - b.hard,
    weightedLateMinutes: a.weighted - b.weighted,
    moved,
  }
}

/** Minutes late of each job that is placed to its end and promised. */
function lateness(shop: Shop, of: Plan): Map<string, number> {
  const ends = new Map<string, number>()
  const last = new Map(shop.jobs.map(j => [j.id, j.steps[j.steps.length - 1]?.id]))
  for (const r of of.runs) if (last.get(r.job) === r.step) ends.set(r.job, r.end)
  const late = new Map<string, number>()
  for (const j of shop.jobs) {
    const end = ends.get(j.id)
    if (end !== undefined && j.due !== null) late.set(j.id, Math.max(0, end - j.due))
  }
  return late
}
