import { Calendar, intersectOpenings, mergeOpenings } from './calendar'
import type { Kept, Opening, Shop } from './types'

/** Later than any minute of a shop. */
export const NEVER = 1 << 30

export const NOT = 0
export const SETUP = 1
export const ALL = 2

interface Table {
  /** Shop-wide state to row of the table; -1: no changeover of this station names it. */
  row: Int32Array
  size: number
  minutes: Int32Array
  attended: Uint8Array
  /** Longest changeover into each state (by row). */
  longestInto: Int32Array
  shortestInto: Int32Array
}

/** A shop as flat arrays: steps numbered through, job by job; choices of a step are consecutive. */
export class Problem {
  readonly n: number
  readonly jobs: number
  readonly stations: number
  readonly crew: number
  readonly now: number
  readonly horizon: number

  readonly jobFirst: Int32Array
  readonly release: Int32Array
  readonly due: Int32Array
  readonly weight: Float64Array
  readonly hard: Uint8Array

  readonly job: Int32Array
  readonly state: Int32Array
  readonly attended: Uint8Array
  readonly pausable: Uint8Array
  readonly gapMin: Int32Array
  readonly gapMax: Int32Array
  readonly choiceFirst: Int32Array
  readonly choiceStation: Int32Array
  readonly setup: Int32Array
  readonly run: Int32Array

  readonly state0: Int32Array
  readonly states: string[]
  readonly calendar: Calendar[]
  readonly table: Table[]
  /** Members who can work at each station. */
  readonly able: Int32Array[]
  private readonly joint: (Calendar | undefined)[]
  private readonly stationOpen: Opening[][]
  private readonly crewOpen: Opening[][]

  /** Kept runs: index per step (-1: not kept), and per station in order of start. */
  readonly keptOf: Int32Array
  readonly kept: { op: number; station: number; choice: number; start: number; given: Kept }[] = []
  readonly keptAt: Int32Array[]

  /** No closing time, no crew, no longest gap, no kept run: times follow from the orders on the stations alone. */
  readonly plain: boolean
  /** Some step has more than one station. */
  readonly flexible: boolean
  /** Some step is followed by a longest gap. */
  readonly limitedGaps: boolean

