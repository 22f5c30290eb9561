import type { Budget } from './budget'
import { better } from './build'
import { NEVER, type Problem } from './problem'
import { PLACED, Timeline } from './timeline'

/** Shops up to this many steps are small enough to try everything. */
const MOST_STEPS = 8
/** Share of the budget after which trying everything is given up. */
const SHARE = 0.5
/** What a part of a plan costs beside a whole candidate. */
const NODE = 0.25

/**
 * Tries every order of a few steps, with every station and member, by depth first and bound. Orders are listed by the start of work:
 * every plan comes out of such an order with no run later (see `Timeline`), so that nothing better is passed over.
 */
export class ExactSearch {
  private readonly p: Problem
  private readonly line: Timeline
  private readonly order: number[] = []
  private readonly next: Int32Array
  /** Least minutes from the begin of a step's work to the end of its job. */
  private readonly rest: Int32Array
  private complete = true

  /** `best` is replaced by what is better. */
  constructor(
    private readonly best: Timeline,
    private readonly finishFirst: boolean,
  ) {
    const { p } = best
    this.p = p
    this.line = new Timeline(p)
    this.line.dropped.set(best.dropped)
    this.line.strict = true
    this.next = p.jobFirst.slice(0, p.jobs)
    this.rest = new Int32Array(p.n)
    for (let op = p.n - 1; op >= 0; op--) {
      let least = NEVER
      for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++)
        least = Math.min(least, p.setup[c]! + p.run[c]!)
      const last = op + 1 === p.jobFirst[p.job[op]! + 1]!
      this.rest[op] = least + (last ? 0 : p.gapMin[op]! + this.rest[op + 1]!)
    }
  }

  /** Longest gaps send a search back to steps already placed, and kept runs stand in no order: neither is tried here. */
  static suits(line: Timeline): boolean {
    const { p } = line
    return p.n <= MOST_STEPS && !p.limitedGaps && p.kept.length === 0 && line.leftOut === 0
  }

  /** Whether everything was tried: then `best` is the best there is. */
  run(budget: Budget): boolean {
    this.go(-NEVER, budget)
    return this.complete
  }

  private go(from: number, budget: Budget): void {
    const { p, line, order, next } = this
    let open = false
    for (let j = 0; j < p.jobs; j++) {
      const op = next[j]!
      if (line.dropped[j] === 1 || op === p.jobFirst[j + 1]!) continue
      open = true
      order.push(op)
      next[j] = op + 1
      for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++) {
        const able = p.able[p.choiceStation[c]!]!
        // One turn at least: a step may need nobody.
        for (let a = 0; a < Math.max(1, able.length); a++) {
          if (!budget.spend(NODE) || budget.share >= SHARE) this.complete = false
          if (!this.complete) break
          line.fixed[op] = c
          line.wanted[op] = able[a] ?? -1
          line.setOrder(order)
          line.decode()
          const work = line.work[op]!
          const nobody = line.member[op]! < 0
          if (line.status[op] === PLACED && work >= from && this.mayBeBetter(work)) this.go(work, budget)
          if (nobody) break
        }
      }
      next[j] = op
      order.pop()
      if (!this.complete) return
    }
    if (open) return
    line.measure()
    if (!better(line, this.best, this.finishFirst)) return
    this.best.copyFrom(line)
    this.best.measure()
  }

  /** Whether the present part of a plan, with all other work from a minute on, may become better than the best. */
  private mayBeBetter(from: number): boolean {
    const { p, line, best, next, order, finishFirst } = this
    let hardMisses = 0
    let late = 0
    let finish = p.now
    for (let j = 0; j < p.jobs; j++) {
      if (line.dropped[j] === 1) continue
      const op = next[j]!
      const first = p.jobFirst[j]!
      let end = op > first ? line.end[op - 1]! : p.now
      if (op < p.jobFirst[j + 1]!) {
        const ready = op > first ? end + p.gapMin[op - 1]! : end
        end = Math.max(ready, p.release[j]!, from) + this.rest[op]!
      }
      finish = Math.max(finish, end)
      const over = end - p.due[j]!
      if (over <= 0) continue
      late += over * p.weight[j]!
      if (p.hard[j] === 1) hardMisses++
    }
    if (hardMisses !== best.hardMisses) return hardMisses < best.hardMisses
    // Weights are no whole numbers: sums in another order may differ in their last digits.
    if (Math.abs(late - best.weightedLate) > 1e-6) return late < best.weightedLate
    const changes = order.reduce((sum, op) => sum + line.changeover[op]!, 0)
    if (finishFirst)
      return finish < best.finish || (finish === best.finish && changes < best.changeoverMinutes)
    return changes < best.changeoverMinutes || (changes === best.changeoverMinutes && finish < best.finish)
  }
}
