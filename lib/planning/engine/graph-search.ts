import type { Budget } from './budget'
import { NEVER, type Problem } from './problem'
import type { Random } from './random'

/** Moves of the graph are weighed that much faster than whole plans. */
const WEIGHT = 1 / 16
/** Moves between two looks at the budget; a power of two. */
const BATCH = 16
/** Good solutions kept for mixing. */
const POOL = 20
/** Moves without a gain after which a start is given up: so many, and so many more for each step of the shop. */
const PATIENCE = 1500
const PATIENCE_STEP = 12
/** Starts without a new best after which all but two of the kept are let go. */
const STALE = 60
/** Tables over pairs of steps are kept up to this size. */
const MOST_PAIRS = 20_000_000

/** Whether times follow from the order on each station alone, so that the longest path is the finish. */
export function isGraph(p: Problem): boolean {
  if (!p.plain || p.n < 2 || p.n * p.n > MOST_PAIRS) return false
  // A step without a state leaves the station as it is; then the changeover does not depend on the neighbour alone.
  const changes = p.shop.stations.some(s => s.changeovers.length > 0)
  return !changes || (p.n * p.n * p.stations <= MOST_PAIRS && p.state.every(s => s >= 0))
}

/** A solution kept aside: an order of all steps in which every arc goes forward, and the choices. */
interface Elite {
  rank: Int32Array
  choice: Int32Array
  finish: number
}

/**
 * Tabu search for the earliest finish on the disjunctive graph. Moves: a critical step within its block of consecutive critical
 * steps on one station (Balas and Vazacopoulos 1998, Zhang et al. 2007), or to another station that can do it (Mastrolilli and
 * Gambardella 2000); estimates from heads and tails, so that no move is built before it is taken. A topological order is kept
 * and mended only between the two ends of a move, so that a circle shows at once and the longest paths are reckoned only from there on.
 * Starts come from mixing two good solutions (path relinking as in Peng, Lü, Cheng 2015).
 *
 * Step n stands for "none": before the first and behind the last of a job or a station.
 */
export class GraphSearch {
  private readonly n: number
  private readonly choice: Int32Array
  private readonly station: Int32Array
  private readonly length: Int32Array
  private readonly before: Int32Array
  private readonly after: Int32Array
  /** Longest path up to the end of a step, and from its start to the end of all (its own length in both). */
  private readonly end: Int32Array
  private readonly rest: Int32Array
  private readonly topo: Int32Array
  private readonly place: Int32Array
  private readonly first: Int32Array
  private readonly jobBefore: Int32Array
  private readonly jobAfter: Int32Array
  private readonly jobLast: Int32Array
  private readonly ready: Int32Array
  private readonly lead: Int32Array
  private readonly changes: boolean
  private readonly pairs: Int32Array[] = []
  private readonly arcTabu: Int32Array
  private readonly stationTabu: Int32Array
  private readonly mark: Int32Array
  private readonly aside: Int32Array
  private readonly block: Int32Array
  private readonly segment: Int32Array
  private readonly newEnd: Int32Array
  private readonly local: Elite
  private readonly pool: Elite[] = []
  private stamp = 0
  private blockSize = 0
  private finish = 0
  private iteration = 0

  bestFinish: number
  readonly best: Elite

