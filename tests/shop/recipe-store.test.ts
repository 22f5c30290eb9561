import { beforeEach, describe, expect, test } from 'vitest'
import { db } from '@/lib/server/database'
import { recipeChanges, recipeFields, shownValue, withTyped } from '@/lib/shop/recipe-changes'
import { defaultRecipes, moreRecipes } from '@/lib/shop/recipes'
import {
  copyRecipe,
  keepStartingRecipes,
  recipeAt,
  recipesNow,
  recipeVersions,
  saveRecipe,
} from '@/lib/shop/recipes/store'
import { instant } from '@/lib/units/time'
import { freshDatabase } from '../support/database'

beforeEach(freshDatabase)

const INES = { id: null, name: 'Ines' }
const NOW = instant(Date.parse('2026-05-14T10:00:00Z'))
const PRESS = 'steps.press.settings.0.dwellSeconds'
const { transfer } = defaultRecipes
const typed = (fields: Record<string, string>) => {
  const read = withTyped(transfer, fields, 'metric')
  if (!read.ok) throw new Error(Object.values(read.errors)[0])
  return read.recipe
}

describe('the fields of a recipe', () => {
  test('hold every value with its source, each at a path of its own', () => {
    for (const recipe of [...Object.values(defaultRecipes), ...moreRecipes]) {
      const fields = recipeFields(recipe)
      expect(new Set(fields.map(f => f.path)).size).toBe(fields.length)
      for (const f of fields) expect(f.held.from).toMatch(/published|default/)
    }
  })
  test('typed as they stand change nothing, in °C and in °F', () => {
    for (const system of ['metric', 'imperial'] as const)
      for (const recipe of Object.values(defaultRecipes)) {
        const same = Object.fromEntries(recipeFields(recipe).map(f => [f.path, shownValue(f, system)]))
        expect(withTyped(recipe, same, system)).toEqual({ ok: true, recipe })
      }
  })
  test('300 °F typed is 149 °C kept', () => {
    const read = withTyped(transfer, { 'steps.press.settings.0.temperature': '310' }, 'imperial')
    expect(
      read.ok && read.recipe.steps.find(s => s.key === 'press')?.settings[0]?.temperature?.value,
    ).toBeCloseTo(154.44, 2)
  })
  test('what cannot be is said in one sentence, where it stands', () => {
    const bad = { [PRESS]: 'long', 'steps.press.settings.0.temperature': '300', name: ' ' }
    expect(withTyped(transfer, bad, 'metric')).toEqual({
      ok: false,
      errors: {
        [PRESS]: expect.stringContaining('type a number of 0 or more'),
        'steps.press.settings.0.temperature': expect.stringContaining('hotter than any cloth takes'),
        name: expect.stringContaining('3 to 80'),
      },
    })
  })
})

describe('the recipes of the shop', () => {
  test('are the starting ones until somebody changes a value: then a new version, with the history saying what', async () => {
    await keepStartingRecipes('Ines', NOW)
    const saved = await saveRecipe(
      transfer.id,
      1,
      typed({ [PRESS]: '13' }),
      { from: 'measured', note: 'gram scale' },
      INES,
      NOW,
    )
    expect(saved).toMatchObject({ ok: true, value: { version: 2 } })
    const { usual } = await recipesNow()
    expect(recipeChanges(transfer, usual.transfer)).toEqual([
      expect.objectContaining({ before: '16 s', after: '13 s' }),
    ])
    expect(usual.transfer.steps.find(s => s.key === 'press')?.settings[0]?.dwellSeconds).toEqual({
      value: 13,
      from: 'measured',
      source: 'measured here, gram scale; before: 16',
    })
    expect(await recipeAt(transfer.id, 1)).toEqual(transfer)
    const line = await db().history.findFirst({ where: { entity: 'recipe' } })
    expect(line?.what).toBe(`changed one value of recipe “${transfer.name}”, version 2`)
  })
  test('a shop that kept none yet has the starting ones, and keeps them when it changes one', async () => {
    expect((await recipeVersions(transfer.id)).map(r => [r.recipe.version, r.at])).toEqual([[1, null]])
    await saveRecipe(transfer.id, 1, typed({ [PRESS]: '13' }), { from: 'setting' }, INES, NOW)
    expect((await recipeVersions(transfer.id)).map(r => r.recipe.version)).toEqual([2, 1])
  })
  test('two people: the second is told what stands now, and nothing is overwritten', async () => {
    await saveRecipe(transfer.id, 1, typed({ [PRESS]: '13' }), { from: 'setting' }, INES, NOW)
    const second = await saveRecipe(transfer.id, 1, typed({ [PRESS]: '20' }), { from: 'setting' }, INES, NOW)
    expect(second).toMatchObject({ ok: false, code: 'conflict', saved: { recipe: { version: 2 } } })
    expect((await recipesNow()).usual.transfer.version).toBe(2)
  })
  test('twice at once makes one version', async () => {
    const both = await Promise.all(
      ['13', '20'].map(s =>
        saveRecipe(transfer.id, 1, typed({ [PRESS]: s }), { from: 'setting' }, INES, NOW),
      ),
    )
    expect(both.filter(b => b.ok)).toHaveLength(1)
  })
  test('nothing changed is no version', async () =>
    expect(await saveRecipe(transfer.id, 1, typed({}), { from: 'setting' }, INES, NOW)).toMatchObject({
      ok: false,
      code: 'unchanged',
    }))
  test('a new one begins with the values of another, under a name of its own', async () => {
    const made = await copyRecipe(transfer.id, 'Stretch film, bought in', INES, NOW)
    expect(made).toMatchObject({ ok: true, value: { method: 'transfer', version: 1 } })
    expect((await recipesNow()).more.map(r => r.name)).toContain('Stretch film, bought in')
    expect(await copyRecipe(transfer.id, 'stretch film, Bought in', INES, NOW)).toMatchObject({
      ok: false,
      code: 'name-taken',
    })
  })
})
