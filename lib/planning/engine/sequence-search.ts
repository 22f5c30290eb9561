import type { Budget } from './budget'
import { NEVER, type Problem } from './problem'
import type { Random } from './random'

const HARD_COST = 1e8
const SMALL = 1e-4
/** Sequences are weighed that much faster than whole plans. */
const WEIGHT = 1 / 64
const BLOCK = 4096
const CYCLES = 3
const HOT = 0.5
const WARM = 0.05
const COLD = 0.0008
/** Longest block that is moved as one. */
const LONGEST_BLOCK = 10
/** Descents from which the search learns how much more changeover a gaining move may bring. */
const LESSONS = 14
/** The first descents start from poor sequences and teach too much. */
const UNTAUGHT = 2
/** Share of the budget; the rest is for the bound. */
const SHARE = 0.88

/** Whether the whole shop is one sequence: every job one step, all on the same station, which is always open. */
export function isOneSequence(p: Problem): boolean {
  if (!p.plain || p.n !== p.jobs || p.n < 2 || p.n > 2000) return false
  for (let c = 0; c < p.choiceStation.length; c++) if (p.choiceStation[c] !== p.choiceStation[0]) return false
  return p.choiceStation.length === p.n
}

/**
 * Search over the sequences of one station. Without changeovers: simulated annealing (Kirkpatrick, Gelatt, Vecchi 1983). With
 * changeovers: iterated local search over blocks moved, jobs swapped and stretches reversed, leaving out moves whose changeovers
 * grow by more than any gaining move's did (Subramanian and Farias 2017). A candidate is weighed from its first change on and given
 * up as soon as it cannot be accepted.
 */
export class SequenceSearch {
  private readonly n: number
  private readonly length: Float64Array
  private readonly release: Float64Array
  private readonly due: Float64Array
  private readonly weight: Float64Array
  private readonly hard: Uint8Array
  private readonly change: Float64Array
  private readonly released: boolean
  private readonly changes: boolean
  private readonly now: number
  private sequence: Int32Array
  private readonly draft: Int32Array
  /** Of the present sequence: end of each place, cost up to and with it. */
  private readonly ends: Float64Array
  private readonly costs: Float64Array
  private readonly changeSums: Float64Array
  readonly best: Int32Array
  bestCost: number
  private cost = 0
  constructor(
    p: Problem,
    first: ArrayLike<number>,
    private readonly random: Random,
    private readonly finishFirst: boolean,
  ) {
    const n = first.length
    this.n = n
    this.now = p.now
    this.length = new Float64Array(p.n)
    this.release = new Float64Array(p.n)
    this.due = new Float64Array(p.n)
    this.weight = new Float64Array(p.n)
    this.hard = new Uint8Array(p.n)
    this.change = new Float64Array((p.n + 1) * p.n)
    const s = p.choiceStation[0]!
    let released = false
    let changes = false
    for (let op = 0; op < p.n; op++) {
      this.length[op] = p.setup[op]! + p.run[op]!
      this.release[op] = p.release[op]!
      if (p.release[op]! > p.now) released = true
      this.due[op] = p.due[op]! === NEVER ? Number.POSITIVE_INFINITY : p.due[op]!
      this.weight[op] = p.weight[op]!
      this.hard[op] = p.hard[op]!
      for (let before = 0; before <= p.n; before++) {
        const c = p.changeover(s, before === p.n ? p.state0[s]! : p.state[before]!, p.state[op]!)
        this.change[before * p.n + op] = c
        if (c > 0) changes = true
      }
    }
    this.released = released
    this.changes = changes
    this.sequence = Int32Array.from(first)
    this.draft = new Int32Array(n)
    this.ends = new Float64Array(n + 1)
    this.costs = new Float64Array(n + 1)
    this.changeSums = new Float64Array(n + 1)
    this.best = Int32Array.from(first)
    this.bestCost = this.weigh()
    this.cost = this.bestCost
  }

  /** Steps whose state is not given leave the station as it is: then what a step follows decides nothing. */
  static statesKnown(p: Problem): boolean {
    return p.state.every(s => s >= 0) || p.state.every(s => s < 0)
  }

