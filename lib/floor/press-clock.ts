import type { Instant, Seconds } from '@/lib/units/time'

/** What the press is asked to do with one piece. */
export type Dwell = {
  /** Seconds under the closed press. */
  press: Seconds
  /** Seconds that the piece then lies before the carrier is peeled; 0 where it is peeled hot. */
  settle: Seconds
}

/** One piece under the press and how many came before it. It is all that has to be kept over a reload. */
export type PressClock = {
  /** When the press was closed on the piece that is in it now; null while it stands open. */
  closedAt: Instant | null
  /** Pieces counted so far on this run. */
  counted: number
}

export type PressPhase = 'open' | 'pressing' | 'settling' | 'over'

/** What the clock shows at a moment. */
export type PressReading = {
  phase: PressPhase
  /** Whole seconds left of the phase, rounded up: it says 0 only when the time is over. */
  left: number
  /** Whole seconds since the dwell (and the settling) ended; 0 before. Film left under a hot press scorches. */
  over: number
  /** Share of the phase that has passed, 0 to 1. */
  share: number
}

/** A press that stands open. */
export const openPress: PressClock = { closedAt: null, counted: 0 }

/**
 * Reads the clock. Everything follows from the instant at which the press was closed: a tab that slept, a locked screen or a
 * reload cannot make it drift. A clock that was set back meanwhile shows the full dwell, never more.
 */
export function readPress(clock: PressClock, dwell: Dwell, now: Instant): PressReading {
  if (clock.closedAt === null) return { phase: 'open', left: dwell.press, over: 0, share: 0 }
  const passed = Math.max(0, now - clock.closedAt)
  const press = dwell.press * 1000
  const settle = dwell.settle * 1000
  if (passed < press)
    return { phase: 'pressing', left: Math.ceil((press - passed) / 1000), over: 0, share: passed / press }
  if (passed < press + settle)
    return {
      phase: 'settling',
      left: Math.ceil((press + settle - passed) / 1000),
      over: 0,
      share: (passed - press) / settle,
    }
  return { phase: 'over', left: 0, over: Math.floor((passed - press - settle) / 1000), share: 1 }
}

/**
 * One touch or the space bar: closes an open press on the first piece; when a piece is done, counts it and closes the press on
 * the next. While a piece is under the press or settling, a touch changes nothing, so that a double touch never counts twice.
 * @param most pieces of this run: the last one is counted and leaves the press open
 */
export function touchPress(clock: PressClock, dwell: Dwell, most: number, now: Instant): PressClock {
  if (clock.closedAt === null) return clock.counted >= most ? clock : { ...clock, closedAt: now }
  if (readPress(clock, dwell, now).phase !== 'over') return clock
  const counted = Math.min(most, clock.counted + 1)
  return { counted, closedAt: counted >= most ? null : now }
}

/** Lets go of the piece under the press without counting it: it was laid wrong, or the press was opened too early. */
export const dropPiece = (clock: PressClock): PressClock => ({ ...clock, closedAt: null })

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
    const { closedAt, counted } = kept as Record<string, unknown>
    const fine = (n: unknown): n is number => typeof n === 'number' && Number.isSafeInteger(n) && n >= 0
    if (!fine(counted)) return openPress
    return { counted, closedAt: fine(closedAt) ? (closedAt as Instant) : null }
  } catch {
    return openPress
  }
}
