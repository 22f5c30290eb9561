import { paceKey } from '@/lib/costing/learned'
import { addDays, atTime, dayOf, type Instant, instant, weekdayOf } from '@/lib/units/time'
import type { Plan } from './engine'
import type { PlanOrder, PlanStation, PlanStep } from './model'
import { jobId } from './model'
import type { NewStep } from './steps'

/** Hour of the day by which the post has come, in the shop's zone. Common practice. */
export const POST_BY = '12:00'

/** When something posted so many working days (Monday to Friday) after an instant is here. */
export function postDue(from: Instant, workingDays: number, zone: string): Instant {
  let day = dayOf(from, zone)
  for (let left = workingDays; left > 0; ) {
    day = addDays(day, 1)
    if (weekdayOf(day) <= 5) left--
  }
  return atTime(day, POST_BY, zone)
}

/** A step that is not on the floor's list yet, as the plan sees it. */
export const asPlanStep = (step: NewStep, orderId: string): PlanStep => ({
  id: `${orderId}/${step.job}/${step.position}`,
  orderId,
  job: step.job,
  position: step.position,
  title: step.title,
  stationKind: step.stationKind,
  stationState: step.stationState,
  setupMinutes: step.setupMinutes,
  runMinutes: step.runMinutes,
  attended: step.attended,
  pausable: step.pausable,
  gapMin: step.gapMin,
  gapMax: step.gapMax,
  pace: paceKey(step.recipe.recipe?.id ?? null, step.key),
  needs: needsOf(step.recipe),
  pieces: step.pieces,
  good: 0,
  spoiled: 0,
  state: 'waiting',
  stationId: null,
  crewId: null,
  startedAt: null,
  finishedAt: null,
})

/** What a station must take for a step: nothing in particular where no print is laid on it. */
export const needsOf = (recipe: NewStep['recipe']): PlanStep['needs'] =>
  recipe.print && recipe.phase === 'work'
    ? {
        widthMm: recipe.print.widthMm,
        heightMm: recipe.print.heightMm,
        screens: recipe.print.screens,
      }
    : null

/** When the plan has each order ready, by order id: the end of its last step. Orders with an unplaced step are left out. */
export function readyByOrder(
  plan: Pick<Plan, 'runs' | 'unplaced'>,
  steps: readonly PlanStep[],
  endOf: (minute: number) => Instant,
  promised: (job: string) => boolean,
): Map<string, Instant> {
  const byId = new Map(steps.map(s => [s.id, s]))
  const ready = new Map<string, Instant>()
  for (const run of plan.runs) {
    const step = byId.get(run.step)
    if (!step || !promised(step.job)) continue
    const end = endOf(run.end)
    if (end > (ready.get(step.orderId) ?? 0)) ready.set(step.orderId, end)
  }
  for (const u of plan.unplaced) {
    const step = byId.get(u.step)
    if (step && promised(step.job)) ready.delete(step.orderId)
  }
  return ready
}

/** A reason of the engine in the shop's words: names instead of ids. @param named stations, and people where they may be in it */
export function reasonWords(
  why: string,
  steps: readonly PlanStep[],
  orders: readonly Pick<PlanOrder, 'id' | 'number'>[],
  named: readonly Pick<PlanStation, 'id' | 'name'>[],
): string {
  const number = new Map(orders.map(o => [o.id, String(o.number)]))
  let words = why
  for (const s of steps) {
    if (!words.includes(s.id)) continue
    words = words.replaceAll(
      `${s.id} of ${jobId(s)}`,
      `“${s.title}” of ${number.get(s.orderId) ?? 'an order'}`,
    )
    words = words.replaceAll(s.id, `“${s.title}”`)
    words = words.replaceAll(jobId(s), number.get(s.orderId) ?? 'an order')
  }
  for (const s of named) words = words.replaceAll(s.id, s.name)
  const sentence = words.charAt(0).toUpperCase() + words.slice(1)
  return /[.!?]$/.test(sentence) ? sentence : `${sentence}.`
}

/** Later of two instants. */
export const later = (a: Instant, b: Instant): Instant => instant(Math.max(a, b))
