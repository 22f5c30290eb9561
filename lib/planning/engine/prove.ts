import type { Heads } from './bounds'
import type { Budget } from './budget'
import { NEVER, type Problem } from './problem'

const WEIGHT = 1 / 4
/** Bytes that open decisions may take. */
const MOST_BYTES = 64_000_000

/** How far a proof may go: so many pairs decided, and up to which share of the budget. */
export interface Effort {
  nodes: number
  share: number
}

/**
 * Shows that nothing can be finished by a given minute: deadlines for every step, edge finding on every station (Carlier and Pinson
 * 1994, in the quadratic form of Nuijten 1994), and a search over the orders of pairs (Smith and Cheng 1993). Changeovers, crew and
 * closing times are left out and a step with several stations counts on none, so what is proven holds for the shop. Where all pairs
 * are decided, a plan has been met: it is handed out, and the search goes on below it.
 */
export class Proof {
  private readonly n: number
  private readonly length: Int32Array
  private readonly gap: Int32Array
  private readonly jobEnd: Uint8Array
  private readonly groups: Int32Array[]
  /** Group of a step; one past the last for those that stand in none. */
  private readonly groupOf: Int32Array
  private readonly pairA: Int32Array
  private readonly pairB: Int32Array
  private readonly pairGroup: Int32Array
  /** Pairs of a group are consecutive, from here to the next group's. */
  private readonly pairFirst: Int32Array
  private readonly weight: Float64Array
  private readonly work: Int32Array
  private readonly est: Int32Array
  private readonly lct: Int32Array
  private readonly order: Int8Array
  /** Groups to look at again. */
  private readonly dirty: Uint8Array
  private readonly stack: Frame[] = []
  private target = NEVER
  private depth = 0
  private readonly deepest: number
  /** Nothing speaks against what is decided so far. */
  private possible = true
  private stuck = false

  // A group's steps in edge finding: by earliest start, mirrored for the second way.
  private readonly from: Int32Array
  private readonly by: Int32Array
  private readonly takes: Int32Array
  private readonly sorted: Int32Array
  private readonly most: Float64Array
  private readonly next: Float64Array

  constructor(
    private readonly p: Problem,
    h: Heads,
  ) {
    const n = p.n
    this.n = n
    this.length = h.least
    this.work = h.work
    this.gap = p.gapMin
    this.jobEnd = new Uint8Array(n)
    for (let j = 0; j < p.jobs; j++) this.jobEnd[p.jobFirst[j + 1]! - 1] = 1
    const groups: number[][] = Array.from({ length: p.stations }, () => [])
    for (let op = 0; op < n; op++) {
      const c = p.choiceFirst[op]!
      if (p.choiceFirst[op + 1]! - c === 1 && h.least[op]! > 0 && p.keptOf[op]! < 0)
        groups[p.choiceStation[c]!]!.push(op)
    }
    this.groups = groups.filter(g => g.length > 1).map(g => Int32Array.from(g))
    this.groupOf = new Int32Array(n).fill(this.groups.length)
    const a: number[] = []
    const b: number[] = []
    const of: number[] = []
    const first = [0]
    let largest = 0
    this.groups.forEach((g, i) => {
      for (let x = 0; x < g.length; x++) {
        this.groupOf[g[x]!] = i
        for (let y = x + 1; y < g.length; y++) {
          a.push(g[x]!)
          b.push(g[y]!)
          of.push(i)
        }
      }
      first.push(a.length)
      largest = Math.max(largest, g.length)
    })
    this.pairA = Int32Array.from(a)
    this.pairB = Int32Array.from(b)
    this.pairGroup = Int32Array.from(of)
    this.pairFirst = Int32Array.from(first)
    this.weight = new Float64Array(this.groups.length).fill(1)
    this.dirty = new Uint8Array(this.groups.length + 1)
    this.est = new Int32Array(n)
    this.lct = new Int32Array(n)
    this.order = new Int8Array(a.length)
    this.deepest = MOST_BYTES / (8 * n + a.length)
    this.from = new Int32Array(largest)
    this.by = new Int32Array(largest)
    this.takes = new Int32Array(largest)
    this.sorted = new Int32Array(largest)
    this.most = new Float64Array(largest)
    this.next = new Float64Array(largest)
  }

  /** Nothing decided yet, everything done by `target`. */
  begin(target: number): void {
    const { p, lct, length, gap } = this
    this.est.set(this.work)
    this.order.fill(0)
    for (let j = 0; j < p.jobs; j++) {
      let by = target
      for (let op = p.jobFirst[j + 1]! - 1; op >= p.jobFirst[j]!; op--) {
        lct[op] = by
        by -= length[op]! + (op > p.jobFirst[j]! ? gap[op - 1]! : 0)
      }
    }
    this.target = target
    this.depth = 0
    this.stuck = false
    this.possible = this.anew()
  }

