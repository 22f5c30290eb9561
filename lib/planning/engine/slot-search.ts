import type { Budget } from './budget'
import { better } from './build'
import { moveWeight, type Standing, standingCost } from './order-search'
import { NEVER, type Problem } from './problem'
import type { Random } from './random'
import { Slots } from './slots'
import { Timeline } from './timeline'

const HARD_COST = 1e8
const SMALL = 1e-4
/** Pull towards the left that decides only among equals. */
const LEFT = 1e-7

const MEMORY = 300
/** How a place is chosen where nothing is left to chance: see Slots.thrift. */
const THRIFT = 0.2
/** Most times that all late jobs are looked at for an earlier place; some six are enough as a rule. */
const PASSES = 40
/** Candidates between two times that the whole plan is moved together. */
const TIDY = 300
/** Most jobs taken out at once. */
const MOST = 9
/** Runs of a station that are looked at for one that could give way. */
const NEAR = 40
/** Candidates without a better plan, per job, after which the search goes back to the best. */
const PATIENCE = 40

/** What a plan is worth in the search, and where its steps stand. */
interface Snapshot {
  cost: number
  choice: Int32Array
  member: Int32Array
  work: Int32Array
  order: number[] | null
}

/**
 * Destroy and rebuild (Shaw 1998; ruin and recreate, Schrimpf and others 2000) for shops of any kind: a late job and some of those
 * in its way are taken out, and put into the gaps one by one, the late one first. Late acceptance decides (Burke and Bykov 2017). What
 * was not taken out stays where it is, so a candidate costs what its own jobs cost; from time to time the whole plan moves together.
 */
export class SlotSearch {
  private readonly p: Problem
  private readonly slots: Slots
  private readonly base: Timeline
  readonly best: Timeline
  private readonly due: Int32Array
  private readonly hard: Uint8Array
  private readonly jobCost: Float64Array
  /** What each step costs that stands elsewhere than on the board. */
  private readonly isMoved: Float64Array
  private readonly memory = new Float64Array(MEMORY)
  private readonly movable: number[] = []
  private readonly canMove: Uint8Array
  private readonly late: number[] = []
  private readonly snapshot: Snapshot
  private sum = 0
  private moved = 0
  private bestCost: number
  private dirty = false

  constructor(
    first: Timeline,
    private readonly random: Random,
    private readonly standing: Standing | null,
    /** Only lateness beyond the board is mended, and nothing else looked at. */
    private readonly mends: boolean,
    private readonly onBetter: () => void,
  ) {
    const { p } = first
    this.p = p
    this.due = standing?.due ?? p.due
    this.hard = standing?.hard ?? p.hard
    this.base = new Timeline(p)
    this.base.copyFrom(first)
    this.best = new Timeline(p)
    this.best.copyFrom(first)
    this.best.measure()
    this.jobCost = new Float64Array(p.jobs)
    this.isMoved = new Float64Array(p.n)
    this.canMove = new Uint8Array(p.jobs)
    for (let j = 0; j < p.jobs; j++) {
      if (first.dropped[j] === 1 || !Slots.movable(p, j)) continue
      this.movable.push(j)
      this.canMove[j] = 1
    }
    this.slots = new Slots(p, this.base, op => this.touched(op))
    this.load()
    this.bestCost = this.cost()
    this.snapshot = {
      cost: this.bestCost,
      choice: new Int32Array(p.n),
      member: new Int32Array(p.n),
      work: new Int32Array(p.n),
      order: null,
    }
    this.keep()
    this.dirty = false
  }

  static suits(line: Timeline): boolean {
    return line.leftOut === 0 && line.p.jobs > 1 && line.p.n > line.p.kept.length && Slots.fits(line.p, line)
  }

  private load(): void {
    const { p } = this
    this.slots.load()
    this.sum = 0
    this.moved = 0
    for (let j = 0; j < p.jobs; j++) {
      this.jobCost[j] = this.weigh(j)
      this.sum += this.jobCost[j]!
    }
    if (this.standing)
      for (let op = 0; op < p.n; op++) {
        this.isMoved[op] = this.movedNow(op)
        this.moved += this.isMoved[op]!
      }
  }

