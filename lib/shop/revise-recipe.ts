import { ok, type Result, refuse } from '@/lib/units/result'
import { FIBRE_CLASS_WORDS } from './blanks'
import { HEAT_LIMIT, SUBLIMATION_HEAT_LIMIT } from './heat'
import { type Recipe, recipeSchema } from './recipe'
import type { Sourced } from './sourced'

const isSourced = (v: unknown): v is Sourced<unknown> =>
  typeof v === 'object' && v !== null && 'value' in v && 'from' in v

/** How the shop knows a value that it sets: it wished it so, or it measured it on its own machines. */
export type Ground = { from: 'setting' | 'measured'; note?: string }

/** The same data, every sourced value that is another than before marked as the shop's own, with what stood there. */
function marked(before: unknown, after: unknown, ground: Ground): unknown {
  if (isSourced(after)) {
    const how = [ground.from === 'measured' ? 'measured here' : 'set here', ground.note]
      .filter(Boolean)
      .join(', ')
    if (!isSourced(before)) return { value: after.value, from: ground.from, source: how }
    return Object.is(before.value, after.value)
      ? before
      : {
          value: after.value,
          from: ground.from,
          source: `${how}; before: ${String(before.value)}`.slice(0, 300),
        }
  }
  if (Array.isArray(after))
    return after.map((item, i) =>
      marked(Array.isArray(before) ? counterpart(before, item, i) : undefined, item, ground),
    )
  if (typeof after === 'object' && after !== null) {
    const old = (typeof before === 'object' && before !== null ? before : {}) as Record<string, unknown>
    return Object.fromEntries(
      Object.entries(after).map(([key, value]) => [key, marked(old[key], value, ground)]),
    )
  }
  return after
}

/** The item of a list that an item was before: the one with its key where items have keys, else the one at its place. */
function counterpart(before: readonly unknown[], item: unknown, at: number): unknown {
  const key = (v: unknown) => (typeof v === 'object' && v !== null && 'key' in v ? v.key : undefined)
  const own = key(item)
  return own === undefined ? before[at] : before.find(b => key(b) === own)
}

/**
 * A recipe as somebody has edited it: read whole, one version on, with every changed value marked as a setting of the shop that names
 * what stood there. Unchanged, it stays the version it was. Method and id cannot change.
 */
export function reviseRecipe(
  before: Recipe,
  edited: unknown,
  ground: Ground = { from: 'setting' },
): Result<Recipe> {
  const read = recipeSchema.safeParse(edited)
  if (!read.success) {
    const issue = read.error.issues[0]
    const at = issue?.path.join(' ') ?? ''
    return refuse(
      'recipe',
      `The recipe cannot be kept${at ? `: ${at}` : ''}: ${issue?.message ?? 'it cannot be read'}`,
      at,
    )
  }
  const after = read.data
  if (after.id !== before.id || after.method !== before.method)
    return refuse(
      'recipe-identity',
      'A recipe keeps its name in the books and its method: make a new recipe instead.',
      'id',
    )
  const plain = (r: Recipe) =>
    JSON.stringify(r, (k, v) => (k === 'from' || k === 'source' || k === 'version' ? undefined : v))
  if (plain(after) === plain(recipeSchema.parse(before))) return ok(before)
  return ok({ ...(marked(before, after, ground) as Recipe), version: before.version + 1 })
}

/** What in a recipe can hurt a blank: every setting that is hotter than its fibres take, in one sentence each. */
export function tooHot(recipe: Recipe): string[] {
  return recipe.steps.flatMap(step =>
    step.settings.flatMap(setting =>
      setting.classes.flatMap(fibre => {
        const limit =
          recipe.method === 'sublimation' && fibre !== 'hard' ? SUBLIMATION_HEAT_LIMIT : HEAT_LIMIT[fibre]
        const t = setting.temperature?.value
        return t !== undefined && t > limit.value
          ? [
              `“${step.words}” at ${Math.round(t)} °C is hotter than ${FIBRE_CLASS_WORDS[fibre]} takes (${limit.value} °C): it scorches or melts.`,
            ]
          : []
      }),
    ),
  )
}
