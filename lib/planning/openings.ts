import type { Closed } from '@/lib/shop/crew'
import type { WeekHours } from '@/lib/shop/stations'
import { type Instant, instant } from '@/lib/units/time'
import type { Opening } from './engine'
import { openings } from './hours'

const MINUTE = 60_000

/** Whole minutes since 1970 that have begun at an instant: the time axis of the plan. */
export const minuteOf = (at: Instant): number => Math.floor(at / MINUTE)
/** The first whole minute at or after an instant: nothing is planned into a minute that has begun. */
export const minuteAfter = (at: Instant): number => Math.ceil(at / MINUTE)
/** The instant of a minute of the plan. */
export const instantOfMinute = (minute: number): Instant => instant(minute * MINUTE)

/**
 * Open minutes by week hours in a zone, less closures as a station or a person keeps them, from `from` to `to`. A closure blocks each
 * minute that it touches.
 */
export const openingsOf = (
  hours: WeekHours,
  closed: readonly Pick<Closed, 'from' | 'to'>[],
  zone: string,
  from: Instant,
  to: Instant,
): Opening[] =>
  openings(
    hours,
    closed.map(c => ({
      from: minuteOf(instant(Date.parse(c.from))),
      to: minuteAfter(instant(Date.parse(c.to))),
    })),
    zone,
    minuteOf(from),
    minuteAfter(to),
  )