  private weigh(j: number): number {
    const { p, slots } = this
    const op = p.jobFirst[j + 1]! - 1
    if (op < p.jobFirst[j]! || slots.placed[op] === 0) return 0
    const end = slots.end[op]!
    const over = end - this.due[j]!
    return (over > 0 ? over * p.weight[j]! + (this.hard[j] === 1 ? HARD_COST : 0) : 0) + (end - p.now) * LEFT
  }

  private movedNow(op: number): number {
    const { standing, slots, p } = this
    if (!standing || slots.placed[op] === 0 || standing.start[op] === -NEVER) return 0
    const by = slots.start[op]! - standing.start[op]!
    return by !== 0 || p.choiceStation[slots.choice[op]!] !== standing.station[op] ? moveWeight(by) : 0
  }

  private touched(op: number): void {
    const { p } = this
    const j = p.job[op]!
    if (op + 1 === p.jobFirst[j + 1]!) {
      const cost = this.weigh(j)
      this.sum += cost - this.jobCost[j]!
      this.jobCost[j] = cost
    }
    if (this.standing) {
      const now = this.movedNow(op)
      this.moved += now - this.isMoved[op]!
      this.isMoved[op] = now
    }
  }

  private cost(): number {
    return (
      this.sum + this.slots.changeovers * SMALL + (this.standing ? this.moved * this.standing.moveCost : 0)
    )
  }

  /**
   * Each late job, the costliest first, goes where it ends sooner while all others stay; taken where that saves more weighted late minutes
   * than the runs it moves cost. What a plan leaves behind has no such move any more. Returns whether one was found.
   */
  pullForward(): boolean {
    const { slots, standing } = this
    slots.thrift = THRIFT
    let any = false
    for (let pass = 0; pass < PASSES; pass++) {
      const late = this.movable.filter(j => this.lateness(j) > 0)
      const was = new Map(late.map(j => [j, this.lateness(j)]))
      late.sort((a, b) => was.get(b)! - was.get(a)! || a - b)
      let more = false
      for (const j of late) {
        const { moved } = this
        const jobs = [j]
        slots.mark()
        const fits = slots.takeOut(jobs) && jobs.length === 1 && slots.putIn(j)
        const price = standing ? standing.moveCost * (this.moved - moved) : 0
        if (!fits || was.get(j)! - this.lateness(j) <= price + 1e-6) slots.undo()
        else {
          more = true
          if (this.mends) this.stand(j)
        }
      }
      if (!more) break
      any = true
    }
    if (!any) return false
    this.bestCost = this.cost()
    this.keep()
    this.settle()
    return true
  }

  /** Weighted minutes after the promise, whatever the board says. */
  private lateness(j: number): number {
    const { p, slots } = this
    const op = p.jobFirst[j + 1]! - 1
    const over = slots.placed[op] === 1 ? slots.end[op]! - p.due[j]! : 0
    return over > 0 ? over * p.weight[j]! + (p.hard[j] === 1 ? HARD_COST : 0) : 0
  }

