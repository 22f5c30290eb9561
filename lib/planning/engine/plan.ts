import { heads, simpleBound } from './bounds'
import { Budget } from './budget'
import { better, buildBy, impossibleJobs, settle } from './build'
import type { Dispatching } from './dispatch'
import { ExactSearch } from './exact-search'
import { GraphSearch, isGraph } from './graph-search'
import { sequenceBound } from './lateness-bound'
import { movedRuns, OrderSearch, type Standing, standingCost } from './order-search'
import { Problem } from './problem'
import { Proof, raiseBound } from './prove'
import { Random } from './random'
import { becauseOf, type Why, whyNot } from './reasons'
import { report, settleLeftOut } from './report'
import { raiseByResources } from './resource-bound'
import { isOneSequence, SequenceSearch } from './sequence-search'
import { SlotSearch } from './slot-search'
import { mendStanding, standingOf, takeOver } from './standing'
import { PLACED, Timeline } from './timeline'
import type { Bound, Plan, PlanOptions, Shop } from './types'

export { DEFAULT_STEPS } from './budget'

/** Steps from which on jobs are taken out and put in; smaller shops are searched by their order alone. */
const SLOTS = 9
/** Share of the budget for it, in small shops and from so many steps on; the rest goes to the order. */
const SMALL_SHARE = 0.3
const LARGE = 40
const LARGE_SHARE = 0.85
/** Most times that a new plan moves up behind jobs that took earlier gaps. */
const PULLS = 6
/** Up to which share of the budget the graph is searched, and how many nodes and which share the proof after it may take. */
const PROOFS = [
  { until: 0.02, nodes: 500, share: 0.02 },
  { until: 0.08, nodes: 15_000, share: 0.15 },
  { until: 0.3, nodes: 30_000, share: 0.15 },
]
/** Shops with more steps have too many pairs of them for a proof. */
const PROOF_STEPS = 1200

/**
 * A plan of all jobs that can be placed, with a proven bound. Never throws for a shop that passed the contract;
 * steps that cannot be placed come back in `unplaced`, with a reason to act on.
 */
export function plan(shop: Shop, options: PlanOptions = {}): Plan {
  const budget = new Budget(options)
  const p = new Problem(shop)
  const line = new Timeline(p)
  const reasons = new Map<number, Why>()
  for (const j of impossibleJobs(p)) drop(p, line, j, reasons)

  const finishFirst = options.aim === 'finish'
  const mends = !options.better
  const standing = options.from ? standingOf(p, options.from, options.moveCost, mends) : null
  const ways = standing ? mendStanding(p, line.dropped, standing) : []
  const best =
    ways[0] ??
    (options.from && standing
      ? takeOver(p, options.from, line.dropped, standing)
      : firstPlan(p, line, options, finishFirst, budget))
  const h = heads(p, new Timeline(p))
  const bound = simpleBound(p, h, best.dropped)
  if (!options.rule) raiseByResources(p, h, best.dropped, bound)
  let exact = false
  const enough = () =>
    exact || (standing && mends ? asOnBoard(best, standing) : provenBest(best, bound, finishFirst))
  const tell = () =>
    options.onBetter?.(finish(best, bound, finishFirst, new Map(reasons), budget.steps, false, standing))

  if (!options.rule && !standing && isOneSequence(p) && SequenceSearch.statesKnown(p)) {
    searchSequence(best, options, budget, enough)
    if (best.leftOut === 0) {
      bound.weightedLateMinutes = Math.max(
        bound.weightedLateMinutes,
        sequenceBound(p, best.weightedLate, budget),
      )
    }
  }
  const finishOnly =
    shop.jobs.every(j => j.due === null) &&
    (finishFirst || shop.stations.every(s => s.changeovers.length === 0))
  if (!options.rule && !standing && finishOnly && isGraph(p)) searchGraph(best, options, budget, bound)
  if (!options.rule && !standing && !enough() && ExactSearch.suits(best)) {
    exact = new ExactSearch(best, finishFirst).run(budget)
    if (exact && best.hardMisses > bound.hardMisses) bound.hardMisses = best.hardMisses
  }
  let told = 0
  const better = () => {
    if (options.onBetter && budget.steps - told >= 200) {
      told = budget.steps
      tell()
    }
  }
  // With steps: 0 a plan is asked for as it stands.
  const idle = options.rule !== undefined || budget.over
  const bySlots = !idle && !finishFirst && SlotSearch.suits(best)
  const search = { best, options, budget, standing, enough, better }
  if (standing && mends) {
    if (!idle) mendBySearch(search, bySlots, ways[1] ?? null)
  } else if (!options.rule) {
    const share = p.n < LARGE ? SMALL_SHARE : standing ? 1 : LARGE_SHARE
    if (bySlots && p.n >= SLOTS && !enough())
      searchSlots(search, false, slots => slots.run(budget, share, enough))
    searchOrders(search, finishFirst)
    for (let round = 0; round < PULLS && bySlots && !enough() && pull(search); round++);
  }
  return finish(best, bound, finishFirst, reasons, budget.steps, true, standing)
}

