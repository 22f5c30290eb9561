import * as z from 'zod'
import { isTimeZone } from '@/lib/units/time'
import { type Plan, type PlanOptions, plan, type Shop } from './engine'
import { openings, type WeeklyHours, weeklyMinutes } from './hours'

/** What a shop file may hold at most. A file beyond it is refused with the field that is too large. */
export const LIMITS = {
  bytes: 8_000_000,
  stations: 200,
  crew: 200,
  jobs: 3_000,
  steps: 12_000,
  stepsOfJob: 200,
  choices: 50,
  hours: 100,
  closures: 2_000,
  changeovers: 12_000,
  kept: 20_000,
  minutes: 100_000,
  weight: 1_000_000,
  idLength: 200,
  /** How far ahead work is planned and releases may lie. */
  weeks: 260,
} as const

const MINUTE = 60_000
const WEEK = 7 * 1440
const DAY_LENGTHS = (y: number, m: number) => new Date(Date.UTC(y, m, 0)).getUTCDate()

function parseInstant(text: string): number | null {
  const m =
    /^(\d{4})-(\d{2})-(\d{2})T([01]\d|2[0-3]):([0-5]\d)(?::([0-5]\d)(?:\.\d{1,9})?)?(Z|[+-](?:[01]\d|2[0-3]):[0-5]\d)$/.exec(
      text,
    )
  if (!m) return null
  const month = Number(m[2])
  const day = Number(m[3])
  if (month < 1 || month > 12 || day < 1 || day > DAY_LENGTHS(Number(m[1]), month)) return null
  const at = Date.parse(text)
  return at >= 0 && at <= Date.UTC(2200, 0) ? at : null
}

const instant = z
  .string({ error: 'must be a time such as "2026-05-14T08:00:00Z"' })
  .max(40, 'must be a time such as "2026-05-14T08:00:00Z"')
  .superRefine((text, ctx) => {
    if (parseInstant(text) !== null) return
    const noOffset = /^\d{4}-\d{2}-\d{2}(T[\d:.]+)?$/.test(text)
    ctx.addIssue({
      code: 'custom',
      message: noOffset
        ? 'has no offset; end it with Z or an offset such as +01:00'
        : 'must be a time between 1970 and 2200 such as "2026-05-14T08:00:00Z"',
    })
  })
  .transform(text => parseInstant(text) ?? 0)

const whole = (what: string) =>
  z
    .number({ error: `must be ${what}` })
    .int(`must be ${what}`)
    .min(0, `must be ${what}, 0 or more`)
    .max(LIMITS.minutes, `must be at most ${LIMITS.minutes}`)
const minutes = whole('whole minutes')
const id = z
  .string({ error: 'must be a text' })
  .min(1, 'must not be empty')
  .max(LIMITS.idLength, `must be at most ${LIMITS.idLength} characters`)
const state = id.nullish().transform(s => s ?? null)
const list = <T extends z.ZodType>(item: T, most: number) =>
  z.array(item, { error: 'must be a list' }).max(most, `must hold at most ${most}`)
const time = (what: string, pattern: RegExp) =>
  z
    .string({ error: `must be a time of day such as "${what}"` })
    .regex(pattern, `must be a time of day such as "${what}"`)

const hours = list(
  z
    .object({
      weekday: z
        .number({ error: 'must be 1 (Monday) to 7 (Sunday)' })
        .int('must be 1 (Monday) to 7 (Sunday)')
        .min(1, 'must be 1 (Monday) to 7 (Sunday)')
        .max(7, 'must be 1 (Monday) to 7 (Sunday)'),
      from: time('08:00', /^([01]\d|2[0-3]):[0-5]\d$/),
      to: time('17:00', /^(([01]\d|2[0-3]):[0-5]\d|24:00)$/),
    })
    .refine(h => h.from < h.to, {
      path: ['to'],
      error: 'must be later than "from"; hours past midnight are two entries',
    }),
  LIMITS.hours,
)
const closed = list(
  z
    .object({ from: instant, to: instant })
    .refine(c => c.from < c.to, { path: ['to'], error: 'must be later than "from"' }),
  LIMITS.closures,
).default([])

