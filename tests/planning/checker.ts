/**
 * Checks a plan against the planning contract, from its text alone: shares no code with the engine. Whether a minute is open is
 * asked of the wall clock at that minute, one minute at a time.
 */

interface Hours {
  weekday: number
  from: string
  to: string
}
interface Span {
  from: string
  to: string
}
interface Choice {
  station: string
  setup?: number
  run: number
}
export interface CheckedStep {
  id: string
  on: Choice[]
  state?: string | null
  attended?: 'all' | 'setup' | 'none'
  pausable?: boolean
  gap?: { min?: number; max?: number | null } | null
}
export interface CheckedShop {
  now: string
  timeZone: string
  stations: {
    id: string
    kind: string
    hours: Hours[]
    closed?: Span[]
    state?: string | null
    changeovers?: { from: string; to: string; minutes: number; attended?: boolean }[]
  }[]
  crew?: { id: string; skills: string[]; hours: Hours[]; closed?: Span[] }[]
  jobs: {
    id: string
    release?: string | null
    due?: string | null
    weight?: number
    hard?: boolean
    steps: CheckedStep[]
  }[]
  kept?: { job: string; step: string; station: string; start: string; crew?: string | null }[]
}
export interface CheckedRun {
  job: string
  step: string
  station: string
  crew: string | null
  start: string
  work: string
  end: string
  changeover: number
  setup: number
  run: number
}
export interface CheckedPlan {
  runs: CheckedRun[]
  late: { job: string; minutes: number }[]
  objective: { hardMisses: number; weightedLateMinutes: number; changeoverMinutes: number; finish?: string }
  bound: { weightedLateMinutes: number; hardMisses?: number; finish?: string }
  unplaced: { job: string; step: string; why: string }[]
  conflicts?: { job: string; step: string; why: string }[]
}

const DAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun']
const clocks = new Map<string, { format: Intl.DateTimeFormat; known: Map<number, [number, number]> }>()

/** Weekday (Monday = 1) and minute of the day that a wall clock in the zone shows. Clocks change on quarter hours. */
function wallClock(zone: string, minute: number): [number, number] {
  let clock = clocks.get(zone)
  if (!clock) {
    const format = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      weekday: 'short',
      hour: '2-digit',
      minute: '2-digit',
      hourCycle: 'h23',
    })
    clock = { format, known: new Map() }
    clocks.set(zone, clock)
  }
  const quarter = Math.floor(minute / 15)
  let shown = clock.known.get(quarter)
  if (!shown) {
    const parts = Object.fromEntries(
      clock.format.formatToParts(new Date(quarter * 15 * 60_000)).map(p => [p.type, p.value]),
    )
    shown = [DAYS.indexOf(parts.weekday ?? '') + 1, Number(parts.hour) * 60 + Number(parts.minute)]
    clock.known.set(quarter, shown)
  }
  return [shown[0], shown[1] + (minute - quarter * 15)]
}

const minuteOf = (text: string) => Date.parse(text) / 60_000
const ofDay = (text: string) => Number(text.slice(0, 2)) * 60 + Number(text.slice(3, 5))

