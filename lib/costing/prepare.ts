import type { MethodId } from '@/lib/shop/methods'
import type { Rates } from '@/lib/shop/rates'
import type { Recipe, RecipeStep } from '@/lib/shop/recipe'
import { STATION_KINDS, type Station, type StationKind } from '@/lib/shop/stations'
import { microPerMinor } from '@/lib/units/money'
import { type Pace, paceKey, type TakenPace } from './learned'
import { type HourRate, kindHourRate } from './machine-hour'

/** How figures are written in a working. */
export type Show = { currency: string; locale: string; system: 'metric' | 'imperial' }

/** What the shop brings to every costing. */
export type ShopWork = {
  recipes: Record<MethodId, Recipe>
  /** Steps that end every job once for each piece: check, fold, pack. */
  finish: readonly RecipeStep[]
  stations: readonly Station[]
  rates: Rates
  show: Show
  /** Paces that somebody took over from the floor's clocks; missing: the recipes' own times. */
  taken?: readonly TakenPace[]
}

/** The shop with what is the same for every order worked out once. */
export type Costing = ShopWork & {
  /** Micro-units for one second of one person. */
  wagePerSecond: number
  overheadPerSecond: number
  /** Machine-hour rate by kind of station; null where it costs nothing or there is none. */
  machine: Record<StationKind, HourRate | null>
  /** By paceKey; a step that is not there goes at its recipe's pace. */
  pace: ReadonlyMap<string, Pace>
}

/** Works out what is the same for every order: do it once, then cost many. */
export function prepare(shop: ShopWork): Costing {
  const perMinor = microPerMinor(shop.show.currency)
  return {
    ...shop,
    wagePerSecond: (shop.rates.wagePerHour * perMinor) / 3600,
    pace: new Map(
      (shop.taken ?? []).map(t => [paceKey(t.recipe, t.key), { factor: t.factor, runs: t.runs }]),
    ),
    overheadPerSecond: (shop.rates.overheadPerLabourHour * perMinor) / 3600,
    machine: Object.fromEntries(
      STATION_KINDS.map(kind => [
        kind,
        kindHourRate(
          shop.stations.filter(s => s.kind === kind),
          shop.rates,
          shop.show.currency,
        ),
      ]),
    ) as Record<StationKind, HourRate | null>,
  }
}
