import type { Budget } from './budget'
import type { Problem } from './problem'
import type { Random } from './random'

/** Moves of the graph are weighed that much faster than whole plans. */
const WEIGHT = 1 / 16
const POOL = 10
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
 * Gambardella 2000); estimates from heads and tails, so that no move is built before it is taken. Starts come from
 * mixing two good solutions (path relinking as in Peng, Lü, Cheng 2015).
 */
export class GraphSearch {
  private readonly n: number
  private readonly choice: Int32Array
  private readonly station: Int32Array
  private readonly length: Int32Array
  private readonly before: Int32Array
  private readonly after: Int32Array
  private readonly head: Int32Array
  private readonly tail: Int32Array
  private readonly topo: Int32Array
  private readonly waiting: Int32Array
  private readonly first: Int32Array
  private readonly jobBefore: Int32Array
  private readonly jobAfter: Int32Array
  private readonly ready: Int32Array
  private readonly lead: Int32Array
  private readonly changes: boolean
  private readonly pairs: Int32Array[] = []
  private readonly arcTabu: Int32Array
  private readonly stationTabu: Int32Array
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
    const ints = (size = n) => new Int32Array(size)
    this.choice = Int32Array.from(choices)
    this.station = ints()
    this.length = ints()
    this.before = ints()
    this.after = ints()
    this.head = ints()
    this.tail = ints()
    this.topo = ints()
    this.waiting = ints()
    this.first = ints(p.stations)
    this.jobBefore = ints().fill(-1)
    this.jobAfter = ints().fill(-1)
    this.ready = ints()
    this.lead = ints()
    this.arcTabu = ints(n * n)
    this.stationTabu = ints(n * p.stations)
    for (let op = 0; op < n; op++) {
      const j = p.job[op]!
      if (op > p.jobFirst[j]!) {
        this.jobBefore[op] = op - 1
        this.lead[op] = p.gapMin[op - 1]!
      }
      if (op + 1 < p.jobFirst[j + 1]!) this.jobAfter[op] = op + 1
      this.ready[op] = Math.max(p.now, p.release[j]!)
    }
    this.changes = p.shop.stations.some(s => s.changeovers.length > 0)
    if (this.changes) {
      for (let s = 0; s < p.stations; s++) {
        const table = ints((n + 1) * n)
        for (let a = 0; a <= n; a++) {
          for (let b = 0; b < n; b++) {
            table[a * n + b] = p.changeover(s, a === n ? p.state0[s]! : p.state[a]!, p.state[b]!)
          }
        }
        this.pairs.push(table)
      }
    }
    const rank = ints()
    for (let i = 0; i < order.length; i++) rank[order[i]!] = i
    this.load({ rank, choice: Int32Array.from(choices), finish: 0 })
    this.bestFinish = this.finish
    this.best = this.save()
  }

  /** Changeover between two steps on a station; a = -1: from its first state. */
  private change(s: number, a: number, b: number): number {
    return this.changes ? this.pairs[s]![(a < 0 ? this.n : a) * this.n + b]! : 0
  }

  private load(from: Elite): void {
    const { n, p, before, after, station, length, choice, first } = this
    choice.set(from.choice)
    const order = Array.from({ length: n }, (_, i) => i).sort((a, b) => from.rank[a]! - from.rank[b]!)
    const last = new Int32Array(p.stations).fill(-1)
    first.fill(-1)
    for (const op of order) {
      const c = choice[op]!
      const s = p.choiceStation[c]!
      station[op] = s
      length[op] = p.setup[c]! + p.run[c]!
      before[op] = last[s]!
      after[op] = -1
      if (last[s]! >= 0) after[last[s]!] = op
      else first[s] = op
      last[s] = op
    }
    this.measure()
  }

  private save(): Elite {
    const rank = new Int32Array(this.n)
    for (let i = 0; i < this.n; i++) rank[this.topo[i]!] = i
    return { rank, choice: this.choice.slice(), finish: this.finish }
  }

  /** Heads, tails and finish. False where the arcs go in a circle. */
  private measure(): boolean {
    const { n, topo, waiting, before, after, jobBefore, jobAfter, head, tail, length, ready, lead, station } =
      this
    let count = 0
    for (let op = 0; op < n; op++) {
      const w = (before[op]! >= 0 ? 1 : 0) + (jobBefore[op]! >= 0 ? 1 : 0)
      waiting[op] = w
      if (w === 0) topo[count++] = op
    }
    let finish = this.p.now
    for (let i = 0; i < count; i++) {
      const op = topo[i]!
      const jb = jobBefore[op]!
      const mb = before[op]!
      let h = jb >= 0 ? head[jb]! + length[jb]! + lead[op]! : ready[op]!
      const m =
        mb >= 0
          ? head[mb]! + length[mb]! + this.change(station[op]!, mb, op)
          : this.p.now + this.change(station[op]!, -1, op)
      if (m > h) h = m
      head[op] = h
      if (h + length[op]! > finish) finish = h + length[op]!
      const ja = jobAfter[op]!
      if (ja >= 0 && --waiting[ja]! === 0) topo[count++] = ja
      const ma = after[op]!
      if (ma >= 0 && --waiting[ma]! === 0) topo[count++] = ma
    }
    if (count < n) return false
    for (let i = n - 1; i >= 0; i--) {
      const op = topo[i]!
      const ja = jobAfter[op]!
      const ma = after[op]!
      let q = ja >= 0 ? tail[ja]! + length[ja]! + lead[ja]! : 0
      if (ma >= 0) {
        const m = tail[ma]! + length[ma]! + this.change(station[op]!, op, ma)
        if (m > q) q = m
      }
      tail[op] = q
    }
    this.finish = finish
    return true
  }

  private readonly pool: Elite[] = []

  /** Goes on until the budget is spent to a share, or the finish is down to `lower`. May be called again to go on. */
  run(budget: Budget, lower: number, share: number, onBetter: () => void): void {
    const { random, pool } = this
    const patience = 1500 + 12 * this.n
    const keep = (e: Elite) => {
      if (pool.some(x => x.finish === e.finish && x.rank.every((r, i) => r === e.rank[i]))) return
      if (pool.length < POOL) pool.push(e)
      else {
        const worst = pool.reduce((w, x, i) => (x.finish > pool[w]!.finish ? i : w), 0)
        if (e.finish <= pool[worst]!.finish) pool[worst] = e
      }
    }
    if (pool.length === 0) keep(this.tabu(budget, lower, patience, onBetter))
    let stale = 0
    while (!budget.over && this.bestFinish > lower && budget.share < share) {
      if (pool.length < POOL) this.load(this.byChance())
      else {
        const a = random.below(pool.length)
        const b = (a + 1 + random.below(pool.length - 1)) % pool.length
        this.load(this.between(pool[a]!, pool[b]!))
      }
      const had = this.bestFinish
      keep(this.tabu(budget, lower, patience, onBetter))
      stale = this.bestFinish < had ? 0 : stale + 1
      if (stale > 40) {
        // A pool of near copies leads nowhere new.
        stale = 0
        pool.sort((x, y) => x.finish - y.finish)
        pool.length = 2
      }
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

  private ranked(key: Float64Array, choice: Int32Array): Elite {
    const order = Array.from(key.keys()).sort((a, b) => key[a]! - key[b]! || a - b)
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

  private tabu(budget: Budget, lower: number, patience: number, onBetter: () => void): Elite {
    const { n, random, p } = this
    let local = this.save()
    let idle = 0
    const tenure = 10 + Math.floor(p.jobs / Math.max(1, p.stations))
    while (idle < patience && budget.spend(WEIGHT)) {
      this.iteration++
      this.findMove(local.finish)
      if (this.mOp < 0) break
      const until = this.iteration + tenure + random.below(Math.max(2, Math.floor(tenure * 0.4)))
      if (!this.apply(until)) break
      idle++
      if (this.finish < local.finish) {
        local = this.save()
        idle = 0
        if (this.finish < this.bestFinish) {
          this.bestFinish = this.finish
          this.best.rank.set(local.rank)
          this.best.choice.set(local.choice)
          this.best.finish = this.finish
          onBetter()
          if (this.finish <= lower) break
        }
      }
    }
    // Old bans mean nothing to the next start.
    this.iteration += 4 * n
    return local
  }

  private readonly block: number[] = []

  private findMove(localBest: number): void {
    const { random, head, length, before, jobBefore, station, block, lead, n } = this
    this.mOp = -1
    this.mValue = Number.POSITIVE_INFINITY
    this.mTies = 0
    // One critical path, drawn where it forks.
    let op = -1
    let ties = 0
    for (let o = 0; o < n; o++) {
      if (head[o]! + length[o]! !== this.finish) continue
      ties++
      if (random.below(ties) === 0) op = o
    }
    const aspiration = localBest
    block.length = 0
    for (; op >= 0; ) {
      block.push(op)
      if (this.p.flexible) this.tryStations(op, aspiration)
      const jb = jobBefore[op]!
      const mb = before[op]!
      const byJob = jb >= 0 && head[jb]! + length[jb]! + lead[op]! === head[op]
      const byStation = mb >= 0 && head[mb]! + length[mb]! + this.change(station[op]!, mb, op) === head[op]
      if (byStation && (!byJob || random.next() < 0.5)) {
        op = mb
        continue
      }
      this.tryBlock(aspiration)
      block.length = 0
      op = byJob ? jb : -1
    }
    if (this.mOp < 0 && this.forcedOp >= 0) {
      // All moves are banned: one of them by chance.
      this.mOp = this.forcedOp
      this.mKind = this.forcedKind
      this.mAt = this.forcedAt
      this.mChoice = this.forcedChoice
    }
    this.forcedOp = -1
    this.forcedSeen = 0
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
    const { block, changes } = this
    const size = block.length
    if (size < 2) return
    for (let i = size - 1; i >= 0; i--) {
      for (let k = i - 1; k >= 0; k--) {
        const u = block[i]!
        const v = block[k]!
        const ends = k === 0 || i === size - 1
        // Without changeovers only moves to or from an end of the block can gain.
        if (!changes && !ends && size > 2) continue
        if (this.canFollow(u, v)) this.estimateAfter(u, v, aspiration)
        if (i - k > 1 && this.canLead(u, v)) this.estimateBefore(u, v, aspiration)
      }
    }
  }

  /** u may go right behind v: no way leads from the rest of u's job to v. */
  private canFollow(u: number, v: number): boolean {
    const ja = this.jobAfter[u]!
    if (ja < 0) return true
    return (
      this.tail[v]! + this.length[v]! >= this.tail[ja]! + this.length[ja]! &&
      ja !== v &&
      this.head[v]! < this.head[ja]! + this.length[ja]!
    )
  }

  /** v may go right ahead of u: no way leads from u to what comes before v in its job. */
  private canLead(u: number, v: number): boolean {
    const jb = this.jobBefore[v]!
    if (jb < 0) return true
    return this.head[u]! + this.length[u]! >= this.head[jb]! + this.length[jb]! && jb !== u
  }

  private readonly segment: number[] = []
  private readonly newHead: number[] = []

  private estimate(s: number, first: number, last: number): number {
    const { segment, newHead, head, tail, length, jobBefore, jobAfter, before, after, ready, lead } = this
    const size = segment.length
    let previous = before[first]!
    let end = previous >= 0 ? head[previous]! + length[previous]! : this.p.now
    for (let i = 0; i < size; i++) {
      const op = segment[i]!
      const jb = jobBefore[op]!
      const byJob = jb >= 0 ? head[jb]! + length[jb]! + lead[op]! : ready[op]!
      const byStation = end + this.change(s, previous, op)
      const h = Math.max(byJob, byStation)
      newHead[i] = h
      end = h + length[op]!
      previous = op
    }
    let next = after[last]!
    let q = next >= 0 ? tail[next]! + length[next]! : 0
    let worst = 0
    for (let i = size - 1; i >= 0; i--) {
      const op = segment[i]!
      const ja = jobAfter[op]!
      const byJob = ja >= 0 ? tail[ja]! + length[ja]! + lead[ja]! : 0
      const byStation = next >= 0 ? q + this.change(s, op, next) : 0
      const t = Math.max(byJob, byStation)
      const value = newHead[i]! + length[op]! + t
      if (value > worst) worst = value
      q = t + length[op]!
      next = op
    }
    return worst
  }

  private estimateAfter(u: number, v: number, aspiration: number): void {
    const { segment, after, arcTabu, n, iteration } = this
    segment.length = 0
    let banned = false
    for (let x = after[u]!; ; x = after[x]!) {
      segment.push(x)
      // x would come before u again.
      if (arcTabu[x * n + u]! > iteration) banned = true
      if (x === v) break
    }
    segment.push(u)
    this.consider(1, u, v, -1, this.estimate(this.station[u]!, u, v), banned, aspiration)
  }

  private estimateBefore(u: number, v: number, aspiration: number): void {
    const { segment, after, arcTabu, n, iteration } = this
    segment.length = 0
    segment.push(v)
    let banned = false
    for (let x = u; x !== v; x = after[x]!) {
      segment.push(x)
      if (arcTabu[v * n + x]! > iteration) banned = true
    }
    this.consider(2, v, u, -1, this.estimate(this.station[u]!, u, v), banned, aspiration)
  }

  /** Places of a critical step on its other stations. */
  private tryStations(u: number, aspiration: number): void {
    const {
      p,
      first,
      after,
      head,
      tail,
      length,
      jobBefore,
      jobAfter,
      ready,
      lead,
      station,
      stationTabu,
      iteration,
    } = this
    const jb = jobBefore[u]!
    const ja = jobAfter[u]!
    const byJob = jb >= 0 ? head[jb]! + length[jb]! + lead[u]! : ready[u]!
    const tailByJob = ja >= 0 ? tail[ja]! + length[ja]! + lead[ja]! : 0
    for (let c = p.choiceFirst[u]!; c < p.choiceFirst[u + 1]!; c++) {
      const s = p.choiceStation[c]!
      if (s === station[u]) continue
      const banned = stationTabu[u * p.stations + s]! > iteration
      const size = p.setup[c]! + p.run[c]!
      let x = -1
      for (let y = first[s]!; ; y = after[y]!) {
        // Not behind what follows from u's job, not ahead of what leads to it.
        if (x >= 0 && ja >= 0 && (x === ja || head[x]! >= head[ja]! + length[ja]!)) break
        const ok = y < 0 || jb < 0 || (y !== jb && head[y]! + length[y]! > head[jb]!)
        if (ok) {
          const byStation = (x >= 0 ? head[x]! + length[x]! : p.now) + this.change(s, x, u)
          const q = y >= 0 ? tail[y]! + length[y]! + this.change(s, u, y) : 0
          const value = Math.max(byJob, byStation) + size + Math.max(tailByJob, q)
          this.consider(3, u, x, c, value, banned, aspiration)
        }
        if (y < 0) break
        x = y
      }
    }
  }

  private apply(until: number): boolean {
    const { mKind, mOp, mAt, mChoice, before, after, station, arcTabu, stationTabu, n, p, choice, length } =
      this
    const s = station[mOp]!
    const oldBefore = before[mOp]!
    const oldChoice = choice[mOp]!
    let target = mAt
    if (mKind === 1)
      for (let x = after[mOp]!; ; x = after[x]!) {
        arcTabu[mOp * n + x] = until
        if (x === mAt) break
      }
    else if (mKind === 2) {
      for (let x = mAt; x !== mOp; x = after[x]!) arcTabu[x * n + mOp] = until
      target = before[mAt]!
    } else {
      stationTabu[mOp * p.stations + s] = until
      choice[mOp] = mChoice
      station[mOp] = p.choiceStation[mChoice]!
      length[mOp] = p.setup[mChoice]! + p.run[mChoice]!
    }
    this.unlink(mOp, s)
    this.link(mOp, station[mOp]!, target)
    if (this.measure()) return true
    // A circle after all: back, and from another start.
    this.unlink(mOp, station[mOp]!)
    choice[mOp] = oldChoice
    station[mOp] = s
    length[mOp] = p.setup[oldChoice]! + p.run[oldChoice]!
    this.link(mOp, s, oldBefore)
    this.measure()
    return false
  }

  private unlink(op: number, s: number): void {
    const { before, after, first } = this
    const b = before[op]!
    const a = after[op]!
    if (b >= 0) after[b] = a
    else first[s] = a
    if (a >= 0) before[a] = b
  }

  /** Puts a step right behind another on a station; -1: at its front. */
  private link(op: number, s: number, behind: number): void {
    const { before, after, first } = this
    const a = behind >= 0 ? after[behind]! : first[s]!
    before[op] = behind
    after[op] = a
    if (behind >= 0) after[behind] = op
    else first[s] = op
    if (a >= 0) before[a] = op
  }
}