  private costAt(op: number, end: number): number {
    const over = end - this.due[op]!
    if (over <= 0) return 0
    return over * this.weight[op]! + (this.hard[op] === 1 ? HARD_COST : 0)
  }

  private weigh(): number {
    const { sequence, length, release, change, n, ends, costs, changeSums } = this
    const width = length.length
    let t = this.now
    let before = width
    let cost = 0
    for (let k = 0; k < n; k++) {
      const op = sequence[k]!
      const c = change[before * width + op]!
      t += c
      if (release[op]! > t) t = release[op]!
      t += length[op]!
      cost += this.costAt(op, t) + c * SMALL
      ends[k] = t
      costs[k] = cost
      changeSums[k] = (k > 0 ? changeSums[k - 1]! : 0) + c * SMALL
      before = op
    }
    return this.finishFirst ? cost + t : cost
  }

  run(budget: Budget, enough: () => boolean, onBetter: () => void): void {
    if (this.changes) {
      this.iterate(budget, enough, onBetter)
      return
    }
    const scale = this.sampleScale()
    if (scale === 0) return
    const cycles = CYCLES
    for (let cycle = 0; cycle < cycles && !budget.over; cycle++) {
      if (cycle > 0) this.sequence.set(this.best)
      this.cost = this.weigh()
      // Costs differ by orders of magnitude between instances: heat follows what a move changes.
      const hot = scale * (cycle === 0 ? HOT : WARM)
      const cold = scale * COLD
      const from = cycle / cycles
      for (let block = 0; !budget.over; block++) {
        const done = (budget.share / SHARE - from) * cycles
        if (done >= 1) break
        const heat = hot * (cold / hot) ** Math.max(0, done)
        if (this.anneal(heat, BLOCK)) onBetter()
        for (let i = 0; i < BLOCK * WEIGHT; i += 16) budget.spend(16)
        if (block % 16 === 0 && enough()) return
      }
    }
  }

  private readonly allowance = new Float64Array(LONGEST_BLOCK + 3)
  private descents = 0
  private readonly kinds = Int32Array.from({ length: LONGEST_BLOCK + 2 }, (_, k) => k)

  private iterate(budget: Budget, enough: () => boolean, onBetter: () => void): void {
    const { n, random } = this
    const base = new Int32Array(n)
    let baseCost = Number.POSITIVE_INFINITY
    let idle = 0
    let restarts = 0
    while (!budget.over && budget.share < SHARE) {
      this.cost = this.weigh()
      this.descend(budget)
      if (this.cost < this.bestCost - 1e-9) {
        this.bestCost = this.cost
        this.best.set(this.sequence)
        onBetter()
        if (enough()) return
      }
      if (this.cost < baseCost - 1e-9) {
        baseCost = this.cost
        base.set(this.sequence)
        idle = 0
      } else {
        if (this.cost <= baseCost) base.set(this.sequence)
        idle++
      }
      if (idle > 3 * n) {
        idle = 0
        baseCost = Number.POSITIVE_INFINITY
        if (++restarts % 3 === 0) {
          this.sequence.set(this.best)
          for (let k = 0; k < n / 4; k++) this.exchangeBlocks()
        } else this.construct()
        continue
      }
      this.sequence.set(base)
      const times = random.below(6) === 0 ? 2 : 1
      for (let k = 0; k < times; k++) this.exchangeBlocks()
    }
  }

  /** A new sequence by the apparent tardiness cost with set-ups, its look-ahead and weights drawn. */
  private construct(): void {
    const { n, random, sequence, length, due, weight, change, release } = this
    const width = length.length
    const mean = (list: Float64Array) => list.reduce((a, b) => a + b, 0) / list.length
    const k1 = mean(length) * (0.2 + 5 * random.next() ** 2)
    const k2 = Math.max(1, mean(change)) * (0.05 + 1.5 * random.next() ** 2)
    const left = new Set(sequence)
    let t = this.now
    let before = width
    for (let k = 0; k < n; k++) {
      let best = -1
      let bestIndex = -1
      for (const op of left) {
        const slack = Math.max(0, due[op]! - length[op]! - t)
        const wait = Math.max(0, release[op]! - t)
        const index =
          ((weight[op]! + 0.01) / Math.max(1, length[op]!)) *
          Math.exp(-Math.min(slack, 1e9) / k1 - (change[before * width + op]! + wait) / k2) *
          (0.8 + 0.4 * random.next())
        if (index > bestIndex) {
          bestIndex = index
          best = op
        }
      }
      sequence[k] = best
      left.delete(best)
      t = Math.max(t + change[before * width + best]!, release[best]!) + length[best]!
      before = best
    }
  }

