import 'server-only'
import type { StationPace } from '@/lib/costing/learned'
import { paceBook } from '@/lib/costing/store'
import { stepRecipeSchema } from '@/lib/planning/recipe-snapshot'
import { isAfter } from '@/lib/planning/steps'
import { db } from '@/lib/server/database'
import type { MethodId } from '@/lib/shop/methods'
import { shop } from '@/lib/shop/store'
import { dayBounds, type Instant, instantOf, type ShopDay } from '@/lib/units/time'
import { MISPRINT_WORDS, type MisprintReason } from '../misprint'
import { type Clock, type DayHours, dayHours, lateMinutes } from './day'
import { type LearnedStep, learnedSteps, type Ran } from './learned'

/** As many finished steps as are looked at, newest first: what was learned long ago fades. */
const NEWEST_STEPS = 2000

/** A key of version 7 begins with its instant: when the step was written down. */
const bornAt = (id: string): number => Number.parseInt(id.replaceAll('-', '').slice(0, 12), 16)

/** What the floor has learned of each step's time and spoilage, and of each method's spoilage. */
export async function learned(): Promise<{
  steps: LearnedStep[]
  methods: { method: MethodId; pieces: number; spoiled: number }[]
}> {
  const [rows, book] = await Promise.all([
    db().jobStep.findMany({
      where: { state: 'done', stationId: { not: null } },
      orderBy: { finishedAt: 'desc' },
      take: NEWEST_STEPS,
      select: {
        id: true,
        key: true,
        title: true,
        job: true,
        setupMinutes: true,
        runMinutes: true,
        good: true,
        spoiled: true,
        recipe: true,
        station: { select: { id: true, name: true } },
        workLogs: { select: { byName: true, machineSeconds: true } },
      },
    }),
    paceBook(),
  ])
  const methods = new Map<MethodId, { method: MethodId; pieces: number; spoiled: number }>()
  const runs = rows.reverse().map((r): Ran => {
    const recipe = stepRecipeSchema.parse(r.recipe)
    if (recipe.method && recipe.onBlank) {
      const m = methods.get(recipe.method) ?? { method: recipe.method, pieces: 0, spoiled: 0 }
      // A piece goes through several steps, and is spoiled at one: the pieces of a print count where it is printed.
      methods.set(recipe.method, {
        ...m,
        pieces: m.pieces + (recipe.print ? r.good + r.spoiled : 0),
        spoiled: m.spoiled + r.spoiled,
      })
    }
    const planned = (r.setupMinutes + r.runMinutes) * 60
    return {
      recipe: recipe.recipe && { id: recipe.recipe.id, name: recipe.recipe.name },
      key: r.key,
      title: r.title.replace(/:.*$/, ''),
      station: { id: r.station?.id ?? '', name: r.station?.name ?? '' },
      people: [...new Set(r.workLogs.map(w => w.byName))],
      recipeSeconds: planned / factorAt(book, recipe.recipe?.id ?? null, r.key, bornAt(r.id)),
      actualSeconds: r.workLogs.reduce((n, w) => n + w.machineSeconds, 0),
      good: isAfter(r.job) ? Math.max(1, r.good) : r.good,
      spoiled: r.spoiled,
    }
  })
  return { steps: learnedSteps(runs), methods: [...methods.values()] }
}

/** By what the recipe's time was multiplied when a step was planned: the pace that counted at that moment, wherever it is worked. */
const factorAt = (
  book: readonly (StationPace & { takenAt: Instant })[],
  recipe: string | null,
  key: string,
  at: number,
): number => {
  const then = book.find(p => p.stationId === null && p.recipe === recipe && p.key === key && p.takenAt <= at)
  return then && then.runs > 0 ? then.factor : 1
}

export type DayReport = {
  id: string
  at: Instant
  cameAt: Instant | null
  byName: string
  kind: string
  good: number
  spoiled: number
  note: string
  number: number
  step: string
  stepId: string
  station: string | null
  undone: boolean
}
export type DayView = {
  /** Pieces that came off their last step that day. */
  made: number

  hours: DayHours
  misprints: {
    number: number
    quantity: number
    size: string
    reason: string
    byName: string
    at: Instant
    step: string
  }[]
  /** Promises of that day, and how late each was or is: null where it is kept, or its time has not come. */
  promises: {
    number: number
    customer: string
    promiseAt: Instant
    hard: boolean
    readyAt: Instant | null
    late: number | null
  }[]
  /** What each finished step was planned for, and took. */
  steps: {
    id: string
    number: number
    title: string
    station: string
    planned: number
    actual: number
    pieces: number
  }[]
  reports: DayReport[]
}