  constructor(
    private readonly p: Problem,
    order: ArrayLike<number>,
    choices: ArrayLike<number>,
    private readonly random: Random,
  ) {
    const n = p.n
    this.n = n
    const ints = (size = n + 1) => new Int32Array(size)
    this.choice = Int32Array.from(choices)
    this.station = ints()
    this.length = ints()
    this.before = ints()
    this.after = ints()
    this.end = ints()
    this.rest = ints()
    this.topo = ints(n)
    this.place = ints()
    this.first = ints(p.stations)
    this.jobBefore = ints().fill(n)
    this.jobAfter = ints().fill(n)
    this.ready = ints()
    this.lead = ints()
    this.arcTabu = ints(n * n)
    this.stationTabu = ints(n * p.stations)
    this.mark = ints()
    this.aside = ints()
    this.block = ints()
    this.segment = ints()
    this.newEnd = ints()
    this.end[n] = p.now
    const last: number[] = []
    for (let op = 0; op < n; op++) {
      const j = p.job[op]!
      if (op > p.jobFirst[j]!) {
        this.jobBefore[op] = op - 1
        this.lead[op] = p.gapMin[op - 1]!
      }
      if (op + 1 < p.jobFirst[j + 1]!) this.jobAfter[op] = op + 1
      else last.push(op)
      this.ready[op] = Math.max(p.now, p.release[j]!)
    }
    this.jobLast = Int32Array.from(last)
    this.changes = p.shop.stations.some(s => s.changeovers.length > 0)
    if (this.changes) {
      for (let s = 0; s < p.stations; s++) {
        const table = ints((n + 1) * (n + 1))
        for (let a = 0; a <= n; a++) {
          for (let b = 0; b < n; b++) {
            table[a * (n + 1) + b] = p.changeover(s, a === n ? p.state0[s]! : p.state[a]!, p.state[b]!)
          }
        }
        this.pairs.push(table)
      }
    }
    const rank = ints(n)
    for (let i = 0; i < order.length; i++) rank[order[i]!] = i
    this.load({ rank, choice: Int32Array.from(choices), finish: 0 })
    this.bestFinish = this.finish
    this.best = { rank: ints(n), choice: ints(n), finish: 0 }
    this.local = { rank: ints(n), choice: ints(n), finish: 0 }
    this.save(this.best)
  }

  /** Changeover between two steps on a station; a = n: from its first state, b = n: none. */
  private change(s: number, a: number, b: number): number {
    return this.changes ? this.pairs[s]![a * (this.n + 1) + b]! : 0
  }

  private load(from: Elite): void {
    const { n, p, before, after, station, length, choice, first, topo, place } = this
    choice.set(from.choice)
    for (let op = 0; op < n; op++) topo[op] = op
    topo.sort((a, b) => from.rank[a]! - from.rank[b]!)
    const last = new Int32Array(p.stations).fill(n)
    first.fill(n)
    for (let i = 0; i < n; i++) {
      const op = topo[i]!
      const c = choice[op]!
      const s = p.choiceStation[c]!
      place[op] = i
      station[op] = s
      length[op] = p.setup[c]! + p.run[c]!
      before[op] = last[s]!
      after[op] = n
      if (last[s]! < n) after[last[s]!] = op
      else first[s] = op
      last[s] = op
    }
    this.measure(0, n - 1)
  }

  private save(into: Elite): void {
    into.rank.set(this.place.subarray(0, this.n))
    into.choice.set(this.choice)
    into.finish = this.finish
  }

  /** Longest paths to every step from a place of the order on, and from every step up to a place. */
  private measure(from: number, to: number): void {
    const { n, topo, before, after, jobBefore, jobAfter, end, rest, length, ready, lead } = this
    if (this.changes) this.measureChanges(from, to)
    else {
      for (let i = from; i < n; i++) {
        const op = topo[i]!
        let h = end[jobBefore[op]!]! + lead[op]!
        if (ready[op]! > h) h = ready[op]!
        const m = end[before[op]!]!
        end[op] = Math.max(m, h) + length[op]!
      }
      for (let i = to; i >= 0; i--) {
        const op = topo[i]!
        const ja = jobAfter[op]!
        const q = rest[ja]! + lead[ja]!
        const m = rest[after[op]!]!
        rest[op] = Math.max(m, q) + length[op]!
      }
    }
    let finish = this.p.now
    for (const op of this.jobLast) if (end[op]! > finish) finish = end[op]!
    this.finish = finish
  }

  private measureChanges(from: number, to: number): void {
    const { n, topo, before, after, jobBefore, jobAfter, end, rest, length, ready, lead, station, pairs } =
      this
    const row = n + 1
    for (let i = from; i < n; i++) {
      const op = topo[i]!
      const mb = before[op]!
      let h = end[jobBefore[op]!]! + lead[op]!
      if (ready[op]! > h) h = ready[op]!
      const m = end[mb]! + pairs[station[op]!]![mb * row + op]!
      end[op] = Math.max(m, h) + length[op]!
    }
    for (let i = to; i >= 0; i--) {
      const op = topo[i]!
      const ja = jobAfter[op]!
      const ma = after[op]!
      const q = rest[ja]! + lead[ja]!
      const m = rest[ma]! + pairs[station[op]!]![op * row + ma]!
      rest[op] = Math.max(m, q) + length[op]!
    }
  }

