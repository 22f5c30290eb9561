import { buildBy } from './build'
import { dispatch } from './dispatch'
import { movedRuns, type Standing } from './order-search'
import { NEVER, type Problem } from './problem'
import { Slots } from './slots'
import { PLACED, Timeline } from './timeline'
import type { Plan } from './types'

/** Weighted late minutes that one moved run must save, where the caller names no other. */
export const MOVE_COST = 5

/** Times and stations of the plan on the board, for the steps that are still to be placed. */
export function standingOf(p: Problem, from: Plan, moveCost = MOVE_COST): Standing {
  const start = new Int32Array(p.n).fill(-NEVER)
  const station = new Int32Array(p.n).fill(-1)
  const choice = new Int32Array(p.n).fill(-1)
  const member = new Int32Array(p.n).fill(-1)
  const work = new Int32Array(p.n)
  const stations = new Map(p.shop.stations.map((s, i) => [s.id, i]))
  const crew = new Map(p.shop.crew.map((m, i) => [m.id, i]))
  for (const { op, run } of matched(p, from)) {
    if (p.keptOf[op]! >= 0) continue
    start[op] = run.start
    work[op] = run.work
    station[op] = stations.get(run.station) ?? -1
    for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++)
      if (p.choiceStation[c] === station[op]) choice[op] = c
    member[op] = run.crew === null ? -1 : (crew.get(run.crew) ?? -1)
  }
  return { start, station, choice, member, work, moveCost }
}

/**
 * The plan on the board with only those runs moved that cannot stay: every run whose place is still free, and in time after the step
 * before it, keeps it to the minute; the others go into the gaps, hard promises first, then by due date. Null where some find none.
 */
export function mendStanding(p: Problem, dropped: Uint8Array, standing: Standing): Timeline | null {
  const kept = new Timeline(p)
  kept.dropped.set(dropped)
  kept.decode()
  if (!Slots.fits(p, kept)) return null
  const slots = new Slots(p, kept)
  slots.load(true)
  const { choice, member, work } = standing
  const known: number[] = []
  for (let op = 0; op < p.n; op++) {
    if (p.keptOf[op]! < 0 && dropped[p.job[op]!] === 0 && choice[op]! >= 0 && work[op]! >= p.now)
      known.push(op)
  }
  known.sort((a, b) => work[a]! - work[b]! || a - b)
  for (const op of known) {
    const j = p.job[op]!
    if (work[op]! < p.release[j]!) continue
    if (op > p.jobFirst[j]!) {
      if (slots.placed[op - 1] === 0) continue
      const gap = work[op]! - slots.end[op - 1]!
      if (gap < p.gapMin[op - 1]! || gap > p.gapMax[op - 1]!) continue
    }
    // What is kept behind it must still be in time.
    slots.putBack(op, choice[op]!, member[op]!, work[op]!)
  }
  const rest: number[] = []
  for (let j = 0; j < p.jobs; j++) {
    if (dropped[j] === 1) continue
    for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++)
      if (slots.placed[op] === 0) {
        rest.push(j)
        break
      }
  }
  rest.sort((a, b) => p.hard[b]! - p.hard[a]! || p.due[a]! - p.due[b]! || a - b)
  for (const j of rest) if (!slots.putIn(j, standing)) return null
  const line = new Timeline(p)
  line.dropped.set(dropped)
  line.fixed.set(slots.choice)
  line.wanted.set(slots.member)
  line.strict = true
  line.holds = true
  line.notBefore.set(slots.work)
  line.setOrder(slots.order())
  line.decode()
  line.measure()
  return line.leftOut > 0 ? null : line
}

/**
 * The plan on the board, taken over: same order, stations and people, nothing earlier than it stood, later only where it must be.
 * Steps it does not know go where a dispatching rule puts them.
 */
export function takeOver(p: Problem, from: Plan, dropped: Uint8Array, standing: Standing): Timeline {
  const line = new Timeline(p)
  line.dropped.set(dropped)
  const stations = new Map(p.shop.stations.map((s, i) => [s.id, i]))
  const crew = new Map(p.shop.crew.map((m, i) => [m.id, i]))
  const known = matched(p, from)
  const work = new Float64Array(p.n).fill(-1)
  for (const { op, run } of known) work[op] = run.work
  const steps: number[] = []
  for (let op = 0; op < p.n; op++) if (p.keptOf[op]! < 0) steps.push(op)
  if (steps.some(op => work[op]! < 0)) {
    const fresh = new Timeline(p)
    fresh.dropped.set(dropped)
    buildBy(fresh, { rule: 'tardiness-cost' })
    for (const op of steps)
      if (work[op]! < 0) work[op] = fresh.status[op] === PLACED ? fresh.work[op]! : NEVER
  }
  // A step never stands before the one ahead of it in its job.
  for (const op of steps) {
    if (op > p.jobFirst[p.job[op]!]! && p.keptOf[op - 1]! < 0) work[op] = Math.max(work[op]!, work[op - 1]!)
  }
  for (const { op, run } of known) {
    if (p.keptOf[op]! >= 0) continue
    const s = stations.get(run.station)
    for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++)
      if (p.choiceStation[c] === s) line.fixed[op] = c
    line.wanted[op] = run.crew === null ? -1 : (crew.get(run.crew) ?? -1)
    if (run.start >= p.now) line.notBefore[op] = run.work
  }
  line.holds = true
  line.setOrder(steps.sort((a, b) => work[a]! - work[b]! || a - b))
  line.decode()
  // A station that is gone for good holds nobody.
  let released = false
  for (const op of steps) {
    if (line.status[op] === PLACED || line.dropped[p.job[op]!] === 1) continue
    for (let o = p.jobFirst[p.job[op]!]!; o < p.jobFirst[p.job[op]! + 1]!; o++) {
      line.fixed[o] = -1
      line.notBefore[o] = -NEVER
    }
    released = true
  }
  if (released) line.decode()
  line.measure()
  // The same order makes runs wait behind a delayed one that could go on. In the order of time they need not, but others may.
  const inTime = new Timeline(p)
  inTime.copyFrom(line)
  inTime.setOrder(dispatch(inTime, { rule: 'due', keys: work }))
  inTime.decode()
  inTime.measure()
  const cost = (t: Timeline) => t.weightedLate + movedRuns(t, standing) * standing.moveCost
  if (inTime.leftOut !== line.leftOut) return inTime.leftOut < line.leftOut ? inTime : line
  if (inTime.hardMisses !== line.hardMisses) return inTime.hardMisses < line.hardMisses ? inTime : line
  return cost(inTime) < cost(line) ? inTime : line
}

function matched(p: Problem, from: Plan) {
  const jobs = new Map(p.shop.jobs.map((j, i) => [j.id, i]))
  return from.runs.flatMap(run => {
    const j = jobs.get(run.job)
    if (j === undefined) return []
    const k = p.shop.jobs[j]!.steps.findIndex(s => s.id === run.step)
    return k < 0 ? [] : [{ op: p.jobFirst[j]! + k, run }]
  })
}
