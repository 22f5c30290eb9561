import type { Heads } from './bounds'
import { ALL, NEVER, type Problem } from './problem'
import type { Bound, Opening } from './types'

/** Most distinct weights that are told apart; lesser differences are rounded down. */
const LEVELS = 10
/** Most sets of stations, and of people, that are looked at. */
const SETS = 24

/** What a job needs of a resource: so many minutes, not before `from`, and `tail` minutes to its end after them. */
interface Need {
  job: number
  minutes: number
  from: number
  tail: number
}

/** Stations or people who do the work of some steps together, and their open minutes. */
interface Resource {
  needs: Need[]
  capacity: Capacity
}

/**
 * Raises the bounds of hard misses and weighted lateness by what stations and people can do in their open minutes. Each set of
 * stations that some step can go to, and each set of people who can attend it, is taken as one resource that works as fast as all of
 * them together, and on several jobs in turn as it likes. Then no order of the jobs has its k-th completion earlier than the shortest
 * remaining job first (Schrage 1968), so the k-th completion against the k-th due date bounds the sum of tardiness (Chu 1992);
 * weights are taken level by level. The most jobs in time are those of Moore and Hodgson (Moore 1968). Jobs are counted in one resource
 * at most, others as late as they are alone. Jobs with a kept run are counted alone.
 */
export function raiseByResources(p: Problem, h: Heads, dropped: Uint8Array, bound: Bound): void {
  const alone = new Float64Array(p.jobs)
  const counted = new Uint8Array(p.jobs)
  let aloneSum = 0
  let aloneMisses = 0
  for (let j = 0; j < p.jobs; j++) {
    const last = p.jobFirst[j + 1]! - 1
    if (dropped[j] === 1 || last < p.jobFirst[j]! || h.end[last]! >= NEVER || p.due[j]! >= NEVER) continue
    counted[j] = 1
    alone[j] = Math.max(0, h.end[last]! - p.due[j]!)
    aloneSum += alone[j]! * p.weight[j]!
    if (alone[j]! > 0 && p.hard[j] === 1) aloneMisses++
    for (let op = p.jobFirst[j]!; op <= last; op++) if (p.keptOf[op]! >= 0) counted[j] = 0
  }
  const resources = resourcesOf(p, h, counted)
  let misses = aloneMisses
  for (const { needs, capacity } of resources) {
    misses = Math.max(misses, aloneMisses + leastMisses(p, needs, capacity, alone))
  }
  bound.hardMisses = Math.max(bound.hardMisses, misses)

  let sum = aloneSum
  const open = new Set(resources)
  while (open.size > 0) {
    let most = 1e-9
    let best: Resource | null = null
    for (const r of open) {
      r.needs = r.needs.filter(x => counted[x.job] === 1)
      const gain = r.needs.length < 2 ? 0 : leastLateness(p, r.needs, r.capacity, alone)
      if (gain <= 0) open.delete(r)
      else if (gain > most) {
        most = gain
        best = r
      }
    }
    if (!best) break
    sum += most
    for (const { job } of best.needs) counted[job] = 0
    open.delete(best)
  }
  // Sums of fractions must not lift a bound over the truth.
  const safe = p.weight.every(w => Number.isInteger(w)) ? sum : sum * (1 - 1e-9)
  bound.weightedLateMinutes = Math.max(bound.weightedLateMinutes, safe)
}

function resourcesOf(p: Problem, h: Heads, counted: Uint8Array): Resource[] {
  const stations = new Map<string, number[]>()
  const people = new Map<string, number[]>()
  const stationsOf: number[][] = []
  const peopleOf: (number[] | null)[] = []
  const sorted = (list: Iterable<number>) => [...new Set(list)].sort((a, b) => a - b)
  const add = (sets: Map<string, number[]>, set: number[]) => {
    if (set.length > 0 && sets.size < SETS) sets.set(set.join(), set)
  }
  for (let op = 0; op < p.n; op++) {
    const on = sorted(p.choiceStation.subarray(p.choiceFirst[op], p.choiceFirst[op + 1]))
    const by = p.attended[op] === ALL ? sorted(on.flatMap(s => [...p.able[s]!])) : null
    stationsOf.push(on)
    peopleOf.push(by)
    if (counted[p.job[op]!] === 0) continue
    add(stations, on)
    if (by) add(people, by)
  }
  if (p.crew > 0) add(people, [...Array(p.crew).keys()])
  const collect = (set: number[], needed: (number[] | null)[], openings: Opening[][]): Resource => {
    const has = new Set(set)
    const needs: Need[] = []
    for (let j = 0; j < p.jobs; j++) {
      if (counted[j] === 0) continue
      let need: Need | null = null
      for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) {
        if (!needed[op]?.every(x => has.has(x))) continue
        if (need) {
          need.minutes += h.least[op]!
          need.tail = h.tail[op]!
        } else need = { job: j, minutes: h.least[op]!, from: h.work[op]!, tail: h.tail[op]! }
      }
      if (need && need.minutes > 0) needs.push(need)
    }
    return { needs, capacity: new Capacity(openings, p.now) }
  }
  return [
    ...[...stations.values()].map(set =>
      collect(
        set,
        stationsOf,
        set.map(s => p.shop.stations[s]!.open),
      ),
    ),
    ...[...people.values()].map(set =>
      collect(
        set,
        peopleOf,
        set.map(m => p.shop.crew[m]!.open),
      ),
    ),
  ]
}

