import { Fit } from './fit'
import { NEVER, NOT, type Problem } from './problem'
import { PLACED, type Timeline } from './timeline'

/** A step held back for the next one is moved at most so often while a job is put in. */
const TRIES = 40
/** No run behind, and one that cannot take its changeover. */
const NONE = -1
const STUCK = -2

/** Where steps stood: choice (-1: nowhere), member and work. */
export interface Places {
  choice: Int32Array
  member: Int32Array
  work: Int32Array
}

interface Change {
  op: number
  /** Place in the list of its station. */
  at: number
  added: boolean
  /** Fields of a removed step; of an added one nothing is needed. */
  fields: Int32Array | null
  /** The run behind it whose changeover changed, and how that was; -1: none. */
  next: number
  nextChange: number
  nextStart: number
  nextFrom: number
  nextWork: number
  nextSetupEnd: number
  nextEnd: number
}

/**
 * A plan as filled slots of stations and people, in which jobs are taken out and put into the gaps that others leave, while nothing
 * else moves. A change costs what the changed jobs cost, not what follows them. Changes can be undone back to `mark`.
 */
export class Slots extends Fit {
  readonly placed: Uint8Array
  readonly start: Int32Array
  readonly work: Int32Array
  readonly setupEnd: Int32Array
  readonly end: Int32Array
  readonly choice: Int32Array
  readonly member: Int32Array
  readonly changeover: Int32Array
  private readonly crewFrom: Int32Array
  private readonly crewTo: Int32Array
  /** Steps of each station in order. */
  readonly on: number[][]
  /** Steps of each member in order, without kept ones: those are reserved. */
  private readonly busy: number[][]
  /** End of the runs on each station that had begun. */
  private readonly floor: Int32Array
  private readonly hold: Int32Array
  private journal: Change[] = []
  /** Minutes of changeover in all. */
  changeovers = 0
  /** How much a changeover minute counts beside a minute of waiting when a place is chosen. */
  thrift = 0.3

  constructor(
    p: Problem,
    private readonly line: Timeline,
    private readonly touched: (op: number) => void = () => {},
  ) {
    super(p)
    const n = p.n
    this.placed = new Uint8Array(n)
    this.start = new Int32Array(n)
    this.work = new Int32Array(n)
    this.setupEnd = new Int32Array(n)
    this.end = new Int32Array(n)
    this.choice = new Int32Array(n)
    this.member = new Int32Array(n)
    this.changeover = new Int32Array(n)
    this.crewFrom = new Int32Array(n)
    this.crewTo = new Int32Array(n)
    this.hold = new Int32Array(n)
    this.on = Array.from({ length: p.stations }, () => [])
    this.busy = Array.from({ length: p.crew }, () => [])
    this.floor = new Int32Array(p.stations).fill(-NEVER)
  }

  /** Whether kept runs leave the gaps between them in order; where they overlap, gaps cannot be told. */
  static fits(p: Problem, line: Timeline): boolean {
    for (const list of p.keptAt) {
      let free = -NEVER
      for (const i of list) {
        const { op, start } = p.kept[i]!
        if (start > p.now && start < free) return false
        free = Math.max(free, line.end[op]!)
      }
    }
    return true
  }

  /** Takes over the times of a decoded timeline; `only`: just its kept runs. */
  load(only = false): void {
    const { p, line } = this
    this.journal.length = 0
    this.placed.fill(0)
    this.changeovers = 0
    this.floor.fill(-NEVER)
    for (const list of this.on) list.length = 0
    for (const list of this.busy) list.length = 0
    for (let op = 0; op < p.n; op++) {
      const kept = p.keptOf[op]! >= 0
      if (line.status[op] !== PLACED || (only && !kept)) continue
      this.placed[op] = 1
      this.start[op] = line.start[op]!
      this.work[op] = line.work[op]!
      this.setupEnd[op] = line.setupEnd[op]!
      this.end[op] = line.end[op]!
      this.choice[op] = line.choice[op]!
      this.member[op] = line.member[op]!
      this.changeover[op] = line.changeover[op]!
      this.changeovers += line.changeover[op]!
      const s = p.choiceStation[line.choice[op]!]!
      this.on[s]!.push(op)
      if (kept) {
        if (line.start[op]! <= p.now && line.end[op]! > this.floor[s]!) this.floor[s] = line.end[op]!
      } else if (line.member[op]! >= 0) this.busy[line.member[op]!]!.push(op)
    }
    for (const [s, list] of this.on.entries()) {
      list.sort((a, b) => line.start[a]! - line.start[b]! || line.turn[a]! - line.turn[b]!)
      let state = p.state0[s]!
      for (const op of list) {
        const attends = this.changeover[op]! > 0 && p.changeoverAttended(s, state, p.state[op]!)
        this.crewFrom[op] = attends ? this.start[op]! : this.work[op]!
        const att = p.attended[op]!
        this.crewTo[op] = att === NOT ? this.work[op]! : att === 1 ? this.setupEnd[op]! : this.end[op]!
        if (p.state[op]! >= 0) state = p.state[op]!
      }
    }
    for (const list of this.busy)
      list.sort((a, b) => this.crewFrom[a]! - this.crewFrom[b]! || this.crewTo[a]! - this.crewTo[b]!)
  }

