import { TZDate, tzOffset } from '@date-fns/tz'
import { format, startOfDay } from 'date-fns'

/** A moment: whole milliseconds since 1970-01-01T00:00Z. */
export type Instant = number & { readonly unit: 'instant' }
/** Whole seconds: presses and cures. */
export type Seconds = number & { readonly unit: 'seconds' }
/** Whole minutes: the plan. */
export type Minutes = number & { readonly unit: 'minutes' }
/** A day in the shop's own zone: "2026-05-14". */
export type ShopDay = string & { readonly unit: 'shop-day' }
/** A month in the shop's own zone: "2026-05". */
export type ShopMonth = string & { readonly unit: 'shop-month' }

/** Marks a number as an instant. @throws RangeError when it is not whole milliseconds that a date can hold. */
export function instant(ms: number): Instant {
  if (!Number.isInteger(ms) || Math.abs(ms) > 8.64e15) throw new RangeError(`${ms} is not an instant.`)
  return ms as Instant
}
/** The instant of a Date. @throws RangeError when the date is invalid. */
export const instantOf = (date: Date): Instant => instant(date.getTime())

/** Marks whole seconds, 0 or more. @throws RangeError otherwise. */
export function seconds(n: number): Seconds {
  if (!Number.isSafeInteger(n) || n < 0) throw new RangeError(`${n} is not whole seconds, 0 or more.`)
  return n as Seconds
}
/** Marks whole minutes, 0 or more. @throws RangeError otherwise. */
export function minutes(n: number): Minutes {
  if (!Number.isSafeInteger(n) || n < 0) throw new RangeError(`${n} is not whole minutes, 0 or more.`)
  return (n === 0 ? 0 : n) as Minutes
}
/** Seconds as whole minutes, rounded up: a plan never promises less time than the work takes. */
export const minutesFor = (s: number): Minutes => minutes(Math.max(0, Math.ceil(s / 60 - 1e-9)))

/** Marks a "YYYY-MM-DD" that is a real day. @throws RangeError otherwise. */
export function shopDay(text: string): ShopDay {
  const m = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text)
  const date = m && new Date(Date.UTC(Number(m[1]), Number(m[2]) - 1, Number(m[3])))
  if (!date || date.toISOString().slice(0, 10) !== text) throw new RangeError(`“${text}” is not a day.`)
  return text as ShopDay
}
/** Marks a "YYYY-MM". @throws RangeError otherwise. */
export function shopMonth(text: string): ShopMonth {
  if (!/^\d{4}-(0[1-9]|1[0-2])$/.test(text)) throw new RangeError(`“${text}” is not a month.`)
  return text as ShopMonth
}

/** The day of an instant in a zone. */
export const dayOf = (at: Instant, zone: string): ShopDay =>
  format(new TZDate(at, zone), 'yyyy-MM-dd') as ShopDay
/** The month of an instant in a zone. */
export const monthOf = (at: Instant, zone: string): ShopMonth =>
  format(new TZDate(at, zone), 'yyyy-MM') as ShopMonth

/** The first moment of a day in a zone; where midnight comes twice, as at the autumn change in Havana, the first of the two. */
function startOf(day: ShopDay, zone: string): Instant {
  const [y, m, d] = day.split('-').map(Number) as [number, number, number]
  let at = startOfDay(new TZDate(y, m - 1, d, 12, zone)).getTime()
  // Clocks are set back by half an hour or a whole one.
  while (dayOf(instant(at - 1), zone) === day) at -= 30 * 60_000
  return instant(at)
}
/** Start and end of a day in a zone, end exclusive. 23 or 25 hours apart when the clock changes. */
export const dayBounds = (day: ShopDay, zone: string): { from: Instant; to: Instant } => ({
  from: startOf(day, zone),
  to: startOf(addDays(day, 1), zone),
})
/** Start and end of a month in a zone, end exclusive. */
export const monthBounds = (month: ShopMonth, zone: string): { from: Instant; to: Instant } => ({
  from: startOf(`${month}-01` as ShopDay, zone),
  to: startOf(`${nextMonth(month)}-01` as ShopDay, zone),
})
/** The next month. */
export function nextMonth(month: ShopMonth, by = 1): ShopMonth {
  const [y, m] = month.split('-').map(Number) as [number, number]
  const index = y * 12 + (m - 1) + by
  return `${String(Math.floor(index / 12)).padStart(4, '0')}-${String((index % 12) + 1).padStart(2, '0')}` as ShopMonth
}
/** A day so many days on (or back). */
export function addDays(day: ShopDay, by: number): ShopDay {
  const [y, m, d] = day.split('-').map(Number) as [number, number, number]
  return new Date(Date.UTC(y, m - 1, d + by)).toISOString().slice(0, 10) as ShopDay
}
/** ISO weekday, Monday = 1 … Sunday = 7. */
export function weekdayOf(day: ShopDay): number {
  const [y, m, d] = day.split('-').map(Number) as [number, number, number]
  return new Date(Date.UTC(y, m - 1, d)).getUTCDay() || 7
}
/**
 * The instant of a wall-clock time in a zone. A time that the spring change skips becomes as much later as the clock jumps; one
 * that autumn repeats is the first of the two.
 */
export function atTime(day: ShopDay, time: string, zone: string): Instant {
  const [y, m, d] = day.split('-').map(Number) as [number, number, number]
  const [h, min] = time.split(':').map(Number) as [number, number]
  const at = new TZDate(y, m - 1, d, h, min, zone).getTime()
  // Before the clock was set back, if that was within the last hours, it showed the same time already.
  const back = tzOffset(zone, new Date(at - 3 * 3_600_000)) - tzOffset(zone, new Date(at))
  const first = at - back * 60_000
  return instant(
    back > 0 && tzOffset(zone, new Date(first)) - tzOffset(zone, new Date(at)) === back ? first : at,
  )
}

/** "08:30" in a zone. */
export const formatTime = (at: Instant, zone: string): string => format(new TZDate(at, zone), 'HH:mm')
/** "Thu 14 May" in a zone. */
export const formatDay = (at: Instant, zone: string): string => format(new TZDate(at, zone), 'EEE d MMM')
/** "Thursday 14 May 2026" in a zone. */
export const formatLongDay = (at: Instant, zone: string): string =>
  format(new TZDate(at, zone), 'EEEE d MMMM yyyy')
/** "Thu 14 May, 08:30" in a zone. */
export const formatMoment = (at: Instant, zone: string): string =>
  format(new TZDate(at, zone), 'EEE d MMM, HH:mm')
/** "14 May 2026, 08:30" in a zone: for what may lie years back. */
export const formatPast = (at: Instant, zone: string): string =>
  format(new TZDate(at, zone), 'd MMM yyyy, HH:mm')
/** "May 2026". */
export function formatMonth(month: ShopMonth): string {
  const [y, m] = month.split('-').map(Number) as [number, number]
  return format(new Date(y, m - 1, 15), 'MMMM yyyy')
}
/** A span for people: 95 → "1 h 35 min", 1500 → "1 d 1 h". */
export function formatMinutes(n: number): string {
  const m = Math.round(Math.abs(n))
  const d = Math.floor(m / 1440)
  const h = Math.floor((m % 1440) / 60)
  const rest = m % 60
  const parts = d ? [`${d} d`, h && `${h} h`] : [h && `${h} h`, rest && `${rest} min`]
  return (n < 0 ? '−' : '') + (parts.filter(Boolean).join(' ') || '0 min')
}
/** Whether the runtime knows a time zone by this name. */
export function isTimeZone(zone: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone })
    return true
  } catch {
    return false
  }
}
