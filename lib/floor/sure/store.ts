import 'server-only'
import { paceKey } from '@/lib/costing/learned'
import { promiseChances } from '@/lib/planning/board/store'
import { type StepRecipe, stepRecipeSchema } from '@/lib/planning/recipe-snapshot'
import { db } from '@/lib/server/database'
import type { Instant } from '@/lib/units/time'
import { type Finished, measuredSpreads } from './spread'

/** Finished steps that are looked at, newest first. */
const NEWEST_STEPS = 2000
/** Ways that the coming days may go, worked through for each plan. */
const FUTURES = 500

/** How sure an order's promise is. */
export type OrderChance = {
  /** Share of the futures in which it is ready by its promise, 0 to 1; null without a promise. */
  onTime: number | null
  /** By when nine in ten of the futures have it ready; null where fewer do. */
  nineInTen: Instant | null
}
export type Chances = {
  orders: Record<string, OrderChance>
  /** Finished runs that the spread was measured from. */
  runs: number
}

// On globalThis: pages and routes are bundled apart. One answer for each plan, however many ask.
const shared = globalThis as { shirtwrightChances?: { plan: string; value: Promise<Chances> } }

/** How sure the promises of the plan on the board are, by order. Made once for each plan, in a thread of its own. */
export async function chancesNow(now: Instant): Promise<Chances> {
  const record = await db().planRecord.findUnique({
    where: { id: 1 },
    select: { version: true, madeAt: true },
  })
  const plan = `${record?.version} ${record?.madeAt.getTime()}`
  if (shared.shirtwrightChances?.plan !== plan) {
    const value = make(now)
    shared.shirtwrightChances = { plan, value }
    value.catch(() => {
      delete shared.shirtwrightChances
    })
  }
  return shared.shirtwrightChances.value
}

async function make(now: Instant): Promise<Chances> {
  const [done, open] = await Promise.all([
    db().jobStep.findMany({
      where: { state: 'done', stationId: { not: null } },
      orderBy: { finishedAt: 'desc' },
      take: NEWEST_STEPS,
      select: {
        key: true,
        setupMinutes: true,
        runMinutes: true,
        good: true,
        spoiled: true,
        recipe: true,
        workLogs: { select: { machineSeconds: true } },
      },
    }),
    db().jobStep.findMany({
      where: { state: { in: ['waiting', 'running', 'paused'] } },
      select: { id: true, key: true, recipe: true },
    }),
  ])
  const idOf = (recipe: unknown) => (recipe as StepRecipe).recipe?.id ?? null
  const finished = done.map(
    (s): Finished => ({
      recipe: stepRecipeSchema.parse(s.recipe).recipe?.id ?? null,
      key: s.key,
      plannedSeconds: (s.setupMinutes + s.runMinutes) * 60,
      actualSeconds: s.workLogs.reduce((n, w) => n + w.machineSeconds, 0),
      pieces: s.good + s.spoiled,
      spoiled: s.spoiled,
    }),
  )
  const measured = measuredSpreads(finished)
  const spreads = open.flatMap(s => {
    const spread = measured.get(paceKey(idOf(s.recipe), s.key))
    return spread ? [[s.id, spread] as const] : []
  })
  return {
    orders: await promiseChances(new Map(spreads), { futures: FUTURES, seed: 1 }, now),
    runs: [...measured.values()].reduce((n, s) => n + s.runs, 0),
  }
}