  mark(): void {
    this.journal.length = 0
  }

  undo(): void {
    for (let i = this.journal.length - 1; i >= 0; i--) {
      const c = this.journal[i]!
      if (c.next >= 0) {
        this.work[c.next] = c.nextWork
        this.setupEnd[c.next] = c.nextSetupEnd
        this.end[c.next] = c.nextEnd
        this.setChange(c.next, c.nextChange, c.nextStart, c.nextFrom)
      }
      if (c.added) this.unlist(c.op, c.at)
      else {
        const f = c.fields!
        this.start[c.op] = f[0]!
        this.work[c.op] = f[1]!
        this.setupEnd[c.op] = f[2]!
        this.end[c.op] = f[3]!
        this.choice[c.op] = f[4]!
        this.member[c.op] = f[5]!
        this.changeover[c.op] = f[6]!
        this.crewFrom[c.op] = f[7]!
        this.crewTo[c.op] = f[8]!
        this.list(c.op, c.at)
      }
    }
    this.journal.length = 0
  }

  private setChange(op: number, change: number, start: number, from: number): void {
    this.changeovers += change - this.changeover[op]!
    this.changeover[op] = change
    this.start[op] = start
    if (this.crewFrom[op] !== from) {
      // Spans without length may share a minute with this one: it can pass them as it grows or shrinks.
      const listed = this.release(op)
      this.crewFrom[op] = from
      if (listed) this.engage(op)
    }
    this.touched(op)
  }

  private list(op: number, at: number): void {
    this.on[this.p.choiceStation[this.choice[op]!]!]!.splice(at, 0, op)
    this.engage(op)
    this.placed[op] = 1
    this.changeovers += this.changeover[op]!
    this.touched(op)
  }

  private unlist(op: number, at: number): void {
    this.on[this.p.choiceStation[this.choice[op]!]!]!.splice(at, 1)
    this.release(op)
    this.placed[op] = 0
    this.changeovers -= this.changeover[op]!
    this.touched(op)
  }

  /** Enters the span of a step into its member's list, which is sorted by begin and then by end. */
  private engage(op: number): void {
    const m = this.member[op]!
    if (m < 0) return
    const list = this.busy[m]!
    const from = this.crewFrom[op]!
    let k = this.firstFrom(list, from)
    while (k < list.length && this.crewFrom[list[k]!] === from && this.crewTo[list[k]!]! < this.crewTo[op]!)
      k++
    list.splice(k, 0, op)
  }

  /** Takes the span of a step out of its member's list; whether it stood there (kept runs do not). */
  private release(op: number): boolean {
    const m = this.member[op]!
    if (m < 0) return false
    const list = this.busy[m]!
    const k = list.indexOf(op)
    if (k < 0) return false
    list.splice(k, 1)
    return true
  }

  /** First of the list whose member is held from a minute on. */
  private firstFrom(list: number[], from: number): number {
    let low = 0
    let high = list.length
    while (low < high) {
      const mid = (low + high) >> 1
      if (this.crewFrom[list[mid]!]! < from) low = mid + 1
      else high = mid
    }
    return low
  }

  private place(op: number): number {
    const list = this.on[this.p.choiceStation[this.choice[op]!]!]!
    let low = 0
    let high = list.length
    const start = this.start[op]!
    while (low < high) {
      const mid = (low + high) >> 1
      if (this.start[list[mid]!]! < start) low = mid + 1
      else high = mid
    }
    return list.indexOf(op, low)
  }