  /**
   * Goes on from where it stood, for a target that is at most the one before. The least minute by which all can be done, as far as
   * that is at most `target` + 1: what comes back is proven. -1: not settled, as the effort or the budget was spent, or an order of
   * all pairs turned out to be no such plan. `met` is told the earliest starts of each such order and gives the finish of the plan made
   * from it; below that the search goes on.
   */
  go(target: number, budget: Budget, { nodes, share }: Effort, met: (starts: Int32Array) => number): number {
    const { n, est, lct, order, stack } = this
    if (this.stuck) return -1
    if (this.target === NEVER) this.begin(target)
    else if (target < this.target) {
      for (let op = 0; op < n; op++) lct[op]! -= this.target - target
      this.target = target
      this.possible &&= this.anew()
    }
    let seen = 0
    for (;;) {
      if (this.possible) {
        const pair = this.choosePair()
        if (pair >= 0) {
          if (++seen > nodes || this.depth >= this.deepest) return -1
          if (!budget.spend(WEIGHT) || budget.share > share) return -1
          const ab = this.room(this.pairA[pair]!, this.pairB[pair]!)
          const ba = this.room(this.pairB[pair]!, this.pairA[pair]!)
          if (this.depth === stack.length) stack.push(new Frame(n, order.length))
          stack[this.depth++]!.keep(est, lct, order, this.target, pair, ab >= ba ? -1 : 1)
          order[pair] = ab >= ba ? 1 : -1
          this.dirty[this.pairGroup[pair]!] = 1
          this.possible = this.propagate()
          continue
        }
        const finish = met(est)
        if (finish > this.target) {
          this.stuck = true
          return -1
        }
        this.target = finish - 1
      }
      // Back to the last pair whose other order is still to try.
      if (this.depth === 0) return this.target + 1
      const last = stack[--this.depth]!
      // What a later target left open, an earlier one leaves open with all of it shifted.
      const shift = last.target - this.target
      est.set(last.est)
      for (let op = 0; op < n; op++) lct[op] = last.lct[op]! - shift
      order.set(last.order)
      order[last.pair] = last.second
      this.dirty[this.pairGroup[last.pair]!] = 1
      this.possible = shift > 0 ? this.anew() : this.propagate()
    }
  }

  /** All is looked at again, as deadlines have moved. */
  private anew(): boolean {
    const { n, est, lct, length } = this
    for (let op = 0; op < n; op++) if (est[op]! + length[op]! > lct[op]!) return false
    this.dirty.fill(1)
    return this.propagate()
  }

  /** Minutes to spare when `a` goes ahead of `b`. */
  private room(a: number, b: number): number {
    return this.lct[b]! - this.est[a]! - this.length[a]! - this.length[b]!
  }

  /** The undecided pair with the least room, where stations that failed often count as tighter; -1: all are decided. */
  private choosePair(): number {
    const { pairA, pairB, pairFirst, order, est, lct, length, weight } = this
    let best = -1
    let bestValue = Number.POSITIVE_INFINITY
    for (let g = 0; g < weight.length; g++) {
      const tight = weight[g]! * weight[g]!
      for (let i = pairFirst[g]!; i < pairFirst[g + 1]!; i++) {
        if (order[i] !== 0) continue
        const a = pairA[i]!
        const b = pairB[i]!
        const free = 1 - length[a]! - length[b]!
        // Both orders are still possible, so neither factor is below 1.
        const value = ((lct[b]! - est[a]! + free) * (lct[a]! - est[b]! + free)) / tight
        if (value < bestValue) {
          bestValue = value
          best = i
        }
      }
    }
    return best
  }

  /** Everything that follows, until nothing moves. False: cannot be. */
  private propagate(): boolean {
    const { dirty, groups } = this
    for (let again = true; again; ) {
      again = false
      for (let g = 0; g < groups.length; g++) {
        if (dirty[g] === 0) continue
        again = true
        dirty[g] = 0
        if (this.pairs(g) && this.edges(groups[g]!, false) && this.edges(groups[g]!, true)) continue
        this.weight[g]! += 1
        dirty.fill(0)
        return false
      }
    }
    return true
  }

  /** A step begins no earlier, and what follows in its job. False: too late for one of them. */
  private raise(op: number, to: number): boolean {
    const { est, lct, length, gap, jobEnd, dirty, groupOf } = this
    for (let at = to; at > est[op]!; op++) {
      est[op] = at
      at += length[op]!
      if (at > lct[op]!) return false
      dirty[groupOf[op]!] = 1
      if (jobEnd[op] === 1) break
      at += gap[op]!
    }
    return true
  }

  /** A step ends no later, and what leads to it in its job. False: too early for one of them. */
  private lower(op: number, to: number): boolean {
    const { est, lct, length, gap, jobEnd, dirty, groupOf } = this
    for (let by = to; by < lct[op]!; op--) {
      lct[op] = by
      by -= length[op]!
      if (by < est[op]!) return false
      dirty[groupOf[op]!] = 1
      if (op === 0 || jobEnd[op - 1] === 1) break
      by -= gap[op - 1]!
    }
    return true
  }

