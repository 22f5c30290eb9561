import { buildBy } from './build'
import { dispatch } from './dispatch'
import { movedRuns, type Standing, standingCost } from './order-search'
import { NEVER, type Problem } from './problem'
import { Slots } from './slots'
import { PLACED, Timeline } from './timeline'
import type { Plan } from './types'

/**
 * How steady a plan is: a run counts as moved when its start or its station differs from the board's. A run moved by a few minutes counts as
 * much as so many weighted late minutes, where the caller names no other number, and as much again for each hour, up to nine times
 * (see moveWeight): so few runs move, and none is thrown to another day to spare some others a few minutes.
 */
export const MOVE_COST = 5

/**
 * Times and stations of the plan on the board, for the steps that are still to be placed.
 * @param mends only what a change made worse than the board is to be won back: see Standing.due
 */
export function standingOf(p: Problem, from: Plan, moveCost = MOVE_COST, mends = false): Standing {
  const start = new Int32Array(p.n).fill(-NEVER)
  const station = new Int32Array(p.n).fill(-1)
  const choice = new Int32Array(p.n).fill(-1)
  const member = new Int32Array(p.n).fill(-1)
  const work = new Int32Array(p.n)
  const end = new Int32Array(p.n).fill(-NEVER)
  const stations = new Map(p.shop.stations.map((s, i) => [s.id, i]))
  const crew = new Map(p.shop.crew.map((m, i) => [m.id, i]))
  const due = Int32Array.from(p.due)
  const hard = Uint8Array.from(p.hard)
  for (const { op, run } of matched(p, from)) {
    const j = p.job[op]!
    if (mends && op + 1 === p.jobFirst[j + 1]! && run.end > due[j]!) {
      due[j] = run.end
      hard[j] = 0
    }
    end[op] = run.end
    if (p.keptOf[op]! >= 0) continue
    start[op] = run.start
    work[op] = run.work
    station[op] = stations.get(run.station) ?? -1
    for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++)
      if (p.choiceStation[c] === station[op]) choice[op] = c
    member[op] = run.crew === null ? -1 : (crew.get(run.crew) ?? -1)
  }
  return { start, station, choice, member, work, end, due, hard, moveCost }
}

/** Minutes that a run may be moved on within the order of its station, before it is rather put elsewhere: half a day. */
const MOVED_ON = 240

/**
 * The plan on the board with only those runs moved that cannot stay. Every run keeps its place to the minute where that is free and in
 * time after the step before it. What cannot stay (what should have begun by now begins now) goes on in the order of its station,
 * and what stands behind it moves on as far as it must; or the first goes into a gap, so that nobody else moves.
 * @returns both ways, the cheaper first; none where some find no place
 */
export function mendStanding(p: Problem, dropped: Uint8Array, standing: Standing): Timeline[] {
  const kept = new Timeline(p)
  kept.dropped.set(dropped)
  kept.decode()
  if (!Slots.fits(p, kept)) return []
  const inOrder = mendBy(p, kept, standing, MOVED_ON)
  if (inOrder && movedRuns(inOrder, standing) === 0) return [inOrder]
  const ways = [inOrder, mendBy(p, kept, standing, 0)].filter(way => way !== null)
  return ways.sort((a, b) => standingCost(a, standing) - standingCost(b, standing))
}

/** @param most minutes after its place on the board within which a run goes on in its order */
function mendBy(p: Problem, kept: Timeline, standing: Standing, most: number): Timeline | null {
  const { dropped } = kept
  const slots = new Slots(p, kept)
  slots.load(true)
  const { choice, member, work, end } = standing
  const known: number[] = []
  for (let op = 0; op < p.n; op++)
    if (p.keptOf[op]! < 0 && dropped[p.job[op]!] === 0 && choice[op]! >= 0) known.push(op)
  known.sort((a, b) => work[a]! - work[b]! || end[a]! - end[b]! || a - b)
  for (const op of known) {
    const ready = readyAt(p, slots, op)
    if (ready < 0) continue
    if (ready <= work[op]! && slots.putBack(op, choice[op]!, member[op]!, work[op]!)) continue
    // What should have begun begins as soon as it can, by either way.
    const within = work[op]! < p.now ? MOVED_ON : most
    if (within === 0) continue
    const before = op - 1
    const latest = op > p.jobFirst[p.job[op]!]! ? slots.end[before]! + p.gapMax[before]! : NEVER
    const from = Math.max(ready, work[op]!)
    slots.putOn(op, choice[op]!, from, Math.min(latest, from + within))
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

/** From when a step can be worked on, by its job; -1 where the step before it has no place yet. */
function readyAt(p: Problem, slots: Slots, op: number): number {
  const j = p.job[op]!
  const ready = Math.max(p.now, p.release[j]!)
  if (op === p.jobFirst[j]!) return ready
  return slots.placed[op - 1] === 0 ? -1 : Math.max(ready, slots.end[op - 1]! + p.gapMin[op - 1]!)
}

/**
 * The plan on the board, taken over: same order, stations and people, nothing earlier than it stood, later only where it must be.
 * Steps it does not know go where a dispatching rule puts them; or behind all others, where they would else take a place from
 * one that has it.
 */
export function takeOver(p: Problem, from: Plan, dropped: Uint8Array, standing: Standing): Timeline {
  const first = takeOverBy(p, from, dropped, standing, false)
  if (first.leftOut === 0) return first
  const last = takeOverBy(p, from, dropped, standing, true)
  return standingCost(last, standing) <= standingCost(first, standing) ? last : first
}

/** @param newLast steps that the plan does not know go behind all others */
function takeOverBy(
  p: Problem,
  from: Plan,
  dropped: Uint8Array,
  standing: Standing,
  newLast: boolean,
): Timeline {
  const line = new Timeline(p)
  line.dropped.set(dropped)
  const stations = new Map(p.shop.stations.map((s, i) => [s.id, i]))
  const crew = new Map(p.shop.crew.map((m, i) => [m.id, i]))
  const known = matched(p, from)
  const work = new Float64Array(p.n).fill(-1)
  for (const { op, run } of known) work[op] = run.work
  const steps: number[] = []
  for (let op = 0; op < p.n; op++) if (p.keptOf[op]! < 0) steps.push(op)
  if (newLast) for (const op of steps) if (work[op]! < 0) work[op] = NEVER
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
  return standingCost(inTime, standing) < standingCost(line, standing) ? inTime : line
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