const station = z.object({
  id,
  kind: id,
  hours,
  closed,
  state,
  changeovers: list(
    z.object({
      from: id,
      to: id,
      minutes,
      attended: z.boolean({ error: 'must be true or false' }).default(true),
    }),
    LIMITS.changeovers,
  ).default([]),
})
const member = z.object({ id, skills: list(id, LIMITS.stations), hours, closed })
const step = z.object({
  id,
  on: list(z.object({ station: id, setup: minutes.default(0), run: minutes }), LIMITS.choices),
  state,
  attended: z.enum(['all', 'setup', 'none'], { error: 'must be "all", "setup" or "none"' }).default('all'),
  pausable: z.boolean({ error: 'must be true or false' }).default(false),
  gap: z
    .object({ min: minutes.default(0), max: minutes.nullish().transform(m => m ?? null) })
    .refine(g => g.max === null || g.max >= g.min, { path: ['max'], error: 'must not be below "min"' })
    .nullish()
    .transform(g => g ?? { min: 0, max: null }),
})
const job = z.object({
  id,
  release: instant.nullish().transform(t => t ?? null),
  due: instant.nullish().transform(t => t ?? null),
  weight: z
    .number({ error: 'must be a number' })
    .min(0, 'must be 0 or more')
    .max(LIMITS.weight, `must be at most ${LIMITS.weight}`)
    .default(1),
  hard: z.boolean({ error: 'must be true or false' }).default(false),
  steps: list(step, LIMITS.stepsOfJob).min(1, 'must hold at least one step'),
})

const shopFile = z
  .object(
    {
      now: instant,
      timeZone: z.string({ error: 'must be a time zone such as "Europe/Lisbon"' }).refine(isTimeZone, {
        error: 'must be a time zone such as "Europe/Lisbon"',
      }),
      stations: list(station, LIMITS.stations),
      crew: list(member, LIMITS.crew).default([]),
      jobs: list(job, LIMITS.jobs),
      kept: list(
        z.object({ job: id, step: id, station: id, start: instant, crew: id.nullish() }),
        LIMITS.kept,
      ).default([]),
    },
    { error: 'must be a JSON object with now, timeZone, stations and jobs' },
  )
  .superRefine((shop, ctx) => {
    const say = (path: PropertyKey[], message: string) => ctx.addIssue({ code: 'custom', path, message })
    const twice = (items: { id: string }[], path: PropertyKey[], what: string) => {
      const seen = new Set<string>()
      items.forEach((item, i) => {
        if (seen.has(item.id)) say([...path, i, 'id'], `"${item.id}" is the id of another ${what}`)
        seen.add(item.id)
      })
    }
    twice(shop.stations, ['stations'], 'station')
    twice(shop.crew, ['crew'], 'crew member')
    twice(shop.jobs, ['jobs'], 'job')
    const farthest = shop.now + LIMITS.weeks * WEEK * MINUTE
    const stations = new Set(shop.stations.map(s => s.id))
    const crew = new Set(shop.crew.map(m => m.id))
    const jobs = new Map(shop.jobs.map(j => [j.id, j]))
    shop.stations.forEach((s, i) => {
      const pairs = new Set<string>()
      s.changeovers.forEach((c, k) => {
        const pair = JSON.stringify([c.from, c.to])
        if (pairs.has(pair)) {
          say(['stations', i, 'changeovers', k], `"${c.from}" to "${c.to}" is there twice`)
        }
        pairs.add(pair)
      })
      if (new Set(s.changeovers.flatMap(c => [c.from, c.to])).size > 1_000) {
        say(['stations', i, 'changeovers'], 'must name at most 1000 states')
      }
    })
    let steps = 0
    shop.jobs.forEach((j, i) => {
      twice(j.steps, ['jobs', i, 'steps'], 'step of this job')
      steps += j.steps.length
      if ((j.release ?? 0) > farthest) say(['jobs', i, 'release'], 'must be within five years of now')
      j.steps.forEach((s, k) => {
        const on = new Set<string>()
        s.on.forEach((c, q) => {
          const path = ['jobs', i, 'steps', k, 'on', q, 'station']
          if (!stations.has(c.station)) say(path, `"${c.station}" is not a station of this shop`)
          if (on.has(c.station)) say(path, `"${c.station}" is named twice`)
          on.add(c.station)
        })
      })
    })
    if (steps > LIMITS.steps) say(['jobs'], `must hold at most ${LIMITS.steps} steps in all, not ${steps}`)
    const kept = new Set<string>()
    shop.kept.forEach((k, i) => {
      const j = jobs.get(k.job)
      const s = j?.steps.find(candidate => candidate.id === k.step)
      const key = JSON.stringify([k.job, k.step])
      if (!j) say(['kept', i, 'job'], `"${k.job}" is not a job of this shop`)
      else if (!s) say(['kept', i, 'step'], `"${k.step}" is not a step of job "${k.job}"`)
      else if (!stations.has(k.station))
        say(['kept', i, 'station'], `"${k.station}" is not a station of this shop`)
      else if (!s.on.some(c => c.station === k.station)) {
        say(['kept', i, 'station'], `"${k.station}" cannot do step "${k.step}" of job "${k.job}"`)
      } else if (kept.has(key)) say(['kept', i], `step "${k.step}" of job "${k.job}" is kept twice`)
      if (k.crew && !crew.has(k.crew)) say(['kept', i, 'crew'], `"${k.crew}" is not in the crew`)
      if (k.start > farthest) say(['kept', i, 'start'], 'must be within five years of now')
      if (k.start < shop.now - 365 * 1440 * MINUTE)
        say(['kept', i, 'start'], 'must be within the year before now')
      kept.add(key)
    })
  })