  /** End of what holds the member during [from, to); -1 when free. `but`: a step that does not count. */
  private held(m: number, from: number, to: number, but = -1): number {
    const list = this.busy[m]!
    // Spans do not overlap: of those that begin before the end, the last one decides.
    let k = this.firstFrom(list, to) - 1
    if (k >= 0 && list[k] === but) k--
    if (k >= 0 && this.crewTo[list[k]!]! > from) return this.crewTo[list[k]!]!
    return this.line.reservedOverlap(m, from, to)
  }

  private stateBefore(s: number, at: number): number {
    const list = this.on[s]!
    const { state } = this.p
    for (let k = at - 1; k >= 0; k--) if (state[list[k]!]! >= 0) return state[list[k]!]!
    return this.p.state0[s]!
  }

  // Outcome of `fitBehind`.
  private fChange = 0
  private fStart = 0
  private fFrom = 0
  private fWork = 0
  private fSetupEnd = 0
  private fEnd = 0

  /** The run `op` after another state than now, its work where it stands: false where its changeover has no room behind `free`. */
  private fitBehind(op: number, s: number, from: number, free: number, but: number): boolean {
    const { p } = this
    const to = p.state[op]!
    const change = p.changeover(s, from, to)
    const attends = change > 0 && p.changeoverAttended(s, from, to)
    const had = this.changeover[op]! > 0 && this.crewFrom[op]! < this.work[op]!
    this.fChange = change
    this.fWork = this.work[op]!
    this.fSetupEnd = this.setupEnd[op]!
    this.fEnd = this.end[op]!
    if (change === this.changeover[op]! && attends === had) {
      this.fStart = this.start[op]!
      this.fFrom = this.crewFrom[op]!
      return this.fStart >= free
    }
    const m = this.member[op]!
    if (attends !== had && p.attended[op] === NOT) return false
    if (p.keptOf[op]! >= 0) return this.fitKept(op, s, m, change, attends, free)
    if (attends && m < 0) return false
    const work = this.work[op]!
    if (change === 0) {
      this.fStart = work
      this.fFrom = work
      return work >= free
    }
    const calendar = attends ? p.jointCalendar(s, m) : p.calendar[s]!
    let start = work - change
    if (p.pausable[op] === 1) {
      start = calendar.retreat(work, change)
      if (start < 0) return false
    } else {
      const station = p.calendar[s]!
      const k = station.at(start)
      if (k === station.size || station.from[k]! > start || station.to[k]! < this.end[op]!) return false
      if (attends) {
        const q = calendar.at(start)
        if (q === calendar.size || calendar.from[q]! > start || calendar.to[q]! < this.crewTo[op]!)
          return false
      }
    }
    if (start < free || start < p.now) return false
    if (attends && start < this.crewFrom[op]! && this.held(m, start, this.crewFrom[op]!, but) >= 0)
      return false
    this.fStart = start
    this.fFrom = attends ? start : work
    return true
  }

  /** A kept run begins where it began: after another changeover its work moves, if what follows allows. */
  private fitKept(op: number, s: number, m: number, change: number, attends: boolean, free: number): boolean {
    const { p } = this
    const list = this.on[s]!
    const start = this.start[op]!
    if (start < free || start <= p.now) return false
    this.timeKept(op, this.choice[op]!, s, m, start, change, attends)
    const behind = list[this.place(op) + 1]
    if (behind !== undefined && this.start[behind]! < this.oEnd) return false
    const j = p.job[op]!
    if (op + 1 < p.jobFirst[j + 1]! && this.placed[op + 1] === 1) {
      const gap = this.work[op + 1]! - this.oEnd
      if (gap < p.gapMin[op]! || gap > p.gapMax[op]!) return false
    }
    if (op > p.jobFirst[j]! && this.placed[op - 1] === 1) {
      const gap = this.oWork - this.end[op - 1]!
      if (gap > p.gapMax[op - 1]!) return false
    }
    this.fStart = start
    this.fFrom = this.oCrewFrom
    this.fWork = this.oWork
    this.fSetupEnd = this.oSetupEnd
    this.fEnd = this.oEnd
    return true
  }

