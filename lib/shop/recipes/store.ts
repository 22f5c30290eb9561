import 'server-only'
import { db, kept, type Prisma, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { type Instant, instantOf } from '@/lib/units/time'
import { METHODS, type MethodId } from '../methods'
import { type Recipe, recipeSchema } from '../recipe'
import { copyOf, recipeChanges } from '../recipe-changes'
import { type Ground, reviseRecipe } from '../revise-recipe'
import { defaultRecipes, moreRecipes } from './index'

/** A recipe as it stood from a moment on. Null: it came with the trade's starting values. */
export type RecipeRow = { recipe: Recipe; byName: string | null; at: Instant | null }

const json = (value: unknown) => JSON.parse(JSON.stringify(value)) as Prisma.InputJsonValue
const starting: readonly Recipe[] = [...METHODS.map(m => defaultRecipes[m]), ...moreRecipes]

/** The shop's recipes as they count now: the usual one of each method, and every other. */
export const recipesNow = (): Promise<RecipesNow> => kept(['RecipeVersion'], 'recipes', readRecipes)
type RecipesNow = { usual: Record<MethodId, Recipe>; more: readonly Recipe[] }

async function readRecipes(): Promise<RecipesNow> {
  const rows = await db().$queryRaw<{ recipeId: string; data: unknown }[]>`
    SELECT r."recipeId", r."data" FROM "RecipeVersion" r
    WHERE r."version" = (SELECT MAX(v."version") FROM "RecipeVersion" v WHERE v."recipeId" = r."recipeId")
    ORDER BY r."recipeId"`
  const saved = new Map(rows.map(r => [r.recipeId, recipeSchema.parse(r.data)]))
  const usual = Object.fromEntries(
    METHODS.map(m => [m, saved.get(defaultRecipes[m].id) ?? defaultRecipes[m]]),
  ) as Record<MethodId, Recipe>
  const known = new Set(starting.map(r => r.id))
  return {
    usual,
    more: [
      ...moreRecipes.map(r => saved.get(r.id) ?? r),
      ...[...saved.values()].filter(r => !known.has(r.id)),
    ],
  }
}

/** Every version of a recipe, newest first; empty where there is none of that id. */
export const recipeVersions = (id: string): Promise<readonly RecipeRow[]> =>
  kept(['RecipeVersion'], `recipe ${id}`, () => readVersions(id))

async function readVersions(id: string): Promise<RecipeRow[]> {
  const rows = await db().recipeVersion.findMany({ where: { recipeId: id }, orderBy: { version: 'desc' } })
  const saved = rows.map(
    (r): RecipeRow => ({
      recipe: recipeSchema.parse(r.data),
      byName: r.byName,
      at: instantOf(r.createdAt),
    }),
  )
  const start = starting.find(r => r.id === id)
  return start && !saved.some(s => s.recipe.version === start.version)
    ? [...saved, { recipe: start, byName: null, at: null }]
    : saved
}

/** One version of a recipe, or null. */
export const recipeAt = async (id: string, version: number): Promise<Recipe | null> =>
  (await recipeVersions(id)).find(r => r.recipe.version === version)?.recipe ?? null

/** Writes the trade's starting recipes down as the shop's own first versions, so that they stay what they are. */
export async function keepStartingRecipes(byName: string, now: Instant): Promise<void> {
  await db().recipeVersion.createMany({
    data: starting.map(r => ({
      recipeId: r.id,
      version: r.version,
      data: json(r),
      byName,
      createdAt: new Date(now),
    })),
  })
}

/** Somebody saved first: what stands now. */
export type RecipeConflict = Refusal & { code: 'conflict'; saved: RecipeRow }

/**
 * Keeps a recipe as somebody edited it, as a new version. Orders that were offered with an earlier one keep theirs.
 * @param basedOn the version that was edited
 */
export function saveRecipe(
  id: string,
  basedOn: number,
  edited: unknown,
  ground: Ground,
  by: Actor,
  now: Instant,
): Promise<Result<Recipe> | RecipeConflict> {
  return transaction(async tx => {
    const [newest] = await recipeVersions(id)
    if (!newest) return refuse('unknown', 'There is no such recipe: choose one from the list.')
    if (newest.recipe.version !== basedOn)
      return {
        ok: false,
        code: 'conflict',
        message: `${newest.byName ?? 'Somebody'} saved version ${newest.recipe.version} while you had version ${basedOn} open: see below in what they differ. Save again to put yours on top.`,
        saved: newest,
      }
    const made = reviseRecipe(newest.recipe, edited, ground)
    if (!made.ok) return made
    if (made.value.version === newest.recipe.version)
      return refuse('unchanged', 'Nothing is different from what is saved: change a value first.')
    if (newest.at === null)
      await tx.recipeVersion.create({
        data: {
          recipeId: id,
          version: newest.recipe.version,
          data: json(newest.recipe),
          byName: '',
          createdAt: new Date(0),
        },
      })
    await tx.recipeVersion.create({
      data: {
        recipeId: id,
        version: made.value.version,
        data: json(made.value),
        byName: by.name,
        createdAt: new Date(now),
      },
    })
    const changes = recipeChanges(newest.recipe, made.value)
    await record({
      by,
      what: `changed ${changes.length === 1 ? 'one value' : `${changes.length} values`} of recipe “${made.value.name}”, version ${made.value.version}`,
      entity: 'recipe',
      ref: id,
      before: Object.fromEntries(changes.map(c => [c.name, c.before])),
      after: Object.fromEntries(changes.map(c => [c.name, c.after])),
      at: new Date(now),
    })
    return ok(made.value)
  })
}

/** Makes a new recipe from an existing one. Its name is its own: two recipes of one name cannot be told apart on a ticket. */
export function copyRecipe(id: string, name: string, by: Actor, now: Instant): Promise<Result<Recipe>> {
  return transaction(async tx => {
    const [from] = await recipeVersions(id)
    if (!from) return refuse('unknown', 'There is no such recipe: choose one from the list.')
    const { usual, more } = await recipesNow()
    const all = [...METHODS.map(m => usual[m]), ...more]
    const made = copyOf(from.recipe, name, all)
    if (!made.ok) return made
    await tx.recipeVersion.create({
      data: {
        recipeId: made.value.id,
        version: 1,
        data: json(made.value),
        byName: by.name,
        createdAt: new Date(now),
      },
    })
    await record({
      by,
      what: `made recipe “${made.value.name}” from “${from.recipe.name}”`,
      entity: 'recipe',
      ref: made.value.id,
      after: { from: from.recipe.name, version: from.recipe.version },
      at: new Date(now),
    })
    return ok(made.value)
  })
}
