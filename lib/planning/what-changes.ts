import type { Instant } from '@/lib/units/time'
import type { Plan, Run } from './engine'
import type { PlanRows, PlanStep } from './model'
import { jobId } from './model'
import { instantOfMinute, minuteOf } from './openings'
import { isAfter } from './steps'

/** How late an order is before and after, minutes; 0: in time. */
export type LateChange = { orderId: string; number: number; hard: boolean; before: number; after: number }

/** A run that stands elsewhere. */
export type MovedRun = {
  stepId: string
  number: number
  title: string
  from: { stationId: string; at: Instant }
  to: { stationId: string; at: Instant }
}

/** What a trial plan means beside the present one. */
export type WhatChanges = {
  /** Orders that become late, or later. Hard promises first, then what loses most. */
  later: LateChange[]
  /** Orders that were late and are less so, most gained first. */
  sooner: LateChange[]
  /** Orders that find no place any more, with the reason as the engine says it. */
  homeless: { orderId: string; number: number; why: string }[]
  /** Changeover minutes more than before, or (negative) fewer, over all runs. */
  changeoverMinutes: number
  /** Minutes late in all more than before, or (negative) fewer, each order by its weight. */
  lateMinutes: number
  /** Runs that stand at another time or station, soonest first. The run that was asked for is not among them. */
  moved: MovedRun[]
}

/** Minutes late by order; orders without a promise, or with a step that finds no place, are not in it. */
function lateByOrder(rows: PlanRows, plan: Plan): Map<string, number> {
  const steps = new Map(rows.steps.map(s => [s.id, s]))
  const ends = new Map<string, number>()
  for (const r of plan.runs) {
    const s = steps.get(r.step)
    if (s && !isAfter(s.job)) ends.set(s.orderId, Math.max(ends.get(s.orderId) ?? 0, r.end))
  }
  for (const u of plan.unplaced) {
    const s = steps.get(u.step)
    if (s && !isAfter(s.job)) ends.delete(s.orderId)
  }
  const late = new Map<string, number>()
  for (const o of rows.orders) {
    const end = ends.get(o.id)
    if (end !== undefined && o.promiseAt !== null) late.set(o.id, Math.max(0, end - minuteOf(o.promiseAt)))
  }
  return late
}

const homelessOf = (rows: PlanRows, plan: Plan) => {
  const steps = new Map(rows.steps.map(s => [s.id, s]))
  const found = new Map<string, string>()
  for (const u of plan.unplaced) {
    const orderId = steps.get(u.step)?.orderId
    if (orderId && !found.has(orderId)) found.set(orderId, u.why)
  }
  return found
}

/**
 * What changes from one plan to another, as people ask for it: who becomes late, by how much, what is lost or won in changeovers, what
 * else moves. Rows may differ as well (a step split, an order in a hurry).
 * @param but the step that was asked to move
 */
export function whatChanges(
  before: { rows: PlanRows; plan: Plan },
  after: { rows: PlanRows; plan: Plan },
  but: string | null = null,
): WhatChanges {
  const was = lateByOrder(before.rows, before.plan)
  const is = lateByOrder(after.rows, after.plan)
  const changes = after.rows.orders.flatMap((o): (LateChange & { weight: number })[] => {
    const a = is.get(o.id)
    const b = was.get(o.id) ?? 0
    const weight = o.rush ? 3 : 1
    return a === undefined || a === b
      ? []
      : [{ orderId: o.id, number: o.number, hard: o.promiseHard, before: b, after: a, weight }]
  })
  const lost = homelessOf(before.rows, before.plan)
  const numbers = new Map(after.rows.orders.map(o => [o.id, o.number]))
  const places = new Map(before.plan.runs.map(r => [r.step, r]))
  const steps = new Map(after.rows.steps.map(s => [s.id, s]))
  const moved = after.plan.runs.flatMap((r): MovedRun[] => {
    const b = places.get(r.step)
    const s = steps.get(r.step)
    if (!b || !s || r.step === but || (b.station === r.station && b.work === r.work)) return []
    return [
      {
        stepId: r.step,
        number: numbers.get(s.orderId) ?? 0,
        title: s.title,
        from: { stationId: b.station, at: instantOfMinute(b.work) },
        to: { stationId: r.station, at: instantOfMinute(r.work) },
      },
    ]
  })
  const plain = ({ weight: _, ...c }: LateChange & { weight: number }): LateChange => c
  return {
    later: changes
      .filter(c => c.after > c.before)
      .sort((a, b) => Number(b.hard) - Number(a.hard) || b.after - b.before - (a.after - a.before))
      .map(plain),
    sooner: changes
      .filter(c => c.after < c.before)
      .sort((a, b) => a.after - a.before - (b.after - b.before))
      .map(plain),
    homeless: [...homelessOf(after.rows, after.plan)]
      .filter(([orderId]) => !lost.has(orderId))
      .map(([orderId, why]) => ({ orderId, number: numbers.get(orderId) ?? 0, why })),
    changeoverMinutes: changeovers(after.plan) - changeovers(before.plan),
    lateMinutes: changes.reduce((sum, c) => sum + (c.after - c.before) * c.weight, 0),
    moved: moved.sort((a, b) => a.to.at - b.to.at),
  }
}

const changeovers = (plan: Plan) => plan.runs.reduce((sum: number, r: Run) => sum + r.changeover, 0)

/** Pinned steps that a plan could not keep in their place, or whose pin leaves work of their order without one. */
export function pinsInTheWay(
  plan: Pick<Plan, 'conflicts' | 'unplaced'>,
  steps: readonly PlanStep[],
  pins: ReadonlyMap<string, unknown>,
): { stepId: string; why: string }[] {
  const wrong = new Map<string, string>()
  for (const c of plan.conflicts) if (!wrong.has(c.step)) wrong.set(c.step, c.why)
  const jobs = new Map<string, string>()
  for (const u of plan.unplaced) if (!jobs.has(u.job)) jobs.set(u.job, u.why)
  return steps.flatMap(s => {
    if (!pins.has(s.id) || s.state !== 'waiting') return []
    const why = wrong.get(s.id) ?? jobs.get(jobId(s))
    return why ? [{ stepId: s.id, why }] : []
  })
}
