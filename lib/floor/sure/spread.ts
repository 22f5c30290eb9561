import { paceKey } from '@/lib/costing/learned'
import { DEFAULT_SPREAD, type Spread } from '@/lib/planning/engine'

/** A finished step beside what was planned for it. */
export type Finished = {
  /** Id of the recipe; null: what ends every job. */
  recipe: string | null
  key: string
  plannedSeconds: number
  actualSeconds: number
  pieces: number
  spoiled: number
}

/** So many runs by the usual spread stand in for what is not measured yet. Common practice: a weak prior. */
const PRIOR_RUNS = 4
/** A run that took ten times as long as planned, or a tenth, is a clock that somebody forgot. */
const MOST_LOG = Math.log(10)
/** Beyond this a promise could not be told at all. */
const MOST_DEVIATION = 1

/** A measured spread with the count behind it. */
export type MeasuredSpread = Spread & { runs: number }

/**
 * How the minutes of each step vary about what was planned, as the floor's clocks have it: the root mean square of the logarithm of actual to
 * planned time, with four runs of the usual 15% before it, so that two odd runs do not make a rule; and how often something was
 * spoiled, with the share of the run that it cost.
 * @returns by paceKey of recipe and step; a step in no row has the usual spread
 */
export function measuredSpreads(finished: readonly Finished[]): Map<string, MeasuredSpread> {
  const sums = new Map<string, { runs: number; squares: number; bad: number; share: number }>()
  for (const f of finished) {
    if (!(f.plannedSeconds > 0 && f.actualSeconds > 0)) continue
    const log = Math.log(f.actualSeconds / f.plannedSeconds)
    if (Math.abs(log) > MOST_LOG) continue
    const key = paceKey(f.recipe, f.key)
    const s = sums.get(key) ?? { runs: 0, squares: 0, bad: 0, share: 0 }
    sums.set(key, {
      runs: s.runs + 1,
      squares: s.squares + log * log,
      bad: s.bad + (f.spoiled > 0 ? 1 : 0),
      share: s.share + (f.spoiled > 0 && f.pieces > 0 ? Math.min(1, f.spoiled / f.pieces) : 0),
    })
  }
  const prior = PRIOR_RUNS * DEFAULT_SPREAD.deviation ** 2
  return new Map(
    [...sums].map(([key, s]) => [
      key,
      {
        runs: s.runs,
        deviation: Math.min(MOST_DEVIATION, Math.sqrt((prior + s.squares) / (PRIOR_RUNS + s.runs))),
        misprint: s.bad / (s.runs + 1),
        again: s.bad > 0 ? s.share / s.bad : 0,
      },
    ]),
  )
}
