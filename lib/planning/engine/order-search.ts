import type { Budget } from './budget'
import { better } from './build'
import { NEVER, type Problem } from './problem'
import type { Random } from './random'
import { BY_CREW, BY_JOB, PLACED, Timeline } from './timeline'

/** What one unit of each part of the objective weighs while searching; better plans are told apart exactly. */
const LEFT_OUT_COST = 1e12
const HARD_COST = 1e8
const SMALL = 1e-4
const TINY = 1e-9

const MEMORY = 60
/** Steps without a better plan after which the search starts again: so many, and so many per step of the shop. */
const PATIENCE = 100
const PATIENCE_PER_STEP = 40
const MOST_PATIENCE = 4000
/** Shops up to this many steps are also searched from plans made by chance. */
const SMALL_SHOP = 40

/** The plan now on the board, and what it costs to leave it. */
export interface Standing {
  start: Int32Array
  station: Int32Array
  /** Choice and member of each step there, -1 for none, and its work. */
  choice: Int32Array
  member: Int32Array
  work: Int32Array
  end: Int32Array
  /**
   * From when a job's lateness counts: its promise or, where a plan is only mended, its end on the board if that is later. Nothing is
   * gained then by being sooner than the board says.
   */
  due: Int32Array
  /** Hard promises that the board keeps (all of them where a better plan is looked for). */
  hard: Uint8Array
  /** Weighted late minutes that a run moved by minutes counts as much as: see moveWeight. */
  moveCost: number
}

/** Runs that start at another time or station than in the standing plan. */
export function movedRuns(line: Timeline, standing: Standing): number {
  let moved = 0
  for (let op = 0; op < line.p.n; op++) if (isMoved(line, standing, op)) moved++
  return moved
}

/**
 * What a run costs that is moved by so many minutes, in moved runs: 1 for leaving its place, and 1 more for each hour, at most
 * 9. A few runs moved on by minutes are thus better than one thrown to another day.
 */
export const moveWeight = (minutes: number): number => Math.min(MOST_MOVED, 1 + Math.abs(minutes) / 60)
const MOST_MOVED = 9

/** Moved runs by their weight: see moveWeight. */
function movedWeight(line: Timeline, standing: Standing): number {
  let sum = 0
  for (let op = 0; op < line.p.n; op++)
    if (isMoved(line, standing, op)) sum += moveWeight(line.start[op]! - standing.start[op]!)
  return sum
}

const isMoved = (line: Timeline, standing: Standing, op: number): boolean =>
  standing.start[op] !== -NEVER &&
  line.status[op] === PLACED &&
  (line.start[op] !== standing.start[op] || line.p.choiceStation[line.choice[op]!] !== standing.station[op])

/** What a plan costs beside the one on the board: places missing, lateness that counts, changeovers, and what moved. */
export function standingCost(line: Timeline, standing: Standing): number {
  const { p } = line
  line.measure()
  let cost =
    line.leftOut * LEFT_OUT_COST +
    line.changeoverMinutes * SMALL +
    movedWeight(line, standing) * standing.moveCost
  for (let j = 0; j < p.jobs; j++) {
    const op = p.jobFirst[j + 1]! - 1
    if (op < p.jobFirst[j]! || line.status[op] !== PLACED) continue
    const over = line.end[op]! - standing.due[j]!
    if (over > 0) cost += over * p.weight[j]! + (standing.hard[j] === 1 ? HARD_COST : 0)
  }
  return cost
}

/**
 * Search over orders of steps, for any shop: moves on the chain of runs that makes a promise late (the disjunctive graph's critical
 * path), other stations, like states together, jobs taken out and put in again at their best place. Late acceptance
 * (Burke and Bykov 2017) decides; from time to time it starts again at the best.
 */
export class OrderSearch {
  private readonly p: Problem
  private at: Timeline
  private trial: Timeline
  readonly best: Timeline
  private readonly memory = new Float64Array(MEMORY)
  private readonly movable: Int32Array
  private cost = 0
  private from = 0
  private to = 0
  private readonly due: Int32Array
  private readonly hard: Uint8Array
  private readonly late: Int32Array
  private lateCount = 0

