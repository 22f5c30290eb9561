import { NEVER, type Problem } from './problem'
import type { Timeline } from './timeline'
import type { Rule } from './types'

export const RULES: readonly Rule[] = ['due', 'short', 'weighted-short', 'tardiness-cost']

/** How a dispatching pass ranks the steps that could begin soon. */
export interface Dispatching {
  rule: Rule
  /** Look-ahead of the tardiness cost, in mean run lengths. */
  lookAhead?: number
  /** In place of the rule: the lowest goes first, and steps held back or bound stay so. */
  keys?: Float64Array
  /** Steps that could begin this many minutes after the first one are ranked with it. */
  within?: number
}

/**
 * Builds an order step by step in time: of the steps that could begin first, the best by the rule goes next.
 * Rules: earliest due date; shortest processing time; weighted shortest processing time; apparent tardiness cost with
 * set-ups (Lee, Bhaskaran, Pinedo 1997), where the changeover minutes discount the index.
 * Returns the steps in order; steps of left-out jobs come last.
 */
export function dispatch(line: Timeline, { rule, lookAhead = 2, within = 0, keys }: Dispatching): number[] {
  const { p } = line
  line.clear()
  if (!keys) line.notBefore.fill(-NEVER)
  const length = meanLengths(p)
  const rest = new Float64Array(p.n)
  let total = 0
  for (let j = 0; j < p.jobs; j++) {
    let after = 0
    for (let op = p.jobFirst[j + 1]! - 1; op >= p.jobFirst[j]!; op--) {
      rest[op] = after + length[op]!
      after = rest[op]! + (op > p.jobFirst[j]! ? p.gapMin[op - 1]! : 0)
      total += length[op]!
    }
  }
  const mean = p.n > 0 ? Math.max(1, total / p.n) : 1

  const order: number[] = []
  const next = Int32Array.from(p.jobFirst.subarray(0, p.jobs))
  const skipKept = (j: number) => {
    while (next[j]! < p.jobFirst[j + 1]! && p.keptOf[next[j]!]! >= 0) next[j]!++
  }
  const known = new Float64Array(p.jobs).fill(-1)
  const asOf = new Int32Array(p.jobs).fill(-1)
  let waiting: number[] = []
  for (let j = 0; j < p.jobs; j++) {
    skipKept(j)
    if (next[j]! < p.jobFirst[j + 1]!) waiting.push(j)
  }
  let round = 0
  const look = (j: number): number => {
    if (asOf[j] !== round) {
      known[j] = line.peek(next[j]!) ? line.cWork : NEVER
      asOf[j] = round
    }
    return known[j]!
  }
  while (waiting.length > 0) {
    round++
    // Earliest work only grows from round to round, so an old value is a lower bound.
    let first = -1
    let firstWork = Infinity
    for (;;) {
      first = -1
      firstWork = Infinity
      for (const j of waiting) {
        if (known[j]! < firstWork) {
          firstWork = known[j]!
          first = j
        }
      }
      if (asOf[first] === round) break
      look(first)
    }
    let best = first
    if (firstWork < NEVER) {
      let bestRank = Infinity
      for (const j of waiting) {
        if (known[j]! > firstWork + within || look(j) > firstWork + within) continue
        const op = next[j]!
        const rank = keys
          ? keys[op]!
          : rankOf(p, line, rule, op, length[op]!, rest[op]!, mean * lookAhead, known[j]! - firstWork)
        if (rank < bestRank) {
          bestRank = rank
          best = j
        }
      }
    }
    const op = next[best]!
    line.place(op, false)
    order.push(op)
    next[best]!++
    skipKept(best)
    known[best] = -1
    asOf[best] = -1
    if (next[best]! >= p.jobFirst[best + 1]!) waiting = waiting.filter(j => j !== best)
  }
  return order
}

function rankOf(
  p: Problem,
  line: Timeline,
  rule: Rule,
  op: number,
  length: number,
  rest: number,
  scale: number,
  wait: number,
): number {
  const j = p.job[op]!
  // What must not wait goes first, whatever the rule.
  if (op > p.jobFirst[j]! && p.gapMax[op - 1]! < NEVER)
    return line.end[op - 1]! + p.gapMax[op - 1]! - 4 * NEVER
  const due = p.due[j]!
  const importance = p.hard[j] === 1 ? 20 * Math.max(1, p.weight[j]!) : p.weight[j]!
  switch (rule) {
    case 'due':
      return due === NEVER ? NEVER - rest / 1e6 : due + wait / 1e6
    case 'short':
      return length + wait / 1e6
    case 'weighted-short':
      return -(importance + 1e-6) / Math.max(1, length)
    case 'tardiness-cost': {
      if (due === NEVER) return 1 - rest / 1e9 + wait / 1e6
      const slack = Math.max(0, due - rest - line.cWork)
      const changeover = line.peekChangeover(op)
      const index =
        ((importance + 1e-3) / Math.max(1, rest)) *
        Math.exp(-slack / scale) *
        Math.exp(-(changeover + wait) / Math.max(1, scale / 4))
      // Far from due the index vanishes; the due date then decides.
      return -index + due * 1e-15
    }
  }
}

/** Mean minutes of each step over its choices. */
export function meanLengths(p: Problem): Float64Array {
  const mean = new Float64Array(p.n)
  for (let op = 0; op < p.n; op++) {
    let sum = 0
    const a = p.choiceFirst[op]!
    const b = p.choiceFirst[op + 1]!
    for (let c = a; c < b; c++) sum += p.setup[c]! + p.run[c]!
    mean[op] = b > a ? sum / (b - a) : 0
  }
  return mean
}