/** What happened on a day: pieces, hours, misprints, lateness, and who reported what when. */
export async function dayView(day: ShopDay, now: Instant): Promise<DayView> {
  const { timeZone } = await shop()
  const { from, to } = dayBounds(day, timeZone)
  const inDay = { gte: new Date(from), lt: new Date(to) }
  const order = { select: { number: true, customer: { select: { name: true } } } } as const
  const [reports, logs, misprints, orders, done] = await Promise.all([
    db().report.findMany({
      where: { at: inDay },
      orderBy: [{ at: 'desc' }, { id: 'desc' }],
      include: { step: { include: { order, station: { select: { name: true } } } } },
    }),
    db().workLog.findMany({ where: { toAt: inDay }, include: { station: { select: { name: true } } } }),
    db().misprint.findMany({
      where: { at: inDay, undone: false },
      orderBy: { at: 'asc' },
      include: { order, step: { select: { title: true } } },
    }),
    db().order.findMany({
      where: { promiseAt: inDay, state: { in: ['agreed', 'making', 'ready', 'handedOver'] } },
      orderBy: { promiseAt: 'asc' },
      include: {
        customer: { select: { name: true } },
        jobSteps: { select: { job: true, state: true, finishedAt: true } },
      },
    }),
    db().jobStep.findMany({
      where: { state: 'done', finishedAt: inDay },
      orderBy: { finishedAt: 'asc' },
      include: { order, station: { select: { name: true } }, workLogs: { select: { machineSeconds: true } } },
    }),
  ])
  const undone = new Set(reports.flatMap(r => (r.undoes ? [r.undoes] : [])))
  const counts = reports.filter(r => r.kind === 'finish' && !undone.has(r.id) && !isAfter(r.step.job))
  const last = new Map(
    (
      await db().jobStep.groupBy({
        by: ['orderId', 'job'],
        where: { orderId: { in: [...new Set(counts.map(r => r.step.orderId))] }, state: { not: 'dropped' } },
        _max: { position: true },
      })
    ).map(g => [`${g.orderId} ${g.job}`, g._max.position]),
  )
  return {
    made: counts
      .filter(r => last.get(`${r.step.orderId} ${r.step.job}`) === r.step.position)
      .reduce((n, r) => n + r.good, 0),
    hours: dayHours(
      logs.map(
        (l): Clock => ({
          person: l.byName,
          station: l.station?.name ?? 'elsewhere',
          labourSeconds: l.labourSeconds,
          machineSeconds: l.machineSeconds,
        }),
      ),
    ),
    misprints: misprints.map(m => ({
      number: m.order.number,
      quantity: m.quantity,
      size: m.size,
      reason: MISPRINT_WORDS[m.reason as MisprintReason],
      byName: m.byName,
      at: instantOf(m.at),
      step: m.step.title,
    })),
    promises: orders.flatMap(o => {
      if (!o.promiseAt) return []
      const needed = o.jobSteps.filter(s => !isAfter(s.job) && s.state !== 'dropped')
      const ready =
        needed.length > 0 && needed.every(s => s.state === 'done')
          ? Math.max(...needed.map(s => s.finishedAt?.getTime() ?? 0))
          : null
      const promiseAt = instantOf(o.promiseAt)
      return [
        {
          number: o.number,
          customer: o.customer.name,
          promiseAt,
          hard: o.promiseHard,
          readyAt: ready as Instant | null,
          late: lateMinutes(promiseAt, ready, now),
        },
      ]
    }),
    steps: done.map(s => ({
      id: s.id,
      number: s.order.number,
      title: s.title,
      station: s.station?.name ?? '',
      planned: s.setupMinutes + s.runMinutes,
      actual: Math.round(s.workLogs.reduce((n, w) => n + w.machineSeconds, 0) / 60),
      pieces: s.good,
    })),
    reports: reports.map(r => ({
      id: r.id,
      at: instantOf(r.at),
      cameAt: r.cameAt && instantOf(r.cameAt),
      byName: r.byName,
      kind: r.kind,
      good: r.good,
      spoiled: r.spoiled,
      note: r.note,
      number: r.step.order.number,
      step: r.step.title,
      stepId: r.stepId,
      station: r.step.station?.name ?? null,
      undone: undone.has(r.id),
    })),
  }
}