/** A shop as in the planning contract: times are epoch milliseconds, gaps and states filled in. */
export type ShopFile = z.output<typeof shopFile>
/** What a caller may write: the JSON of the contract. */
export type ShopInput = z.input<typeof shopFile>

export type Parsed = { ok: true; shop: ShopFile } | { ok: false; field: string; message: string }

/** A shop from its JSON value. The refusal names the first field that is wrong, such as `jobs[3].steps[0].on[1].run`. */
export function parseShop(value: unknown): Parsed {
  const result = shopFile.safeParse(value)
  if (result.success) return { ok: true, shop: result.data }
  const issue = result.error.issues[0]
  const field = (issue?.path ?? []).reduce<string>(
    (path, part) =>
      typeof part === 'number' ? `${path}[${part}]` : path ? `${path}.${String(part)}` : String(part),
    '',
  )
  return { ok: false, field: field || 'file', message: oneLine(issue?.message ?? 'is not a shop') }
}

/** A shop from the text of a file. */
export function parseShopText(text: string): Parsed {
  if (text.length > LIMITS.bytes) {
    return { ok: false, field: 'file', message: `must be at most ${LIMITS.bytes} bytes` }
  }
  let value: unknown
  try {
    value = JSON.parse(text)
  } catch (error) {
    return { ok: false, field: 'file', message: oneLine(`is not JSON: ${(error as Error).message}`) }
  }
  return parseShop(value)
}

const oneLine = (text: string) => text.replace(/\s+/g, ' ').slice(0, 300)

const up = (ms: number) => Math.ceil(ms / MINUTE)
const down = (ms: number) => Math.floor(ms / MINUTE)

/** Weeks of openings that surely hold all the work, as long as they recur. */
function weeksFor(shop: ShopFile): number {
  let work = 0
  for (const j of shop.jobs) {
    for (const s of j.steps) {
      let most = 0
      for (const c of s.on) most = Math.max(most, c.setup + c.run)
      work += most + s.gap.min
    }
  }
  const change = Math.max(0, ...shop.stations.flatMap(s => s.changeovers.map(c => c.minutes)))
  work += change * shop.jobs.length
  const week = [...shop.stations, ...shop.crew].map(s => weeklyMinutes(s.hours)).filter(m => m > 0)
  const least = Math.min(WEEK, ...week)
  let shut = 0
  for (const s of [...shop.stations, ...shop.crew])
    for (const c of s.closed) shut = Math.max(shut, c.to - shop.now)
  const latest = Math.max(shop.now, ...shop.jobs.map(j => j.release ?? 0), ...shop.kept.map(k => k.start))
  const ahead = (latest - shop.now + Math.max(0, Math.min(shut, 366 * 1440 * MINUTE))) / MINUTE / WEEK
  return Math.min(LIMITS.weeks, Math.ceil(ahead) + 8 + 2 * Math.ceil(work / least))
}