  /** Goes on until the budget is spent to a share, or the finish is down to `lower`. May be called again to go on. */
  run(budget: Budget, lower: number, share: number, onBetter: () => void): void {
    const { random, pool } = this
    const patience = PATIENCE + PATIENCE_STEP * this.n
    if (pool.length === 0) this.keep(this.tabu(budget, lower, patience, onBetter))
    let stale = 0
    while (!budget.over && this.bestFinish > lower && budget.share < share) {
      if (pool.length < POOL) this.load(this.byChance())
      else {
        const a = random.below(pool.length)
        const b = (a + 1 + random.below(pool.length - 1)) % pool.length
        this.load(this.between(pool[a]!, pool[b]!))
      }
      const had = this.bestFinish
      this.keep(this.tabu(budget, lower, patience, onBetter))
      stale = this.bestFinish < had ? 0 : stale + 1
      if (stale > STALE) {
        // A pool of near copies leads nowhere new.
        stale = 0
        pool.sort((x, y) => x.finish - y.finish)
        pool.length = 2
      }
    }
  }

  /** The finish of the plan in which steps go in the order of these starts, on the stations of the best. Not kept for mixing: such plans are near copies. */
  offer(starts: ArrayLike<number>, onBetter: () => void): number {
    const { local } = this
    this.load(this.ranked(starts, this.best.choice))
    this.save(local)
    if (local.finish < this.bestFinish) this.noteBest(onBetter)
    return local.finish
  }

  private noteBest(onBetter: () => void): void {
    const { local, best } = this
    this.bestFinish = local.finish
    best.rank.set(local.rank)
    best.choice.set(local.choice)
    best.finish = local.finish
    onBetter()
  }

  private keep(found: Elite): void {
    const { pool } = this
    if (pool.some(x => x.finish === found.finish && x.rank.every((r, i) => r === found.rank[i]))) return
    const copy = { rank: found.rank.slice(), choice: found.choice.slice(), finish: found.finish }
    if (pool.length < POOL) pool.push(copy)
    else {
      const worst = pool.reduce((w, x, i) => (x.finish > pool[w]!.finish ? i : w), 0)
      if (copy.finish <= pool[worst]!.finish) pool[worst] = copy
    }
  }

  private byChance(): Elite {
    const { n, p, random } = this
    const key = new Float64Array(n)
    const choice = new Int32Array(n)
    for (let op = 0; op < n; op++) {
      const j = p.job[op]!
      const size = p.jobFirst[j + 1]! - p.jobFirst[j]!
      const at = op - p.jobFirst[j]!
      key[op] = (at + random.next()) / size
      const a = p.choiceFirst[op]!
      const count = p.choiceFirst[op + 1]! - a
      // The quicker of two drawn.
      const x = a + random.below(count)
      const y = a + random.below(count)
      choice[op] = p.setup[x]! + p.run[x]! <= p.setup[y]! + p.run[y]! ? x : y
    }
    return this.ranked(key, choice)
  }

  /** Half way from one solution to another: precedence that both share stays. */
  private between(a: Elite, b: Elite): Elite {
    const { n, random } = this
    const share = 0.3 + 0.4 * random.next()
    const key = new Float64Array(n)
    const choice = new Int32Array(n)
    for (let op = 0; op < n; op++) {
      key[op] = share * a.rank[op]! + (1 - share) * b.rank[op]!
      choice[op] = random.next() < share ? a.choice[op]! : b.choice[op]!
    }
    return this.ranked(key, choice)
  }

  private ranked(key: ArrayLike<number>, choice: Int32Array): Elite {
    const order = Array.from({ length: this.n }, (_, op) => op).sort((a, b) => key[a]! - key[b]! || a - b)
    const rank = new Int32Array(this.n)
    order.forEach((op, i) => {
      rank[op] = i
    })
    return { rank, choice, finish: 0 }
  }