/** Everything in which the plan breaks the contract, one sentence each; empty when it keeps it. */
export function check(shop: CheckedShop, plan: CheckedPlan): string[] {
  const wrong: string[] = []
  const crew = new Map((shop.crew ?? []).map(m => [m.id, m]))
  const jobs = new Map(shop.jobs.map(j => [j.id, j]))
  const now = minuteOf(shop.now)
  const key = (r: { job: string; step: string }) => `${r.job}/${r.step}`
  const kept = new Map((shop.kept ?? []).map(k => [key(k), k]))
  const excused = new Set((plan.conflicts ?? []).map(key))
  for (const k of excused) if (!kept.has(k)) wrong.push(`${k}: a conflict of a run that is not kept`)

  const isOpen = (who: { hours: Hours[]; closed?: Span[] }, minute: number) => {
    const [weekday, at] = wallClock(shop.timeZone, minute)
    if (!who.hours.some(h => h.weekday === weekday && ofDay(h.from) <= at && at < ofDay(h.to))) return false
    return !(who.closed ?? []).some(
      c => Math.floor(minuteOf(c.from)) <= minute && minute < Math.ceil(minuteOf(c.to)),
    )
  }
  type Member = NonNullable<CheckedShop['crew']>[number]
  const openTo = (s: CheckedShop['stations'][number], m: Member | null, minute: number) =>
    isOpen(s, minute) && (m === null || isOpen(m, minute))
  const count = (s: CheckedShop['stations'][number], m: Member | null, a: number, b: number) => {
    let n = 0
    for (let t = a; t < b; t++) if (openTo(s, m, t)) n++
    return n
  }

  // Every step is placed once or said to be unplaced.
  const placed = new Map<string, CheckedRun>()
  for (const r of plan.runs) {
    if (placed.has(key(r))) wrong.push(`${key(r)}: planned twice`)
    placed.set(key(r), r)
    if (!jobs.get(r.job)?.steps.some(s => s.id === r.step)) wrong.push(`${key(r)}: no such step`)
  }
  const unplaced = new Set(plan.unplaced.map(key))
  for (const u of plan.unplaced) if (u.why.trim() === '') wrong.push(`${key(u)}: unplaced without a reason`)
  for (const j of shop.jobs) {
    for (const s of j.steps) {
      const k = `${j.id}/${s.id}`
      if (placed.has(k) === unplaced.has(k)) wrong.push(`${k}: neither or both of planned and unplaced`)
    }
  }
  for (const [k, given] of kept) {
    const r = placed.get(k)
    if (!r) wrong.push(`${k}: kept but not planned`)
    else if (r.station !== given.station || minuteOf(r.start) !== Math.floor(minuteOf(given.start))) {
      wrong.push(`${k}: kept but moved`)
    }
  }

  // Stations: one run at a time, changeovers between what really follows.
  const busy = new Map<string, { from: number; to: number; who: string }[]>()
  for (const s of shop.stations) {
    const runs = plan.runs
      .filter(r => r.station === s.id)
      .sort((a, b) => minuteOf(a.start) - minuteOf(b.start) || minuteOf(a.end) - minuteOf(b.end))
    let state = s.state ?? null
    let free = Number.NEGATIVE_INFINITY
    for (const r of runs) {
      const k = key(r)
      const step = jobs.get(r.job)?.steps.find(x => x.id === r.step)
      if (!step) continue
      const isKept = kept.has(k)
      const lenient = isKept && excused.has(k)
      const say = (what: string) => {
        if (!lenient) wrong.push(`${k}: ${what}`)
      }
      const [start, work, end] = [minuteOf(r.start), minuteOf(r.work), minuteOf(r.end)]
      if (!Number.isInteger(start) || !Number.isInteger(work) || !Number.isInteger(end))
        say('times are not whole minutes')
      if (start > work || work > end) say('start, work and end are out of order')
      if (start < free) say(`begins on ${s.id} before the run ahead has ended`)
      free = Math.max(free, end)
      if (start < now && !isKept) say('begins before now')

      const choice = step.on.find(c => c.station === s.id)
      if (!choice) {
        wrong.push(`${k}: ${s.id} cannot do it`)
        continue
      }
      const setup = choice.setup ?? 0
      if (r.setup !== setup || r.run !== choice.run) wrong.push(`${k}: wrong set-up or run minutes`)
      const to = step.state ?? null
      const change =
        state === null || to === null ? undefined : s.changeovers?.find(c => c.from === state && c.to === to)
      const changeover = change?.minutes ?? 0
      if (r.changeover !== changeover) wrong.push(`${k}: changeover ${r.changeover}, should be ${changeover}`)
      if (to !== null) state = to

      const attended = step.attended ?? 'all'
      const changeAttended = changeover > 0 && (change?.attended ?? true)
      const needsMember = attended !== 'none' || changeAttended
      const member = r.crew === null ? null : (crew.get(r.crew) ?? null)
      if (r.crew !== null && member === null) wrong.push(`${k}: no such crew member`)
      if (needsMember && member === null) say('nobody is on it')
      if (!needsMember && member !== null) say('has a crew member without need')
      if (member && !member.skills.includes(s.kind)) say(`${member.id} cannot work at a ${s.kind}`)

      if (!isOpen(s, start)) say('begins in a closed minute')
      const forChange = changeAttended ? member : null
      const forSetup = attended === 'none' ? null : member
      const forRun = attended === 'all' ? member : null
      // Set-up is the first of the work.
      let setupEnd = work
      for (let left = setup; left > 0 && setupEnd < end; setupEnd++) if (openTo(s, forSetup, setupEnd)) left--
      if (count(s, forChange, start, work) !== changeover) say('changeover minutes are not all open')
      if (count(s, forSetup, work, setupEnd) !== setup) say('set-up minutes are not all open')
      if (count(s, forRun, setupEnd, end) !== choice.run) say('run minutes are not all open')
      if (end > work) {
        const lastBy = setupEnd >= end && choice.run === 0 ? forSetup : forRun
        if (!openTo(s, lastBy, end - 1)) say('goes on after its last open minute')
      }
      if (!step.pausable) {
        if (work - start !== changeover) say('changeover is broken')
        if (end - work !== setup + choice.run) say('work is broken')
      }
      if (member) {
        const from = changeAttended ? start : work
        const until = attended === 'all' ? end : attended === 'setup' ? setupEnd : work
        const list = busy.get(member.id) ?? []
        list.push({ from, to: until, who: k })
        busy.set(member.id, list)
        if (from === until && !isOpen(member, from)) say(`${member.id} is not there`)
      }
    }
  }
  for (const [id, list] of busy) {
    list.sort((a, b) => a.from - b.from || a.to - b.to)
    for (let i = 0; i < list.length; i++) {
      for (let j = i + 1; j < list.length && list[j]!.from < list[i]!.to; j++) {
        const [a, b] = [list[i]!, list[j]!]
        if (a.to > b.from && b.to > a.from && !excused.has(a.who) && !excused.has(b.who)) {
          wrong.push(`${id}: on ${a.who} and ${b.who} at once`)
        }
      }
    }
  }

  // Jobs: releases, order, gaps; lateness.
  let hardMisses = 0
  let weightedLate = 0
  let finish = now
  const late = new Map<string, number>()
  for (const j of shop.jobs) {
    j.steps.forEach((s, i) => {
      const r = placed.get(`${j.id}/${s.id}`)
      if (!r) return
      const k = key(r)
      const say = (what: string) => {
        if (!(kept.has(k) && excused.has(k))) wrong.push(`${k}: ${what}`)
      }
      finish = Math.max(finish, minuteOf(r.end))
      if (j.release && minuteOf(r.work) < minuteOf(j.release) && !kept.has(k)) say('works before its release')
      const before = i > 0 ? j.steps[i - 1] : undefined
      const previous = before && placed.get(`${j.id}/${before.id}`)
      if (before && !previous && !kept.has(k)) say('is planned though the step before it is not')
      if (!before || !previous) return
      const gap = minuteOf(r.work) - minuteOf(previous.end)
      if (gap < (before.gap?.min ?? 0)) say(`begins ${gap} minutes after the step before it, too soon`)
      const max = before.gap?.max ?? null
      if (max !== null && gap > max) say(`begins ${gap} minutes after the step before it, too late`)
    })
    const last = j.steps[j.steps.length - 1]
    const r = last && placed.get(`${j.id}/${last.id}`)
    if (r && j.due) {
      const minutes = minuteOf(r.end) - Math.floor(minuteOf(j.due))
      if (minutes > 0) {
        late.set(j.id, minutes)
        weightedLate += minutes * (j.weight ?? 1)
        if (j.hard) hardMisses++
      }
    }
  }
  if (plan.late.length !== late.size || plan.late.some(l => late.get(l.job) !== l.minutes)) {
    wrong.push('late: not the jobs that end after their promise')
  }
  const o = plan.objective
  const near = (a: number, b: number) => Math.abs(a - b) <= 1e-6 * Math.max(1, Math.abs(a), Math.abs(b))
  if (o.hardMisses !== hardMisses)
    wrong.push(`objective.hardMisses: ${o.hardMisses}, should be ${hardMisses}`)
  if (!near(o.weightedLateMinutes, weightedLate)) {
    wrong.push(`objective.weightedLateMinutes: ${o.weightedLateMinutes}, should be ${weightedLate}`)
  }
  const changes = plan.runs.reduce((sum, r) => sum + r.changeover, 0)
  if (o.changeoverMinutes !== changes)
    wrong.push(`objective.changeoverMinutes: ${o.changeoverMinutes}, not ${changes}`)
  if (o.finish !== undefined && minuteOf(o.finish) !== finish)
    wrong.push('objective.finish: not the last end')
  const b = plan.bound
  if (b.weightedLateMinutes > weightedLate + 1e-6) wrong.push('bound.weightedLateMinutes: above the value')
  if ((b.hardMisses ?? 0) > hardMisses) wrong.push('bound.hardMisses: above the value')
  if (b.finish !== undefined && minuteOf(b.finish) > finish) wrong.push('bound.finish: above the value')
  return wrong
}
