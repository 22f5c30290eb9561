import { TZDate, tzOffset } from '@date-fns/tz'
import { startOfDay } from 'date-fns'

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

/** Years in which a shop may have days: wide, and with room for the day, the week and the month on either side. */
const isYear = (year: number): boolean => year >= 1900 && year < 3000

/** Marks a "YYYY-MM-DD" that is a real day, of the years 1900 to 2999. @throws RangeError otherwise. */
export function shopDay(text: string): ShopDay {
  const m = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text)
  const date = m && new Date(Date.UTC(Number(m[1]), Number(m[2]) - 1, Number(m[3])))
  if (!date || date.toISOString().slice(0, 10) !== text || !isYear(date.getUTCFullYear()))
    throw new RangeError(`“${text}” is not a day.`)
  return text as ShopDay
}
/** Marks a "YYYY-MM", of the years 1900 to 2999. @throws RangeError otherwise. */
export function shopMonth(text: string): ShopMonth {
  if (!/^(19|2\d)\d\d-(0[1-9]|1[0-2])$/.test(text)) throw new RangeError(`“${text}” is not a month.`)
  return text as ShopMonth
}

const SPAN = 6 * 3_600_000
/** Almost three years of spans for each zone. */
const MOST_SPANS = 4000
/**
 * What a zone's clock is ahead of UTC, minutes, in each span of six hours that has been asked for: a page asks for the same
 * ones hundreds of times. Undefined where the clock changes within the span; none changes twice in one.
 */
const offsets = new Map<string, Map<number, number | undefined>>()

function offsetOf(at: number, zone: string): number {
  const known = offsets.get(zone) ?? new Map<number, number | undefined>()
  offsets.set(zone, known)
  const span = Math.floor(at / SPAN)
  if (!known.has(span)) {
    if (known.size >= MOST_SPANS) known.clear()
    const [first, last] = [span * SPAN, (span + 1) * SPAN].map(ms => tzOffset(zone, new Date(ms)))
    known.set(span, first === last ? first : undefined)
  }
  return known.get(span) ?? tzOffset(zone, new Date(at))
}

/** What calendar and clock of a zone show, in the UTC fields of a date. */
const wall = (at: Instant, zone: string): Date => new Date(at + Math.round(offsetOf(at, zone) * 60) * 1000)

const two = (n: number) => String(n).padStart(2, '0')
const year = (d: Date) => String(d.getUTCFullYear()).padStart(4, '0')
const WEEKDAYS = ['Sunday', 'Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday']
const MONTHS = [
  ...['January', 'February', 'March', 'April', 'May', 'June', 'July'],
  ...['August', 'September', 'October', 'November', 'December'],
]
const weekday = (d: Date) => WEEKDAYS[d.getUTCDay()] ?? ''
const monthName = (d: Date) => MONTHS[d.getUTCMonth()] ?? ''
const short = (name: string) => name.slice(0, 3)
const clock = (d: Date) => `${two(d.getUTCHours())}:${two(d.getUTCMinutes())}`

/** The day of an instant in a zone. */
export function dayOf(at: Instant, zone: string): ShopDay {
  const d = wall(at, zone)
  return `${year(d)}-${two(d.getUTCMonth() + 1)}-${two(d.getUTCDate())}` as ShopDay
}
/** The month of an instant in a zone. */
export function monthOf(at: Instant, zone: string): ShopMonth {
  const d = wall(at, zone)
  return `${year(d)}-${two(d.getUTCMonth() + 1)}` as ShopMonth
}

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
  const back = offsetOf(at - 3 * 3_600_000, zone) - offsetOf(at, zone)
  const first = at - back * 60_000
  return instant(back > 0 && offsetOf(first, zone) - offsetOf(at, zone) === back ? first : at)
}

/** "08:30" in a zone. */
export const formatTime = (at: Instant, zone: string): string => clock(wall(at, zone))
/** "Thu 14 May" in a zone. */
export const formatDay = (at: Instant, zone: string): string => shortDay(wall(at, zone))
const shortDay = (d: Date) => `${short(weekday(d))} ${d.getUTCDate()} ${short(monthName(d))}`
/** "Thursday 14 May 2026" in a zone. */
export function formatLongDay(at: Instant, zone: string): string {
  const d = wall(at, zone)
  return `${weekday(d)} ${d.getUTCDate()} ${monthName(d)} ${year(d)}`
}
/** "Thu 14 May, 08:30" in a zone. */
export function formatMoment(at: Instant, zone: string): string {
  const d = wall(at, zone)
  return `${shortDay(d)}, ${clock(d)}`
}
/** "14 May 2026, 08:30" in a zone: for what may lie years back. */
export function formatPast(at: Instant, zone: string): string {
  const d = wall(at, zone)
  return `${d.getUTCDate()} ${short(monthName(d))} ${year(d)}, ${clock(d)}`
}
/** "May 2026". */
export function formatMonth(month: ShopMonth): string {
  const [y = '', m] = month.split('-')
  return `${MONTHS[Number(m) - 1] ?? ''} ${y}`
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
