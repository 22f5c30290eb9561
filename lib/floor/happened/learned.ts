import { type Counted, learnedRates, type Pace, paceKey, paceOf } from '@/lib/costing/learned'
import { METHODS } from '@/lib/shop/methods'
import type { Rates } from '@/lib/shop/rates'

/** A finished step as the clocks and counts of the floor know it. */
export type Ran = {
  /** Null: what ends every job. */
  recipe: { id: string; name: string } | null
  key: string
  title: string
  station: { id: string; name: string }
  people: readonly string[]
  /** Set-up and run as the recipe says for so many pieces, seconds; a pace that was taken over is taken out again. */
  recipeSeconds: number
  /** As it took, seconds of open time. */
  actualSeconds: number
  good: number
  spoiled: number
}

/** Seconds per piece over some runs. */
export type Measured = {
  runs: number
  pieces: number
  /** Mean over all pieces. */
  perPiece: number
  /** What the recipe says for the same runs. */
  recipePerPiece: number
  /** Of the single runs: the middle half where there are four or more, else the least and the most. */
  spread: { from: number; to: number; of: 'middle half' | 'all' }
  spoiled: number
  /** Between what shares the true spoilage lies, with 95 % confidence (Wilson). */
  spoilage: { from: number; rate: number; to: number }
}

/** What would count if it were taken over: the recipe's own time weighs with it. Least and most are of the single runs. */
export type Offered = Pace & { least: number; most: number }

export type LearnedStep = Measured & {
  recipe: Ran['recipe']
  key: string
  title: string
  pace: Offered
  /** Each with what would count there if it were taken over. */
  stations: (Measured & { id: string; name: string; pace: Offered })[]
  people: (Measured & { name: string })[]
}

/**
 * Bounds of a share that was seen as k of n, with 95 % confidence: Wilson's score interval (E. B. Wilson, 1927, J. Am. Stat. Assoc. 22).
 * @returns shares from 0 to 1; 0 to 1 where nothing was counted
 */
export function wilson(k: number, n: number): { from: number; to: number } {
  if (!(n > 0)) return { from: 0, to: 1 }
  const z2 = 1.959964 ** 2
  const p = k / n
  const middle = p + z2 / (2 * n)
  const half = Math.sqrt(z2 * ((p * (1 - p)) / n + z2 / (4 * n * n)))
  const whole = 1 + z2 / n
  return { from: Math.max(0, (middle - half) / whole), to: Math.min(1, (middle + half) / whole) }
}

/** The value below which a share of a sorted list lies, between neighbours where it falls between. */
function quantile(sorted: readonly number[], share: number): number {
  const at = (sorted.length - 1) * share
  const below = sorted[Math.floor(at)] ?? 0
  return below + ((sorted[Math.ceil(at)] ?? below) - below) * (at % 1)
}

const pieces = (r: Ran) => r.good + r.spoiled
const sum = <T>(list: readonly T[], of: (item: T) => number) => list.reduce((n, item) => n + of(item), 0)
const groups = <T>(list: readonly T[], key: (item: T) => string) => {
  const found = new Map<string, T[]>()
  for (const item of list) found.set(key(item), [...(found.get(key(item)) ?? []), item])
  return found
}

/** Time per piece, its spread and the spoilage of some runs; at least one, each with a piece. */
function measure(runs: readonly Ran[]): Measured {
  const each = runs.map(r => r.actualSeconds / pieces(r)).sort((a, b) => a - b)
  const all = sum(runs, pieces)
  const spoiled = sum(runs, r => r.spoiled)
  const many = each.length >= 4
  return {
    runs: runs.length,
    pieces: all,
    perPiece: sum(runs, r => r.actualSeconds) / all,
    recipePerPiece: sum(runs, r => r.recipeSeconds) / all,
    spread: many
      ? { from: quantile(each, 0.25), to: quantile(each, 0.75), of: 'middle half' }
      : { from: each[0] ?? 0, to: each.at(-1) ?? 0, of: 'all' },
    spoiled,
    spoilage: { ...wilson(spoiled, all), rate: spoiled / all },
  }
}

function offered(runs: readonly Ran[], { recipe, key }: Ran): Offered {
  const ratios = runs.map(r => r.actualSeconds / r.recipeSeconds)
  return {
    ...paceOf({
      recipe: recipe?.id ?? null,
      key,
      runs: runs.length,
      plannedSeconds: sum(runs, r => r.recipeSeconds),
      actualSeconds: sum(runs, r => r.actualSeconds),
    }),
    least: Math.min(...ratios),
    most: Math.max(...ratios),
  }
}

/** What the floor has learned of each step of each recipe, most runs first: joined, by station and by person. Runs without time are left out. */
export function learnedSteps(runs: readonly Ran[]): LearnedStep[] {
  const counted = runs.filter(r => pieces(r) > 0 && r.actualSeconds > 0 && r.recipeSeconds > 0)
  const most = (a: Measured & { name: string }, b: Measured & { name: string }) =>
    b.pieces - a.pieces || a.name.localeCompare(b.name)
  return [...groups(counted, r => paceKey(r.recipe?.id ?? null, r.key)).values()]
    .flatMap((own): LearnedStep[] => {
      const newest = own.at(-1)
      if (!newest) return []
      const { recipe, key, title } = newest
      return [
        {
          recipe,
          key,
          title,
          ...measure(own),
          pace: offered(own, newest),
          stations: [...groups(own, r => r.station.id)]
            .map(([id, at]) => ({
              id,
              name: at.at(-1)?.station.name ?? '',
              ...measure(at),
              pace: offered(at, newest),
            }))
            .sort(most),
          // Where several worked one run, nobody knows whose seconds they were.
          people: [
            ...groups(
              own.filter(r => r.people.length === 1),
              r => r.people[0] ?? '',
            ),
          ]
            .map(([name, runs]) => ({ name, ...measure(runs) }))
            .sort(most),
        },
      ]
    })
    .sort((a, b) => b.runs - a.runs || a.title.localeCompare(b.title))
}

/**
 * The rates with the spoilage that would count if all of it were taken over: moved from what somebody last set, not from what was taken
 * before, so that taking twice does not count the same pieces twice.
 * @param cards every card of rates, newest first; at least one
 */
export function offeredRates(cards: readonly { rates: Rates }[], counted: readonly Counted[]): Rates | null {
  const newest = cards[0]?.rates
  if (!newest) return null
  const spoilage = { ...newest.spoilage }
  for (const m of METHODS) {
    const set = cards.find(c => c.rates.spoilage[m].from !== 'measured')
    if (set) spoilage[m] = set.rates.spoilage[m]
  }
  const learned = learnedRates({ ...newest, spoilage }, counted).spoilage
  return {
    ...newest,
    spoilage: Object.fromEntries(
      METHODS.map(m => [
        m,
        counted.some(c => c.method === m && c.pieces > 0) ? learned[m] : newest.spoilage[m],
      ]),
    ) as Rates['spoilage'],
  }
}