  // The best move found in the present neighbourhood.
  private mKind = 0
  private mOp = -1
  private mAt = -1
  private mChoice = -1
  private mValue = 0
  private mTies = 0

  /** From the present solution until nothing better is met for so many moves. Its best stays in `local`. */
  private tabu(budget: Budget, lower: number, patience: number, onBetter: () => void): Elite {
    const { random, p, local } = this
    this.save(local)
    let idle = 0
    const tenure = 10 + Math.floor(p.jobs / Math.max(1, p.stations))
    const spread = Math.max(2, Math.floor(tenure * 0.4))
    let moves = 0
    while (idle < patience && ((moves++ & (BATCH - 1)) !== 0 || budget.spend(BATCH * WEIGHT))) {
      this.iteration++
      this.findMove(local.finish)
      if (this.mOp < 0) break
      this.apply(this.iteration + tenure + random.below(spread))
      idle++
      if (this.finish < local.finish) {
        this.save(local)
        idle = 0
        if (this.finish < this.bestFinish) {
          this.noteBest(onBetter)
          if (this.finish <= lower) break
        }
      }
    }
    // Old bans mean nothing to the next start.
    this.iteration += 4 * this.n
    return local
  }

  private findMove(aspiration: number): void {
    const { random, n, end, length, before, jobBefore, jobLast, station, block, lead } = this
    this.mOp = -1
    this.mValue = NEVER
    this.mTies = 0
    this.forcedOp = -1
    this.forcedSeen = 0
    // One critical path, drawn where it forks.
    let op = n
    let ties = 0
    for (const o of jobLast) if (end[o]! === this.finish && random.below(++ties) === 0) op = o
    this.blockSize = 0
    while (op !== n) {
      block[this.blockSize++] = op
      if (this.p.flexible) this.tryStations(op, aspiration)
      const jb = jobBefore[op]!
      const mb = before[op]!
      const head = end[op]! - length[op]!
      const byJob = jb !== n && end[jb]! + lead[op]! === head
      const byStation = mb !== n && end[mb]! + this.change(station[op]!, mb, op) === head
      if (byStation && (!byJob || random.next() < 0.5)) {
        op = mb
        continue
      }
      this.tryBlock(aspiration)
      this.blockSize = 0
      op = byJob ? jb : n
    }
    if (this.mOp < 0 && this.forcedOp >= 0) {
      // All moves are banned: one of them by chance.
      this.mOp = this.forcedOp
      this.mKind = this.forcedKind
      this.mAt = this.forcedAt
      this.mChoice = this.forcedChoice
    }
  }

  private forcedOp = -1
  private forcedKind = 0
  private forcedAt = -1
  private forcedChoice = -1
  private forcedSeen = 0

  private consider(
    kind: number,
    op: number,
    at: number,
    choice: number,
    value: number,
    banned: boolean,
    aspiration: number,
  ): void {
    if (banned && value >= aspiration) {
      this.forcedSeen++
      if (this.random.below(this.forcedSeen) === 0) {
        this.forcedKind = kind
        this.forcedOp = op
        this.forcedAt = at
        this.forcedChoice = choice
      }
      return
    }
    if (value > this.mValue) return
    if (value === this.mValue) {
      this.mTies++
      if (this.random.below(this.mTies) !== 0) return
    } else this.mTies = 1
    this.mValue = value
    this.mKind = kind
    this.mOp = op
    this.mAt = at
    this.mChoice = choice
  }

  /** Moves within a block; `block` holds it from its last step to its first. */
  private tryBlock(aspiration: number): void {
    const { block, changes, blockSize: size } = this
    if (size < 2) return
    for (let i = size - 1; i >= 0; i--) {
      for (let k = i - 1; k >= 0; k--) {
        // Without changeovers only moves to or from an end of the block can gain.
        if (!changes && k !== 0 && i !== size - 1 && size > 2) continue
        const u = block[i]!
        const v = block[k]!
        if (this.canFollow(u, v)) this.estimateAfter(u, v, aspiration)
        if (i - k > 1 && this.canLead(u, v)) this.estimateBefore(u, v, aspiration)
      }
    }
  }

