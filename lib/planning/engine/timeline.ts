import { Fit } from './fit'
import { NEVER, NOT, type Problem } from './problem'

const FIELDS = 12
const EVERY = 12
/** Going back for a longest gap is given up after this many times in one pass. */
const MOST_RETURNS = 400
const TRIES = 3

export const OPEN = 0
export const PLACED = 1
export const LEFT_OUT = 2

/** What the work of a run waited for. */
export const BY_JOB = 0
export const BY_STATION = 1
export const BY_CREW = 2

/**
 * Times for an order of steps. Steps are taken one by one; each goes behind what already stands on its station and
 * behind what its crew member already does, as early as hours, changeovers and gaps allow. Every plan whose steps are
 * listed by the start of their work comes out again, no run later: so the best order gives a best plan.
 * State is kept at regular points of the order, so that a change late in the order costs only what follows it.
 */
export class Timeline extends Fit {
  readonly order: Int32Array
  readonly position: Int32Array
  count: number

  /** Choice a step is bound to; -1: whichever ends first. */
  readonly fixed: Int32Array
  /** Member a step goes to where possible; -1: whoever ends first. */
  readonly wanted: Int32Array
  /** Steps go to the member they are wanted for, or to nobody. */
  strict = false
  /** Work not before. */
  readonly notBefore: Int32Array
  readonly dropped: Uint8Array

  readonly status: Int32Array
  readonly start: Int32Array
  readonly work: Int32Array
  readonly setupEnd: Int32Array
  readonly end: Int32Array
  readonly choice: Int32Array
  readonly member: Int32Array
  readonly changeover: Int32Array
  readonly stationBefore: Int32Array
  readonly crewBefore: Int32Array
  readonly waitedFor: Int32Array
  /** Counts up along each station: tells runs apart that share a minute. */
  readonly turn: Int32Array
  private readonly all: Int32Array

  private readonly width: number
  private readonly now: Int32Array
  private readonly free: Int32Array
  private readonly state: Int32Array
  private readonly last: Int32Array
  private readonly keptNext: Int32Array
  private readonly crewFree: Int32Array
  private readonly crewLast: Int32Array
  private readonly snapshots: Int32Array
  private readonly reservedFrom: number[][]
  private readonly reservedTo: number[][]
  readonly keptMember: Int32Array
  /** Somebody must be on the kept run: for its work, or for the changeover that came to stand before it. */
  readonly keptNeeds: Uint8Array
  /** The kept run finds too few open minutes. */
  readonly keptBeyond: Uint8Array
  /** The kept run stands changed over and waits for its member. */
  readonly keptWaits: Uint8Array
  /** When the member is held by the kept run. */
  private readonly keptFrom: Int32Array
  private readonly keptTo: Int32Array
  /** Latest end of a step whose next step is kept, and earliest end where a longest gap follows. */
  private readonly endBy: Int32Array
  private readonly endFrom: Int32Array

  private returns = 0
  /** Position up to which the present pass must go. */
  private reach = 0
  private readonly returned: Int32Array
  /** Leaves changeovers out, to ask what is possible at all. */
  bare = false

  /** Outcome of the last `choose`. */
  private cChoice = -1
  private cMember = -1
  private cStart = 0
  cWork = 0
  private cSetupEnd = 0
  cEnd = 0
  private cCrewTo = 0
  private cChangeover = 0
  private cWaited = 0
  private cKeptNext = 0
  private found = false
  private bestEnd = 0
  private bestSlack = 0