  /** Decided pairs of a group, and those that only one order is left for. */
  private pairs(g: number): boolean {
    const { est, lct, length, pairA, pairB, pairFirst, order } = this
    const end = pairFirst[g + 1]!
    for (let again = true; again; ) {
      again = false
      for (let i = pairFirst[g]!; i < end; i++) {
        const a = pairA[i]!
        const b = pairB[i]!
        let o = order[i]!
        if (o === 0) {
          const both = length[a]! + length[b]!
          const ab = lct[b]! - est[a]! >= both
          const ba = lct[a]! - est[b]! >= both
          if (ab && ba) continue
          if (!ab && !ba) return false
          o = ab ? 1 : -1
          order[i] = o
        }
        const x = o > 0 ? a : b
        const y = o > 0 ? b : a
        const earliest = est[x]! + length[x]!
        if (earliest > est[y]!) {
          if (!this.raise(y, earliest)) return false
          again = true
        }
        const latest = lct[y]! - length[y]!
        if (latest < lct[x]!) {
          if (!this.lower(x, latest)) return false
          again = true
        }
      }
    }
    return true
  }

  /** Edge finding in one direction; mirrored, it works on the latest ends. */
  private edges(group: Int32Array, mirror: boolean): boolean {
    const { est, lct, length, from, by, takes, sorted, most, next } = this
    const size = group.length
    for (let i = 0; i < size; i++) {
      const op = group[i]!
      const f = mirror ? -lct[op]! : est[op]!
      let k = i
      for (; k > 0 && from[k - 1]! > f; k--) {
        from[k] = from[k - 1]!
        sorted[k] = sorted[k - 1]!
      }
      from[k] = f
      sorted[k] = op
    }
    for (let i = 0; i < size; i++) {
      const op = sorted[i]!
      by[i] = mirror ? -est[op]! : lct[op]!
      takes[i] = length[op]!
      next[i] = from[i]!
    }
    for (let k = 0; k < size; k++) {
      const limit = by[k]!
      let sum = 0
      let latest = -NEVER
      for (let i = size - 1; i >= 0; i--) {
        if (by[i]! <= limit) {
          sum += takes[i]!
          const end = from[i]! + sum
          if (end > latest) {
            latest = end
            if (latest > limit) return false
          }
        }
        most[i] = latest
      }
      let high = -NEVER
      for (let i = 0; i < size; i++) {
        const f = from[i]!
        const length = takes[i]!
        if (by[i]! <= limit) {
          if (f + sum > high) high = f + sum
          sum -= length
        } else {
          if (f + sum + length > limit && most[i]! > next[i]!) next[i] = most[i]!
          if (high + length > limit && latest > next[i]!) next[i] = latest
        }
      }
    }
    for (let i = 0; i < size; i++) {
      if (next[i]! <= from[i]!) continue
      const possible = mirror ? this.lower(sorted[i]!, -next[i]!) : this.raise(sorted[i]!, next[i]!)
      if (!possible) return false
    }
    return true
  }
}

/** What was known before a pair was decided. */
class Frame {
  readonly est: Int32Array
  readonly lct: Int32Array
  readonly order: Int8Array
  target = 0
  pair = 0
  /** The order of the pair that is still to try. */
  second = 0

  constructor(steps: number, pairs: number) {
    this.est = new Int32Array(steps)
    this.lct = new Int32Array(steps)
    this.order = new Int8Array(pairs)
  }

  keep(
    est: Int32Array,
    lct: Int32Array,
    order: Int8Array,
    target: number,
    pair: number,
    second: number,
  ): void {
    this.est.set(est)
    this.lct.set(lct)
    this.order.set(order)
    this.target = target
    this.pair = pair
    this.second = second
  }
}

/**
 * Raises a proven bound of the finish towards the finish of a known plan, or of a better one that is `met` on the way: `long` goes on
 * where it stood, and where it does not get there, `short` shows a part by a twentieth of the effort each.
 */
export function raiseBound(
  long: Proof,
  short: Proof,
  bound: number,
  finish: number,
  budget: Budget,
  effort: Effort,
  met: (starts: Int32Array) => number,
): number {
  if (bound >= finish) return bound
  let high = finish - 1
  const told = (starts: Int32Array) => {
    const end = met(starts)
    high = Math.min(high, end - 1)
    return end
  }
  // A third of the share is left for the short tries.
  const most = effort.share - (effort.share - budget.share) / 3
  const proven = long.go(high, budget, { ...effort, share: most }, told)
  if (proven >= 0) return Math.max(bound, proven)
  const part = { ...effort, nodes: Math.ceil(effort.nodes / 20) }
  let low = bound
  while (low < high && !budget.over && budget.share <= effort.share) {
    const mid = Math.floor((low + high) / 2)
    short.begin(mid)
    const least = short.go(mid, budget, part, told)
    if (least >= 0 && least <= mid) return least
    if (least > mid) low = least
    else high = Math.min(high, mid)
  }
  return low
}
