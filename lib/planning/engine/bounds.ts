import { NEVER, type Problem } from './problem'
import type { Timeline } from './timeline'
import type { Bound } from './types'

export interface Heads {
  /** Earliest work and end of each step were it alone in the shop; NEVER: impossible. */
  work: Int32Array
  end: Int32Array
  /** Least minutes on a station. */
  least: Int32Array
  /** Least minutes from the end of the step to the end of its job. */
  tail: Int32Array
}

/** Every job alone in the shop, without changeovers: no plan lets a step end earlier. */
export function heads(p: Problem, line: Timeline): Heads {
  const work = new Int32Array(p.n)
  const end = new Int32Array(p.n)
  const least = new Int32Array(p.n)
  const tail = new Int32Array(p.n)
  for (let j = 0; j < p.jobs; j++) {
    let ready = Math.max(p.release[j]!, p.now)
    for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) {
      line.earliest(op, ready)
      work[op] = line.cWork
      end[op] = line.cEnd
      let min = NEVER
      for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++)
        min = Math.min(min, p.setup[c]! + p.run[c]!)
      least[op] = min === NEVER ? 0 : min
      ready = end[op]! >= NEVER ? NEVER : end[op]! + p.gapMin[op]!
    }
    for (let op = p.jobFirst[j + 1]! - 2; op >= p.jobFirst[j]!; op--) {
      tail[op] = p.gapMin[op]! + least[op + 1]! + tail[op + 1]!
    }
  }
  return { work, end, least, tail }
}

/** Lower bounds of a plan of all jobs that are not dropped. */
export function simpleBound(p: Problem, h: Heads, dropped: Uint8Array): Bound {
  let hardMisses = 0
  let weightedLateMinutes = 0
  let finish = p.now
  for (let j = 0; j < p.jobs; j++) {
    const op = p.jobFirst[j + 1]! - 1
    if (dropped[j] === 1 || op < p.jobFirst[j]!) continue
    const over = h.end[op]! - p.due[j]!
    if (over > 0) {
      weightedLateMinutes += over * p.weight[j]!
      if (p.hard[j] === 1) hardMisses++
    }
    finish = Math.max(finish, h.end[op]!)
  }
  for (let s = 0; s < p.stations; s++) finish = Math.max(finish, oneStation(p, h, dropped, s))
  return { hardMisses, weightedLateMinutes, finish: Math.max(finish, energy(p, h, dropped)) }
}

/** Jackson's preemptive schedule of one station over its open minutes (Carlier 1982): latest end with tails. */
function oneStation(p: Problem, h: Heads, dropped: Uint8Array, s: number): number {
  const ops: number[] = []
  for (let op = 0; op < p.n; op++) {
    if (dropped[p.job[op]!] === 1 || h.work[op]! >= NEVER) continue
    // Kept runs stay even where they overlap, so they prove nothing.
    const only = p.choiceFirst[op + 1]! - p.choiceFirst[op]! === 1 && p.keptOf[op]! < 0
    const at = p.choiceStation[p.choiceFirst[op]!]!
    if (only && at === s) ops.push(op)
  }
  if (ops.length === 0) return p.now
  ops.sort((a, b) => h.work[a]! - h.work[b]!)
  const open = p.calendar[s]!
  const left = new Map<number, number>()
  let best = p.now
  let i = 0
  let t = h.work[ops[0]!]!
  const queue: number[] = []
  while (i < ops.length || queue.length > 0) {
    if (queue.length === 0) t = Math.max(t, h.work[ops[i]!]!)
    while (i < ops.length && h.work[ops[i]!]! <= t) {
      queue.push(ops[i]!)
      left.set(ops[i]!, h.least[ops[i]!]!)
      i++
    }
    let k = 0
    for (let q = 1; q < queue.length; q++) if (h.tail[queue[q]!]! > h.tail[queue[k]!]!) k = q
    const op = queue[k]!
    const rest = left.get(op)!
    const done = open.advance(t, rest)
    if (done < 0) return best
    const until = i < ops.length ? h.work[ops[i]!]! : NEVER
    if (done <= until) {
      best = Math.max(best, done + h.tail[op]!)
      queue.splice(k, 1)
      t = done
    } else {
      left.set(op, rest - open.between(t, until))
      t = until
    }
  }
  return best
}

/** For every set of stations that is the choice of some step: all steps that can only go there need its open minutes. */
function energy(p: Problem, h: Heads, dropped: Uint8Array): number {
  const sets = new Map<string, Set<number>>()
  const choicesOf = (op: number) => p.choiceStation.subarray(p.choiceFirst[op], p.choiceFirst[op + 1])
  for (let op = 0; op < p.n; op++) {
    const set = [...new Set(choicesOf(op))].sort((a, b) => a - b)
    if (set.length > 1 && sets.size < 200) sets.set(set.join(), new Set(set))
  }
  if (p.stations > 1 && sets.size > 0) sets.set('all', new Set(p.calendar.keys()))
  let best = p.now
  for (const set of sets.values()) {
    let need = 0
    let from = NEVER
    let tail = NEVER
    for (let op = 0; op < p.n; op++) {
      if (dropped[p.job[op]!] === 1 || h.work[op]! >= NEVER || p.keptOf[op]! >= 0) continue
      if (!choicesOf(op).every(s => set.has(s))) continue
      need += h.least[op]!
      from = Math.min(from, h.work[op]!)
      tail = Math.min(tail, h.tail[op]!)
    }
    if (need === 0) continue
    let low = from
    let high = p.horizon
    const room = (t: number) => {
      let sum = 0
      for (const s of set) sum += p.calendar[s]!.between(from, t)
      return sum
    }
    if (room(high) < need) continue
    while (low < high) {
      const mid = low + Math.floor((high - low) / 2)
      if (room(mid) >= need) high = mid
      else low = mid + 1
    }
    best = Math.max(best, low + tail)
  }
  return best
}
