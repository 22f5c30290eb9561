import { NOT } from './problem'
import { becauseOf, type Why, whyNot } from './reasons'
import { LEFT_OUT, PLACED, type Timeline } from './timeline'
import type { Bound, Conflict, Plan, Run, Unplaced } from './types'

/** The plan that a timeline stands for. Left-out reasons must be settled before (`settleLeftOut`). */
export function report(
  line: Timeline,
  bound: Bound,
  optimal: boolean,
  reasons: ReadonlyMap<number, Why>,
  moved: number,
  steps: number,
): Plan {
  const { p } = line
  line.measure()
  const placed: { run: Run; station: number; turn: number }[] = []
  const unplaced: Unplaced[] = []
  const late: Plan['late'] = []
  for (let j = 0; j < p.jobs; j++) {
    const job = p.shop.jobs[j]!
    const left: Unplaced[] = []
    const follow: Unplaced[] = []
    for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) {
      const step = job.steps[op - p.jobFirst[j]!]!
      if (line.status[op] !== PLACED) {
        const { follows, ...why } = reasons.get(op) ?? whyNot(p, line, op)
        const gone = follows ? follow : left
        gone.push({ job: job.id, step: step.id, ...why })
        continue
      }
      const c = line.choice[op]!
      const m = line.member[op]!
      placed.push({
        station: p.choiceStation[c]!,
        turn: line.turn[op]!,
        run: {
          job: job.id,
          step: step.id,
          station: p.shop.stations[p.choiceStation[c]!]!.id,
          crew: m < 0 ? null : p.shop.crew[m]!.id,
          start: line.start[op]!,
          work: line.work[op]!,
          end: line.end[op]!,
          changeover: line.changeover[op]!,
          setup: p.setup[c]!,
          run: p.run[c]!,
        },
      })
    }
    // What stands in the way is told before what it leaves out.
    unplaced.push(...left, ...follow)
    const last = p.jobFirst[j + 1]! - 1
    if (last >= p.jobFirst[j]! && line.status[last] === PLACED && line.end[last]! > p.due[j]!) {
      late.push({ job: job.id, minutes: line.end[last]! - p.due[j]! })
    }
  }
  placed.sort((a, b) => a.run.work - b.run.work || a.station - b.station || a.turn - b.turn)
  return {
    runs: placed.map(x => x.run),
    late,
    objective: {
      hardMisses: line.hardMisses,
      weightedLateMinutes: line.weightedLate,
      changeoverMinutes: line.changeoverMinutes,
      finish: line.finish,
    },
    bound,
    unplaced,
    conflicts: conflicts(line),
    optimal,
    moved,
    steps,
  }
}

/**
 * Drops every job that has a left-out step, with the reason, and takes its room back for the others.
 * Reasons are kept per step.
 */
export function settleLeftOut(line: Timeline, reasons: Map<number, Why>): void {
  // With a job gone the others stand elsewhere, and one of them may be left out in its turn.
  while (dropLeftOut(line, reasons)) line.decode()
}

function dropLeftOut(line: Timeline, reasons: Map<number, Why>): boolean {
  const { p } = line
  let again = false
  for (let j = 0; j < p.jobs; j++) {
    if (line.dropped[j] === 1) continue
    let cause = -1
    for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) {
      if (line.status[op] === LEFT_OUT && cause < 0) cause = op
    }
    if (cause < 0) continue
    again = true
    const why = whyNot(p, line, cause)
    for (let op = p.jobFirst[j]!; op < p.jobFirst[j + 1]!; op++) {
      if (p.keptOf[op]! < 0) reasons.set(op, op === cause ? why : becauseOf(p, op, cause))
    }
    line.dropped[j] = 1
  }
  return again
}

/** What is wrong with the kept runs: they stay, and somebody should know. */
function conflicts(line: Timeline): Conflict[] {
  const { p } = line
  const found: Conflict[] = []
  for (const [i, k] of p.kept.entries()) {
    const { op, station: s, start } = k
    const job = p.shop.jobs[p.job[op]!]!
    const step = job.steps[op - p.jobFirst[p.job[op]!]!]!
    const station = p.shop.stations[s]!
    const say = (why: string) =>
      found.push({ job: job.id, step: step.id, why: `${step.id} of ${job.id} ${why}` })
    const before = line.stationBefore[op]!
    if (before >= 0 && line.end[before]! > start)
      say(`begins on ${station.id} before the run ahead of it has ended`)
    if (!p.calendar[s]!.isOpen(start)) say(`begins while ${station.id} is closed`)
    const previous = op - 1
    if (op > p.jobFirst[p.job[op]!]! && line.status[previous] === PLACED) {
      const gap = line.work[op]! - line.end[previous]!
      if (gap < p.gapMin[previous]!)
        say(`begins less than ${p.gapMin[previous]} minutes after the step before it`)
      if (gap > p.gapMax[previous]!)
        say(`begins more than ${p.gapMax[previous]} minutes after the step before it`)
    }
    const length = p.setup[k.choice]! + p.run[k.choice]!
    const by = line.member[op]! < 0 ? '' : p.shop.crew[line.member[op]!]!.id
    if (line.keptBeyond[i] === 1)
      say(`needs more minutes than ${station.id} is still open${by && ` with ${by} there`}`)
    if (line.keptWaits[i] === 1 && p.pausable[op] === 1) say(`waits for ${by} after its changeover`)
    if (p.pausable[op] === 0) {
      if (line.end[op]! - line.work[op]! !== length || line.work[op]! - start !== line.changeover[op]!) {
        say(`does not fit unbroken into the opening of ${station.id}`)
      }
    }
    if (line.keptNeeds[i] === 1) {
      const m = line.keptMember[i]!
      if (m < 0) say(`has nobody free who can work at a ${station.kind}`)
      else {
        const member = p.shop.crew[m]!
        if (!member.skills.includes(station.kind))
          say(`has ${member.id} on it, who cannot work at a ${station.kind}`)
        if (line.keptTogether(i)) say(`has ${member.id} on it, who is on another kept run at that time`)
        if (!p.jointCalendar(s, m).isOpen(length === 0 ? line.work[op]! : start) && p.attended[op] !== NOT) {
          say(`begins while ${member.id} is not there`)
        }
      }
    }
  }
  return found
}
