import 'server-only'
import { paceKey } from '@/lib/costing/learned'
import { type Db, database, db, type Prisma } from '@/lib/server/database'
import { partsOf } from '@/lib/server/sql'
import type { StationKind } from '@/lib/shop/stations'
import { type Instant, instantOf } from '@/lib/units/time'
import type { PlanStep } from '../model'
import type { SizeCount, StepRecipe } from '../recipe-snapshot'
import { needsOf } from '../trial'

/** A step on the floor's list as the plan reads it: what the row says at one version, without its place on the plan and its clock. */
export type ListedStep = {
  version: number
  step: Omit<PlanStep, 'crewId' | 'clock'>
  sizes: readonly SizeCount[]
  /** What of its recipe decides when it can begin. */
  recipe: Pick<StepRecipe, 'phase' | 'postDays' | 'sentAt' | 'printedBy' | 'onBlank'>
}

const shared = globalThis as { shirtwrightList?: WeakMap<Db, Map<string, ListedStep>> }
// By client: another database (a restore, a test) has other steps. On globalThis for the same reason as the client itself.
shared.shirtwrightList ??= new WeakMap()
const kept = shared.shirtwrightList

/**
 * Every step of the orders that have open work, the dropped ones left out, by order, chain and position. Reads inside the transaction that
 * the caller is in.
 *
 * A row says the same as long as its version does (a guard of the database sees to it), so only rows that have changed are read: their
 * recipes are long, there are thousands of them, and a report changes one.
 */
export async function listedSteps(): Promise<ListedStep[]> {
  const now = await db().$queryRaw<{ id: string; version: number }[]>`
    SELECT s."id", s."version" FROM "JobStep" s JOIN "Order" o ON o."id" = s."orderId"
    WHERE s."orderId" IN (SELECT w."orderId" FROM "JobStep" w WHERE w."state" IN ('waiting', 'running', 'paused'))
      AND s."state" <> 'dropped' AND o."state" IN ('agreed', 'making', 'ready', 'handedOver')
    ORDER BY s."orderId", s."job", s."position"`
  const whole = database()
  const known = kept.get(whole) ?? new Map<string, ListedStep>()
  kept.set(whole, known)
  if (known.size > 2 * now.length + 1000) known.clear()
  const found = new Map<string, ListedStep>()
  const take = (s: ListedStep | undefined) => s && found.set(s.step.id, s)
  const missing = () => now.filter(s => found.get(s.id)?.version !== s.version).map(s => s.id)
  for (const { id } of now) take(known.get(id))
  // Kept is only what is committed: what a transaction has written it may yet take back, and another one give the same version.
  for (const s of await read(whole, missing())) {
    take(s)
    known.set(s.step.id, s)
  }
  for (const s of await read(db(), missing())) take(s)
  return now.flatMap(s => found.get(s.id) ?? [])
}

/**
 * So many are asked for at once. Of more the client makes several questions in a transaction of its own, which would wait without end for
 * the one that the caller is in.
 */
const AT_ONCE = 500

async function read(from: Pick<Db, 'jobStep'>, ids: string[]): Promise<ListedStep[]> {
  const rows: ListedStep[] = []
  for (const some of partsOf(ids, AT_ONCE))
    for (const row of await from.jobStep.findMany({ where: { id: { in: some } } })) rows.push(asListed(row))
  return rows
}

const at = (date: Date | null): Instant | null => (date ? instantOf(date) : null)

function asListed(r: Prisma.JobStepGetPayload<object>): ListedStep {
  // Written by addStepsTx and never edited by hand: checked again where it is shown, not for every plan.
  const recipe = r.recipe as unknown as StepRecipe
  const { phase, postDays, sentAt, printedBy, onBlank } = recipe
  return {
    version: r.version,
    step: {
      id: r.id,
      orderId: r.orderId,
      job: r.job,
      position: r.position,
      title: r.title,
      stationKind: r.stationKind as StationKind,
      stationState: r.stationState,
      setupMinutes: r.setupMinutes,
      runMinutes: r.runMinutes,
      attended: r.attended as PlanStep['attended'],
      pausable: r.pausable,
      gapMin: r.gapMin,
      gapMax: r.gapMax,
      pace: paceKey(recipe.recipe?.id ?? null, r.key),
      needs: needsOf(recipe),
      pieces: r.pieces,
      good: r.good,
      spoiled: r.spoiled,
      state: r.state as PlanStep['state'],
      stationId: r.stationId,
      startedAt: at(r.startedAt),
      finishedAt: at(r.finishedAt),
    },
    sizes: r.sizes as unknown as SizeCount[],
    recipe: { phase, postDays, sentAt, printedBy, onBlank },
  }
}
