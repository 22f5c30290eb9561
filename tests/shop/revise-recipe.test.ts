import { describe, expect, it } from 'vitest'
import { METHODS } from '@/lib/shop/methods'
import type { Recipe } from '@/lib/shop/recipe'
import { defaultRecipes, moreRecipes } from '@/lib/shop/recipes'
import { reviseRecipe, tooHot } from '@/lib/shop/revise-recipe'

const before = defaultRecipes.transfer
/** The recipe with one change, as a form would hand it in: plain data. */
const edited = (change: (recipe: Recipe) => void): unknown => {
  const copy = structuredClone(before)
  change(copy)
  return JSON.parse(JSON.stringify(copy))
}
const press = (recipe: Recipe) => {
  const step = recipe.steps.find(s => s.key === 'press')
  if (!step) throw new Error('no press')
  return step
}
const dwell = (recipe: Recipe) => {
  const setting = press(recipe).settings[0]
  if (!setting) throw new Error('no setting')
  return setting.dwellSeconds
}
const revised = (change: (recipe: Recipe) => void): Recipe => {
  const read = reviseRecipe(before, edited(change))
  if (!read.ok) throw new Error(read.message)
  return read.value
}

describe('editing a recipe', () => {
  it('counts the version up, marks what changed and names what stood there', () => {
    const after = revised(r => {
      dwell(r).value = 13
    })
    expect(after.version).toBe(before.version + 1)
    expect(dwell(after)).toEqual({ value: 13, from: 'setting', source: 'set here; before: 16' })
  })
  it('leaves every other value with its source', () => {
    const after = revised(r => {
      dwell(r).value = 13
    })
    dwell(after).value = 16
    dwell(after).from = 'default'
    dwell(after).source = dwell(before).source
    expect({ ...after, version: before.version }).toEqual(before)
  })
  it('nothing changed is no new version', () => expect(revised(() => {})).toBe(before))
  it('a value cannot be called published by typing it', () => {
    const after = revised(r => {
      dwell(r).value = 14
      dwell(r).from = 'published'
      dwell(r).source = 'a sheet that I remember'
    })
    expect(dwell(after).from).toBe('setting')
  })
  it('a step left out does not shift the sources of those after it', () => {
    const after = revised(r => {
      r.steps.splice(0, 1)
    })
    expect(after.steps).toEqual(before.steps.slice(1))
  })
  it.each([
    [
      'a dwell below zero',
      (r: Recipe) => {
        dwell(r).value = -1
      },
      'recipe',
    ],
    [
      'no step at all',
      (r: Recipe) => {
        r.steps = []
      },
      'recipe',
    ],
    [
      'another method',
      (r: Recipe) => {
        r.method = 'dtg'
      },
      'recipe-identity',
    ],
    [
      'another id',
      (r: Recipe) => {
        r.id = 'mine'
      },
      'recipe-identity',
    ],
  ])('refuses %s', (_, change, code) => {
    expect(reviseRecipe(before, edited(change))).toMatchObject({ ok: false, code })
  })
  it.each([null, 7, 'recipe', [], {}])('refuses %j', data =>
    expect(reviseRecipe(before, data)).toMatchObject({ ok: false, code: 'recipe' }),
  )
})

describe('heat that hurts', () => {
  it('none in the recipes that a shop starts with', () => {
    for (const recipe of [...METHODS.map(m => defaultRecipes[m]), ...moreRecipes])
      expect(tooHot(recipe), recipe.id).toEqual([])
  })
  it('names step, temperature and limit', () => {
    const after = revised(r => {
      for (const s of press(r).settings)
        if (s.classes.includes('nylon') && s.temperature)
          s.temperature.value = 170 as typeof s.temperature.value
    })
    expect(tooHot(after)).toEqual([
      '“Place the transfer, press, peel hot” at 170 °C is hotter than nylon takes (150 °C): it scorches or melts.',
    ])
  })
})