  // Outcome of `find`.
  private found = false
  private fit = new Int32Array(12)
  private bestScore = 0

  /** The best place of a step that is ready then, in the gaps between what stands there. */
  private find(op: number, ready: number): boolean {
    const { p } = this
    this.found = false
    for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++) this.findOn(op, c, ready)
    return this.found
  }

  private findOn(op: number, c: number, ready: number): void {
    const { p } = this
    const s = p.choiceStation[c]!
    const list = this.on[s]!
    const own = p.state[op]!
    const least = p.setup[c]! + p.run[c]!
    const unattended = p.attended[op] === NOT
    const able = p.able[s]!
    let low = 0
    let high = list.length
    while (low < high) {
      const mid = (low + high) >> 1
      if (this.end[list[mid]!]! <= ready) low = mid + 1
      else high = mid
    }
    for (let i = low; i <= list.length; i++) {
      const free = Math.max(this.floor[s]!, i > 0 ? this.end[list[i - 1]!]! : -NEVER)
      let limit = i < list.length ? this.start[list[i]!]! : NEVER
      const at = Math.max(free, ready, p.now)
      if (this.found && at + least > this.bestScore + 1) return
      // A longer changeover of the run behind only makes the gap smaller, a shorter one larger by no more than it is now.
      if (i < list.length && this.work[list[i]!]! - at < least) continue
      const state = this.stateBefore(s, i)
      const change = p.changeover(s, state, own)
      const attends = change > 0 && p.changeoverAttended(s, state, own)
      const next = this.changedBehind(s, i, own, state, free)
      if (next === STUCK) continue
      let more = change
      if (next >= 0) {
        if (next === i) limit = this.fStart
        more += this.fChange - this.changeover[list[next]!]!
      }
      if (limit - at < least) continue
      let here = false
      const choices = unattended && !attends ? 1 : able.length
      for (let a = 0; a < choices; a++) {
        const m = unattended && !attends ? -1 : able[a]!
        let memberFree = -NEVER
        for (;;) {
          if (!this.put(op, c, s, m, ready, free, change, attends, memberFree)) break
          if (this.oEnd > limit) break
          const until = m < 0 ? -1 : this.held(m, this.oCrewFrom, this.oCrewTo)
          if (until >= 0) {
            memberFree = until
            continue
          }
          // The run behind may need the same member for its changeover.
          here = true
          const score = this.oEnd + this.thrift * more
          if (!this.found || score < this.bestScore) {
            this.found = true
            this.bestScore = score
            this.fill(c, m, change, i, next)
          }
          break
        }
      }
      if (here) return
    }
  }

  /**
   * The run whose changeover is another one when a run in state `own` comes to stand at place i, as `fitBehind` then has it; NONE where
   * none is, STUCK where it cannot be.
   */
  private changedBehind(s: number, i: number, own: number, state: number, free: number): number {
    if (own < 0 || own === state) return NONE
    const list = this.on[s]!
    for (let k = i; k < list.length; k++) {
      if (this.p.state[list[k]!]! < 0) continue
      const behind = k > i ? this.end[list[k - 1]!]! : free
      return this.fitBehind(list[k]!, s, own, behind, -1) ? k : STUCK
    }
    return NONE
  }

  /** Remembers the place that `put` has just found. */
  private fill(choice: number, member: number, change: number, at: number, next: number): void {
    const f = this.fit
    f[0] = this.oStart
    f[1] = this.oWork
    f[2] = this.oSetupEnd
    f[3] = this.oEnd
    f[4] = choice
    f[5] = member
    f[6] = change
    f[7] = this.oCrewFrom
    f[8] = this.oCrewTo
    f[9] = at
    f[10] = next
  }

  /** Puts the step where `find` found a place. */
  private add(op: number): void {
    const f = this.fit
    const s = this.p.choiceStation[f[4]!]!
    const list = this.on[s]!
    const at = f[9]!
    const change: Change = {
      op,
      at,
      added: true,
      fields: null,
      next: -1,
      nextChange: 0,
      nextStart: 0,
      nextFrom: 0,
      nextWork: 0,
      nextSetupEnd: 0,
      nextEnd: 0,
    }
    if (f[10]! >= 0) {
      const next = list[f[10]!]!
      this.fitBehind(next, s, this.p.state[op]!, -NEVER, -1)
      this.behind(change, next)
    }
    this.start[op] = f[0]!
    this.work[op] = f[1]!
    this.setupEnd[op] = f[2]!
    this.end[op] = f[3]!
    this.choice[op] = f[4]!
    this.member[op] = f[5]!
    this.changeover[op] = f[6]!
    this.crewFrom[op] = f[7]!
    this.crewTo[op] = f[8]!
    this.list(op, at)
    this.journal.push(change)
  }

  private behind(change: Change, next: number): void {
    change.next = next
    change.nextChange = this.changeover[next]!
    change.nextStart = this.start[next]!
    change.nextFrom = this.crewFrom[next]!
    change.nextWork = this.work[next]!
    change.nextSetupEnd = this.setupEnd[next]!
    change.nextEnd = this.end[next]!
    this.work[next] = this.fWork
    this.setupEnd[next] = this.fSetupEnd
    this.end[next] = this.fEnd
    this.setChange(next, this.fChange, this.fStart, this.fFrom)
  }

  /**
   * Takes a step out. Returns a step behind it that cannot stand without it (its changeover would grow) and must come out too, -2 where
   * that one is kept, or -1.
   */
  remove(op: number): number {
    const { p } = this
    const s = p.choiceStation[this.choice[op]!]!
    const list = this.on[s]!
    const at = this.place(op)
    const fields = Int32Array.of(
      this.start[op]!,
      this.work[op]!,
      this.setupEnd[op]!,
      this.end[op]!,
      this.choice[op]!,
      this.member[op]!,
      this.changeover[op]!,
      this.crewFrom[op]!,
      this.crewTo[op]!,
    )
    const change: Change = {
      op,
      at,
      added: false,
      fields,
      next: -1,
      nextChange: 0,
      nextStart: 0,
      nextFrom: 0,
      nextWork: 0,
      nextSetupEnd: 0,
      nextEnd: 0,
    }
    let stuck = -1
    this.unlist(op, at)
    if (p.state[op]! >= 0) {
      const state = this.stateBefore(s, at)
      if (state !== p.state[op]) {
        for (let k = at; k < list.length; k++) {
          const next = list[k]!
          if (p.state[next]! < 0) continue
          const free = Math.max(this.floor[s]!, k > 0 ? this.end[list[k - 1]!]! : -NEVER)
          if (this.fitBehind(next, s, state, free, -1)) this.behind(change, next)
          else stuck = p.keptOf[next]! >= 0 ? -2 : next
          break
        }
      }
    }
    this.journal.push(change)
    return stuck
  }

  /** Whether a job has steps that can be taken out. */
  static movable(p: Problem, j: number): boolean {
    for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) if (p.keptOf[op]! < 0) return true
    return false
  }

  /**
   * Takes out the movable steps of jobs, and of those that cannot stand without them; all of them come back in `jobs`. False where a
   * kept run is in the way.
   */
  takeOut(jobs: number[], from?: Int32Array): boolean {
    const { p } = this
    for (let i = 0; i < jobs.length; i++) {
      const j = jobs[i]!
      const first = from ? Math.max(p.jobFirst[j]!, from[j]!) : p.jobFirst[j]!
      for (let op = p.jobFirst[j + 1]! - 1; op >= first; op--) {
        if (p.keptOf[op]! >= 0 || this.placed[op] === 0) continue
        const stuck = this.remove(op)
        if (stuck === -2) return false
        if (stuck >= 0) {
          const other = p.job[stuck]!
          if (!jobs.includes(other)) {
            jobs.push(other)
            if (from) from[other] = stuck
          } else if (from && from[other]! > stuck) from[other] = stuck
        }
      }
    }
    // One that was passed already may have become stuck later.
    for (const j of jobs) {
      const first = from ? Math.max(p.jobFirst[j]!, from[j]!) : p.jobFirst[j]!
      for (let op = first; op < p.jobFirst[j + 1]!; op++) {
        if (p.keptOf[op]! >= 0 || this.placed[op] === 0) continue
        return this.takeOut(jobs, from)
      }
    }
    return true
  }

  /**
   * Puts the steps of a job that are out into the earliest gaps, in order; with `stay`, where they stood if that is free and in time.
   * False where one finds no place; what was put in stays.
   */
  putIn(j: number, stay: Places | null = null): boolean {
    const { p, hold } = this
    const first = p.jobFirst[j]!
    const beyond = p.jobFirst[j + 1]!
    let tries = 0
    let op = first
    while (op < beyond && this.placed[op] === 1) op++
    const begin = op
    for (let k = begin; k < beyond; k++) hold[k] = -NEVER
    while (op < beyond) {
      const before = op - 1
      let ready = Math.max(p.now, p.release[j]!, hold[op]!)
      let most = NEVER
      if (op > first) {
        ready = Math.max(ready, this.end[before]! + p.gapMin[before]!)
        if (p.gapMax[before]! < NEVER) most = this.end[before]! + p.gapMax[before]!
      }
      let work: number
      if (p.keptOf[op]! >= 0) {
        work = this.work[op]!
        if (op > begin && work < this.end[before]! + p.gapMin[before]!) return false
      } else if (stay && stay.choice[op]! >= 0 && stay.work[op]! >= ready && stay.work[op]! <= most) {
        if (this.putBack(op, stay.choice[op]!, stay.member[op]!, stay.work[op]!)) {
          op++
          continue
        }
        if (!this.find(op, ready)) return false
        work = this.fit[1]!
      } else {
        if (!this.find(op, ready)) return false
        work = this.fit[1]!
      }
      if (work > most) {
        // The step before it is held back so that this one can follow in time.
        if (before < begin || p.keptOf[before]! >= 0 || ++tries > TRIES) return false
        hold[before] = this.work[before]! + (work - most)
        if (this.remove(before) !== -1) return false
        op = before
        continue
      }
      if (p.keptOf[op]! < 0) this.add(op)
      op++
    }
    return true
  }

  /** Puts a step exactly where it stood, by whom it was if they are free, else by somebody who is; false where something is in the way. */
  putBack(op: number, choice: number, member: number, work: number): boolean {
    const { p } = this
    const s = p.choiceStation[choice]!
    const list = this.on[s]!
    let i = 0
    let high = list.length
    while (i < high) {
      const mid = (i + high) >> 1
      if (this.end[list[mid]!]! <= work) i = mid + 1
      else high = mid
    }
    const free = Math.max(this.floor[s]!, i > 0 ? this.end[list[i - 1]!]! : -NEVER)
    const state = this.stateBefore(s, i)
    const own = p.state[op]!
    const change = p.changeover(s, state, own)
    const attends = change > 0 && p.changeoverAttended(s, state, own)
    const next = this.changedBehind(s, i, own, state, free)
    if (next === STUCK) return false
    const limit = next === i ? this.fStart : i < list.length ? this.start[list[i]!]! : NEVER
    const alone = p.attended[op] === NOT && !attends
    const able = p.able[s]!
    let best = NEVER
    const attempt = (m: number) => {
      const fits =
        this.put(op, choice, s, m, work, free, change, attends, -NEVER) &&
        this.oWork === work &&
        this.oEnd <= limit &&
        this.oEnd < best &&
        (m < 0 || this.held(m, this.oCrewFrom, this.oCrewTo) < 0)
      if (!fits) return
      best = this.oEnd
      this.fill(choice, m, change, i, next)
    }
    if (alone) attempt(-1)
    else {
      if (member >= 0 && able.includes(member)) attempt(member)
      if (best === NEVER) for (const m of able) attempt(m)
    }
    if (best === NEVER) return false
    this.add(op)
    return true
  }

  /** Puts a step on a station as soon as it is ready and there is room, if its work begins by `latest`; whether it did. */
  putOn(op: number, choice: number, ready: number, latest: number): boolean {
    this.found = false
    this.findOn(op, choice, ready)
    if (!this.found || this.fit[1]! > latest) return false
    this.add(op)
    return true
  }

  /** Steps in order of work, as an order for a timeline. */
  order(): number[] {
    const list: number[] = []
    const turn = new Int32Array(this.p.n)
    for (const on of this.on) {
      on.forEach((op, i) => {
        turn[op] = i
        if (this.p.keptOf[op]! < 0) list.push(op)
      })
    }
    const { work, end, p } = this
    return list.sort(
      (a, b) =>
        work[a]! - work[b]! ||
        (p.job[a] === p.job[b] ? a - b : end[a]! - end[b]! || turn[a]! - turn[b]! || a - b),
    )
  }
}