interface Search {
  best: Timeline
  options: PlanOptions
  budget: Budget
  standing: Standing | null
  enough: () => boolean
  better: () => void
}

/** Looks among the gaps, and puts what is found there into `best`. */
function searchSlots(search: Search, mends: boolean, look: (slots: SlotSearch) => void): void {
  const { best, options, standing, better } = search
  const take = () => {
    best.copyFrom(slots.best)
    best.measure()
  }
  const own = mends && standing ? structuredClone(standing) : standing
  const slots: SlotSearch = new SlotSearch(best, new Random(options.seed ?? 1), own, mends, () => {
    take()
    better()
  })
  look(slots)
  take()
}

function searchOrders(
  { best, options, budget, standing, enough, better }: Search,
  finishFirst: boolean,
): void {
  const search = new OrderSearch(best, new Random(options.seed ?? 1), finishFirst, standing, () => {
    best.copyFrom(search.best)
    best.measure()
    better()
  })
  search.run(budget, enough)
}

/** Late jobs take earlier gaps. Where they did, the whole moves up behind them, which may leave a gap for another one. */
function pull(search: Search): boolean {
  let any = false
  searchSlots(search, false, slots => {
    any = slots.pullForward()
  })
  return any
}

/**
 * What a change made worse is won back, and late jobs take what room there is. That is looked for each time, whatever happened: what lets
 * work begin sooner (blanks that came before their day, longer hours, a station that is back, a pin let go) shows in no run of the
 * board. A plan that was made so is at rest: no late job of it has an earlier gap worth its moves, so without news nothing moves.
 */
function mendBySearch(search: Search, bySlots: boolean, other: Timeline | null): void {
  const { best, budget, standing, enough, options } = search
  const winBack = (from: Search) =>
    searchSlots(from, true, slots => {
      if (!from.enough()) slots.run(budget, 1, from.enough)
      slots.pullForward()
    })
  if (bySlots && standing) {
    winBack(search)
    // The other way may come out with fewer moves.
    if (other && !budget.over && SlotSearch.suits(other)) {
      winBack({ ...search, best: other, enough: () => asOnBoard(other, standing) })
      if (standingCost(other, standing) < standingCost(best, standing)) {
        best.copyFrom(other)
        best.measure()
      }
    }
  }
  if (!enough() && (!bySlots || search.best.p.n < LARGE)) searchOrders(search, options.aim === 'finish')
}

function searchSequence(best: Timeline, options: PlanOptions, budget: Budget, enough: () => boolean): void {
  const finishFirst = options.aim === 'finish'
  const search = new SequenceSearch(
    best.p,
    best.order.subarray(0, best.count),
    new Random(options.seed ?? 1),
    finishFirst,
  )
  const line = new Timeline(best.p)
  line.copyFrom(best)
  search.run(budget, enough, () => {
    line.setOrder(search.best)
    line.decode()
    line.measure()
    if (better(line, best, finishFirst)) {
      best.copyFrom(line)
      best.measure()
    }
  })
}

