'use server'
import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { z } from 'zod'
import { fieldsOf, readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { personWith } from '@/lib/server/session'
import { type RecipeChange, recipeChanges, withTyped } from '@/lib/shop/recipe-changes'
import { copyRecipe, recipeAt, saveRecipe } from '@/lib/shop/recipes/store'
import { shop } from '@/lib/shop/store'
import { refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'

/** An answer that also shows in what the saved and the typed version differ. */
export type RecipeAnswer = FormAnswer & { differences?: RecipeChange[]; version?: number }

const now = () => instantOf(new Date())
const refresh = () => revalidatePath('/', 'layout')

const headSchema = z.object({
  version: z.coerce.number().int().min(1).max(1_000_000),
  ground: z.enum(['setting', 'measured'], { error: 'Say how you know the new values.' }),
  note: z.string().trim().max(120, 'The note is longer than 120 characters: shorten it.').default(''),
})

/** Keeps a recipe with its values as typed, as a new version. */
export async function saveRecipeAction(
  id: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<RecipeAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const head = readForm(headSchema, form)
  if (!head.ok) return head.answer
  const { version, ground, note } = head.value
  const { measures } = await shop()
  const before = await recipeAt(z.string().max(100).catch('').parse(id), version)
  if (!before) return refuse('unknown', 'There is no such recipe any more: choose one from the list.')
  const read = withTyped(before, fieldsOf(form), measures)
  if (!read.ok) {
    const [first, ...others] = Object.values(read.errors)
    return {
      ok: false,
      message: others.length ? `${1 + others.length} values need another look.` : (first ?? ''),
      errors: read.errors,
    }
  }
  const saved = await saveRecipe(
    before.id,
    version,
    read.recipe,
    { from: ground, ...(note ? { note } : {}) },
    person.value,
    now(),
  )
  if (!saved.ok) {
    if (!('saved' in saved)) return saved
    return {
      ok: false,
      message: saved.message,
      differences: recipeChanges(saved.saved.recipe, read.recipe, measures),
      version: saved.saved.recipe.version,
    }
  }
  refresh()
  return { ok: true, message: `Saved as version ${saved.value.version}. New offers are made by it.` }
}

const newSchema = z.object({
  from: z.string({ error: 'Choose the recipe to begin with.' }).min(1, 'Choose the recipe to begin with.'),
  name: z.string().trim().min(3, 'A recipe has a name of 3 to 80 characters.').max(80),
})

/** Makes a new recipe from an existing one. */
export async function newRecipeAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const read = readForm(newSchema, form)
  if (!read.ok) return read.answer
  const made = await copyRecipe(read.value.from, read.value.name, person.value, now())
  if (!made.ok) return made
  refresh()
  redirect(`/office/recipes/${made.value.id}`)
}