/** The engine's shop: minutes, and openings for so many weeks from now (by default as many as the work needs). */
export function toEngine(shop: ShopFile, weeks = weeksFor(shop)): Shop {
  const now = up(shop.now)
  const from = Math.min(now, ...shop.kept.map(k => down(k.start))) - 1440
  const latest = Math.max(now, ...shop.jobs.map(j => up(j.release ?? 0)), ...shop.kept.map(k => up(k.start)))
  const horizon = (weeks >= LIMITS.weeks ? latest : now) + weeks * WEEK
  const open = (hoursOf: WeeklyHours[], closedSpans: { from: number; to: number }[]) =>
    openings(
      hoursOf,
      closedSpans.map(c => ({ from: down(c.from), to: up(c.to) })),
      shop.timeZone,
      from,
      horizon,
    )
  return {
    now,
    horizon,
    stations: shop.stations.map(s => ({
      id: s.id,
      kind: s.kind,
      open: open(s.hours, s.closed),
      state: s.state,
      changeovers: s.changeovers,
    })),
    crew: shop.crew.map(m => ({ id: m.id, skills: m.skills, open: open(m.hours, m.closed) })),
    jobs: shop.jobs.map(j => ({
      id: j.id,
      release: j.release === null ? now : up(j.release),
      due: j.due === null ? null : down(j.due),
      weight: j.weight,
      hard: j.hard,
      steps: j.steps,
    })),
    kept: shop.kept.map(k => ({ ...k, start: down(k.start) })),
  }
}

/** A plan as in the planning contract. */
export interface PlanFile {
  runs: {
    job: string
    step: string
    station: string
    crew: string | null
    start: string
    work: string
    end: string
    changeover: number
    setup: number
    run: number
  }[]
  late: { job: string; minutes: number }[]
  objective: { hardMisses: number; weightedLateMinutes: number; changeoverMinutes: number; finish: string }
  bound: { hardMisses: number; weightedLateMinutes: number; finish: string }
  unplaced: { job: string; step: string; why: string }[]
  /** Kept runs that break a rule of the shop, with the rule. */
  conflicts: { job: string; step: string; why: string }[]
  /** Proven: no plan has fewer hard misses, nor fewer weighted late minutes. */
  optimal: boolean
}

/** Minutes since the epoch as "2026-05-14T08:00:00Z". */
export const isoMinute = (minute: number): string =>
  `${new Date(minute * MINUTE).toISOString().slice(0, 19)}Z`

/** A plan as it is handed out: minutes of the plan as instants, ISO 8601 in UTC. */
export function toContract(p: Plan): PlanFile {
  return {
    runs: p.runs.map(r => ({
      ...r,
      start: isoMinute(r.start),
      work: isoMinute(r.work),
      end: isoMinute(r.end),
    })),
    late: p.late,
    objective: { ...p.objective, finish: isoMinute(p.objective.finish) },
    bound: { ...p.bound, finish: isoMinute(p.bound.finish) },
    unplaced: p.unplaced.map(({ job, step, why }) => ({ job, step, why })),
    conflicts: p.conflicts,
    optimal: p.optimal,
  }
}

/** Plans a shop of the contract. Where work does not fit into the weeks looked at first, all five years are tried. */
export function planShop(shop: ShopFile, options: PlanOptions = {}): { engine: Shop; plan: Plan } {
  const weeks = weeksFor(shop)
  const engine = toEngine(shop, weeks)
  const near = plan(engine, options)
  if (weeks >= LIMITS.weeks || !near.unplaced.some(u => u.timeMightHelp)) return { engine, plan: near }
  const far = toEngine(shop, LIMITS.weeks)
  return { engine: far, plan: plan(far, options) }
}