  /** u may go right behind v: no way leads from the rest of u's job to v. */
  private canFollow(u: number, v: number): boolean {
    const ja = this.jobAfter[u]!
    return ja === this.n || this.place[ja]! > this.place[v]! || this.rest[v]! > this.rest[ja]!
  }

  /** v may go right ahead of u: no way leads from u to what comes before v in its job. */
  private canLead(u: number, v: number): boolean {
    const jb = this.jobBefore[v]!
    return jb === this.n || this.place[jb]! < this.place[u]! || this.end[u]! > this.end[jb]!
  }

  /** Longest path through the steps of `segment` in their new order; of no more interest once above `limit`. */
  private estimate(s: number, first: number, last: number, size: number, limit: number): number {
    const { segment, newEnd, end, rest, length, jobBefore, jobAfter, before, after, ready, lead } = this
    let previous = before[first]!
    let time = end[previous]!
    for (let i = 0; i < size; i++) {
      const op = segment[i]!
      const byStation = time + this.change(s, previous, op)
      let h = end[jobBefore[op]!]! + lead[op]!
      if (ready[op]! > h) h = ready[op]!
      if (byStation > h) h = byStation
      time = h + length[op]!
      newEnd[i] = time
      previous = op
    }
    let next = after[last]!
    let q = rest[next]!
    let worst = 0
    for (let i = size - 1; i >= 0; i--) {
      const op = segment[i]!
      const ja = jobAfter[op]!
      const byJob = rest[ja]! + lead[ja]!
      let t = q + this.change(s, op, next)
      if (byJob > t) t = byJob
      const value = newEnd[i]! + t
      if (value > worst) {
        worst = value
        if (worst > limit) break
      }
      q = t + length[op]!
      next = op
    }
    return worst
  }

  private estimateAfter(u: number, v: number, aspiration: number): void {
    const { segment, after, arcTabu, n, iteration } = this
    let size = 0
    let banned = false
    for (let x = after[u]!; ; x = after[x]!) {
      segment[size++] = x
      // x would come before u again.
      if (arcTabu[x * n + u]! > iteration) banned = true
      if (x === v) break
    }
    segment[size++] = u
    const limit = banned ? aspiration : this.mValue
    this.consider(1, u, v, -1, this.estimate(this.station[u]!, u, v, size, limit), banned, aspiration)
  }

  private estimateBefore(u: number, v: number, aspiration: number): void {
    const { segment, after, arcTabu, n, iteration } = this
    let size = 0
    let banned = false
    segment[size++] = v
    for (let x = u; x !== v; x = after[x]!) {
      segment[size++] = x
      if (arcTabu[v * n + x]! > iteration) banned = true
    }
    const limit = banned ? aspiration : this.mValue
    this.consider(2, v, u, -1, this.estimate(this.station[u]!, u, v, size, limit), banned, aspiration)
  }

  /** Places of a critical step on its other stations. */
  private tryStations(u: number, aspiration: number): void {
    const { p, n, first, after, end, rest, length, jobBefore, jobAfter, ready, lead, station, place } = this
    const jb = jobBefore[u]!
    const ja = jobAfter[u]!
    const byJob = Math.max(end[jb]! + lead[u]!, ready[u]!)
    const tailByJob = rest[ja]! + lead[ja]!
    // What begins earlier than the step before u has its end cannot be held up by it, and so on behind.
    const headBefore = jb === n ? -NEVER : end[jb]! - length[jb]!
    for (let c = p.choiceFirst[u]!; c < p.choiceFirst[u + 1]!; c++) {
      const s = p.choiceStation[c]!
      if (s === station[u]) continue
      const banned = this.stationTabu[u * p.stations + s]! > this.iteration
      const size = p.setup[c]! + p.run[c]!
      let x = n
      for (let y = first[s]!; ; y = after[y]!) {
        // Not behind what follows from u's job, not ahead of what leads to it.
        if (x !== n && ja !== n && place[x]! >= place[ja]! && end[x]! - length[x]! >= end[ja]!) break
        if (x === ja && ja !== n) break
        if (y === n || jb === n || place[y]! > place[jb]! || end[y]! > headBefore) {
          if (y !== jb || jb === n) {
            const byStation = end[x]! + this.change(s, x, u)
            const q = rest[y]! + this.change(s, u, y)
            const value = Math.max(byJob, byStation) + size + Math.max(tailByJob, q)
            this.consider(3, u, x, c, value, banned, aspiration)
          }
        }
        if (y === n) break
        x = y
      }
    }
  }