  constructor(
    first: Timeline,
    private readonly random: Random,
    private readonly finishFirst: boolean,
    private readonly standing: Standing | null,
    private readonly onBetter: () => void,
  ) {
    this.p = first.p
    this.due = standing?.due ?? first.p.due
    this.hard = standing?.hard ?? first.p.hard
    this.at = new Timeline(first.p)
    this.trial = new Timeline(first.p)
    this.best = new Timeline(first.p)
    this.late = new Int32Array(first.p.jobs)
    this.best.copyFrom(first)
    this.best.measure()
    const movable: number[] = []
    for (let i = 0; i < first.count; i++)
      if (first.dropped[first.p.job[first.order[i]!]!] === 0) movable.push(first.order[i]!)
    this.movable = Int32Array.from(movable)
  }

  /** Goes on until the budget is spent or `enough` holds. */
  run(budget: Budget, enough: () => boolean): void {
    if (this.movable.length < 2) return
    this.restart(0)
    let count = 0
    let since = 0
    let restarts = 0
    // In a small shop single moves and new starts come further.
    const reinsert = this.movable.length <= SMALL_SHOP ? 0.05 : 0.4
    const patience = Math.min(MOST_PATIENCE, PATIENCE + PATIENCE_PER_STEP * this.movable.length)
    while (!budget.over && !enough()) {
      const before = count
      if (this.random.next() < reinsert) count += this.reinsertJob(budget)
      else {
        this.trial.copyFrom(this.at)
        this.from = this.at.count
        this.to = 0
        if (this.move()) {
          this.trial.decode(this.from, this.to)
          this.accept(this.trial, count)
        }
        count++
        budget.spend()
      }
      if (this.improved) {
        this.improved = false
        since = 0
        this.onBetter()
      } else since += count - before
      if (since > patience) {
        since = 0
        restarts++
        if (restarts % 2 === 0 && this.movable.length <= SMALL_SHOP && !this.standing) this.startByChance()
        else this.restart(restarts)
      } else if (count % 256 < count - before) this.tidy()
    }
  }

  private improved = false

  private costOf(line: Timeline): number {
    if (this.standing) return standingCost(line, this.standing)
    line.measure()
    return (
      line.leftOut * LEFT_OUT_COST +
      line.hardMisses * HARD_COST +
      line.weightedLate +
      (this.finishFirst
        ? (line.finish - this.p.now) * 1 + line.changeoverMinutes * SMALL
        : line.changeoverMinutes * SMALL + (line.finish - this.p.now) * TINY)
    )
  }

  private restart(times: number): void {
    this.at.copyFrom(this.best)
    this.at.decode()
    this.cost = this.costOf(this.at)
    this.memory.fill(this.cost * (times === 0 ? 1 : 1.0005) + (times === 0 ? 0 : 2))
    if (times > 0) {
      const shakes = 2 + (times % 6)
      for (let i = 0; i < shakes; i++) {
        this.from = this.at.count
        this.to = 0
        this.trial.copyFrom(this.at)
        if (this.move()) {
          this.trial.decode(this.from, this.to)
          this.swap()
        }
      }
      this.cost = this.costOf(this.at)
      this.memory.fill(Math.max(this.cost, this.memory[0]!))
    }
    this.listLate()
  }

  private startByChance(): void {
    const { p, at, random } = this
    const key = new Float64Array(p.n)
    const list = Array.from(this.movable)
    for (const op of list) {
      key[op] = random.next()
      at.fixed[op] = -1
      const count = p.choiceFirst[op + 1]! - p.choiceFirst[op]!
      if (count > 1 && random.next() < 0.5) at.fixed[op] = p.choiceFirst[op]! + random.below(count)
    }
    for (let op = 1; op < p.n; op++)
      if (p.job[op] === p.job[op - 1]) key[op] = Math.max(key[op]!, key[op - 1]!)
    list.sort((a, b) => key[a]! - key[b]! || a - b)
    at.notBefore.fill(-NEVER)
    at.setOrder(list)
    at.decode()
    this.cost = this.costOf(at)
    this.keepIfBest(this.cost)
    this.memory.fill(this.cost)
    this.listLate()
  }

  private swap(): void {
    const other = this.at
    this.at = this.trial
    this.trial = other
  }