  constructor(p: Problem) {
    super(p)
    const n = p.n
    this.order = new Int32Array(n)
    this.position = new Int32Array(n).fill(-1)
    this.count = 0
    this.fixed = new Int32Array(n).fill(-1)
    this.wanted = new Int32Array(n).fill(-1)
    this.notBefore = new Int32Array(n).fill(-NEVER)
    this.dropped = new Uint8Array(p.jobs)
    this.all = new Int32Array(n * FIELDS)
    this.returned = new Int32Array(n)
    let f = 0
    const field = () => this.all.subarray(f * n, ++f * n)
    this.status = field()
    this.start = field()
    this.work = field()
    this.setupEnd = field()
    this.end = field()
    this.choice = field()
    this.member = field()
    this.changeover = field()
    this.stationBefore = field()
    this.crewBefore = field()
    this.waitedFor = field()
    this.turn = field()

    const s = p.stations
    const m = p.crew
    this.width = 4 * s + 2 * m
    this.now = new Int32Array(this.width)
    this.free = this.now.subarray(0, s)
    this.state = this.now.subarray(s, 2 * s)
    this.last = this.now.subarray(2 * s, 3 * s)
    this.keptNext = this.now.subarray(3 * s, 4 * s)
    this.crewFree = this.now.subarray(4 * s, 4 * s + m)
    this.crewLast = this.now.subarray(4 * s + m, 4 * s + 2 * m)
    this.snapshots = new Int32Array(this.width * (Math.floor(n / EVERY) + 2))

    this.reservedFrom = p.shop.crew.map(() => [])
    this.reservedTo = p.shop.crew.map(() => [])
    this.keptMember = new Int32Array(p.kept.length).fill(-1)
    this.keptNeeds = new Uint8Array(p.kept.length)
    this.keptBeyond = new Uint8Array(p.kept.length)
    this.keptWaits = new Uint8Array(p.kept.length)
    this.keptFrom = new Int32Array(p.kept.length)
    this.keptTo = new Int32Array(p.kept.length)
    this.endBy = new Int32Array(n).fill(NEVER)
    this.endFrom = new Int32Array(n).fill(-NEVER)
    this.reserveKept()
    this.clear()
  }

  /** Takes over order, bindings and times. */
  copyFrom(other: Timeline): void {
    this.order.set(other.order)
    this.position.set(other.position)
    this.count = other.count
    this.fixed.set(other.fixed)
    this.wanted.set(other.wanted)
    if (this.p.limitedGaps || this.holds || other.holds) this.notBefore.set(other.notBefore)
    this.holds = other.holds
    this.strict = other.strict
    this.dropped.set(other.dropped)
    this.all.set(other.all)
    this.snapshots.set(other.snapshots)
  }

  /** Whether some step is held back by `notBefore` for a reason other than gaps. */
  holds = false

  /** An empty timeline with the kept runs that already began. */
  clear(): void {
    this.count = 0
    this.position.fill(-1)
    this.status.fill(OPEN)
    this.resetResources()
    this.snapshots.set(this.now, 0)
  }

  private resetResources(): void {
    const { p } = this
    this.free.fill(-NEVER)
    this.crewFree.fill(-NEVER)
    this.last.fill(-1)
    this.crewLast.fill(-1)
    this.keptNext.fill(0)
    this.state.set(p.state0)
    for (let s = 0; s < p.stations; s++) {
      const list = p.keptAt[s]!
      while (this.keptNext[s]! < list.length && p.kept[list[this.keptNext[s]!]!]!.start <= p.now)
        this.commitKept(s)
    }
  }

  setOrder(order: ArrayLike<number>, count = order.length): void {
    this.count = count
    this.position.fill(-1)
    for (let i = 0; i < count; i++) {
      const op = order[i]!
      this.order[i] = op
      this.position[op] = i
    }
  }

  /**
   * Times for the whole order, or from a position on, where all before it is unchanged. Where what lies behind `changed` was
   * decoded before, it is left alone as soon as nothing can reach it any more.
   */
  decode(from = 0, changed = this.count): void {
    this.returns = 0
    if (this.p.limitedGaps) this.returned.fill(0)
    let i = this.rewind(from)
    const { order, width, snapshots } = this
    this.reach = changed
    while (i < this.count) {
      if (i % EVERY === 0) {
        const at = (i / EVERY) * width
        if (i > this.reach && this.sameAsBefore(at)) {
          this.leaveKept()
          return
        }
        snapshots.set(this.now, at)
      }
      const back = this.place(order[i]!)
      if (back < 0) i++
      else i = this.rewind(this.delayed(back, i))
    }
    this.finishKept()
  }