  private apply(until: number): void {
    const { mKind, mOp, mAt, mChoice, before, after, station, arcTabu, stationTabu, n, p, choice, length } =
      this
    const { place } = this
    const s = station[mOp]!
    const from = place[mOp]!
    let behind = mAt
    if (mKind === 1)
      for (let x = after[mOp]!; ; x = after[x]!) {
        arcTabu[mOp * n + x] = until
        if (x === mAt) break
      }
    else if (mKind === 2) {
      for (let x = mAt; x !== mOp; x = after[x]!) arcTabu[x * n + mOp] = until
      behind = before[mAt]!
    } else {
      stationTabu[mOp * p.stations + s] = until
      choice[mOp] = mChoice
      station[mOp] = p.choiceStation[mChoice]!
      length[mOp] = p.setup[mChoice]! + p.run[mChoice]!
    }
    this.unlink(mOp, s)
    this.link(mOp, station[mOp]!, behind)
    const ahead = after[mOp]!
    let lo = from
    let hi = from
    if (behind !== n && place[behind]! > from) {
      hi = place[behind]!
      this.shiftBack(mOp, from, hi)
    } else if (ahead !== n && place[ahead]! < from) {
      lo = place[ahead]!
      this.shiftAhead(mOp, lo, from)
    }
    this.measure(lo, hi)
  }

  /** Puts a step behind place `to` of the order, and with it what follows from it. */
  private shiftBack(op: number, from: number, to: number): void {
    const { topo, mark, aside, before, jobBefore } = this
    const stamp = ++this.stamp
    mark[op] = stamp
    let moved = 0
    for (let i = from + 1; i <= to; i++) {
      const x = topo[i]!
      if (mark[jobBefore[x]!] === stamp || mark[before[x]!] === stamp) {
        mark[x] = stamp
        aside[moved++] = x
      }
    }
    let at = from
    for (let i = from + 1; i <= to; i++) {
      const x = topo[i]!
      if (mark[x] !== stamp) this.put(x, at++)
    }
    this.put(op, at++)
    for (let i = 0; i < moved; i++) this.put(aside[i]!, at++)
  }

  /** Puts a step ahead of place `from` of the order, and with it what leads to it. */
  private shiftAhead(op: number, from: number, to: number): void {
    const { topo, mark, aside, after, jobAfter } = this
    const stamp = ++this.stamp
    mark[op] = stamp
    let moved = 0
    for (let i = to - 1; i >= from; i--) {
      const x = topo[i]!
      if (mark[jobAfter[x]!] === stamp || mark[after[x]!] === stamp) {
        mark[x] = stamp
        aside[moved++] = x
      }
    }
    let at = to
    for (let i = to - 1; i >= from; i--) {
      const x = topo[i]!
      if (mark[x] !== stamp) this.put(x, at--)
    }
    this.put(op, at--)
    for (let i = 0; i < moved; i++) this.put(aside[i]!, at--)
  }

  private put(op: number, at: number): void {
    this.topo[at] = op
    this.place[op] = at
  }

  private unlink(op: number, s: number): void {
    const { n, before, after, first } = this
    const b = before[op]!
    const a = after[op]!
    if (b !== n) after[b] = a
    else first[s] = a
    if (a !== n) before[a] = b
  }

  /** Puts a step right behind another on a station; n: at its front. */
  private link(op: number, s: number, behind: number): void {
    const { n, before, after, first } = this
    const a = behind !== n ? after[behind]! : first[s]!
    before[op] = behind
    after[op] = a
    if (behind !== n) after[behind] = op
    else first[s] = op
    if (a !== n) before[a] = op
  }
}
