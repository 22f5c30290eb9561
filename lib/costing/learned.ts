import type { MethodId } from '@/lib/shop/methods'
import type { Rates, SpoilageRate } from '@/lib/shop/rates'
import { learnedRate } from './spoilage'

/** What the floor has clocked of one step over all its finished runs: seconds as planned and as they took, set-up and run together. */
export type Clocked = {
  /** Id of the recipe; null: what ends every job. */
  recipe: string | null
  /** Key of the step as it is planned: print, press, cure, pack. */
  key: string
  runs: number
  plannedSeconds: number
  actualSeconds: number
}
/** How much longer (above 1) or shorter a step takes here than its recipe says, and on how many runs that was seen. */
export type Pace = { factor: number; runs: number }
/** A pace that somebody has taken over from the clocks, for one step of one recipe. */
export type TakenPace = Pick<Clocked, 'recipe' | 'key'> & Pace

/** A pace with the station that it was taken over for; null: any station of the kind. */
export type StationPace = TakenPace & { stationId: string | null }

/**
 * How much longer (above 1) or shorter a step takes at a station than a step is planned for in general, by paceKey and station. Only
 * stations whose own pace was taken over are in it. What a step costs does not go by its station: nobody knows it yet when it is offered.
 * @param paces those that count now, one for each step and station
 */
export function stationRatios(paces: readonly StationPace[]): Map<string, Map<string, number>> {
  const general = new Map(
    paces.filter(p => p.stationId === null).map(p => [paceKey(p.recipe, p.key), p.factor]),
  )
  const ratios = new Map<string, Map<string, number>>()
  for (const p of paces) {
    if (p.stationId === null) continue
    const key = paceKey(p.recipe, p.key)
    const at = ratios.get(key) ?? new Map<string, number>()
    ratios.set(key, at.set(p.stationId, p.factor / (general.get(key) ?? 1)))
  }
  return ratios
}

/** The recipe's own times weigh like so many seconds of clocked work: two hours. */
export const RECIPE_WEIGHT_SECONDS = 7200
/** The recipe's spoilage weighs like so many counted pieces. */
export const RECIPE_WEIGHT_PIECES = 100

/** The name under which the pace of a step is kept. */
export const paceKey = (recipe: string | null, key: string): string => `${recipe ?? 'finish'} ${key}`

/**
 * The pace of a step, moved from 1 toward what was clocked: (two hours + actual) ÷ (two hours + planned). Held between a quarter and
 * four times, so one forgotten clock does not rule the price.
 */
export function paceOf(clocked: Clocked): Pace {
  const factor =
    (RECIPE_WEIGHT_SECONDS + Math.max(0, clocked.actualSeconds)) /
    (RECIPE_WEIGHT_SECONDS + Math.max(0, clocked.plannedSeconds))
  return { factor: Math.min(4, Math.max(0.25, factor)), runs: clocked.runs }
}

/** Pieces that went through a method, and how many of them spoiled. */
export type Counted = { method: MethodId; pieces: number; spoiled: number }

/** The rates with spoilage moved from what is set toward what the floor has counted; a method that nobody counted stays as it is. */
export function learnedRates(rates: Rates, counted: readonly Counted[]): Rates {
  const spoilage = { ...rates.spoilage }
  for (const { method, pieces, spoiled } of counted) {
    if (!(pieces > 0)) continue
    const set = rates.spoilage[method]
    const learned: SpoilageRate = {
      rate: Math.min(0.5, learnedRate(set.rate, Math.min(spoiled, pieces), pieces, RECIPE_WEIGHT_PIECES)),
      pieces,
      spoiled,
      from: 'measured',
      source: `${spoiled} of ${pieces} spoiled here, beside ${Number((set.rate * 100).toFixed(2))} % that weighs like ${RECIPE_WEIGHT_PIECES} pieces`,
    }
    spoilage[method] = learned
  }
  return { ...rates, spoilage }
}
