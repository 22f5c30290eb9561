/**
 * The planning engine: finite stations and crew, opening hours, changeovers, gaps, kept runs.
 *
 *     plan(shop, { seed, steps | seconds + clock, aim, from, signal, stopped, onBetter, rule }): Plan
 *     improve(shop, plan, { seed, steps | seconds + clock, onBetter, signal }): Plan     a better plan, moving no run in vain
 *     repair(shop, plan, change): { shop, plan, consequences }     what a change means, before it is taken
 *     splitJob(job, parts): Job[]     a job in parts, each when its own goods are there
 *     why(shop, plan, { job, step }): Reason[]                     what a run's start waits for
 *     chances(shop, plan, { seed, futures, spread }): Chance[]     how sure each promise is
 *
 * Everything is a pure function of its arguments (`clock` is one of them); minutes are whole. The same shop, seed and
 * steps give the same plan. Shops that come as text go through `lib/planning/contract.ts`.
 */
export { mergeOpenings, subtractOpenings } from './calendar'
export { type Chance, type ChanceOptions, chances, DEFAULT_SPREAD, type Spread } from './chances'
export { RULES } from './dispatch'
export { DEFAULT_STEPS, plan } from './plan'
export {
  type Change,
  type Consequences,
  changed,
  consequences,
  improve,
  type Repaired,
  repair,
} from './repair'
export { type Part, splitJob } from './split'
export { MOVE_COST } from './standing'
export type * from './types'
export { type Reason, type ReasonKind, why } from './why'