  /** Two short blocks change places (the double bridge of Martin, Otto, Felten 1991, kept local). */
  private exchangeBlocks(): void {
    const { n, random, sequence, draft } = this
    const longest = Math.max(1, Math.min(Math.floor(n / 4), 4))
    const a = 1 + random.below(longest)
    const b = 1 + random.below(longest)
    if (a + b > n) return
    const gap = random.below(Math.min(n - a - b, 6) + 1)
    const at = random.below(n - a - b - gap + 1)
    let q = at
    for (let k = 0; k < b; k++) draft[q++] = sequence[at + a + gap + k]!
    for (let k = 0; k < gap; k++) draft[q++] = sequence[at + a + k]!
    for (let k = 0; k < a; k++) draft[q++] = sequence[at + k]!
    sequence.set(draft.subarray(at, q), at)
  }

  /** Improves the present sequence until no move of any kind gains. */
  private descend(budget: Budget): void {
    const { kinds, random } = this
    let left = kinds.length
    while (left > 0 && !budget.over) {
      const pick = random.below(left)
      const kind = kinds[pick]!
      if (this.sweep(kind, budget)) left = kinds.length
      else {
        left--
        kinds[pick] = kinds[left]!
        kinds[left] = kind
      }
    }
    this.descents++
  }

  /** One pass over all moves of a kind: blocks of `kind` jobs, 0: swaps, last: reversals. True where it gained. */
  private sweep(kind: number, budget: Budget): boolean {
    const { n } = this
    let gained = false
    let weighed = 0
    for (let i = 0; i < n - 1; i++) {
      for (let k = i + 1; k < n; k++) {
        if (kind === 0) {
          if (this.tryDraft(kind, i, k, 0)) gained = true
          weighed++
        } else if (kind > LONGEST_BLOCK) {
          if (k > i + 1 && this.tryDraft(kind, i, k, 0)) gained = true
          weighed++
        } else if (k - i >= kind) {
          // Of the stretch i..k the first `kind` jobs go to its end, or the last ones to its front.
          if (this.tryDraft(kind, i, k, kind)) gained = true
          if (k - i + 1 > 2 * kind && this.tryDraft(kind, i, k, k - i + 1 - kind)) gained = true
          weighed += 2
        }
      }
    }
    for (let w = 0; w < weighed * WEIGHT; w += 8) budget.spend(8)
    return gained
  }

