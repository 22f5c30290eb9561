import { z } from 'zod'
import {
  addDays,
  atTime,
  dayOf,
  type Instant,
  instant,
  instantOf,
  monthOf,
  weekdayOf,
} from '@/lib/units/time'

/** How often the shop is backed up by itself. */
export const EVERY = ['hour', 'six-hours', 'day', 'never'] as const
export type Every = (typeof EVERY)[number]
export const EVERY_WORDS: Record<Every, string> = {
  hour: 'every hour',
  'six-hours': 'every six hours',
  day: 'once a day',
  never: 'only by hand',
}

const keepSchema = z.object({
  /** For how many days, weeks and months the last backup of each stays. */
  days: z.int().min(1).max(366),
  weeks: z.int().min(0).max(520),
  months: z.int().min(0).max(600),
})
export type Keep = z.output<typeof keepSchema>

/** When a shop is backed up, where to, and what stays. */
export const backupPlanSchema = z.object({
  every: z.enum(EVERY),
  /** The shop's own time of day, where it is once a day: due from then on, as soon as the computer runs. */
  from: z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/),
  /** An absolute path; null: beside the shop's database. */
  folder: z.string().nullable(),
  keep: keepSchema,
})
export type BackupPlan = z.output<typeof backupPlanSchema>

export const USUAL_PLAN: BackupPlan = {
  every: 'day',
  from: '02:00',
  folder: null,
  keep: { days: 7, weeks: 5, months: 12 },
}

/** The plan as it is kept with the shop; the usual one where nothing, or nothing that can be read, is kept. */
export const readPlan = (kept: unknown): BackupPlan => backupPlanSchema.safeParse(kept).data ?? USUAL_PLAN

const HOUR = 3_600_000

/**
 * From when on the next backup is due; null if it is made by hand alone.
 * @param last when the last one was made; null: never
 * @param zone the shop's own, for the time of day
 */
export function dueFrom(plan: BackupPlan, last: Instant | null, now: Instant, zone: string): Instant | null {
  if (plan.every === 'never') return null
  if (last === null) return now
  // A clock that was set back must not put backups off until it has caught up.
  if (last > now) return now
  if (plan.every === 'day') {
    const day = dayOf(last, zone)
    const same = atTime(day, plan.from, zone)
    return last < same ? same : atTime(addDays(day, 1), plan.from, zone)
  }
  return instant(last + (plan.every === 'hour' ? 1 : 6) * HOUR)
}

/** For what a backup stays. */
export type Stays = 'last day' | 'day' | 'week' | 'month'

/**
 * Which backups stay, and for what: all of the 24 hours up to the latest, and the latest of each of the last days, weeks (from Monday)
 * and months in which there was one. The latest stays in any case. What is not named may go.
 * @param made moments of the backups, in any order
 * @param zone in which days, weeks and months are reckoned
 */
export function keptAs(made: readonly Date[], keep: Keep, zone: string): Map<Date, Set<Stays>> {
  const latest = [...made].sort((a, b) => b.getTime() - a.getTime())
  const stay = new Map<Date, Set<Stays>>()
  const mark = (at: Date, why: Stays) => stay.set(at, (stay.get(at) ?? new Set()).add(why))
  const newest = latest[0]
  if (newest) for (const at of latest) if (newest.getTime() - at.getTime() < 24 * HOUR) mark(at, 'last day')
  const weekOf = (at: Instant) => {
    const day = dayOf(at, zone)
    return addDays(day, 1 - weekdayOf(day))
  }
  const spans: [Stays, number, (at: Instant) => string][] = [
    ['day', keep.days, at => dayOf(at, zone)],
    ['week', keep.weeks, weekOf],
    ['month', keep.months, at => monthOf(at, zone)],
  ]
  for (const [why, most, spanOf] of spans) {
    const seen = new Set<string>()
    for (const at of latest) {
      const span = spanOf(instantOf(at))
      if (seen.has(span)) continue
      if (seen.size === most) break
      seen.add(span)
      mark(at, why)
    }
  }
  return stay
}