  /**
   * From where to go on when a step was delayed for the one at position i. What stands between the two may keep them apart
   * for ever: after some tries they are taken one right behind the other.
   */
  private delayed(op: number, i: number): number {
    const { order, position } = this
    const at = position[op]!
    // What is kept of the states up to here is of this pass, not of an earlier one.
    if (i > this.reach) this.reach = i
    if (++this.returned[op]! % TRIES === 0 && at < i - 1) {
      for (let k = at; k < i - 1; k++) {
        order[k] = order[k + 1]!
        position[order[k]!] = k
      }
      order[i - 1] = op
      position[op] = i - 1
      this.notBefore[op] = -NEVER
    }
    return at
  }

  /** Goes back to the last kept state at or before a position, and returns that position. */
  private rewind(position: number): number {
    const k = Math.floor(position / EVERY)
    if (k === 0) this.resetResources()
    else this.now.set(this.snapshots.subarray(k * this.width, (k + 1) * this.width))
    const from = k * EVERY
    // Kept runs committed behind this point must be committed anew.
    const { p } = this
    for (let s = 0; s < p.stations; s++) {
      const list = p.keptAt[s]!
      for (let i = this.keptNext[s]!; i < list.length; i++) this.status[p.kept[list[i]!]!.op] = OPEN
    }
    return from
  }

  /** The kept runs still to come stand as they stood. */
  private leaveKept(): void {
    const { p } = this
    for (let s = 0; s < p.stations; s++) {
      const list = p.keptAt[s]!
      for (let i = this.keptNext[s]!; i < list.length; i++) this.status[p.kept[list[i]!]!.op] = PLACED
    }
  }

  private sameAsBefore(at: number): boolean {
    const { now, snapshots, width } = this
    for (let k = 0; k < width; k++) if (now[k] !== snapshots[at + k]) return false
    return true
  }

  private finishKept(): void {
    for (let s = 0; s < this.p.stations; s++) {
      const list = this.p.keptAt[s]!
      while (this.keptNext[s]! < list.length) this.commitKept(s)
    }
  }

  /** Puts the next kept run of a station where it stays. */
  private commitKept(s: number): void {
    const { p } = this
    const index = p.keptAt[s]![this.keptNext[s]!]!
    this.keptNext[s]!++
    const { op, choice, start } = p.kept[index]!
    const m = this.keptMember[index]!
    const co = p.changeover(s, this.state[s]!, p.state[op]!)
    const coAttended = co > 0 && p.changeoverAttended(s, this.state[s]!, p.state[op]!)
    this.timeKept(op, choice, s, m, start, co, coAttended)
    if (this.oEnd !== this.end[op]!) this.touch(op)
    this.status[op] = PLACED
    this.start[op] = start
    this.work[op] = this.oWork
    this.setupEnd[op] = this.oSetupEnd
    this.end[op] = this.oEnd
    this.choice[op] = choice
    this.keptNeeds[index] = p.attended[op] !== NOT || coAttended ? 1 : 0
    this.keptBeyond[index] = this.oBeyond ? 1 : 0
    this.keptWaits[index] = this.oWaits ? 1 : 0
    this.keptFrom[index] = this.oCrewFrom
    this.keptTo[index] = this.oCrewTo
    this.member[op] = this.keptNeeds[index] === 1 ? m : -1
    this.changeover[op] = co
    this.stationBefore[op] = this.last[s]!
    this.crewBefore[op] = -1
    this.waitedFor[op] = BY_JOB
    this.turn[op] = this.last[s]! >= 0 ? this.turn[this.last[s]!]! + 1 : 0
    if (this.oEnd > this.free[s]!) this.free[s] = this.oEnd
    if (p.state[op]! >= 0) this.state[s] = p.state[op]!
    this.last[s] = op
  }

