import { z } from 'zod'
import type { Minor } from '@/lib/units/money'
import type { Instant } from '@/lib/units/time'
import { branded } from './sourced'

/** What can work in a print shop. */
export const STATION_KINDS = [
  'heat-press',
  'sublimation-printer',
  'film-printer',
  'cutter',
  'dtg-printer',
  'pretreat-booth',
  'screen-press',
  'dryer',
  'bench',
] as const
export type StationKind = (typeof STATION_KINDS)[number]
export const stationKindSchema = z.enum(STATION_KINDS)

/** Trade name and what it does. */
export const STATION_WORDS: Record<StationKind, { name: string; what: string }> = {
  'heat-press': { name: 'Heat press', what: 'Presses transfers and sublimation, dries pretreat, cures DTG.' },
  'sublimation-printer': { name: 'Sublimation printer', what: 'Prints mirrored art on transfer paper.' },
  'film-printer': {
    name: 'Film printer',
    what: 'Prints film, shakes hot-melt powder over it and melts it on.',
  },
  cutter: { name: 'Cutter', what: 'Cuts names and numbers from coloured film.' },
  'dtg-printer': { name: 'DTG printer', what: 'Prints ink straight onto the garment.' },
  'pretreat-booth': {
    name: 'Pretreat booth',
    what: 'Sprays pretreat so that white ink stands on dark cloth.',
  },
  'screen-press': { name: 'Screen press', what: 'Prints one ink for each screen, in register.' },
  dryer: { name: 'Conveyor dryer', what: 'Cures the ink film on a belt through heat.' },
  bench: { name: 'Bench', what: 'Prepares art, makes screens, peels, checks, folds and packs.' },
}

/**
 * Open hours on one weekday, Monday = 1. From is included, to is not. They hold from `since` on and before `until`; left out: always.
 */
export type OpenHours = { weekday: number; from: string; to: string; since?: Instant; until?: Instant }
export type WeekHours = OpenHours[]

/**
 * Week hours through their changes: each holds from its day until the next one's.
 * @param first what held before the first change
 * @param changes in the order in which they were made; of two for one instant the later made holds
 */
export function datedHours(
  first: WeekHours,
  changes: readonly { from: Instant; hours: WeekHours }[],
): WeekHours {
  const spans = [{ from: null as Instant | null, hours: first }]
  for (const c of [...changes].sort((a, b) => a.from - b.from)) {
    if (spans.at(-1)?.from === c.from) spans.pop()
    spans.push(c)
  }
  return spans.flatMap(({ from, hours }, i) => {
    const until = spans[i + 1]?.from
    return hours.map(h => ({
      ...h,
      ...(from === null ? {} : { since: from }),
      ...(until === undefined || until === null ? {} : { until }),
    }))
  })
}

const bare = ({ weekday, from, to }: OpenHours): OpenHours => ({ weekday, from, to })

/** The week as it holds at an instant. */
export const hoursAt = (hours: WeekHours, at: Instant): WeekHours =>
  hours.filter(h => (h.since ?? at) <= at && at < (h.until ?? Number.POSITIVE_INFINITY)).map(bare)

/** The latest instant from which a change of a week counts; null where it was never changed. */
export const weekSince = (hours: WeekHours): Instant | null =>
  hours.reduce<Instant | null>((last, { since, until }) => {
    const at = until ?? since ?? null
    return at !== null && (last === null || at > last) ? at : last
  }, null)

/** The week as it was set last: now, or from the latest day that a change counts from. */
export const newestHours = (hours: WeekHours): WeekHours => hours.filter(h => h.until === undefined).map(bare)

const clock = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$|^24:00$/, 'A time is typed like 08:00.')
export const weekHoursSchema = z
  .array(
    z
      .object({ weekday: z.int().min(1).max(7), from: clock, to: clock })
      .refine(h => h.from < h.to, 'Opening comes before closing.'),
  )
  .max(42)
  .refine(
    hours =>
      hours.every((a, i) =>
        hours.every((b, k) => i === k || a.weekday !== b.weekday || a.to <= b.from || b.to <= a.from),
      ),
    'Two open times of one day overlap.',
  )

/** Monday to Friday, 08:00 to 17:00. */
export const defaultHours: WeekHours = [1, 2, 3, 4, 5].map(weekday => ({
  weekday,
  from: '08:00',
  to: '17:00',
}))

const money = branded<Minor>(z.number().int().min(0).max(2_000_000_000))

