import 'server-only'
import { db, kept, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { ok, type Result, refuse } from '@/lib/units/result'
import { type Instant, instantOf } from '@/lib/units/time'
import type { StationPace, TakenPace } from './learned'

/** A pace as it was taken over, with where and by whom. */
export type TakenRow = StationPace & {
  /** Of the single runs. */
  least: number
  most: number
  byName: string
  takenAt: Instant
}

/** Every pace that was ever taken over or taken back, newest first; `runs` 0 takes one back. */
export const paceBook = (): Promise<readonly TakenRow[]> => kept(['TakenPace'], 'paces', readPaces)

async function readPaces(): Promise<TakenRow[]> {
  const rows = await db().takenPace.findMany({ orderBy: [{ takenAt: 'desc' }, { id: 'desc' }] })
  return rows.map(r => ({
    recipe: r.recipeId || null,
    key: r.stepKey,
    stationId: r.stationId || null,
    factor: r.factor,
    runs: r.runs,
    least: r.least,
    most: r.most,
    byName: r.byName,
    takenAt: instantOf(r.takenAt),
  }))
}

/** Every pace that counts now, by recipe, step and station; those taken back are left out. */
export async function takenRows(): Promise<TakenRow[]> {
  const newest = new Map<string, TakenRow>()
  for (const row of await paceBook()) {
    const key = `${row.recipe} ${row.key} ${row.stationId}`
    if (!newest.has(key)) newest.set(key, row)
  }
  return [...newest.values()].filter(r => r.runs > 0)
}

/** What costing reckons with: the paces of steps wherever they are worked. */
export const takenPaces = async (): Promise<TakenPace[]> =>
  (await takenRows())
    .filter(r => r.stationId === null)
    .map(({ recipe, key, factor, runs }) => ({ recipe, key, factor, runs }))

/**
 * Takes a pace over from the floor's clocks: from now on costing and planning reckon with it, or planning alone where it is one station's. `runs` 0 takes it back, and the
 * recipe's own time counts again. What was offered before keeps its own.
 */
export function takePace(
  pace: Omit<TakenRow, 'byName' | 'takenAt'>,
  by: Actor,
  now: Instant,
): Promise<Result<void>> {
  return transaction(async tx => {
    const { recipe, key, stationId, factor, runs, least, most } = pace
    if (!(factor >= 0.25 && factor <= 4))
      return refuse(
        'factor',
        'A step takes a quarter to four times what its recipe says: look at the clocks again.',
      )
    const where = { recipeId: recipe ?? '', stepKey: key, stationId: stationId ?? '' }
    const before = await tx.takenPace.findFirst({ where, orderBy: [{ takenAt: 'desc' }, { id: 'desc' }] })
    await tx.takenPace.create({
      data: { ...where, factor, runs, least, most, byName: by.name, takenAt: new Date(now) },
    })
    await record({
      by,
      what:
        runs > 0
          ? `took over the clocked time of ${key}: × ${Number(factor.toFixed(3))}, ${runs} ${runs === 1 ? 'run' : 'runs'}`
          : `took the clocked time of ${key} back`,
      entity: 'recipe',
      ref: recipe ?? 'finish',
      ...(before ? { before: { factor: before.factor, runs: before.runs } } : {}),
      after: { factor, runs, least, most, ...(stationId && { station: stationId }) },
      at: new Date(now),
    })
    return ok(undefined)
  })
}