function searchGraph(best: Timeline, options: PlanOptions, budget: Budget, bound: Bound): void {
  const line = new Timeline(best.p)
  const order = best.order.slice(0, best.count)
  if (best.leftOut > 0 || order.length < best.p.n) return
  const search = new GraphSearch(best.p, order, best.choice, new Random(options.seed ?? 1))
  const take = () => {
    line.copyFrom(best)
    line.fixed.set(search.best.choice)
    line.setOrder(Array.from(order).sort((a, b) => search.best.rank[a]! - search.best.rank[b]!))
    line.decode()
    line.measure()
    if (better(line, best, true)) {
      best.copyFrom(line)
      best.measure()
    }
  }
  // Changeovers are not part of the proof, so it seldom gets there with them.
  const changes = best.p.shop.stations.some(s => s.changeovers.length > 0)
  const h = heads(best.p, new Timeline(best.p))
  const long = best.p.n <= PROOF_STEPS ? new Proof(best.p, h) : null
  const short = long && new Proof(best.p, h)
  // A proof that nothing ends earlier is quick where the plan is near the best, and endless where it is not. So it begins early and goes
  // on after more search; what it meets on the way goes into the search.
  const met = (starts: Int32Array) => search.offer(starts, take)
  for (const { until, nodes, share } of PROOFS) {
    search.run(budget, bound.finish, until, take)
    if (!long || !short) continue
    const effort = { nodes: changes ? nodes / 10 : nodes, share: budget.share + share }
    bound.finish = Math.max(
      bound.finish,
      raiseBound(long, short, bound.finish, search.bestFinish, budget, effort, met),
    )
  }
  search.run(budget, bound.finish, 1, take)
}

/** Every job has its place, and none is later than the board and its promise have it. */
function asOnBoard(line: Timeline, standing: Standing): boolean {
  const { p } = line
  if (line.leftOut > 0) return false
  for (let j = 0; j < p.jobs; j++) {
    const op = p.jobFirst[j + 1]! - 1
    if (op < p.jobFirst[j]! || line.status[op] !== PLACED || line.end[op]! <= standing.due[j]!) continue
    if (p.weight[j]! > 0 || standing.hard[j] === 1) return false
  }
  return true
}

/** Value and bound meet in all that counts. */
function provenBest(line: Timeline, bound: Bound, finishFirst: boolean): boolean {
  return (
    line.leftOut === 0 &&
    line.hardMisses <= bound.hardMisses &&
    line.weightedLate <= bound.weightedLateMinutes &&
    (finishFirst ? line.finish <= bound.finish : line.changeoverMinutes === 0 && line.finish <= bound.finish)
  )
}

function finish(
  found: Timeline,
  bound: Bound,
  finishFirst: boolean,
  reasons: Map<number, Why>,
  steps: number,
  last: boolean,
  standing: Standing | null,
): Plan {
  const line = last ? found : new Timeline(found.p)
  if (!last) line.copyFrom(found)
  line.decode()
  const dropped = line.dropped.reduce((a, b) => a + b, 0)
  settleLeftOut(line, reasons)
  line.measure()
  // A bound holds for the jobs it was reckoned with.
  const same = line.dropped.reduce((a, b) => a + b, 0) === dropped
  const valid = same ? bound : simpleBound(line.p, heads(line.p, new Timeline(line.p)), line.dropped)
  const optimal =
    line.hardMisses <= valid.hardMisses &&
    line.weightedLate <= valid.weightedLateMinutes &&
    (!finishFirst || line.finish <= valid.finish)
  return report(line, valid, optimal, reasons, standing ? movedRuns(line, standing) : 0, steps)
}

/** The best of the dispatching rules, or the one asked for. */
function firstPlan(
  p: Problem,
  line: Timeline,
  options: PlanOptions,
  finishFirst: boolean,
  budget: Budget,
): Timeline {
  const best = new Timeline(p)
  best.dropped.set(line.dropped)
  const ways: Dispatching[] = options.rule
    ? [{ rule: options.rule }]
    : [
        { rule: 'tardiness-cost' },
        { rule: 'weighted-short' },
        { rule: 'tardiness-cost', lookAhead: 4, within: 30 },
        { rule: 'due' },
        { rule: 'short' },
      ]
  let first = true
  for (const way of ways) {
    // One plan there must be; more of them only while there is time.
    if (!first && options.steps !== 0 && !budget.look()) break
    buildBy(line, way)
    if (first || better(line, best, finishFirst)) {
      best.copyFrom(line)
      best.measure()
      first = false
    }
  }
  if (first) settle(best, [])
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
