import { ALL, NOT, Problem, SETUP } from './problem'
import type { Plan, Run, Shop } from './types'

/** What a run's work waits for. */
export type ReasonKind =
  /** Kept where it is by a person, or under way. */
  | 'kept'
  /** Could not begin before now. */
  | 'now'
  /** What it needs arrives then. */
  | 'release'
  /** The step before it, and its curing or settling. */
  | 'before'
  /** The run ahead on its station, and the changeover after it. */
  | 'station'
  /** Its crew member is on another run. */
  | 'crew'
  /** No opening of station and crew holds it earlier. */
  | 'closed'
  /** It holds back so that the next step can follow in time. */
  | 'next'
  /** It stays where it stood: moving it would gain nothing. */
  | 'stays'

export interface Reason {
  kind: ReasonKind
  /** The work cannot begin before this minute for this reason. */
  until: number
  /** The run it waits for. */
  run: Run | null
  /** Minutes of gap or changeover in between. */
  minutes: number
}

/**
 * Why a run starts when it does: the reason that decides first, then what else it would wait for, latest first. Empty when
 * the plan has no such run.
 */
export function why(shop: Shop, plan: Plan, of: { job: string; step: string }): Reason[] {
  const run = plan.runs.find(r => r.job === of.job && r.step === of.step)
  const job = shop.jobs.find(j => j.id === of.job)
  if (!run || !job) return []
  const k = job.steps.findIndex(s => s.id === of.step)
  const step = job.steps[k]
  if (!step) return []
  if (shop.kept.some(x => x.job === of.job && x.step === of.step)) {
    return [{ kind: 'kept', until: run.work, run: null, minutes: 0 }]
  }
  const p = new Problem(shop)
  const op = p.jobFirst[shop.jobs.indexOf(job)]! + k
  const station = shop.stations.findIndex(s => s.id === run.station)
  const member = shop.crew.findIndex(m => m.id === run.crew)

  const found: Reason[] = [{ kind: 'now', until: shop.now, run: null, minutes: 0 }]
  if (job.release > shop.now) found.push({ kind: 'release', until: job.release, run: null, minutes: 0 })
  const before = k > 0 ? job.steps[k - 1] : undefined
  const previous = before && plan.runs.find(r => r.job === job.id && r.step === before.id)
  if (before && previous) {
    found.push({
      kind: 'before',
      until: previous.end + before.gap.min,
      run: previous,
      minutes: before.gap.min,
    })
  }
  const index = plan.runs.indexOf(run)
  const ahead = latest(plan.runs.filter((r, i) => r.station === run.station && i < index))
  if (ahead)
    found.push({ kind: 'station', until: ahead.end + run.changeover, run: ahead, minutes: run.changeover })
  if (run.crew !== null) {
    const other = latest(
      plan.runs.filter((r, i) => r.crew === run.crew && i < index && r !== ahead),
      r => busyUntil(p, r),
    )
    if (other) {
      const lead = run.work - run.start > 0 && attendedChange(p, op, plan, run) ? run.changeover : 0
      found.push({ kind: 'crew', until: busyUntil(p, other) + lead, run: other, minutes: lead })
    }
  }
  found.sort((a, b) => b.until - a.until)
  const latestUntil = found[0]!.until
  if (run.work > latestUntil) {
    const needsMember = p.attended[op] !== NOT
    const open = needsMember && member >= 0 ? p.jointCalendar(station, member) : p.calendar[station]!
    const earliest = fits(p, op, open, latestUntil, run)
    if (earliest >= run.work) found.unshift({ kind: 'closed', until: run.work, run: null, minutes: 0 })
    else {
      const after = job.steps[k + 1]
      const next = after && plan.runs.find(r => r.job === job.id && r.step === after.id)
      found.unshift(
        step.gap.max !== null && next
          ? { kind: 'next', until: run.work, run: next, minutes: step.gap.max }
          : { kind: 'stays', until: run.work, run: null, minutes: 0 },
      )
    }
  }
  return found
}

function latest(runs: Run[], at: (r: Run) => number = r => r.end): Run | undefined {
  return runs.reduce<Run | undefined>((best, r) => (best && at(best) >= at(r) ? best : r), undefined)
}

function opOf(p: Problem, r: Run): number {
  const j = p.shop.jobs.findIndex(x => x.id === r.job)
  return p.jobFirst[j]! + (p.shop.jobs[j]?.steps.findIndex(s => s.id === r.step) ?? 0)
}

/** When the member of a run is free again. */
function busyUntil(p: Problem, r: Run): number {
  const op = opOf(p, r)
  if (p.attended[op] === ALL) return r.end
  if (p.attended[op] !== SETUP) return r.work
  const s = p.shop.stations.findIndex(x => x.id === r.station)
  const m = p.shop.crew.findIndex(x => x.id === r.crew)
  const open = m >= 0 ? p.jointCalendar(s, m) : p.calendar[s]!
  const end = open.advance(r.work, r.setup)
  return end < 0 ? r.end : end
}

function attendedChange(p: Problem, op: number, plan: Plan, run: Run): boolean {
  if (run.changeover === 0) return false
  const s = p.shop.stations.findIndex(x => x.id === run.station)
  const ahead = plan.runs.filter(r => r.station === run.station)
  let state = p.state0[s]!
  for (const r of ahead) {
    if (r === run) break
    const st = p.state[opOf(p, r)]!
    if (st >= 0) state = st
  }
  return p.changeoverAttended(s, state, p.state[op]!)
}

/** First minute from t on at which the openings alone would let the run begin. */
function fits(
  p: Problem,
  op: number,
  open: ReturnType<Problem['jointCalendar']>,
  t: number,
  run: Run,
): number {
  const length = p.attended[op] === SETUP ? run.setup : run.setup + run.run
  const lead = run.changeover
  for (let k = open.at(t - lead); k < open.size; k++) {
    const w = Math.max(t, open.from[k]! + (p.pausable[op] === 1 ? 0 : lead))
    if (p.pausable[op] === 1 ? w < open.to[k]! : w + length <= open.to[k]! && w < open.to[k]!) return w
  }
  return run.work
}
