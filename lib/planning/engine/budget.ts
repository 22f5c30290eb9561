import type { PlanOptions } from './types'

/** Candidate plans weighed when neither steps nor seconds are given. */
export const DEFAULT_STEPS = 20_000
/** The same with a plan to start from, which should only be mended. */
export const MEND_STEPS = 100

/** How long the search may go on, in steps, seconds or until told to stop. */
export class Budget {
  steps = 0
  over = false
  readonly most: number
  private readonly until: number
  private readonly began: number
  private readonly clock: (() => number) | null
  private asked = 0

  constructor(private readonly options: PlanOptions) {
    const timed = options.seconds !== undefined && options.clock !== undefined
    this.clock = timed ? (options.clock ?? null) : null
    this.most =
      options.steps ?? (timed ? Number.POSITIVE_INFINITY : options.from ? MEND_STEPS : DEFAULT_STEPS)
    this.began = this.clock ? this.clock() : 0
    this.until = this.clock ? this.began + (options.seconds ?? 0) * 1000 : Number.POSITIVE_INFINITY
    if (this.most <= 0 || this.until <= this.began) this.over = true
  }

  /** Counts a candidate; true while there is more to spend. `weight`: how many of a usual candidate it costs. */
  spend(weight = 1): boolean {
    this.steps += weight
    if (this.steps >= this.most) this.over = true
    // The clock is asked more rarely than candidates are weighed.
    if ((this.asked++ & 15) === 0) this.look()
    return !this.over
  }

  look(): boolean {
    if (this.clock && this.clock() >= this.until) this.over = true
    if (this.options.stopped?.() || this.options.signal?.aborted) this.over = true
    return !this.over
  }

  /** Share spent, 0 to 1. */
  get share(): number {
    const bySteps = this.most === Number.POSITIVE_INFINITY ? 0 : this.steps / this.most
    const byTime = this.clock ? (this.clock() - this.began) / (this.until - this.began) : 0
    return Math.min(1, Math.max(bySteps, byTime))
  }
}