  private tryDraft(kind: number, i: number, k: number, turn: number): boolean {
    const { sequence, draft } = this
    const before = i > 0 ? sequence[i - 1]! : this.length.length
    const after = k + 1 < this.n ? sequence[k + 1]! : -1
    let more = 0
    const first = sequence[i]!
    const last = sequence[k]!
    if (turn > 0) {
      // i..k turned round so that position i + turn comes first.
      const head = sequence[i + turn]!
      const tail = sequence[i + turn - 1]!
      more = this.link(before, head) + this.link(last, first) + this.link(tail, after)
      more -= this.link(before, first) + this.link(tail, head) + this.link(last, after)
    } else if (kind === 0 && k > i + 1) {
      const a = sequence[i + 1]!
      const b = sequence[k - 1]!
      more = this.link(before, last) + this.link(last, a) + this.link(b, first) + this.link(first, after)
      more -= this.link(before, first) + this.link(first, a) + this.link(b, last) + this.link(last, after)
    } else if (kind === 0) {
      more = this.link(before, last) + this.link(last, first) + this.link(first, after)
      more -= this.link(before, first) + this.link(first, last) + this.link(last, after)
    } else {
      more =
        this.link(before, last) + this.link(first, after) - this.link(before, first) - this.link(last, after)
    }
    if (this.descents >= LESSONS && more > this.allowance[kind]!) return false
    const limit = this.cost - 1e-9
    this.startAt(i)
    let within: boolean
    if (turn > 0)
      within = this.walk(sequence, i + turn, k, limit) && this.walk(sequence, i, i + turn - 1, limit)
    else if (kind === 0) {
      within =
        this.walk(sequence, k, k, limit) &&
        (k === i + 1 || this.walk(sequence, i + 1, k - 1, limit)) &&
        this.walk(sequence, i, i, limit)
    } else within = this.walk(sequence, k, i, limit)
    if (!within || this.rest(k, limit) > limit) return false
    this.low = i
    this.high = k
    if (turn > 0) {
      let q = i
      for (let x = i + turn; x <= k; x++) draft[q++] = sequence[x]!
      for (let x = i; x < i + turn; x++) draft[q++] = sequence[x]!
    } else if (kind === 0) {
      for (let x = i + 1; x < k; x++) draft[x] = sequence[x]!
      draft[i] = last
      draft[k] = first
    } else for (let x = i; x <= k; x++) draft[x] = sequence[k - (x - i)]!
    this.take()
    if (this.descents >= UNTAUGHT && this.descents < LESSONS && more > this.allowance[kind]!)
      this.allowance[kind] = more
    return true
  }

  /** Changeover minutes from one job to the next; b = -1: nothing follows. */
  private link(a: number, b: number): number {
    return b < 0 ? 0 : this.change[a * this.length.length + b]!
  }

  /** Mean change of cost by a random move. */
  private sampleScale(): number {
    let sum = 0
    let count = 0
    for (let i = 0; i < 400; i++) {
      const cost = this.candidate(Number.POSITIVE_INFINITY)
      if (cost >= 0 && cost !== this.cost) {
        sum += Math.min(Math.abs(cost - this.cost), HARD_COST)
        count++
      }
    }
    return count === 0 ? 0 : sum / count
  }

  private low = 0
  private high = 0

  private anneal(heat: number, moves: number): boolean {
    let found = false
    for (let i = 0; i < moves; i++) {
      const limit = this.cost - heat * Math.log(1 - this.random.next())
      const cost = this.candidate(limit)
      if (cost < 0 || cost > limit) continue
      this.take()
      if (this.cost < this.bestCost - 1e-9) {
        this.bestCost = this.cost
        this.best.set(this.sequence)
        found = true
      }
    }
    return found
  }

  private take(): void {
    this.sequence.set(this.draft.subarray(this.low, this.high + 1), this.low)
    const { sequence, length, release, change, n, ends, costs, changeSums } = this
    const width = length.length
    const k0 = this.low
    let t = k0 > 0 ? ends[k0 - 1]! : this.now
    let before = k0 > 0 ? sequence[k0 - 1]! : width
    let cost = k0 > 0 ? costs[k0 - 1]! : 0
    for (let k = k0; k < n; k++) {
      const op = sequence[k]!
      const c = change[before * width + op]!
      t += c
      if (release[op]! > t) t = release[op]!
      t += length[op]!
      cost += this.costAt(op, t) + c * SMALL
      ends[k] = t
      costs[k] = cost
      changeSums[k] = (k > 0 ? changeSums[k - 1]! : 0) + c * SMALL
      before = op
    }
    this.cost = this.finishFirst ? cost + t : cost
  }