/** How the machine is paid for: by instalments, or its price spread over its life in the shop. */
export const purchaseSchema = z.discriminatedUnion('by', [
  z.object({
    by: z.literal('instalments'),
    /** Borrowed, in minor units. */
    principal: money,
    /** Nominal interest a year in basis points: 690 = 6.9 %. */
    yearRateBp: z.int().min(0).max(10_000),
    months: z.int().min(1).max(480),
  }),
  z.object({
    by: z.literal('depreciation'),
    price: money,
    /** What it still brings at the end. */
    salvage: money,
    /** Months in use. */
    months: z.int().min(1).max(480),
  }),
])
export type Purchase = z.infer<typeof purchaseSchema>

/** What a machine costs to have and to run. */
export const machineCostSchema = z.object({
  purchase: purchaseSchema,
  /** Repairs, parts, cleaning fluid, service contract: minor units a month. */
  upkeepPerMonth: money,
  /** Mean draw while it works, kW. */
  kilowatts: z.number().min(0).max(500),
  /** Hours a month that it really works for orders; the rest is idle and paid by these. */
  productiveHoursPerMonth: z.number().min(1).max(744),
  /** The month of the first instalment, or the first in use: "2026-03". Left out where nobody has said so. */
  since: z
    .string()
    .regex(/^(19|2\d)\d\d-(0[1-9]|1[0-2])$/)
    .optional(),
})
export type MachineCost = z.infer<typeof machineCostSchema>

/** Time to bring a station from one state to another. */
export type Changeover = { from: string; to: string; minutes: number; attended: boolean }

export const stationSchema = z.object({
  id: z.string().min(1).max(64),
  kind: stationKindSchema,
  name: z.string().min(1).max(80),
  hours: weekHoursSchema,
  /** What it stands at now: a press temperature such as "149C". */
  state: z.string().max(40).nullable(),
  /** Largest print it takes, mm. Null: not limited (a bench). */
  bedWidthMm: z.number().positive().max(5000).nullable(),
  bedHeightMm: z.number().positive().max(5000).nullable(),
  /** Print heads of a screen press: the most screens in one job. Null for the other kinds. */
  heads: z.int().min(1).max(24).nullable(),
  /** Null: costs nothing to have (a bench, a machine long paid). */
  cost: machineCostSchema.nullable(),
})
export type Station = z.infer<typeof stationSchema>

/** Usual bed by kind, mm, with the words for it; a shop writes its own. Common shop practice. */
export const DEFAULT_BED: Record<StationKind, { width: number; height: number } | null> = {
  'heat-press': { width: 400, height: 500 },
  'sublimation-printer': { width: 297, height: 420 },
  'film-printer': { width: 600, height: 1500 },
  cutter: { width: 600, height: 1500 },
  'dtg-printer': { width: 406, height: 457 },
  'pretreat-booth': { width: 406, height: 508 },
  'screen-press': { width: 380, height: 450 },
  dryer: null,
  bench: null,
}

/** Degrees a minute while a press heats: cold to 177 °C takes 10 to 20 minutes. Common shop practice. */
export const HEATING_PER_MINUTE = 10
/** Degrees a minute while it cools: about five times slower than it heats. Common shop practice. */
export const COOLING_PER_MINUTE = 2

/** The state of a press at a temperature: "149C". @param celsius °C, rounded to a whole degree. */
export const pressState = (celsius: number): string => `${Math.round(celsius)}C`
/** °C of a press state; null when the state is not a temperature. */
export function stateCelsius(state: string): number | null {
  const m = /^(-?\d+)C$/.exec(state)
  return m ? Number(m[1]) : null
}
/** Whole minutes from one press state to another, rounded up; 0 when either is not a temperature. */
export function changeoverMinutes(from: string, to: string): number {
  const a = stateCelsius(from)
  const b = stateCelsius(to)
  if (a === null || b === null || a === b) return 0
  return Math.ceil(b > a ? (b - a) / HEATING_PER_MINUTE : (a - b) / COOLING_PER_MINUTE)
}
/** Every changeover between press states. Unattended: the press heats or cools by itself. */
export function changeoversBetween(states: readonly string[]): Changeover[] {
  const unique = [...new Set(states)]
  return unique.flatMap(from =>
    unique
      .filter(to => to !== from && changeoverMinutes(from, to) > 0)
      .map(to => ({ from, to, minutes: changeoverMinutes(from, to), attended: false })),
  )
}

/** Whether a print of this size goes on the station, either way round. Sizes in mm. */
export function fitsBed(
  station: Pick<Station, 'bedWidthMm' | 'bedHeightMm'>,
  widthMm: number,
  heightMm: number,
): boolean {
  const w = station.bedWidthMm ?? Number.POSITIVE_INFINITY
  const h = station.bedHeightMm ?? Number.POSITIVE_INFINITY
  return (widthMm <= w && heightMm <= h) || (widthMm <= h && heightMm <= w)
}