  /** Gives every kept run its member and keeps that member's time free, for the longest its changeover may take. */
  private reserveKept(): void {
    const { p } = this
    const byStart = p.kept.map((_k, i) => i).sort((a, b) => p.kept[a]!.start - p.kept[b]!.start || a - b)
    const state = Int32Array.from(p.state0)
    for (const i of byStart) {
      const { op, station: s, choice, start, given } = p.kept[i]!
      // What stands before a run already begun is known; before a later one anything may come.
      const began = start <= p.now
      const co = began ? p.changeover(s, state[s]!, p.state[op]!) : p.longestInto(s, p.state[op]!)
      const coAttended =
        co > 0 &&
        (began ? p.changeoverAttended(s, state[s]!, p.state[op]!) : this.someAttendedInto(s, p.state[op]!))
      if (p.state[op]! >= 0) state[s] = p.state[op]!
      if (p.attended[op]! !== NOT || coAttended) {
        let best = -1
        let bestEnd = NEVER
        let bestBeyond = true
        const named = given.crew ? p.shop.crew.findIndex(m => m.id === given.crew) : -1
        const candidates = named >= 0 ? [named] : p.able[s]!
        for (const m of candidates) {
          this.timeKept(op, choice, s, m, start, co, coAttended)
          if (named < 0 && this.reservedOverlap(m, this.oCrewFrom, this.oCrewTo) >= 0) continue
          // Somebody who is there for all of it, before somebody who is not.
          if (this.oBeyond === bestBeyond ? this.oEnd < bestEnd : bestBeyond) {
            bestEnd = this.oEnd
            bestBeyond = this.oBeyond
            best = m
          }
        }
        this.keptMember[i] = best
        if (best >= 0) {
          this.timeKept(op, choice, s, best, start, co, coAttended)
          const from = Math.min(start, this.oCrewFrom)
          if (this.oCrewTo > from || !began) {
            this.reservedFrom[best]!.push(from)
            this.reservedTo[best]!.push(this.oCrewTo)
          }
        }
      }
      const j = p.job[op]!
      if (op > p.jobFirst[j]! && p.keptOf[op - 1]! < 0) {
        this.endBy[op - 1] = start - p.gapMin[op - 1]!
        if (p.gapMax[op - 1]! < NEVER) {
          this.timeKept(op, choice, s, this.keptMember[i]!, start, co, coAttended)
          this.endFrom[op - 1] = this.oWork - p.gapMax[op - 1]!
        }
      }
    }
  }

  private someAttendedInto(s: number, to: number): boolean {
    return this.p.states.some((_name, from) => this.p.changeoverAttended(s, from, to))
  }

  /** Whether another kept run holds the same member at the same time. */
  keptTogether(i: number): boolean {
    const m = this.keptMember[i]!
    const { keptNeeds, keptFrom, keptTo } = this
    if (m < 0 || keptNeeds[i] === 0) return false
    return this.p.kept.some(
      (_k, other) =>
        other !== i &&
        this.keptMember[other] === m &&
        keptNeeds[other] === 1 &&
        keptFrom[i]! < keptTo[other]! &&
        keptFrom[other]! < keptTo[i]!,
    )
  }

  /** End of a reservation of the member that meets [from, to); -1 when free. */
  reservedOverlap(m: number, from: number, to: number): number {
    const a = this.reservedFrom[m]!
    if (a.length === 0) return -1
    const b = this.reservedTo[m]!
    for (let i = 0; i < a.length; i++) {
      if (from < b[i]! && a[i]! < to) return b[i]!
      if (from === to && from === a[i] && a[i]! < b[i]!) return b[i]!
    }
    return -1
  }

  /** `put`, moved behind reservations of the member. */
  private putFree(
    op: number,
    choice: number,
    s: number,
    m: number,
    ready: number,
    stationFree: number,
    co: number,
    coAttended: boolean,
    memberFree: number,
  ): boolean {
    let free = memberFree
    for (;;) {
      if (!this.put(op, choice, s, m, ready, stationFree, co, coAttended, free)) return false
      if (m < 0) return true
      const busy = this.reservedOverlap(m, this.oCrewFrom, this.oCrewTo)
      if (busy < 0) return true
      free = busy
    }
  }

