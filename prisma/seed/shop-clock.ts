import { openingsOf } from '@/lib/planning/openings'
import { addDays, atTime, dayOf, type Instant, instant, type ShopDay, weekdayOf } from '@/lib/units/time'
import { SHOP_HOURS } from './stations'

const MINUTE = 60_000

/** The first open moment at or after an instant, by the demo's hours. */
export function nextOpen(at: Instant, zone: string): Instant {
  for (let days = 0; days < 14; days++) {
    const until = instant(at + (days + 1) * 86_400_000)
    for (const o of openingsOf(SHOP_HOURS, [], zone, at, until)) {
      const from = Math.max(o.from * MINUTE, at)
      if (from < o.to * MINUTE) return instant(from)
    }
  }
  throw new Error('The demo shop never opens.')
}

/** So many open minutes after an instant. */
export function afterWork(at: Instant, minutes: number, zone: string): Instant {
  let left = minutes * MINUTE
  let from = nextOpen(at, zone)
  for (;;) {
    const [o] = openingsOf(SHOP_HOURS, [], zone, from, instant(from + 86_400_000))
    if (!o) {
      from = nextOpen(instant(from + 86_400_000), zone)
      continue
    }
    const end = o.to * MINUTE
    if (from + left <= end) return instant(from + left)
    left -= end - from
    from = nextOpen(instant(end), zone)
  }
}

/** So many open minutes before an instant. */
export function beforeWork(at: Instant, minutes: number, zone: string): Instant {
  const open = openingsOf(SHOP_HOURS, [], zone, instant(at - 14 * 86_400_000), at)
  let left = minutes * MINUTE
  for (const o of open.reverse()) {
    const end = Math.min(o.to * MINUTE, at)
    if (end - o.from * MINUTE >= left) return instant(end - left)
    left -= end - o.from * MINUTE
  }
  throw new Error('The demo shop was never open.')
}

/** A working day so many working days from another (back when negative). */
export function workingDay(day: ShopDay, by: number): ShopDay {
  let at = day
  for (let left = Math.abs(by); left > 0; ) {
    at = addDays(at, Math.sign(by))
    if (weekdayOf(at) <= 5) left--
  }
  return weekdayOf(at) <= 5 ? at : workingDay(at, 1)
}

/** A time on a working day so many working days from the day of an instant. */
export const onWorkingDay = (at: Instant, by: number, time: string, zone: string): Instant =>
  atTime(workingDay(dayOf(at, zone), by), time, zone)