  /** Drafts a random neighbour between `low` and `high`; its cost, something above `limit`, or -1 for no change. */
  private candidate(limit: number): number {
    const { n, random, sequence, draft } = this
    const r = random.next()
    let i = random.below(n)
    // Near places more often than far ones.
    const reach = random.next() < 0.5 ? Math.min(n, 12) : n
    let k = i + 1 + random.below(reach)
    if (k >= n) {
      k = i
      i = random.below(n)
      if (i === k) return -1
      if (i > k) {
        const x = i
        i = k
        k = x
      }
    }
    this.low = i
    this.high = k
    if (r < 0.3) {
      for (let q = i + 1; q < k; q++) draft[q] = sequence[q]!
      draft[i] = sequence[k]!
      draft[k] = sequence[i]!
    } else if (r < 0.92 || !this.changes) {
      // A block of some jobs changes places with all that lies between.
      const span = k - i + 1
      const size = 1 + Math.floor(random.next() ** 3 * Math.min(12, span - 1))
      if (random.next() < 0.5) {
        for (let q = 0; q < span - size; q++) draft[i + q] = sequence[i + size + q]!
        for (let q = 0; q < size; q++) draft[k - size + 1 + q] = sequence[i + q]!
      } else {
        for (let q = 0; q < size; q++) draft[i + q] = sequence[k - size + 1 + q]!
        for (let q = 0; q < span - size; q++) draft[i + size + q] = sequence[i + q]!
      }
    } else for (let q = i; q <= k; q++) draft[q] = sequence[k - (q - i)]!
    return this.weighDraft(limit)
  }

  private weighDraft(limit: number): number {
    this.startAt(this.low)
    if (!this.walk(this.draft, this.low, this.high, limit)) return this.wCost
    return this.rest(this.high, limit)
  }

  // State of the walk over a candidate: minute, last job, cost so far.
  private wTime = 0
  private wBefore = 0
  private wCost = 0

  private startAt(k: number): void {
    this.wTime = k > 0 ? this.ends[k - 1]! : this.now
    this.wBefore = k > 0 ? this.sequence[k - 1]! : this.length.length
    this.wCost = k > 0 ? this.costs[k - 1]! : 0
  }

  /** Goes on over places a to b of a list (backwards where b < a); false as soon as the cost is above the limit. */
  private walk(list: Int32Array, a: number, b: number, limit: number): boolean {
    const { length, release, change, due, weight, hard } = this
    const width = length.length
    let t = this.wTime
    let before = this.wBefore
    let cost = this.wCost
    const step = b < a ? -1 : 1
    for (let k = a; ; k += step) {
      const op = list[k]!
      const c = change[before * width + op]!
      t += c
      if (release[op]! > t) t = release[op]!
      t += length[op]!
      cost += c * SMALL
      const over = t - due[op]!
      if (over > 0) {
        cost += over * weight[op]!
        if (hard[op] === 1) cost += HARD_COST
        if (cost > limit) {
          this.wCost = cost
          return false
        }
      }
      before = op
      if (k === b) break
    }
    this.wTime = t
    this.wBefore = before
    this.wCost = cost
    return cost <= limit
  }

  /** Cost with all that follows place `high`, where the sequence is as it was. */
  private rest(high: number, limit: number): number {
    const { sequence, n, ends, costs, due, weight, hard } = this
    if (high + 1 < n) {
      if (!this.walk(sequence, high + 1, high + 1, limit)) return this.wCost
      const shift = this.wTime - ends[high + 1]!
      const restCost = costs[n - 1]! - costs[high + 1]!
      if (shift === 0) {
        this.wCost += restCost
        this.wTime = ends[n - 1]!
      } else if (shift > 0 && this.wCost + restCost > limit) return this.wCost + restCost
      else if (high + 2 < n) {
        if (this.released) {
          if (!this.walk(sequence, high + 2, n - 1, limit)) return this.wCost
        } else {
          // All that follows moves by the same time.
          let cost = this.wCost + (this.changes ? this.changesAfter(high + 2) : 0)
          for (let k = high + 2; k < n; k++) {
            const o = sequence[k]!
            const over = ends[k]! + shift - due[o]!
            if (over > 0) {
              cost += over * weight[o]!
              if (hard[o] === 1) cost += HARD_COST
              if (cost > limit) return cost
            }
          }
          this.wCost = cost
          this.wTime = ends[n - 1]! + shift
        }
      }
    }
    return this.finishFirst ? this.wCost + this.wTime : this.wCost
  }

  /** Changeover cost behind a place, kept with the sequence. */
  private changesAfter(k: number): number {
    return this.changeSums[this.n - 1]! - this.changeSums[k - 1]!
  }
}
