import type { Budget } from './budget'
import { NEVER, type Problem } from './problem'

const ITERATIONS = 400
/** Largest jobs × minutes that are looked at. */
const MOST = 4_000_000

/**
 * A proven lower bound of the weighted lateness of one sequence (`isOneSequence`) without releases: the time-indexed formulation with
 * "one job at a time" priced per minute instead of kept (Lagrangian relaxation by subgradients, as in Avella, Boccia,
 * D'Auria 2005). Each job takes its run and the least changeover that can come before it. `known`: the lateness of a plan.
 */
export function sequenceBound(p: Problem, known: number, budget: Budget): number {
  const n = p.n
  if (known <= 0) return 0
  const s = p.choiceStation[0]!
  const size = new Int32Array(n)
  let total = 0
  for (let op = 0; op < n; op++) {
    if (p.release[op]! > p.now) return 0
    let least = NEVER
    if (p.state[op]! >= 0) {
      for (let before = 0; before < n; before++) {
        if (before !== op) least = Math.min(least, p.changeover(s, p.state[before]!, p.state[op]!))
      }
      least = Math.min(least, p.changeover(s, p.state0[s]!, p.state[op]!))
    } else least = 0
    size[op] = p.setup[op]! + p.run[op]! + least
    total += size[op]!
  }
  if (total * n > MOST || total === 0) return 0
  const cost = Array.from({ length: n }, (_, op) => {
    // By start, as the cost of the end.
    const c = new Float64Array(total - size[op]! + 1)
    const due = p.due[op]! === NEVER ? Number.POSITIVE_INFINITY : p.due[op]! - p.now
    for (let t = 0; t < c.length; t++) c[t] = Math.max(0, t + size[op]! - due) * p.weight[op]!
    return c
  })
  const whole = p.weight.every(w => Number.isInteger(w))
  const price = new Float64Array(total)
  const sum = new Float64Array(total + 1)
  const used = new Int32Array(total + 1)
  let best = 0
  let theta = 1
  let idle = 0
  for (let i = 0; i < ITERATIONS && budget.spend(2); i++) {
    for (let t = 0; t < total; t++) sum[t + 1] = sum[t]! + price[t]!
    used.fill(0)
    let value = -sum[total]!
    for (let op = 0; op < n; op++) {
      const c = cost[op]!
      const length = size[op]!
      let least = Number.POSITIVE_INFINITY
      let at = 0
      for (let t = 0; t < c.length; t++) {
        const v = c[t]! + sum[t + length]! - sum[t]!
        if (v < least) {
          least = v
          at = t
        }
      }
      value += least
      used[at]!++
      used[at + length]!--
    }
    if (value > best) {
      best = value
      idle = 0
    } else if (++idle >= 12) {
      theta *= 0.6
      idle = 0
    }
    const rounded = whole ? Math.ceil(best - 1e-6) : best
    if (rounded >= known) return Math.min(known, rounded)
    let norm = 0
    let open = 0
    for (let t = 0; t < total; t++) {
      open += used[t]!
      norm += (open - 1) ** 2
    }
    if (norm === 0) break
    const step = (theta * (known - value)) / norm
    open = 0
    for (let t = 0; t < total; t++) {
      open += used[t]!
      // All minutes are used exactly once, so prices may have either sign.
      price[t]! += step * (open - 1)
    }
  }
  // Rounding of the sums must not lift a bound over the truth.
  return Math.max(0, Math.min(known, whole ? Math.ceil(best - 1e-6) : best * (1 - 1e-9)))
}
