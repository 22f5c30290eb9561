import type { Instant } from '@/lib/units/time'

/** What the books know of an order that was ready after its promise. */
export type LateFacts = {
  number: number
  customer: string
  promiseAt: Instant
  promiseHard: boolean
  readyAt: Instant
  agreedAt: Instant | null
  /** When the last of its goods came in, where they came by a purchase made for it. */
  goodsAt: Instant | null
  /** When work began; null where none was reported. */
  beganAt: Instant | null
  /** Pieces spoiled and made again. */
  remade: number
  /** Working minutes that were planned, and that were really worked. */
  plannedMinutes: number
  workedMinutes: number
}

export const LATE_REASONS = ['goods', 'start', 'remake', 'slow', 'agreed', 'other'] as const
export type LateReason = (typeof LATE_REASONS)[number]
export const LATE_WORDS: Record<LateReason, string> = {
  agreed: 'agreed too late for its promise',
  goods: 'goods came late',
  remake: 'pieces had to be made again',
  slow: 'work took longer than planned',
  start: 'begun too late',
  other: 'none of these',
}

export type LateOrder = LateFacts & { minutesLate: number; reason: LateReason; why: string }

const MINUTE = 60_000

/**
 * The first of these that explains the delay, in this order: it was agreed with less time left than its work takes; its goods came in
 * with less left; pieces were made again; work took at least a quarter longer than planned; it was begun with less time left than its
 * work takes. Elapsed time is compared with working minutes, so a cause is named only where it leaves no doubt.
 */
export function lateOrder(f: LateFacts): LateOrder {
  const minutesLate = Math.round((f.readyAt - f.promiseAt) / MINUTE)
  const left = (from: Instant) => (f.promiseAt - from) / MINUTE
  const said = (reason: LateReason, why: string): LateOrder => ({ ...f, minutesLate, reason, why })
  const needs = `its work takes ${hours(f.plannedMinutes)}`
  if (f.agreedAt !== null && left(f.agreedAt) < f.plannedMinutes)
    return said('agreed', `agreed ${before(left(f.agreedAt))}; ${needs}`)
  if (f.goodsAt !== null && left(f.goodsAt) < f.plannedMinutes)
    return said('goods', `goods came ${before(left(f.goodsAt))}; ${needs}`)
  if (f.remade > 0) return said('remake', `${f.remade} ${f.remade === 1 ? 'piece' : 'pieces'} made again`)
  if (f.plannedMinutes > 0 && f.workedMinutes > f.plannedMinutes * 1.25)
    return said('slow', `${hours(f.workedMinutes)} worked, ${hours(f.plannedMinutes)} planned`)
  if (f.beganAt !== null && left(f.beganAt) < f.plannedMinutes)
    return said('start', `begun ${before(left(f.beganAt))}; ${needs}`)
  return said('other', 'agreed, supplied and begun in time, and as fast as planned')
}

const hours = (minutes: number) => `${(Math.round(minutes / 6) / 10).toLocaleString('en')} h`
const before = (minutes: number) =>
  minutes < 0 ? `${hours(-minutes)} after the promise` : `${hours(minutes)} before the promise`

/** How often each reason, the most frequent first; reasons that did not happen are left out. */
export function countBy<K extends string>(all: readonly K[], found: readonly { key: K; n: number }[]) {
  return all
    .map(key => ({ key, n: found.filter(f => f.key === key).reduce((sum, f) => sum + f.n, 0) }))
    .filter(r => r.n > 0)
    .sort((a, b) => b.n - a.n || all.indexOf(a.key) - all.indexOf(b.key))
}
