import type { Calendar } from './calendar'
import { ALL, NEVER, NOT, type Problem, SETUP } from './problem'
import type { Timeline } from './timeline'

export interface Why {
  why: string
  timeMightHelp: boolean
  /** Only because another step of its job cannot be placed. */
  follows?: true
}

/** Why a step that is left out of a plan cannot be placed, as one sentence a person can act on. */
export function whyNot(p: Problem, line: Timeline, op: number): Why {
  const never = (why: string) => ({ why, timeMightHelp: false })
  const j = p.job[op]!
  const job = p.shop.jobs[j]!
  const step = job.steps[op - p.jobFirst[j]!]!
  const name = `${step.id} of ${job.id}`
  const reasons: string[] = []
  for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++) {
    const why = whyNotOn(p, op, c)
    if (why === null) {
      reasons.length = 0
      break
    }
    if (!reasons.includes(why)) reasons.push(why)
  }
  if (p.choiceFirst[op] === p.choiceFirst[op + 1])
    return never(`${name} names no station that can do it; add one`)
  if (reasons.length > 0) return never(`${name} ${reasons.slice(0, 3).join('; ')}`)

  const before = op > p.jobFirst[j]! ? op - 1 : -1
  if (op + 1 < p.jobFirst[j + 1]! && p.keptOf[op + 1]! >= 0) {
    const next = job.steps[op + 1 - p.jobFirst[j]!]!
    return never(
      `${name} cannot be done before ${next.id}, which is kept where it is; move or release that run`,
    )
  }
  if (before >= 0 && p.keptOf[before]! < 0 && line.status[before] !== 1) {
    const first = job.steps[before - p.jobFirst[j]!]!
    return { ...never(`${name} waits for ${first.id}, which cannot be placed`), follows: true }
  }
  if (before >= 0 && p.gapMax[before]! < NEVER) {
    const first = job.steps[before - p.jobFirst[j]!]!
    return {
      why: `${name} must begin at most ${p.gapMax[before]} minutes after ${first.id}; no openings of their stations and crew allow that`,
      timeMightHelp: true,
    }
  }
  return {
    why: `${name} finds no room before the end of the openings that are planned; open more hours or move other work`,
    timeMightHelp: true,
  }
}

/** A step of a job that is left out because another of its steps cannot be placed. */
export function becauseOf(p: Problem, op: number, other: number): Why {
  const job = p.shop.jobs[p.job[op]!]!
  const first = p.jobFirst[p.job[op]!]!
  const why = `${job.steps[op - first]!.id} of ${job.id} is left out because ${job.steps[other - first]!.id} cannot be placed`
  return { why, timeMightHelp: false, follows: true }
}

function whyNotOn(p: Problem, op: number, choice: number): string | null {
  const s = p.choiceStation[choice]!
  const station = p.shop.stations[s]!
  const open = p.calendar[s]!
  const setup = p.setup[choice]!
  const run = p.run[choice]!
  const total = setup + run
  const from = Math.max(p.now, p.release[p.job[op]!]!)
  if (open.next(from) < 0) return `needs ${station.id}, which has no opening from then on; give it hours`
  const unbroken = p.pausable[op] === 0
  if (unbroken && longestFrom(open, from) < total) {
    return `needs ${total} unbroken minutes; the longest opening of ${station.id} is ${longestFrom(open, from)}`
  }
  if (!unbroken && open.between(from, NEVER) < total) {
    return `needs ${total} open minutes; ${station.id} has ${open.between(from, NEVER)} left`
  }
  const attended = p.attended[op]!
  if (attended === NOT) return null
  const able = p.able[s]!
  if (able.length === 0) return `needs somebody who can work at a ${station.kind}; nobody has that skill`
  const held = attended === ALL ? total : attended === SETUP ? setup : 0
  let longest = 0
  let most = 0
  for (const m of able) {
    const joint = p.jointCalendar(s, m)
    longest = Math.max(longest, longestFrom(joint, from))
    most = Math.max(most, joint.between(from, NEVER))
  }
  if (most === 0) return `needs somebody at ${station.id}; nobody with that skill is there while it is open`
  if (unbroken && longest < held) {
    return `needs somebody for ${held} unbroken minutes; the longest time anybody with that skill is at ${station.id} is ${longest}`
  }
  if (!unbroken && most < held)
    return `needs somebody for ${held} minutes at ${station.id}; there are ${most} left`
  return null
}

function longestFrom(c: Calendar, t: number): number {
  let longest = 0
  for (let k = c.at(t); k < c.size; k++) longest = Math.max(longest, c.to[k]! - Math.max(t, c.from[k]!))
  return longest
}