  private accept(line: Timeline, count: number): boolean {
    const cost = this.costOf(line)
    const slot = count % MEMORY
    const taken = cost <= this.cost || cost <= this.memory[slot]!
    if (taken) {
      const gained = cost < this.cost
      if (line === this.trial) this.swap()
      this.cost = cost
      if (gained) this.keepIfBest(cost)
      this.listLate()
    }
    if (this.cost < this.memory[slot]!) this.memory[slot] = this.cost
    return taken
  }

  private bestCost = Number.POSITIVE_INFINITY

  private keepIfBest(cost: number): void {
    if (this.bestCost === Number.POSITIVE_INFINITY) this.bestCost = this.costOf(this.best)
    const isBetter = this.standing
      ? cost < this.bestCost - 1e-12
      : better(this.at, this.best, this.finishFirst)
    if (!isBetter) return
    this.best.copyFrom(this.at)
    this.best.measure()
    this.bestCost = cost
    this.improved = true
  }

  /** Orders the present plan by work and drops delays that gaps once needed: never worse, often better. */
  private tidy(): void {
    const { trial } = this
    trial.copyFrom(this.at)
    trial.sortByWork()
    if (!trial.holds) trial.notBefore.fill(-NEVER)
    trial.decode()
    const cost = this.costOf(trial)
    if (cost <= this.cost) {
      this.swap()
      const gained = cost < this.cost
      this.cost = cost
      if (gained) this.keepIfBest(cost)
      this.listLate()
    }
  }

  private listLate(): void {
    const { p, at } = this
    let n = 0
    for (let j = 0; j < p.jobs; j++) {
      const op = p.jobFirst[j + 1]! - 1
      if (
        op >= p.jobFirst[j]! &&
        // Of a dropped job only kept runs stand there: nothing of it is in the order.
        at.dropped[j] === 0 &&
        at.status[op] === PLACED &&
        at.end[op]! > this.due[j]! &&
        (p.weight[j]! > 0 || this.hard[j] === 1)
      ) {
        this.late[n++] = j
      }
    }
    this.lateCount = n
  }