  /** A job stands from now on where it is. */
  private stand(j: number): void {
    const { p, slots } = this
    const standing = this.standing!
    for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) {
      standing.start[op] = slots.start[op]!
      standing.station[op] = p.choiceStation[slots.choice[op]!]!
      this.moved -= this.isMoved[op]!
      this.isMoved[op] = 0
    }
    const end = slots.end[p.jobFirst[j + 1]! - 1]!
    standing.due[j] = Math.max(p.due[j]!, end)
    this.sum -= this.jobCost[j]!
    this.jobCost[j] = this.weigh(j)
    this.sum += this.jobCost[j]!
  }

  /**
   * Wins back what a change made later than the board, job by job, the costliest first: the job goes in at once and one that was in its
   * way into the gaps, or the next few on the station move on behind it in their order. The best such exchange is taken while one gains.
   */
  private winBack(budget: Budget): void {
    const { slots, late } = this
    const tried = new Set<number>()
    const jobs: number[] = []
    slots.thrift = THRIFT
    for (;;) {
      this.listLate()
      let focus = -1
      for (const j of late)
        if (!tried.has(j) && (focus < 0 || this.jobCost[j]! > this.jobCost[focus]!)) focus = j
      if (focus < 0 || budget.over) return
      const groups = this.exchanges(focus)
      let best = this.cost() - 1e-6
      let taken: number[] | null = null
      for (const group of groups) {
        if (!budget.spend(0.25)) break
        slots.mark()
        jobs.length = 0
        jobs.push(...group)
        if (this.exchange(jobs) && this.cost() < best) {
          best = this.cost()
          taken = group
        }
        slots.undo()
      }
      if (taken) {
        slots.mark()
        this.exchange([...taken])
        slots.mark()
        tried.clear()
      } else tried.add(focus)
    }
  }

  private exchange(jobs: number[]): boolean {
    const { slots } = this
    if (!slots.takeOut(jobs)) return false
    for (const [i, j] of jobs.entries()) if (!slots.putIn(j, i > 0 ? this.standing : null)) return false
    return true
  }

  /** Groups of jobs that may be exchanged for the sake of the first of each: one that stands in its way, or the next ones of a station. */
  private exchanges(focus: number): number[][] {
    const { p, slots, canMove } = this
    const groups: number[][] = []
    const single = new Set<number>()
    let ready = Math.max(p.now, p.release[focus]!)
    for (let op = p.jobFirst[focus]!; op < p.jobFirst[focus + 1]!; op++) {
      if (p.keptOf[op]! < 0 && slots.work[op]! > ready) {
        for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++) {
          const next: number[] = []
          for (const other of slots.on[p.choiceStation[c]!]!) {
            const j = p.job[other]!
            if (slots.end[other]! <= ready || canMove[j] === 0 || j === focus || next.includes(j)) continue
            if (slots.start[other]! >= slots.work[op]! || next.length >= NEAR) break
            next.push(j)
            single.add(j)
            if (next.length <= MOST) groups.push([focus, ...next])
          }
        }
      }
      ready += p.setup[p.choiceFirst[op]!]! + p.run[p.choiceFirst[op]!]! + p.gapMin[op]!
    }
    const patient = [...single].sort((a, b) => this.patience(b) - this.patience(a) || a - b)
    for (const j of patient.slice(0, NEAR)) groups.push([focus, j])
    return groups
  }

  /** Goes on until the budget is spent to a share of it, or `enough` holds. */
  run(budget: Budget, share: number, enough: () => boolean): void {
    const { random, slots, memory, late } = this
    if (this.movable.length < (this.mends ? 1 : 2)) return
    let cost = this.cost()
    memory.fill(cost)
    if (this.mends) {
      this.winBack(budget)
      cost = this.cost()
      memory.fill(cost)
      if (cost < this.bestCost - 1e-7) {
        this.bestCost = cost
        this.keep()
      }
    }
    this.listLate()
    let since = 0
    const patience = PATIENCE * this.movable.length + 2 * MEMORY
    const jobs: number[] = []
    for (let count = 1; budget.spend(0.25); count++) {
      if (count % 64 === 0 && (budget.share >= share || enough())) break
      if (this.mends && late.length === 0) {
        // As good as the board; if dearer in moves than the best, it was only on the way.
        if (cost <= this.bestCost + 1e-7) break
        this.back()
        cost = this.cost()
        memory.fill(cost)
      }
      slots.mark()
      jobs.length = 0
      slots.thrift = random.next() < 0.3 ? 1.5 * random.next() : 0.2
      const focus = this.pick(jobs)
      let taken = false
      if (slots.takeOut(jobs) && this.rebuild(jobs, focus)) {
        const next = this.cost()
        const slot = count % MEMORY
        taken = next <= cost + 1e-9 || next <= memory[slot]!
        if (taken) cost = next
        if (cost < memory[slot]!) memory[slot] = cost
      }
      if (!taken) slots.undo()
      else if (cost < this.bestCost - 1e-7) {
        this.bestCost = cost
        this.keep()
        since = 0
      }
      since++
      if (taken || count % 32 === 0) this.listLate()
      if (count % TIDY === 0) {
        cost = this.tidy(cost)
        if (this.dirty) {
          this.settle()
          this.onBetter()
        }
        if (since > patience) {
          since = 0
          this.back()
          cost = this.cost()
          memory.fill(cost + Math.abs(cost) * 0.002 * random.next() + 1)
        }
      }
    }
    this.settle()
  }

  private listLate(): void {
    const { p, late, slots } = this
    late.length = 0
    for (const j of this.movable) {
      const op = p.jobFirst[j + 1]! - 1
      if (slots.end[op]! > this.due[j]! && (p.weight[j]! > 0 || this.hard[j] === 1)) late.push(j)
    }
  }

  /** Draws the jobs to take out; the first must go in first (-1: none in particular). */
  private pick(jobs: number[]): number {
    const { random, late, movable, p, slots } = this
    const r = random.next()
    if (late.length > 0 && (this.mends || r < 0.65)) {
      let focus = late[random.below(late.length)]!
      for (let k = 0; k < 2; k++) {
        const other = late[random.below(late.length)]!
        if (this.jobCost[other]! > this.jobCost[focus]!) focus = other
      }
      jobs.push(focus)
      this.blockers(focus, 1 + random.below(MOST - 1), jobs)
      return focus
    }
    if (r < 0.85) {
      // Neighbours on one station.
      const s = random.below(p.stations)
      const list = slots.on[s]!
      if (list.length > 0) {
        const at = random.below(list.length)
        const width = 2 + random.below(MOST - 2)
        for (let k = at; k < list.length && jobs.length < width; k++) {
          const j = p.job[list[k]!]!
          if (this.canMove[j] === 1 && !jobs.includes(j)) jobs.push(j)
        }
      }
      if (jobs.length > 0) return -1
    }
    const count = 1 + random.below(3)
    for (let k = 0; k < count; k++) {
      const j = movable[random.below(movable.length)]!
      if (!jobs.includes(j)) jobs.push(j)
    }
    return -1
  }

  private readonly ahead: number[] = []

  /** Jobs that stand where the steps of a late job would go: on its stations or its member's, before it and after it could begin. */
  private blockers(focus: number, most: number, jobs: number[]): void {
    const { p, slots, random, ahead } = this
    ahead.length = 0
    let ready = Math.max(p.now, p.release[focus]!)
    const near = random.next() < 0.5
    for (let op = p.jobFirst[focus]!; op < p.jobFirst[focus + 1]!; op++) {
      const work = slots.work[op]!
      if (p.keptOf[op]! < 0 && work > ready) {
        for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++) {
          const list = slots.on[p.choiceStation[c]!]!
          let low = 0
          let high = list.length
          while (low < high) {
            const mid = (low + high) >> 1
            if (slots.start[list[mid]!]! < work) low = mid + 1
            else high = mid
          }
          let seen = 0
          for (let k = low - 1; k >= 0 && slots.end[list[k]!]! > ready; k--) {
            const j = p.job[list[k]!]!
            if (this.canMove[j] === 1 && j !== focus) ahead.push(j)
            if (near && ++seen > 6) break
          }
        }
      }
      const least = p.setup[p.choiceFirst[op]!]! + p.run[p.choiceFirst[op]!]!
      ready = near ? slots.end[op]! + p.gapMin[op]! : ready + least + p.gapMin[op]!
    }
    for (let k = 0; k < 3 * most && jobs.length <= most && ahead.length > 0; k++) {
      let j = ahead[random.below(ahead.length)]!
      const other = ahead[random.below(ahead.length)]!
      // What costs less to be late is the better one to wait.
      if (this.patience(other) > this.patience(j)) j = other
      if (!jobs.includes(j)) jobs.push(j)
    }
  }

  /** Minutes that a job could wait, counted dearer by weight. */
  private patience(j: number): number {
    const { p, slots } = this
    if (this.due[j]! >= NEVER) return 1e9
    const slack = this.due[j]! - slots.end[p.jobFirst[j + 1]! - 1]!
    return slack >= 0 ? slack : slack * p.weight[j]! - (this.hard[j] === 1 ? 1e6 : 0)
  }

  private readonly key = new Map<number, number>()

  private rebuild(jobs: number[], focus: number): boolean {
    const { p, random, slots, key } = this
    const mode = random.next()
    for (const j of jobs) {
      const due = Math.min(p.due[j]!, p.now + 500_000)
      const weight = Math.max(0.2, p.weight[j]!) * (p.hard[j] === 1 ? 8 : 1)
      let rest = 0
      for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++)
        if (slots.placed[op] === 0) rest += p.setup[p.choiceFirst[op]!]! + p.run[p.choiceFirst[op]!]!
      let k: number
      if (mode < 0.35) k = due - rest + random.next() * 600
      else if (mode < 0.7) k = (rest / weight) * (0.5 + random.next())
      else k = random.next()
      key.set(j, j === focus ? Number.NEGATIVE_INFINITY : k)
    }
    jobs.sort((a, b) => key.get(a)! - key.get(b)! || a - b)
    for (const j of jobs) {
      // What was not taken out for its own sake stays where it stood, if it can.
      const stay = this.standing && j !== focus && mode < 0.8 ? this.standing : null
      if (!slots.putIn(j, stay)) return false
    }
    return true
  }

  /** Remembers the present plan as the best. */
  private keep(): void {
    const { snapshot, slots } = this
    snapshot.cost = this.bestCost
    snapshot.choice.set(slots.choice)
    snapshot.member.set(slots.member)
    snapshot.work.set(slots.work)
    snapshot.order = slots.order()
    this.dirty = true
  }

  /** The present plan moved together: every run as early as the order allows. Returns its cost. */
  private tidy(cost: number): number {
    if (this.standing) return cost
    const { base, slots } = this
    this.decode(base, slots.choice, slots.member, slots.order(), null)
    if (base.leftOut > 0) return cost
    const { slots: s } = this
    s.load()
    this.load()
    const now = this.cost()
    if (now < this.bestCost - 1e-7) {
      this.bestCost = now
      this.keep()
    }
    return now
  }

  private decode(
    line: Timeline,
    choice: Int32Array,
    member: Int32Array,
    order: number[],
    work: Int32Array | null,
  ): void {
    const { p } = this
    line.strict = true
    line.fixed.set(choice)
    line.wanted.set(member)
    line.notBefore.fill(-NEVER)
    line.holds = false
    if (work) {
      // To the minute where it stood.
      line.holds = this.standing !== null
      for (const op of order) if (this.standing || p.gapMax[op]! < NEVER) line.notBefore[op] = work[op]!
    }
    line.setOrder(order)
    line.decode()
    line.measure()
  }

  /** Puts the remembered plan into `best`, moved together where that is better. */
  private settle(): void {
    if (!this.dirty) return
    this.dirty = false
    const { snapshot } = this
    const line = new Timeline(this.p)
    line.dropped.set(this.best.dropped)
    this.decode(line, snapshot.choice, snapshot.member, snapshot.order!, snapshot.work)
    const { standing } = this
    const gained = standing
      ? standingCost(line, standing) < standingCost(this.best, standing) - 1e-9
      : better(line, this.best, false)
    if (gained) this.best.copyFrom(line)
    this.best.measure()
  }

  /** Goes back to the best plan. */
  private back(): void {
    const { snapshot, base } = this
    this.decode(base, snapshot.choice, snapshot.member, snapshot.order!, snapshot.work)
    this.load()
    this.listLate()
  }
}
