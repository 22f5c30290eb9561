import { ok, type Result, refuse } from '@/lib/units/result'
import { type OpenHours, type WeekHours, weekHoursSchema } from './stations'

/** Weekdays as a form lists them, Monday = 1. */
export const WEEKDAYS = [
  'Monday',
  'Tuesday',
  'Wednesday',
  'Thursday',
  'Friday',
  'Saturday',
  'Sunday',
] as const

/** The hours of one weekday as they are typed: "08:00-12:00, 13:00-17:00"; nothing where it is closed. */
export const typedDay = (hours: WeekHours, weekday: number): string =>
  hours
    .filter(h => h.weekday === weekday)
    .sort((a, b) => a.from.localeCompare(b.from))
    .map(h => `${h.from}-${h.to}`)
    .join(', ')

/** A week for people: days with the same hours together. "Mon–Fri 08:00-17:00". */
export function weekWords(hours: WeekHours): string {
  const parts: { first: number; last: number; text: string }[] = []
  for (let day = 1; day <= 7; day++) {
    const text = typedDay(hours, day)
    const before = parts.at(-1)
    if (before && before.text === text) before.last = day
    else parts.push({ first: day, last: day, text })
  }
  const name = (d: number) => WEEKDAYS[d - 1]?.slice(0, 3) ?? ''
  const open = parts.filter(p => p.text)
  return open.length
    ? open
        .map(p => `${p.first === p.last ? name(p.first) : `${name(p.first)}–${name(p.last)}`} ${p.text}`)
        .join('; ')
    : 'no hours'
}

/**
 * Reads a week from fields day1 … day7. One-digit hours and full stops are understood ("8.30-12").
 * @returns the hours, or one sentence with the field it is about
 */
export function readWeek(fields: Record<string, string>): Result<WeekHours> {
  const hours: OpenHours[] = []
  for (let weekday = 1; weekday <= 7; weekday++) {
    const field = `day${weekday}`
    for (const span of (fields[field] ?? '').split(',').map(s => s.trim())) {
      if (!span) continue
      const m = /^(\d{1,2})(?:[:.](\d{2}))?\s*[-–]\s*(\d{1,2})(?:[:.](\d{2}))?$/.exec(span)
      if (!m)
        return refuse(
          'hours',
          `“${span.slice(0, 20)}” on ${WEEKDAYS[weekday - 1]} is not a span of hours: type it like 08:00-12:00, 13:00-17:00.`,
          field,
        )
      const clock = (h?: string, min?: string) => `${(h ?? '').padStart(2, '0')}:${min ?? '00'}`
      hours.push({ weekday, from: clock(m[1], m[2]), to: clock(m[3], m[4]) })
    }
    const read = weekHoursSchema.safeParse(hours)
    if (!read.success)
      return refuse('hours', `${WEEKDAYS[weekday - 1]}: ${read.error.issues[0]?.message ?? ''}`, field)
  }
  return ok(hours)
}