  /** Lets a late job, or any step, go earlier than it stood. */
  private release(): boolean {
    const { p, trial, random } = this
    const j = this.lateCount > 0 ? this.lateJob() : p.job[this.anyStep()]!
    const every = random.next() < 0.5
    for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) {
      if (p.keptOf[op]! >= 0 || trial.notBefore[op] === -NEVER || (!every && random.next() < 0.5)) continue
      trial.notBefore[op] = -NEVER
      trial.wanted[op] = -1
      this.touched(trial.position[op]!, trial.position[op]!)
      // Earlier in the order too, as far as its release or the step before it allows.
      this.moveTo(op, trial.position[op]! - random.below(60))
    }
    return this.from < this.at.count
  }

  private move(): boolean {
    const r = this.random.next()
    if (this.standing && this.random.next() < 0.4) return this.release()
    if (this.lateCount > 0 || this.finishFirst) {
      if (r < 0.5) return this.critical()
      if (r < 0.62) return this.shiftJob()
    } else if (r < 0.25) return this.critical()
    if (this.p.flexible && r < 0.72) return this.otherChoice()
    if (r < 0.86) return this.likeStates()
    return this.shift()
  }

  /** A late job: two drawn, the costlier taken. */
  private lateJob(): number {
    const { p, at, random } = this
    if (this.lateCount === 0) return -1
    const cost = (j: number) => {
      const over = at.end[p.jobFirst[j + 1]! - 1]! - this.due[j]!
      return over * p.weight[j]! + (this.hard[j] === 1 ? HARD_COST : 0)
    }
    const a = this.late[random.below(this.lateCount)]!
    const b = this.late[random.below(this.lateCount)]!
    return cost(a) >= cost(b) ? a : b
  }

  private readonly chain: number[] = []
  private readonly blockers: number[] = []

  /** Walks back from the end of a late job (or the last run) and lets a run on the way go before what it waited for. */
  private critical(): boolean {
    const { p, at, random, chain, blockers } = this
    const j = this.lateJob()
    let op = -1
    if (j >= 0) op = p.jobFirst[j + 1]! - 1
    else if (this.finishFirst) {
      for (const o of this.movable)
        if (at.status[o] === PLACED && (op < 0 || at.end[o]! > at.end[op]!)) op = o
    } else op = this.movable[random.below(this.movable.length)]!
    chain.length = 0
    blockers.length = 0
    for (let k = 0; op >= 0 && k < 400; k++) {
      if (at.status[op] !== PLACED) break
      const waited = at.waitedFor[op]!
      if (waited === BY_JOB) {
        op = op > p.jobFirst[p.job[op]!]! ? op - 1 : -1
        continue
      }
      const blocker = waited === BY_CREW ? at.crewBefore[op]! : at.stationBefore[op]!
      if (blocker >= 0 && p.keptOf[blocker]! < 0 && p.keptOf[op]! < 0) {
        chain.push(op)
        blockers.push(blocker)
      }
      op = blocker
    }
    if (chain.length === 0) return false
    // Near the end of the chain the gain is surest.
    const k = Math.floor(chain.length * random.next() * random.next())
    const moved = chain[k]!
    let before = blockers[k]!
    // Sometimes further ahead: before the blocker's own.
    while (
      random.next() < 0.45 &&
      at.stationBefore[before]! >= 0 &&
      p.keptOf[at.stationBefore[before]!]! < 0
    ) {
      before = at.stationBefore[before]!
    }
    if (random.next() < 0.35) {
      const target = this.trial.position[moved]!
      return this.moveTo(before, target)
    }
    this.pullBefore(moved, this.trial.position[before]!)
    return this.from < this.at.count
  }

  /** Moves a step to a position at most, and the steps of its job that must go ahead of it. */
  private pullBefore(op: number, target: number): void {
    const { p } = this
    const first = p.jobFirst[p.job[op]!]!
    let at = target
    for (let o = op; o >= first; o--) {
      // Kept steps are not in the order; those ahead of them are.
      if (p.keptOf[o]! >= 0) continue
      const here = this.trial.position[o]!
      if (here <= at && o !== op) break
      if (here > at) this.relocate(o, at)
      // The step before it must stand ahead of where this one now is.
      at = Math.min(at, this.trial.position[o]!)
    }
  }

  /** Moves a step within what the order of its job allows. */
  private moveTo(op: number, target: number): boolean {
    const { p, trial } = this
    const j = p.job[op]!
    let low = 0
    let high = trial.count - 1
    for (let o = op - 1; o >= p.jobFirst[j]!; o--) {
      if (p.keptOf[o]! < 0) {
        low = trial.position[o]! + 1
        break
      }
    }
    for (let o = op + 1; o < p.jobFirst[j + 1]!; o++) {
      if (p.keptOf[o]! < 0) {
        high = trial.position[o]! - 1
        break
      }
    }
    const to = Math.max(low, Math.min(high, target))
    if (to === trial.position[op]) return false
    this.relocate(op, to)
    return true
  }

  private relocate(op: number, to: number): void {
    const { trial } = this
    const { order, position } = trial
    const here = position[op]!
    if (here === to) return
    if (here > to) {
      order.copyWithin(to + 1, to, here)
      order[to] = op
      for (let k = to; k <= here; k++) position[order[k]!] = k
    } else {
      order.copyWithin(here, here + 1, to + 1)
      order[to] = op
      for (let k = here; k <= to; k++) position[order[k]!] = k
    }
    this.touched(Math.min(here, to), Math.max(here, to))
    trial.notBefore[op] = -NEVER
    if (trial.strict) trial.wanted[op] = -1
  }

  private touched(a: number, b: number): void {
    if (a < this.from) this.from = a
    if (b > this.to) this.to = b
  }

  private anyStep(): number {
    return this.movable[this.random.below(this.movable.length)]!
  }

  private shift(): boolean {
    const { random } = this
    const op = this.anyStep()
    const reach = 1 + Math.floor(random.next() * random.next() * Math.min(80, this.at.count))
    return this.moveTo(op, this.trial.position[op]! + (random.next() < 0.5 ? -reach : reach))
  }

  private shiftJob(): boolean {
    const { p, random, trial } = this
    const j = this.lateCount > 0 && random.next() < 0.7 ? this.lateJob() : p.job[this.anyStep()]!
    const reach = 1 + Math.floor(random.next() * random.next() * Math.min(120, this.at.count))
    const earlier = random.next() < 0.7
    let any = false
    const first = p.jobFirst[j]!
    const last = p.jobFirst[j + 1]! - 1
    for (let k = first; k <= last; k++) {
      const op = earlier ? k : last - (k - first)
      if (p.keptOf[op]! < 0) {
        any = this.moveTo(op, trial.position[op]! + (earlier ? -reach : reach)) || any
      }
    }
    return any
  }

  private otherChoice(): boolean {
    const { p, random, trial } = this
    for (let tries = 0; tries < 8; tries++) {
      let op = this.anyStep()
      if (this.lateCount > 0 && random.next() < 0.5) {
        const j = this.lateJob()
        op = p.jobFirst[j]! + random.below(p.jobFirst[j + 1]! - p.jobFirst[j]!)
        if (p.keptOf[op]! >= 0) continue
      }
      const first = p.choiceFirst[op]!
      const count = p.choiceFirst[op + 1]! - first
      if (count < 2) continue
      // Bound to another station, or free again to take whichever ends first.
      const pick = random.below(count + 1)
      const fixed = pick === count ? -1 : first + pick
      if (fixed === trial.fixed[op]) continue
      trial.fixed[op] = fixed
      trial.notBefore[op] = -NEVER
      this.touched(trial.position[op]!, trial.position[op]!)
      return true
    }
    return false
  }

  /** Puts a step next to one that needs the same state on the same station. */
  private likeStates(): boolean {
    const { p, at, random, trial } = this
    for (let tries = 0; tries < 12; tries++) {
      const a = this.anyStep()
      if (at.status[a] !== PLACED || at.changeover[a] === 0) continue
      for (let more = 0; more < 10; more++) {
        const b = this.anyStep()
        if (a === b || p.state[a] !== p.state[b] || at.status[b] !== PLACED) continue
        const sa = p.choiceStation[at.choice[a]!]!
        const sb = p.choiceStation[at.choice[b]!]!
        if (sa !== sb) {
          let choice = -1
          for (let c = p.choiceFirst[a]!; c < p.choiceFirst[a + 1]!; c++)
            if (p.choiceStation[c] === sb) choice = c
          if (choice < 0) continue
          trial.fixed[a] = choice
          this.touched(trial.position[a]!, trial.position[a]!)
        }
        const target = trial.position[b]! + (random.next() < 0.5 ? 0 : 1)
        const here = trial.position[a]!
        return this.moveTo(a, target > here ? target - 1 : target) || sa !== sb
      }
    }
    return false
  }

  /** Takes a job out and puts it in at several times; the best is weighed. Returns the candidates spent. */
  private reinsertJob(budget: Budget): number {
    const { p, random } = this
    const j = this.lateCount > 0 && random.next() < 0.75 ? this.lateJob() : p.job[this.anyStep()]!
    const first = p.jobFirst[j]!
    const last = p.jobFirst[j + 1]! - 1
    if (p.keptOf[first]! >= 0) return 0
    const { at } = this
    const count = at.count
    const here = at.position[first]!
    const places = 6
    let bestCost = Number.POSITIVE_INFINITY
    let bestPlace = -1
    let spent = 0
    const attempt = (place: number) => {
      this.trial.copyFrom(at)
      this.from = count
      this.to = 0
      const shift = place - here
      for (let k = first; k <= last; k++) {
        const op = shift < 0 ? k : last - (k - first)
        if (p.keptOf[op]! < 0) this.moveTo(op, this.trial.position[op]! + shift)
      }
      if (this.from === count) return false
      this.trial.decode(this.from, this.to)
      return true
    }
    for (let k = 0; k < places && !budget.over; k++) {
      const place = Math.floor(((k + random.next()) / places) * Math.min(count, here * 1.3 + 20))
      if (!attempt(Math.min(count - 1, place))) continue
      spent++
      budget.spend()
      const cost = this.costOf(this.trial)
      if (cost < bestCost) {
        bestCost = cost
        bestPlace = Math.min(count - 1, place)
      }
    }
    if (bestPlace >= 0 && attempt(bestPlace)) this.accept(this.trial, random.below(MEMORY))
    return spent
  }
}
