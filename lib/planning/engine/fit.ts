import type { Calendar } from './calendar'
import { ALL, type Problem, SETUP } from './problem'

/** Where the minutes of a single run fall: changeover, set-up and run within the hours of station and member. */
export class Fit {
  /** Outcome of the last `put` or `timeKept`. */
  protected oStart = 0
  protected oWork = 0
  protected oSetupEnd = 0
  protected oEnd = 0
  protected oCrewFrom = 0
  protected oCrewTo = 0
  /** The last `timeKept` found too few open minutes and counted closed ones. */
  protected oBeyond = false
  /** In the last `timeKept` open minutes of the station pass between changeover and work. */
  protected oWaits = false

  constructor(readonly p: Problem) {}

  protected timeKept(
    op: number,
    choice: number,
    s: number,
    m: number,
    start: number,
    co: number,
    coAttended: boolean,
  ): void {
    const { p } = this
    const station = p.calendar[s]!
    const joint = m >= 0 ? p.jointCalendar(s, m) : station
    const att = p.attended[op]!
    const forSetup = att >= SETUP ? joint : station
    const forRun = att === ALL ? joint : station
    this.oBeyond = false
    const counted = (c: Calendar, t: number, minutes: number) => {
      const at = c.advance(t, minutes)
      if (at >= 0) return at
      // Beyond all openings a kept run counts every minute: it stays, whatever the hours say.
      this.oBeyond = true
      return t + minutes
    }
    const forCo = coAttended ? joint : station
    const coEnd = counted(forCo, start, co)
    const next = co > 0 ? forSetup.next(coEnd) : coEnd
    const work = next < 0 ? coEnd : next
    const more = work > coEnd ? forCo.advance(start, co + 1) : -1
    this.oWaits = more >= 0 && more <= work
    this.oStart = start
    this.oWork = work
    this.oSetupEnd = counted(forSetup, work, p.setup[choice]!)
    this.oEnd = counted(forRun, this.oSetupEnd, p.run[choice]!)
    this.oCrewFrom = coAttended ? start : work
    this.oCrewTo =
      att === ALL ? this.oEnd : att === SETUP ? this.oSetupEnd : coAttended ? work : this.oCrewFrom
  }

  /**
   * Earliest times of a step by one choice and member (-1: nobody), behind what stands there.
   * False: the openings end before it fits.
   */
  protected put(
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
    const { p } = this
    const station = p.calendar[s]!
    const setup = p.setup[choice]!
    const run = p.run[choice]!
    const att = p.attended[op]!
    const early = Math.max(stationFree, p.now)
    if (p.pausable[op] === 1) {
      const joint = m >= 0 ? p.jointCalendar(s, m) : station
      const forCo = coAttended ? joint : station
      const forSetup = att >= SETUP ? joint : station
      const forRun = att === ALL ? joint : station
      let w: number
      if (co > 0) {
        const e = forCo.advance(coAttended && memberFree > early ? memberFree : early, co)
        if (e < 0) return false
        w = Math.max(e, ready)
        if (m >= 0 && !coAttended && memberFree > w) w = memberFree
      } else {
        w = Math.max(early, ready)
        if (m >= 0 && memberFree > w) w = memberFree
      }
      w = forSetup.next(w)
      if (w < 0) return false
      const start = co > 0 ? forCo.retreat(w, co) : w
      const setupEnd = forSetup.advance(w, setup)
      if (setupEnd < 0) return false
      const end = forRun.advance(setupEnd, run)
      if (end < 0) return false
      this.oStart = start
      this.oWork = w
      this.oSetupEnd = setupEnd
      this.oEnd = end
    } else {
      const length = setup + run
      let w = early + co
      if (ready > w) w = ready
      const lead = coAttended ? co : 0
      const held = att === ALL ? length : att === SETUP ? setup : 0
      if (m >= 0 && memberFree + lead > w) w = memberFree + lead
      const joint = m >= 0 ? p.jointCalendar(s, m) : station
      if (station.longest < co + length || joint.longest < lead + held) return false
      for (;;) {
        const k = station.at(w - co)
        if (k === station.size) return false
        const from = station.from[k]!
        if (w - co < from) w = from + co
        const to = station.to[k]!
        if (w + length > to || w >= to) {
          if (k + 1 === station.size) return false
          w = station.from[k + 1]! + co
          continue
        }
        if (m < 0) break
        const a = w - lead
        const b = w + held
        const q = joint.at(a)
        if (q === joint.size) return false
        const jf = joint.from[q]!
        if (jf > a) {
          w += jf - a
          continue
        }
        const jt = joint.to[q]!
        if (b > jt || w >= jt) {
          if (q + 1 === joint.size) return false
          w += joint.from[q + 1]! - a
          continue
        }
        break
      }
      this.oStart = w - co
      this.oWork = w
      this.oSetupEnd = w + setup
      this.oEnd = w + length
    }
    this.oCrewFrom = coAttended ? this.oStart : this.oWork
    this.oCrewTo =
      att === ALL ? this.oEnd : att === SETUP ? this.oSetupEnd : coAttended ? this.oWork : this.oCrewFrom
    return true
  }
}