  constructor(readonly shop: Shop) {
    const stationIndex = new Map(shop.stations.map((s, i) => [s.id, i]))
    const n = shop.jobs.reduce((sum, j) => sum + j.steps.length, 0)
    const choices = shop.jobs.reduce((sum, j) => sum + j.steps.reduce((c, s) => c + s.on.length, 0), 0)
    this.n = n
    this.jobs = shop.jobs.length
    this.stations = shop.stations.length
    this.crew = shop.crew.length
    this.now = shop.now
    this.horizon = Math.min(shop.horizon, NEVER)

    const stateIndex = new Map<string, number>()
    const stateOf = (name: string | null) => {
      if (name === null) return -1
      let i = stateIndex.get(name)
      if (i === undefined) {
        i = stateIndex.size
        stateIndex.set(name, i)
      }
      return i
    }

    this.jobFirst = new Int32Array(this.jobs + 1)
    this.release = new Int32Array(this.jobs)
    this.due = new Int32Array(this.jobs)
    this.weight = new Float64Array(this.jobs)
    this.hard = new Uint8Array(this.jobs)
    this.job = new Int32Array(n)
    this.state = new Int32Array(n)
    this.attended = new Uint8Array(n)
    this.pausable = new Uint8Array(n)
    this.gapMin = new Int32Array(n)
    this.gapMax = new Int32Array(n)
    this.choiceFirst = new Int32Array(n + 1)
    this.choiceStation = new Int32Array(choices)
    this.setup = new Int32Array(choices)
    this.run = new Int32Array(choices)
    let op = 0
    let choice = 0
    let limited = false
    shop.jobs.forEach((job, j) => {
      this.jobFirst[j] = op
      this.release[j] = Math.max(job.release, -NEVER)
      this.due[j] = job.due === null ? NEVER : Math.min(job.due, NEVER)
      this.weight[j] = job.weight
      this.hard[j] = job.hard && job.due !== null ? 1 : 0
      job.steps.forEach((step, k) => {
        this.job[op] = j
        this.state[op] = stateOf(step.state)
        this.attended[op] = step.attended === 'all' ? ALL : step.attended === 'setup' ? SETUP : NOT
        this.pausable[op] = step.pausable ? 1 : 0
        this.gapMin[op] = step.gap.min
        // Nothing waits for what follows the last step.
        const max = k === job.steps.length - 1 || step.gap.max === null ? NEVER : step.gap.max
        this.gapMax[op] = max
        if (max < NEVER) limited = true
        this.choiceFirst[op] = choice
        for (const on of step.on) {
          this.choiceStation[choice] = stationIndex.get(on.station) ?? -1
          this.setup[choice] = on.setup
          this.run[choice] = on.run
          choice++
        }
        op++
      })
    })
    this.jobFirst[this.jobs] = n
    this.choiceFirst[n] = choices
    this.limitedGaps = limited
    this.flexible = choices > n

    this.state0 = Int32Array.from(shop.stations, s => stateOf(s.state))
    for (const s of shop.stations) {
      for (const c of s.changeovers) {
        stateOf(c.from)
        stateOf(c.to)
      }
    }
    this.states = [...stateIndex.keys()]
    this.calendar = shop.stations.map(s => new Calendar(s.open))
    this.stationOpen = shop.stations.map(s => mergeOpenings(s.open))
    this.crewOpen = shop.crew.map(m => mergeOpenings(m.open))
    this.joint = new Array(this.stations * this.crew)
    this.able = shop.stations.map(s =>
      Int32Array.from(shop.crew.flatMap((m, i) => (m.skills.includes(s.kind) ? [i] : []))),
    )
    this.table = shop.stations.map(s => {
      const row = new Int32Array(this.states.length).fill(-1)
      let size = 0
      for (const c of s.changeovers) {
        for (const name of [c.from, c.to]) {
          const i = stateOf(name)
          if (row[i] === -1) row[i] = size++
        }
      }
      const minutes = new Int32Array(size * size)
      const attended = new Uint8Array(size * size)
      for (const c of s.changeovers) {
        const at = row[stateOf(c.from)]! * size + row[stateOf(c.to)]!
        minutes[at] = c.minutes
        attended[at] = c.attended ? 1 : 0
      }
      const longestInto = new Int32Array(size)
      const shortestInto = new Int32Array(size).fill(NEVER)
      for (let a = 0; a < size; a++) {
        for (let b = 0; b < size; b++) {
          const m = minutes[a * size + b]!
          if (m > longestInto[b]!) longestInto[b] = m
          if (m < shortestInto[b]!) shortestInto[b] = m
        }
      }
      return { row, size, minutes, attended, longestInto, shortestInto }
    })

    const jobIndex = new Map(shop.jobs.map((j, i) => [j.id, i]))
    this.keptOf = new Int32Array(n).fill(-1)
    for (const given of shop.kept) {
      const j = jobIndex.get(given.job)
      const station = stationIndex.get(given.station)
      if (j === undefined || station === undefined) continue
      const k = shop.jobs[j]!.steps.findIndex(s => s.id === given.step)
      if (k < 0) continue
      const at = this.jobFirst[j]! + k
      let found = -1
      for (let c = this.choiceFirst[at]!; c < this.choiceFirst[at + 1]!; c++) {
        if (this.choiceStation[c] === station) found = c
      }
      if (found < 0 || this.keptOf[at] !== -1) continue
      this.keptOf[at] = this.kept.length
      this.kept.push({ op: at, station, choice: found, start: given.start, given })
    }
    this.keptAt = shop.stations.map((_, s) =>
      Int32Array.from(
        this.kept
          .map((_k, i) => i)
          .filter(i => this.kept[i]!.station === s)
          .sort((a, b) => this.kept[a]!.start - this.kept[b]!.start || a - b),
      ),
    )

    const alwaysOpen = this.calendar.every(
      c => c.size === 1 && c.from[0]! <= shop.now && c.to[0]! >= this.horizon,
    )
    const unattended =
      this.attended.every(a => a === NOT) && shop.stations.every(s => s.changeovers.every(c => !c.attended))
    this.plain = alwaysOpen && unattended && !limited && this.kept.length === 0
  }

  /** Minutes of the changeover between two states on a station. */
  changeover(station: number, from: number, to: number): number {
    if (from < 0 || to < 0) return 0
    const t = this.table[station]!
    if (t.size === 0) return 0
    const a = t.row[from]!
    const b = t.row[to]!
    return a < 0 || b < 0 ? 0 : t.minutes[a * t.size + b]!
  }

  changeoverAttended(station: number, from: number, to: number): boolean {
    if (from < 0 || to < 0) return false
    const t = this.table[station]!
    const a = t.row[from]!
    const b = t.row[to]!
    return a >= 0 && b >= 0 && t.attended[a * t.size + b] === 1
  }

  /** Longest changeover into a state on a station. */
  longestInto(station: number, to: number): number {
    if (to < 0) return 0
    const t = this.table[station]!
    const b = t.size === 0 ? -1 : t.row[to]!
    return b < 0 ? 0 : t.longestInto[b]!
  }

  /** Minutes when both the station and the member are there. */
  jointCalendar(station: number, member: number): Calendar {
    const at = station * this.crew + member
    let c = this.joint[at]
    if (!c) {
      c = new Calendar(intersectOpenings(this.stationOpen[station]!, this.crewOpen[member]!))
      this.joint[at] = c
    }
    return c
  }
}