  /**
   * The choice and member by which a step ends first. `onStation`/`onFree`/`onState` stand in for one station's
   * present state (to look ahead); -1: none.
   */
  private choose(op: number, ready: number, onStation = -1, onFree = 0, onState = -1): boolean {
    const { p } = this
    const bound = this.fixed[op]!
    const first = bound >= 0 ? bound : p.choiceFirst[op]!
    const beyond = bound >= 0 ? bound + 1 : p.choiceFirst[op + 1]!
    const unattended = p.attended[op] === NOT
    this.found = false
    for (let c = first; c < beyond; c++) {
      const s = p.choiceStation[c]!
      const kept = p.keptAt[s]!
      let next = this.keptNext[s]!
      let free = s === onStation && onFree > this.free[s]! ? onFree : this.free[s]!
      let state = s === onStation && onState >= 0 ? onState : this.state[s]!
      for (;;) {
        const co = this.bare ? 0 : p.changeover(s, state, p.state[op]!)
        const coAttended = co > 0 && p.changeoverAttended(s, state, p.state[op]!)
        const limit = next < kept.length ? p.kept[kept[next]!]!.start : NEVER
        let placed = false
        let behindKept = false
        const least = p.setup[c]! + p.run[c]!
        if (this.found && Math.max(ready, free + co) + least > this.bestEnd + 1) break
        if (unattended && !coAttended) {
          if (this.putFree(op, c, s, -1, ready, free, co, false, -NEVER)) {
            if (this.oEnd > limit) behindKept = true
            else {
              placed = true
              this.take(op, c, -1, -NEVER, next, ready, free, co, false)
            }
          }
        } else {
          const able = p.able[s]!
          for (let i = 0; i < able.length; i++) {
            const m = able[i]!
            if (this.strict && this.wanted[op]! >= 0 && m !== this.wanted[op]) continue
            const memberFree = this.crewFree[m]!
            // Nobody ends earlier than begin and length say.
            if (this.found && memberFree + least > this.bestEnd + 1) continue
            if (!this.putFree(op, c, s, m, ready, free, co, coAttended, memberFree)) continue
            if (this.oEnd > limit) behindKept = true
            else {
              placed = true
              this.take(op, c, m, memberFree, next, ready, free, co, coAttended)
            }
          }
        }
        if (placed || next >= kept.length) break
        // Before the next kept run it does not fit: weigh the place behind that run.
        if (!behindKept && limit === NEVER) break
        const i = kept[next]!
        const k = p.kept[i]!
        const keptCo = p.changeover(s, state, p.state[k.op]!)
        this.timeKept(
          k.op,
          k.choice,
          s,
          this.keptMember[i]!,
          k.start,
          keptCo,
          keptCo > 0 && p.changeoverAttended(s, state, p.state[k.op]!),
        )
        if (this.oEnd > free) free = this.oEnd
        if (p.state[k.op]! >= 0) state = p.state[k.op]!
        next++
      }
    }
    return this.found
  }

  /** Takes the times of the last `put` if they are the best so far. */
  private take(
    op: number,
    choice: number,
    m: number,
    memberFree: number,
    keptNext: number,
    ready: number,
    free: number,
    co: number,
    coAttended: boolean,
  ): void {
    // Among equals: whoever has been free for the shortest time leaves the others free.
    const slack = m < 0 ? 0 : this.oCrewFrom - memberFree
    const end = m >= 0 && m === this.wanted[op] ? this.oEnd - 1 : this.oEnd
    if (this.found) {
      if (end > this.bestEnd) return
      if (end === this.bestEnd) {
        if (this.oWork > this.cWork) return
        if (this.oWork === this.cWork && slack >= this.bestSlack) return
      }
    }
    this.found = true
    this.bestEnd = end
    this.bestSlack = slack
    this.cChoice = choice
    this.cMember = m
    this.cKeptNext = keptNext
    this.cStart = this.oStart
    this.cWork = this.oWork
    this.cSetupEnd = this.oSetupEnd
    this.cEnd = this.oEnd
    this.cCrewTo = this.oCrewTo
    this.cChangeover = co
    const byStation = free + co
    const byCrew = m < 0 ? -NEVER : memberFree + (coAttended ? co : 0)
    this.cWaited = ready >= byStation && ready >= byCrew ? BY_JOB : byStation >= byCrew ? BY_STATION : BY_CREW
  }

  /** Earliest work of a step as things stand, or -1. `cWork`, `cEnd` hold the times. */
  peek(op: number): boolean {
    const ready = this.readyFor(op, false)
    return ready !== NEVER && this.choose(op, ready)
  }

