import type { StepRecipe } from '@/lib/planning/recipe-snapshot'
import type { StationKind } from '@/lib/shop/stations'
import { seconds } from '@/lib/units/time'
import type { PressPlan, PressStage } from './press-clock'

/** Stations where somebody waits beside one piece for a time to pass. A belt and a bench are none. */
const TIMED: readonly StationKind[] = ['heat-press', 'dtg-printer', 'pretreat-booth']

/** A recipe step's key for people: "pre-press" stays one word. */
export const partTitle = (key: string): string => {
  const words = key.replaceAll('-', ' ')
  // "pre press" is written with its hyphen.
  const said = words.replace(/^(pre|post) /, '$1-')
  return said.charAt(0).toUpperCase() + said.slice(1)
}

/**
 * What the countdown counts for each piece of a step; null where nothing is to be waited for. A piece that the recipe lets settle
 * lies aside while the press takes the next one.
 */
export function pressPlanOf(recipe: StepRecipe, kind: StationKind): PressPlan | null {
  if (!TIMED.includes(kind) || !recipe.onBlank) return null
  const stages: PressStage[] = recipe.parts
    .filter(p => p.dwellSeconds > 0)
    .map(p => ({
      title: partTitle(p.key),
      seconds: seconds(Math.round(p.dwellSeconds)),
      ...(p.peel ? { after: `peel ${p.peel}` } : {}),
    }))
  if (stages.length === 0) return null
  return { stages, rest: seconds(kind === 'heat-press' ? recipe.restMinutes * 60 : 0) }
}
