import { heads, simpleBound } from './bounds'
import { better, buildBy, impossibleJobs } from './build'
import { RULES } from './dispatch'
import { Problem } from './problem'
import { becauseOf, type Why, whyNot } from './reasons'
import { report, settleLeftOut } from './report'
import { PLACED, Timeline } from './timeline'
import type { Plan, PlanOptions, Shop } from './types'

/** Candidate plans weighed when neither steps nor seconds are given. */
export const DEFAULT_STEPS = 20_000

/**
 * A plan of all jobs that can be placed, with a proven bound. Never throws for a shop that passed the contract;
 * steps that cannot be placed come back in `unplaced`, with a reason to act on.
 */
export function plan(shop: Shop, options: PlanOptions = {}): Plan {
  const p = new Problem(shop)
  const line = new Timeline(p)
  const reasons = new Map<number, Why>()
  for (const j of impossibleJobs(p)) drop(p, line, j, reasons)

  const finishFirst = options.aim === 'finish'
  const best = firstPlan(p, line, options, finishFirst)
  settleLeftOut(best, reasons)
  best.measure()
  const bound = simpleBound(p, heads(p, new Timeline(p)), best.dropped)
  return report(best, bound, false, reasons, 0, 0)
}

/** The best of the dispatching rules, or the one asked for. */
function firstPlan(p: Problem, line: Timeline, options: PlanOptions, finishFirst: boolean): Timeline {
  const best = new Timeline(p)
  best.dropped.set(line.dropped)
  const rules = options.rule ? [options.rule] : RULES
  let first = true
  for (const rule of rules) {
    buildBy(line, { rule })
    if (first || better(line, best, finishFirst)) {
      best.copyFrom(line)
      best.measure()
      first = false
    }
  }
  return best
}

function drop(p: Problem, line: Timeline, j: number, reasons: Map<number, Why>): void {
  const alone = new Timeline(p)
  const order: number[] = []
  for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) if (p.keptOf[op]! < 0) order.push(op)
  alone.bare = true
  alone.setOrder(order)
  alone.decode()
  const cause = order.find(op => alone.status[op] !== PLACED)
  if (cause === undefined) return
  line.dropped[j] = 1
  for (const op of order) reasons.set(op, op === cause ? whyNot(p, alone, cause) : becauseOf(p, op, cause))
}
