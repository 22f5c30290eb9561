import type { Heads } from './bounds'
import type { Budget } from './budget'
import type { Problem } from './problem'

const WEIGHT = 1 / 4

/**
 * Shows that nothing can be finished by a given minute: deadlines for every step, edge finding on every station (Carlier and Pinson
 * 1994, in the quadratic form of Nuijten 1994), and a search over the orders of pairs (Smith and Cheng 1993). Changeovers, crew and
 * closing times are left out and a step with several stations counts on none, so what is proven holds for the shop.
 */
export class Proof {
  private readonly n: number
  private readonly length: Int32Array
  private readonly gap: Int32Array
  private readonly jobEnd: Uint8Array
  private readonly groups: Int32Array[]
  private readonly pairA: Int32Array
  private readonly pairB: Int32Array
  private readonly pairGroup: Int32Array
  private readonly weight: Float64Array
  private readonly work: Int32Array
  private est: Int32Array
  private lct: Int32Array
  private order: Int8Array
  /** Set when the search gave up before it was through. */
  gaveUp = false

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
    const a: number[] = []
    const b: number[] = []
    const of: number[] = []
    this.groups.forEach((g, i) => {
      for (let x = 0; x < g.length; x++) {
        for (let y = x + 1; y < g.length; y++) {
          a.push(g[x]!)
          b.push(g[y]!)
          of.push(i)
        }
      }
    })
    this.pairA = Int32Array.from(a)
    this.pairB = Int32Array.from(b)
    this.pairGroup = Int32Array.from(of)
    this.weight = new Float64Array(this.groups.length).fill(1)
    this.est = new Int32Array(n)
    this.lct = new Int32Array(n)
    this.order = new Int8Array(a.length)
  }

  /** True: proven that no plan ends by `finish`. False: a plan might, or the search gave up (`gaveUp`). */
  impossible(finish: number, budget: Budget, most: number): boolean {
    const { n, p, est, lct, length, gap } = this
    this.gaveUp = false
    est.set(this.work)
    this.order.fill(0)
    for (let j = 0; j < p.jobs; j++) {
      let by = finish
      for (let op = p.jobFirst[j + 1]! - 1; op >= p.jobFirst[j]!; op--) {
        lct[op] = by
        by -= length[op]! + (op > p.jobFirst[j]! ? gap[op - 1]! : 0)
      }
    }
    if (!this.propagate()) return true
    const pairs = this.pairA.length
    const stack: { est: Int32Array; lct: Int32Array; order: Int8Array; pair: number; second: number }[] = []
    let depth = 0
    let nodes = 0
    for (;;) {
      const pair = this.choosePair()
      if (pair < 0) return false
      if (++nodes > most || !budget.spend(WEIGHT)) {
        this.gaveUp = true
        return false
      }
      const a = this.pairA[pair]!
      const b = this.pairB[pair]!
      const ab = lct[b]! - est[a]! - length[a]! - length[b]!
      const ba = lct[a]! - est[b]! - length[a]! - length[b]!
      let frame = stack[depth]
      if (!frame) {
        frame = {
          est: new Int32Array(n),
          lct: new Int32Array(n),
          order: new Int8Array(pairs),
          pair: 0,
          second: 0,
        }
        stack.push(frame)
      }
      frame.est.set(est)
      frame.lct.set(lct)
      frame.order.set(this.order)
      frame.pair = pair
      frame.second = ab >= ba ? -1 : 1
      depth++
      this.order[pair] = ab >= ba ? 1 : -1
      if (this.propagate()) continue
      // Back to the last pair whose other order is still to try.
      for (;;) {
        if (depth === 0) return true
        const last = stack[depth - 1]!
        est.set(last.est)
        lct.set(last.lct)
        this.order.set(last.order)
        this.order[last.pair] = last.second
        depth--
        nodes++
        if (this.propagate()) break
      }
    }
  }

  /** The undecided pair with the least room, where stations that failed often count as tighter; -1: all are decided. */
  private choosePair(): number {
    const { pairA, pairB, pairGroup, order, est, lct, length, weight } = this
    let best = -1
    let bestValue = Number.POSITIVE_INFINITY
    for (let i = 0; i < order.length; i++) {
      if (order[i] !== 0) continue
      const a = pairA[i]!
      const b = pairB[i]!
      const both = length[a]! + length[b]!
      const ab = lct[b]! - est[a]! - both
      const ba = lct[a]! - est[b]! - both
      const low = Math.min(ab, ba)
      const high = Math.max(ab, ba)
      const value = (low + 1) / Math.sqrt((low + 1) / (high + 1)) / weight[pairGroup[i]!]!
      if (value < bestValue) {
        bestValue = value
        best = i
      }
    }
    return best
  }

  private propagate(): boolean {
    for (;;) {
      const changed = this.precedence()
      if (changed < 0) return false
      let more = false
      for (let g = 0; g < this.groups.length; g++) {
        const r = this.edges(this.groups[g]!)
        if (r < 0) {
          this.weight[g]! += 1
          return false
        }
        if (r > 0) more = true
      }
      if (!more) return true
    }
  }

  /** Jobs, decided pairs and pairs that only one order is left for, until nothing moves. -1: cannot be. */
  private precedence(): number {
    const { n, est, lct, length, gap, jobEnd, pairA, pairB, order } = this
    let any = 0
    for (let again = true; again; ) {
      again = false
      for (let op = 0; op < n; op++) {
        if (jobEnd[op] === 1) continue
        const e = est[op]! + length[op]! + gap[op]!
        if (e > est[op + 1]!) {
          est[op + 1] = e
          again = true
        }
      }
      for (let op = n - 2; op >= 0; op--) {
        if (jobEnd[op] === 1) continue
        const l = lct[op + 1]! - length[op + 1]! - gap[op]!
        if (l < lct[op]!) {
          lct[op] = l
          again = true
        }
      }
      for (let i = 0; i < order.length; i++) {
        const a = pairA[i]!
        const b = pairB[i]!
        let o = order[i]!
        if (o === 0) {
          const both = length[a]! + length[b]!
          const ab = lct[b]! - est[a]! >= both
          const ba = lct[a]! - est[b]! >= both
          if (!ab && !ba) {
            this.weight[this.pairGroup[i]!]! += 1
            return -1
          }
          if (ab && ba) continue
          o = ab ? 1 : -1
          order[i] = o
          again = true
        }
        const x = o > 0 ? a : b
        const y = o > 0 ? b : a
        if (est[x]! + length[x]! > est[y]!) {
          est[y] = est[x]! + length[x]!
          again = true
        }
        if (lct[y]! - length[y]! < lct[x]!) {
          lct[x] = lct[y]! - length[y]!
          again = true
        }
      }
      if (again) any = 1
    }
    for (let op = 0; op < n; op++) if (est[op]! + length[op]! > lct[op]!) return -1
    return any
  }

  private readonly sorted: number[] = []
  private readonly c: number[] = []
  private readonly next: number[] = []

  private edges(group: Int32Array): number {
    const { est, lct } = this
    const a = this.oneWay(group, est, lct, false)
    if (a < 0) return -1
    const b = this.oneWay(group, est, lct, true)
    return b < 0 ? -1 : a + b
  }

  /** Edge finding in one direction; mirrored, it works on the latest ends. */
  private oneWay(group: Int32Array, est: Int32Array, lct: Int32Array, mirror: boolean): number {
    const { length, sorted, c, next } = this
    const size = group.length
    const from = (op: number) => (mirror ? -lct[op]! : est[op]!)
    const by = (op: number) => (mirror ? -est[op]! : lct[op]!)
    sorted.length = 0
    for (let i = 0; i < size; i++) {
      const op = group[i]!
      let k = i
      const f = from(op)
      while (k > 0 && from(sorted[k - 1]!) > f) {
        sorted[k] = sorted[k - 1]!
        k--
      }
      sorted[k] = op
    }
    for (let i = 0; i < size; i++) next[i] = from(sorted[i]!)
    for (let k = 0; k < size; k++) {
      const limit = by(group[k]!)
      let sum = 0
      let most = Number.NEGATIVE_INFINITY
      for (let i = size - 1; i >= 0; i--) {
        const op = sorted[i]!
        if (by(op) <= limit) {
          sum += length[op]!
          const end = from(op) + sum
          if (end > most) most = end
          if (most > limit) return -1
        }
        c[i] = most
      }
      let high = Number.NEGATIVE_INFINITY
      for (let i = 0; i < size; i++) {
        const op = sorted[i]!
        const f = from(op)
        if (by(op) <= limit) {
          if (f + sum > high) high = f + sum
          sum -= length[op]!
        } else {
          if (f + sum + length[op]! > limit && c[i]! > next[i]!) next[i] = c[i]!
          if (high + length[op]! > limit && most > next[i]!) next[i] = most
        }
      }
    }
    let changed = 0
    for (let i = 0; i < size; i++) {
      const op = sorted[i]!
      if (next[i]! > from(op)) {
        changed = 1
        if (mirror) lct[op] = -next[i]!
        else est[op] = next[i]!
        if (est[op]! + length[op]! > lct[op]!) return -1
      }
    }
    return changed
  }
}

/** Raises a proven bound of the finish towards a known plan's; at most the finish itself. */
export function raiseBound(
  p: Problem,
  h: Heads,
  bound: number,
  finish: number,
  budget: Budget,
  nodes: number,
): number {
  if (bound >= finish || p.n > 1200) return bound
  const proof = new Proof(p, h)
  if (proof.impossible(finish - 1, budget, nodes)) return finish
  let low = bound
  let high = finish - 1
  while (low < high && !budget.over) {
    const mid = Math.floor((low + high) / 2)
    if (proof.impossible(mid, budget, Math.ceil(nodes / 20))) low = mid + 1
    else high = mid
  }
  return low
}
