import type { CrewMember } from '@/lib/shop/crew'
import { addDays, dayBounds, dayOf, formatMinutes, formatMoment, type Instant } from '@/lib/units/time'
import { instantOfMinute, openingsOf } from './openings'
import type { Hold } from './release'

/** How an order stands against what was promised. */
export type Standing = 'late' | 'risk' | 'on-time' | 'unpromised' | 'unplaced'

/** An order that is planned to be ready closer to its promise than this is at risk: half a working day. */
export const RISK_MINUTES = 240

export type OrderStanding = {
  standing: Standing
  /** When the plan has it ready; null when some of its work finds no place. */
  readyAt: Instant | null
  /** Minutes after the promise; 0 when it is in time. */
  lateMinutes: number
  /** A few words for the mark: "2 h late", "1 h to spare", "ready Thu 14 May, 15:30". */
  words: string
}

/**
 * How an order stands. Late: the plan has it ready after the promise. At risk: with less than half a working day to spare.
 * Times are elapsed minutes, closed hours included, as a customer counts them.
 */
export function standingOf(
  order: { promiseAt: Instant | null; readyAt: Instant | null },
  zone: string,
): OrderStanding {
  const { promiseAt, readyAt } = order
  if (readyAt === null)
    return { standing: 'unplaced', readyAt, lateMinutes: 0, words: 'finds no place on the plan' }
  const when = `ready ${formatMoment(readyAt, zone)}`
  if (promiseAt === null) return { standing: 'unpromised', readyAt, lateMinutes: 0, words: when }
  const spare = Math.floor((promiseAt - readyAt) / 60_000)
  if (spare < 0)
    return { standing: 'late', readyAt, lateMinutes: -spare, words: `${formatMinutes(-spare)} late` }
  if (spare < RISK_MINUTES)
    return { standing: 'risk', readyAt, lateMinutes: 0, words: `${formatMinutes(spare)} to spare` }
  return { standing: 'on-time', readyAt, lateMinutes: 0, words: when }
}

/** How far ahead an evening is looked for before nobody seems to be there any more. */
const LOOKED_DAYS = 60

/**
 * A promise that the shop can give for work that the plan has ready then: the end of the first working day that leaves half a
 * working day to spare, so that it is not at risk from its first hour. A day ends when the last of the crew goes home; days on which
 * nobody is there do not count.
 * @param crew hours and closures of everybody
 * @returns null where nobody is there in the next two months
 */
export function safePromise(
  readyAt: Instant,
  zone: string,
  crew: readonly Pick<CrewMember, 'hours' | 'closed'>[],
): Instant | null {
  const today = dayOf(readyAt, zone)
  for (let ahead = 0; ahead < LOOKED_DAYS; ahead++) {
    const { from, to } = dayBounds(addDays(today, ahead), zone)
    const ends = crew.flatMap(m => openingsOf(m.hours, m.closed, zone, from, to).map(o => o.to))
    if (ends.length === 0) continue
    const at = instantOfMinute(Math.max(...ends))
    if (at - readyAt >= RISK_MINUTES * 60_000) return at
  }
  return null
}

/** What keeps an order from being started, for the list beside the board. */
export type Waiting = { orderId: string; number: number; title: string; holds: Hold[] }

/**
 * The list of what cannot be started yet and why: nothing on the way, art not cleared, transfers in the post, no room. Orders that a
 * person must act for come first, then those whose wait ends soonest.
 */
export function waitingList(
  orders: readonly { id: string; number: number; title: string; holds: readonly Hold[] }[],
  unplaced: readonly { orderId: string; why: string }[],
): Waiting[] {
  const list: Waiting[] = []
  for (const o of orders) {
    const room: Hold[] = unplaced
      .filter(u => u.orderId === o.id)
      .slice(0, 1)
      .map(u => ({ kind: 'room', text: u.why, until: null }))
    const holds = [...room, ...o.holds]
    if (holds.length) list.push({ orderId: o.id, number: o.number, title: o.title, holds })
  }
  const soonest = (w: Waiting) =>
    w.holds.some(h => h.until === null) ? 0 : Math.max(...w.holds.map(h => h.until ?? 0))
  return list.sort((a, b) => soonest(a) - soonest(b) || a.number - b.number)
}

/**
 * How near a plan is to the best possible, in words. The bound is proven, so the truth lies between: "at most 35 min from the best
 * possible".
 */
export function goodnessWords(plan: {
  objective: { hardMisses: number; weightedLateMinutes: number }
  bound: { hardMisses: number; weightedLateMinutes: number }
  /** What found no place on the plan; one order may stand here more than once. */
  unplaced: readonly { orderId: string }[]
}): string {
  const left = new Set(plan.unplaced.map(u => u.orderId)).size
  if (left === 0) return keptWords(plan)
  const found = `${left === 1 ? 'One order finds' : `${left} orders find`} no place on the plan`
  const kept = keptWords(plan)
  return kept === ALL_KEPT
    ? `${found}; every other promise is kept.`
    : `${found}; of the others, ${kept.charAt(0).toLowerCase()}${kept.slice(1)}`
}

const ALL_KEPT = 'Every promise is kept: no plan keeps them better.'

function keptWords({ objective, bound }: Pick<Parameters<typeof goodnessWords>[0], 'objective' | 'bound'>) {
  if (objective.hardMisses === 0 && objective.weightedLateMinutes === 0) return ALL_KEPT
  const hard = objective.hardMisses - bound.hardMisses
  const late = objective.weightedLateMinutes - bound.weightedLateMinutes
  const lateWords = `${formatMinutes(objective.weightedLateMinutes)} late in all`
  if (hard <= 0 && late <= 0) return `${lateWords}: proven that no plan does better.`
  if (hard > 0)
    return `${lateWords}; at most ${hard} more hard ${hard === 1 ? 'promise' : 'promises'} could be kept.`
  return `${lateWords}: at most ${formatMinutes(late)} from the best possible.`
}