  /** `cWork` and `cEnd` of a step alone in the shop, ready then, without changeover; NEVER when it cannot be. */
  earliest(op: number, ready: number): void {
    const { p } = this
    let work = NEVER
    let end = NEVER
    if (p.keptOf[op]! >= 0) {
      const i = p.keptOf[op]!
      const k = p.kept[i]!
      this.timeKept(op, k.choice, k.station, this.keptMember[i]!, k.start, 0, false)
      work = this.oWork
      end = this.oEnd
    } else if (ready < NEVER) {
      for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++) {
        const s = p.choiceStation[c]!
        const able = p.attended[op] === NOT ? [-1] : p.able[s]!
        for (const m of able) {
          if (!this.put(op, c, s, m, ready, -NEVER, 0, false, -NEVER)) continue
          work = Math.min(work, this.oWork)
          end = Math.min(end, this.oEnd)
        }
      }
    }
    this.cWork = work
    this.cEnd = end
  }

  /** Least changeover into the step on any of its stations, as they stand. */
  peekChangeover(op: number): number {
    const { p } = this
    let least = NEVER
    for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++) {
      const s = p.choiceStation[c]!
      const co = p.changeover(s, this.state[s]!, p.state[op]!)
      if (co < least) least = co
    }
    return least
  }

  /** A kept step before it is put in its place, or (to look only) taken with its longest changeover. */
  private readyFor(op: number, commit: boolean): number {
    const { p } = this
    const j = p.job[op]!
    let ready = p.now
    if (op > p.jobFirst[j]!) {
      const before = op - 1
      let end = this.end[before]!
      if (this.status[before] === OPEN && p.keptOf[before]! >= 0) {
        const i = p.keptOf[before]!
        const k = p.kept[i]!
        if (commit) {
          while (this.status[before] === OPEN) this.commitKept(k.station)
          end = this.end[before]!
        } else {
          const co = p.longestInto(k.station, p.state[before]!)
          this.timeKept(before, k.choice, k.station, this.keptMember[i]!, k.start, co, false)
          end = this.oEnd
        }
      } else if (this.status[before] !== PLACED) return NEVER
      ready = Math.max(ready, end + p.gapMin[before]!)
    }
    ready = Math.max(ready, p.release[j]!)
    const hold = this.notBefore[op]!
    return Math.max(hold, ready)
  }

  /**
   * Places the step at the present end of its station; returns a step to go back to, or -1. Without going back a step too late
   * after the one before it is placed all the same.
   */
  place(op: number, goBack = true): number {
    const { p } = this
    const j = p.job[op]!
    if (this.dropped[j] === 1) return this.leaveOut(op)
    let ready = this.readyFor(op, true)
    if (ready === NEVER || !this.choose(op, ready)) return this.leaveOut(op)
    const last = op + 1 === p.jobFirst[j + 1]!
    if (p.gapMax[op]! < NEVER && !last) {
      if (p.keptOf[op + 1]! >= 0) {
        while (this.cEnd < this.endFrom[op]!) {
          ready = Math.max(ready, this.cWork) + (this.endFrom[op]! - this.cEnd)
          if (!this.choose(op, ready)) return this.leaveOut(op)
        }
      } else if (!this.waitForNext(op, ready)) return this.leaveOut(op)
    }
    if (this.cEnd > this.endBy[op]!) return this.leaveOut(op)
    if (op > p.jobFirst[j]!) {
      const before = op - 1
      const most = p.gapMax[before]!
      if (most < NEVER && this.cWork > this.end[before]! + most) {
        const late = this.cWork - most - this.end[before]!
        if (goBack) {
          if (p.keptOf[before]! >= 0 || this.returns >= MOST_RETURNS) return this.leaveOut(op)
          this.returns++
          this.notBefore[before] = this.work[before]! + late
          return before
        }
      }
    }
    this.commit(op)
    return -1
  }

  /** Moves the chosen times of a step until the next one, as things stand, can follow within the longest gap. */
  private waitForNext(op: number, from: number): boolean {
    const { p } = this
    let ready = from
    for (let tries = 0; tries < 60; tries++) {
      const choice = this.cChoice
      const member = this.cMember
      const start = this.cStart
      const work = this.cWork
      const setupEnd = this.cSetupEnd
      const end = this.cEnd
      const crewTo = this.cCrewTo
      const changeover = this.cChangeover
      const waited = this.cWaited
      const keptNext = this.cKeptNext
      const fits = this.choose(op + 1, end + p.gapMin[op]!, p.choiceStation[choice]!, end, p.state[op]!)
      const next = this.cWork
      this.cChoice = choice
      this.cMember = member
      this.cStart = start
      this.cWork = work
      this.cSetupEnd = setupEnd
      this.cEnd = end
      this.cCrewTo = crewTo
      this.cChangeover = changeover
      this.cWaited = waited
      this.cKeptNext = keptNext
      if (!fits) return true
      const late = next - p.gapMax[op]! - end
      if (late <= 0) return true
      ready = Math.max(ready, work) + late
      if (!this.choose(op, ready)) return false
    }
    return true
  }

  /** The end of a step changed: the next of its job must be looked at again. */
  private touch(op: number): void {
    if (op + 1 >= this.p.jobFirst[this.p.job[op]! + 1]!) return
    const next = this.position[op + 1]!
    if (next > this.reach) this.reach = next
  }

  private leaveOut(op: number): number {
    if (this.status[op] !== LEFT_OUT) this.touch(op)
    this.status[op] = LEFT_OUT
    return -1
  }

  private commit(op: number): void {
    const { p } = this
    const s = p.choiceStation[this.cChoice]!
    const m = this.cMember
    if (this.end[op] !== this.cEnd || this.status[op] !== PLACED) this.touch(op)
    while (this.keptNext[s]! < this.cKeptNext) this.commitKept(s)
    this.status[op] = PLACED
    this.start[op] = this.cStart
    this.work[op] = this.cWork
    this.setupEnd[op] = this.cSetupEnd
    this.end[op] = this.cEnd
    this.choice[op] = this.cChoice
    this.member[op] = m
    this.changeover[op] = this.cChangeover
    this.stationBefore[op] = this.last[s]!
    this.crewBefore[op] = m >= 0 ? this.crewLast[m]! : -1
    this.waitedFor[op] = this.cWaited
    this.turn[op] = this.last[s]! >= 0 ? this.turn[this.last[s]!]! + 1 : 0
    this.free[s] = this.cEnd
    if (p.state[op]! >= 0) this.state[s] = p.state[op]!
    this.last[s] = op
    if (m >= 0) {
      if (this.cCrewTo > this.crewFree[m]!) this.crewFree[m] = this.cCrewTo
      this.crewLast[m] = op
    }
  }

  // Sums over the plan.
  leftOut = 0
  hardMisses = 0
  weightedLate = 0
  changeoverMinutes = 0
  finish = 0
  sumEnds = 0

  /** Counts the objective of the present times. */
  measure(): void {
    const { p } = this
    let leftOut = 0
    let hardMisses = 0
    let late = 0
    let changeovers = 0
    let finish = p.now
    let ends = 0
    for (let i = 0; i < p.n; i++) {
      if (this.status[i] === PLACED) {
        changeovers += this.changeover[i]!
        if (this.end[i]! > finish) finish = this.end[i]!
      } else if (this.dropped[p.job[i]!] === 0) leftOut++
    }
    for (let j = 0; j < p.jobs; j++) {
      const op = p.jobFirst[j + 1]! - 1
      if (op < p.jobFirst[j]! || this.status[op] !== PLACED) continue
      ends += this.end[op]!
      const over = this.end[op]! - p.due[j]!
      if (over > 0) {
        late += over * p.weight[j]!
        if (p.hard[j] === 1) hardMisses++
      }
    }
    this.leftOut = leftOut
    this.hardMisses = hardMisses
    this.weightedLate = late
    this.changeoverMinutes = changeovers
    this.finish = finish
    this.sumEnds = ends
  }

  /** Puts the order by start of work, which never makes a run later. Left-out steps go last, but ahead of what follows them in their job. */
  sortByWork(): void {
    const { p } = this
    const list = Array.from(this.order.subarray(0, this.count))
    const key = new Int32Array(p.n)
    for (let op = p.n - 1; op >= 0; op--) {
      // Behind a kept step a job may go on though what comes before it was left out.
      const after = op + 1 < p.jobFirst[p.job[op]! + 1]! ? key[op + 1]! : NEVER
      const work = p.keptOf[op]! < 0 && this.status[op] === PLACED ? this.work[op]! : NEVER
      key[op] = Math.min(work, after)
    }
    list.sort((a, b) => key[a]! - key[b]! || this.position[a]! - this.position[b]!)
    if (p.n > 0) this.setOrder(list)
  }
}
