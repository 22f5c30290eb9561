import { type Dispatching, dispatch } from './dispatch'
import { NEVER, type Problem } from './problem'
import { PLACED, Timeline } from './timeline'

/** True where a beats b: left out, hard misses, weighted lateness, changeovers, finish; or finish before changeovers. */
export function better(a: Timeline, b: Timeline, finishFirst: boolean): boolean {
  if (a.leftOut !== b.leftOut) return a.leftOut < b.leftOut
  if (a.hardMisses !== b.hardMisses) return a.hardMisses < b.hardMisses
  if (a.weightedLate !== b.weightedLate) return a.weightedLate < b.weightedLate
  if (finishFirst) {
    if (a.finish !== b.finish) return a.finish < b.finish
    return a.changeoverMinutes < b.changeoverMinutes
  }
  if (a.changeoverMinutes !== b.changeoverMinutes) return a.changeoverMinutes < b.changeoverMinutes
  return a.finish < b.finish
}

/** Times for a new order, then for its order by work: the second is never later than the first. */
export function settle(line: Timeline, order: readonly number[]): void {
  line.notBefore.fill(-NEVER)
  line.setOrder(order)
  line.decode()
  line.sortByWork()
  line.decode()
  mend(line)
  line.measure()
}

/** Puts jobs with left-out steps behind all others, where they fit if they fit at all. */
export function mend(line: Timeline): void {
  const { p } = line
  for (let tries = 0; tries < 3; tries++) {
    const out = new Set<number>()
    for (let i = 0; i < line.count; i++) {
      const op = line.order[i]!
      if (line.status[op] !== PLACED && line.dropped[p.job[op]!] === 0) out.add(p.job[op]!)
    }
    if (out.size === 0) return
    const stay: number[] = []
    const behind: number[] = []
    for (let i = 0; i < line.count; i++) {
      const op = line.order[i]!
      if (!out.has(p.job[op]!)) stay.push(op)
    }
    for (const j of out) {
      for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) {
        if (p.keptOf[op]! < 0) {
          behind.push(op)
          line.notBefore[op] = -NEVER
        }
      }
    }
    line.setOrder([...stay, ...behind])
    line.decode()
    line.sortByWork()
    line.decode()
  }
}

/** Jobs that cannot be placed even alone in the shop, without changeovers. */
export function impossibleJobs(p: Problem): number[] {
  const line = new Timeline(p)
  line.bare = true
  const found: number[] = []
  for (let j = 0; j < p.jobs; j++) {
    const order: number[] = []
    for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) if (p.keptOf[op]! < 0) order.push(op)
    if (order.length === 0) continue
    for (const op of order) line.notBefore[op] = -NEVER
    line.setOrder(order)
    line.decode()
    if (order.some(op => line.status[op] !== PLACED)) found.push(j)
  }
  return found
}

/** A plan by one dispatching rule. */
export function buildBy(line: Timeline, how: Dispatching): void {
  settle(line, dispatch(line, how))
}
