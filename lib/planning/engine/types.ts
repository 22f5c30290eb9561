/**
 * Words of the planning engine. All times are whole minutes on one axis (minutes since the Unix epoch in the shop,
 * minutes since 0 in tests); openings are half-open [from, to), sorted, apart from each other.
 */

export interface Opening {
  from: number
  to: number
}

/** Minutes to bring a station from one state to another; a pair without an entry takes none. */
export interface Changeover {
  from: string
  to: string
  minutes: number
  /** A crew member stays with it. */
  attended: boolean
}

export interface Station {
  id: string
  kind: string
  open: Opening[]
  /** The state it stands in before its first run; null when unknown. */
  state: string | null
  changeovers: Changeover[]
}

export interface CrewMember {
  id: string
  /** Station kinds this member can work at. */
  skills: string[]
  open: Opening[]
}

/** A station that can do a step, with the set-up and run minutes there. */
export interface Choice {
  station: string
  setup: number
  run: number
}

export type Attended = 'all' | 'setup' | 'none'

export interface Gap {
  /** Least and most elapsed minutes from the end of this step to the work of the next; null: no most. */
  min: number
  max: number | null
}

export interface Step {
  id: string
  on: Choice[]
  /** The state the station must be in; null: any, and it stays as it is. */
  state: string | null
  attended: Attended
  pausable: boolean
  gap: Gap
}

export interface Job {
  id: string
  release: number
  /** Null: nothing promised. */
  due: number | null
  weight: number
  /** A missed hard promise outweighs every soft one. */
  hard: boolean
  /** In order. */
  steps: Step[]
}

/** A run that stays where it is: under way, or pinned by a person. */
export interface Kept {
  job: string
  step: string
  station: string
  start: number
  /** Who is on it, where known. */
  crew?: string | null
}

export interface Shop {
  /** Nothing new starts before. */
  now: number
  /** Nothing is planned to end after it. Openings must reach that far. */
  horizon: number
  stations: Station[]
  crew: CrewMember[]
  jobs: Job[]
  kept: Kept[]
}

export interface Run {
  job: string
  step: string
  station: string
  crew: string | null
  /** The changeover runs from start to work, set-up and run from work to end. */
  start: number
  work: number
  end: number
  changeover: number
  setup: number
  run: number
}

export interface Unplaced {
  job: string
  step: string
  why: string
  /** More weeks of openings might help; otherwise something else has to change. */
  timeMightHelp: boolean
}

/** A kept run that cannot be as it should: it stays, and this says what is wrong with it. */
export interface Conflict {
  job: string
  step: string
  why: string
}

/** What a plan costs, in the order of what matters. Jobs with an unplaced step are left out of the first two. */
export interface Objective {
  hardMisses: number
  weightedLateMinutes: number
  changeoverMinutes: number
  /** The minute the last run ends. */
  finish: number
}

/** Proven: no plan of the same jobs does better than any of these. */
export interface Bound {
  hardMisses: number
  weightedLateMinutes: number
  finish: number
}

export interface Plan {
  /** By work, then station. */
  runs: Run[]
  late: { job: string; minutes: number }[]
  objective: Objective
  bound: Bound
  unplaced: Unplaced[]
  conflicts: Conflict[]
  /** True only where bound and plan meet in what matters first (lateness, or finish when that is the aim). */
  optimal: boolean
  /** Runs whose start or station differs from the plan it came from; 0 without one. */
  moved: number
  /** Candidate plans weighed. */
  steps: number
}

/**
 * The order of what matters. `promises`: hard misses, weighted lateness, changeovers, finish.
 * `finish`: hard misses, weighted lateness, finish, changeovers.
 */
export type Aim = 'promises' | 'finish'

export interface PlanOptions {
  /** Same shop, seed and steps: same plan. */
  seed?: number
  /** Most candidate plans weighed. Without steps and seconds: DEFAULT_STEPS. */
  steps?: number
  /** Most seconds spent, by `clock`. */
  seconds?: number
  /** Gives milliseconds; only read when seconds are given. */
  clock?: () => number
  aim?: Aim
  /** Asked now and then; true stops with the best so far. */
  stopped?: () => boolean
  signal?: { readonly aborted: boolean }
  /** Called with every better plan, at most once per some hundred steps. */
  onBetter?: (plan: Plan) => void
  /**
   * The plan now on the board. It is mended: runs stay where they are, and move only where they must, or where that keeps a job from
   * becoming later than the board has it; jobs that are late move earlier into free room where that saves more than their moves cost.
   * From a plan that was made so, nothing moves without news but what should have begun by now and has not.
   */
  from?: Plan | null
  /** Looks for a plan better than `from` as well: a run moves where that saves more than `moveCost`. */
  better?: boolean
  /** Weighted late minutes that a moved run counts as much as: see MOVE_COST. Only with `from`. */
  moveCost?: number
  /** The dispatching rule alone, without search. */
  rule?: Rule
}

export type Rule = 'due' | 'short' | 'weighted-short' | 'tardiness-cost'
