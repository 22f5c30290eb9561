import type { Instant, Seconds } from '@/lib/units/time'

/** One closing of the press on a piece: pre-press, press, post-press. */
export type PressStage = {
  title: string
  seconds: Seconds
  /** What is done with the piece when the time is over: "peel hot". */
  after?: string
}

/** What the press is asked to do with every piece of a run. */
export type PressPlan = {
  /** In order; at least one. */
  stages: readonly PressStage[]
  /** Seconds that a piece then lies aside before it is peeled; 0 where it goes on at once. The press takes the next one meanwhile. */
  rest: Seconds
}

/** The piece under the press and those before it. It is all that has to be kept over a reload. */
export type PressClock = {
  /** When the press was closed on the piece that is in it now; null while it stands open. */
  closedAt: Instant | null
  /** Which closing this is, from 0. */
  stage: number
  /** Pieces counted so far on this run. */
  counted: number
  /** When each piece that lies aside may be peeled, oldest first. */
  resting: Instant[]
}

export type PressPhase = 'open' | 'pressing' | 'over'

/** What the clock shows at a moment. */
export type PressReading = {
  phase: PressPhase
  /** Whole seconds left of the dwell, rounded up: it says 0 only when the time is over. */
  left: number
  /** Whole seconds since the dwell ended; 0 before. What stays under a hot press scorches. */
  over: number
  /** Share of the dwell that has passed, 0 to 1. */
  share: number
  /** Pieces that lie aside and may be peeled now. */
  peelNow: number
  /** Whole seconds until the next piece may be peeled; null when none waits. */
  peelIn: number | null
}

/** How long ago an end may have come to be signalled still, s: a device that slept wakes up beside a press that is closed. */
export const LATE_SIGNAL_S = 60

/** A press that stands open and has counted nothing. */
export const openPress: PressClock = { closedAt: null, stage: 0, counted: 0, resting: [] }

/** Seconds of the closing that is on, or would be next. */
const dwellOf = (clock: PressClock, plan: PressPlan): number =>
  plan.stages[Math.min(clock.stage, plan.stages.length - 1)]?.seconds ?? 0

/** When the closing that is on ends; null while the press stands open. */
export const endOf = (clock: PressClock, plan: PressPlan): Instant | null =>
  clock.closedAt === null ? null : ((clock.closedAt + dwellOf(clock, plan) * 1000) as Instant)

/** When the next piece that lies aside may be peeled; null when none waits. */
export const nextPeel = (clock: PressClock, now: Instant): Instant | null =>
  clock.resting.find(at => at > now) ?? null

/**
 * Reads the clock. Everything follows from the instant at which the press was closed: a tab that slept, a locked screen or a
 * reload cannot make it drift. A clock that was set back meanwhile shows the full dwell, never more.
 */
export function readPress(clock: PressClock, plan: PressPlan, now: Instant): PressReading {
  const waiting = clock.resting.filter(at => at > now)
  const aside = {
    peelNow: clock.resting.length - waiting.length,
    peelIn: waiting[0] === undefined ? null : Math.ceil((waiting[0] - now) / 1000),
  }
  const dwell = dwellOf(clock, plan)
  if (clock.closedAt === null) return { phase: 'open', left: dwell, over: 0, share: 0, ...aside }
  const passed = Math.max(0, now - clock.closedAt)
  const whole = dwell * 1000
  if (passed < whole)
    return {
      phase: 'pressing',
      left: Math.ceil((whole - passed) / 1000),
      over: 0,
      share: passed / whole,
      ...aside,
    }
  return { phase: 'over', left: 0, over: Math.floor((passed - whole) / 1000), share: 1, ...aside }
}

/**
 * One touch or the space bar: closes an open press on the first piece; when a closing is over, goes on to the next one of the same
 * piece, or counts the piece and closes the press on the next. While a piece is under the press a touch changes nothing, so that a
 * double touch never counts twice.
 * @param most pieces of this run: the last one is counted and leaves the press open
 */
export function touchPress(clock: PressClock, plan: PressPlan, most: number, now: Instant): PressClock {
  if (clock.closedAt === null) return clock.counted >= most ? clock : { ...clock, closedAt: now, stage: 0 }
  if (readPress(clock, plan, now).phase !== 'over') return clock
  if (clock.stage < plan.stages.length - 1) return { ...clock, stage: clock.stage + 1, closedAt: now }
  const counted = Math.min(most, clock.counted + 1)
  const freeAt = (clock.closedAt + (dwellOf(clock, plan) + plan.rest) * 1000) as Instant
  return {
    counted,
    stage: 0,
    closedAt: counted >= most ? null : now,
    resting: plan.rest > 0 ? [...clock.resting, freeAt] : clock.resting,
  }
}

/** Lets go of the piece under the press without counting it: it was laid wrong, or the press was opened too early. */
export const dropPiece = (clock: PressClock): PressClock => ({ ...clock, closedAt: null, stage: 0 })

/** The pieces that may be peeled are peeled. */
export const peeled = (clock: PressClock, now: Instant): PressClock => ({
  ...clock,
  resting: clock.resting.filter(at => at > now),
})

/** Puts the count right by hand, never under 0 nor over the run. */
export const recount = (clock: PressClock, by: number, most: number): PressClock => ({
  ...clock,
  counted: Math.min(most, Math.max(0, clock.counted + by)),
})

/** Reads what a browser kept; anything that is not a clock is an open press. */
export function keptPress(text: string | null): PressClock {
  try {
    const kept: unknown = JSON.parse(text ?? 'null')
    if (typeof kept !== 'object' || kept === null) return openPress
    const { closedAt, counted, stage, resting } = kept as Record<string, unknown>
    const whole = (n: unknown): n is number => typeof n === 'number' && Number.isSafeInteger(n) && n >= 0
    if (!whole(counted)) return openPress
    return {
      counted,
      closedAt: whole(closedAt) ? (closedAt as Instant) : null,
      stage: whole(stage) ? stage : 0,
      resting: Array.isArray(resting) ? (resting.filter(whole) as Instant[]) : [],
    }
  } catch {
    return openPress
  }
}
