import type { Closed } from '@/lib/shop/crew'
import type { WeekHours } from '@/lib/shop/stations'
import { addDays, atTime, dayOf, type Instant, instant, type ShopDay, weekdayOf } from '@/lib/units/time'
import { mergeOpenings, type Opening, subtractOpenings } from './engine'

const MINUTE = 60_000

/** Whole minutes since 1970 that have begun at an instant: the time axis of the plan. */
export const minuteOf = (at: Instant): number => Math.floor(at / MINUTE)
/** The first whole minute at or after an instant: nothing is planned into a minute that has begun. */
export const minuteAfter = (at: Instant): number => Math.ceil(at / MINUTE)
/** The instant of a minute of the plan. */
export const instantOfMinute = (minute: number): Instant => instant(minute * MINUTE)

/** Reads clock times of one zone; each time of each day is worked out once. */
export function clockOf(zone: string): (day: ShopDay, time: string) => number {
  const known = new Map<string, number>()
  return (day, time) => {
    const key = `${day}${time}`
    let at = known.get(key)
    if (at === undefined) {
      at = minuteAfter(time === '24:00' ? atTime(addDays(day, 1), '00:00', zone) : atTime(day, time, zone))
      known.set(key, at)
    }
    return at
  }
}

/**
 * Open minutes by week hours in a zone, less closures, from the day of `from` to the day of `to`, both included. Sorted, apart,
 * half-open. On a day when the clock changes they are as long as that day makes them.
 * @param clock of the same zone, to share its work between stations and people
 */
export function openingsOf(
  hours: WeekHours,
  closed: readonly Pick<Closed, 'from' | 'to'>[],
  zone: string,
  from: Instant,
  to: Instant,
  clock = clockOf(zone),
): Opening[] {
  const all: Opening[] = []
  const last = dayOf(to, zone)
  for (let day = dayOf(from, zone); day <= last; day = addDays(day, 1)) {
    const weekday = weekdayOf(day)
    for (const h of hours)
      if (h.weekday === weekday) all.push({ from: clock(day, h.from), to: clock(day, h.to) })
  }
  // A closure blocks each minute that it touches.
  const shut = closed.map(c => ({
    from: minuteOf(instant(Date.parse(c.from))),
    to: minuteAfter(instant(Date.parse(c.to))),
  }))
  return subtractOpenings(mergeOpenings(all), mergeOpenings(shut))
}