/** Least weighted lateness of these jobs beyond what each has alone. */
function leastLateness(p: Problem, needs: Need[], capacity: Capacity, alone: Float64Array): number {
  const weights = [...new Set(needs.map(x => p.weight[x.job]!))].filter(w => w > 0).sort((a, b) => a - b)
  const every = Math.ceil(weights.length / LEVELS)
  const levels = weights.filter((_, i) => i % every === 0)
  let below = 0
  let sum = 0
  for (const level of levels) {
    const these = needs.filter(x => p.weight[x.job]! >= level)
    const ends = shortestFirst(these, capacity)
    const dues = these.map(x => p.due[x.job]! - x.tail).sort((a, b) => a - b)
    let late = 0
    let single = 0
    for (let k = 0; k < these.length; k++) {
      late += Math.max(0, ends[k]! - dues[k]!)
      single += alone[these[k]!.job]!
    }
    sum += Math.max(late, single) * (level - below)
    below = level
  }
  return sum - needs.reduce((a, x) => a + alone[x.job]! * p.weight[x.job]!, 0)
}

/** Completions in their order, were the shortest remaining job always the one worked on. */
function shortestFirst(needs: readonly Need[], capacity: Capacity): number[] {
  const jobs = needs.map(x => ({ from: capacity.until(x.from), left: x.minutes }))
  jobs.sort((a, b) => a.from - b.from || a.left - b.left)
  const waiting: number[] = []
  const put = (left: number) => {
    // Longest first, so that the shortest is taken from the end.
    let low = 0
    let high = waiting.length
    while (low < high) {
      const mid = (low + high) >> 1
      if (waiting[mid]! > left) low = mid + 1
      else high = mid
    }
    waiting.splice(low, 0, left)
  }
  const ends: number[] = []
  let t = 0
  let next = 0
  while (next < jobs.length || waiting.length > 0) {
    if (waiting.length === 0) t = Math.max(t, jobs[next]!.from)
    while (next < jobs.length && jobs[next]!.from <= t) put(jobs[next++]!.left)
    const left = waiting.pop()!
    const until = next < jobs.length ? jobs[next]!.from : Number.POSITIVE_INFINITY
    if (t + left <= until) {
      t += left
      ends.push(capacity.at(t))
    } else {
      put(left - (until - t))
      t = until
    }
  }
  return ends
}

/** Hard promises among these that must be missed, beside those that are missed alone. */
function leastMisses(p: Problem, needs: Need[], capacity: Capacity, alone: Float64Array): number {
  const hard = needs.filter(x => p.hard[x.job] === 1 && alone[x.job] === 0)
  const from = capacity.until(hard.reduce((a, x) => Math.min(a, x.from), NEVER))
  const jobs = hard.map(x => ({ minutes: x.minutes, by: capacity.until(p.due[x.job]! - x.tail) - from }))
  jobs.sort((a, b) => a.by - b.by || a.minutes - b.minutes)
  const taken: number[] = []
  let sum = 0
  let missed = 0
  for (const { minutes, by } of jobs) {
    taken.push(minutes)
    sum += minutes
    if (sum <= by) continue
    const longest = taken.indexOf(Math.max(...taken))
    sum -= taken[longest]!
    taken.splice(longest, 1)
    missed++
  }
  return missed
}

/** Open minutes of several stations or people together, counted from `now`. */
class Capacity {
  private readonly times: number[] = []
  private readonly sums: number[] = []
  private readonly rates: number[] = []

  constructor(openings: Opening[][], now: number) {
    const changes = new Map<number, number>()
    const change = (t: number, by: number) => changes.set(t, (changes.get(t) ?? 0) + by)
    change(now, 0)
    for (const list of openings) {
      for (const { from, to } of list) {
        if (to <= now) continue
        change(Math.max(from, now), 1)
        change(to, -1)
      }
    }
    let rate = 0
    let sum = 0
    for (const [t, by] of [...changes].sort((a, b) => a[0] - b[0])) {
      const last = this.times.length - 1
      if (last >= 0) sum += rate * (t - this.times[last]!)
      rate += by
      this.times.push(t)
      this.sums.push(sum)
      this.rates.push(rate)
    }
  }

  /** Minutes worked until t. */
  until(t: number): number {
    const k = this.last(this.times, t)
    return k < 0 ? 0 : this.sums[k]! + this.rates[k]! * (t - this.times[k]!)
  }

  /** First whole minute by which so many are worked; the end of all openings where there are too few. */
  at(minutes: number): number {
    const { times, sums, rates } = this
    let low = 0
    let high = sums.length
    while (low < high) {
      const mid = (low + high) >> 1
      if (sums[mid]! < minutes) low = mid + 1
      else high = mid
    }
    const k = low - 1
    if (k < 0) return times[0]!
    return rates[k] === 0 ? times[k]! : Math.ceil(times[k]! + (minutes - sums[k]!) / rates[k]! - 1e-9)
  }

  /** Index of the last entry at or before t. */
  private last(list: number[], t: number): number {
    let low = 0
    let high = list.length
    while (low < high) {
      const mid = (low + high) >> 1
      if (list[mid]! <= t) low = mid + 1
      else high = mid
    }
    return low - 1
  }
}
