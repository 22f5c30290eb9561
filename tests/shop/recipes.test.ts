import { describe, expect, it } from 'vitest'
import { HEAT_LIMIT } from '@/lib/shop/heat'
import { METHODS } from '@/lib/shop/methods'
import {
  countedWords,
  happensOn,
  recipeSchema,
  recipeStepSchema,
  settingFor,
  stateFor,
} from '@/lib/shop/recipe'
import { defaultRecipes, finish, moreRecipes } from '@/lib/shop/recipes'
import { fromFahrenheit, toFahrenheit } from '@/lib/units/measure'

const stepOf = (method: (typeof METHODS)[number], key: string) => {
  const step = defaultRecipes[method].steps.find(s => s.key === key)
  if (!step) throw new Error(`${method} has no step ${key}`)
  return step
}
const settingOf = (
  method: (typeof METHODS)[number],
  key: string,
  fibre: Parameters<typeof settingFor>[1],
) => {
  const setting = settingFor(stepOf(method, key), fibre)
  if (!setting) throw new Error(`${method} ${key} has no setting for ${fibre}`)
  return setting
}
const fahrenheit = (setting: ReturnType<typeof settingOf>) => {
  if (!setting.temperature) throw new Error('no heat')
  return toFahrenheit(setting.temperature.value)
}

const everyRecipe = [...METHODS.map(m => defaultRecipes[m]), ...moreRecipes]

describe('default recipes', () => {
  it.each(moreRecipes.map(r => [r.id, r] as const))('%s is a valid recipe', (_, recipe) =>
    expect(recipeSchema.parse(recipe)).toEqual(recipe),
  )
  it('no two have one id', () => expect(new Set(everyRecipe.map(r => r.id)).size).toBe(everyRecipe.length))
  it('a recipe that prints in a screen makes its screens, and no other has any', () => {
    for (const r of everyRecipe)
      expect(r.screens, r.id).toBe(r.steps.some(s => s.stationKind === 'screen-press'))
  })
  it.each(METHODS)('%s is a valid recipe, of its own method', method => {
    const read = recipeSchema.parse(defaultRecipes[method])
    expect(read).toEqual(defaultRecipes[method])
    expect(read.method).toBe(method)
  })
  it('packing is a valid step', () => {
    for (const step of finish) expect(recipeStepSchema.parse(step)).toEqual(step)
  })
  it.each(everyRecipe.map(r => [r.id, r] as const))(
    '%s: every published value names its source',
    (_, recipe) => {
      const walk = (value: unknown): void => {
        if (Array.isArray(value)) value.forEach(walk)
        else if (value && typeof value === 'object') {
          if ('from' in value && value.from === 'published')
            expect('source' in value && value.source, JSON.stringify(value)).toBeTruthy()
          Object.values(value).forEach(walk)
        }
      }
      walk(recipe)
    },
  )
})

describe('press values against published sheets and common practice', () => {
  // Common shop practice, no source: a heat transfer at about 300 °F for about 16 s, peeled hot.
  it('a transfer on cotton is pressed at about 300 °F for about 16 s and peeled hot', () => {
    const press = settingOf('transfer', 'press', 'cotton')
    expect(fahrenheit(press)).toBeCloseTo(300, 0)
    expect(press.dwellSeconds.value).toBe(16)
    expect(stepOf('transfer', 'press').peel?.value).toBe('hot')
  })
  // A transfer maker's press chart, 2026: °F least and most, seconds most.
  it.each([
    ['cotton', 300, 320],
    ['blend', 285, 300],
    ['polyester', 265, 280],
    ['tri-blend', 265, 290],
    ['nylon', 250, 265],
  ] as const)('a transfer on %s stays between %i and %i °F', (fibre, low, high) => {
    const f = fahrenheit(settingOf('transfer', 'press', fibre))
    expect(f).toBeGreaterThanOrEqual(low - 1)
    expect(f).toBeLessThanOrEqual(high + 1)
  })
  // Sublimation ink maker's sheet: 380 to 420 °F, 35 to 50 s on T-shirts. About 400 °F and 40 s: common shop practice.
  it('sublimation on polyester is at about 400 °F for about 40 s, after a pre-press, and settles before peeling', () => {
    const press = settingOf('sublimation', 'press', 'polyester')
    expect(fahrenheit(press)).toBeCloseTo(400, 6)
    expect(press.dwellSeconds.value).toBe(40)
    const order = defaultRecipes.sublimation.steps.map(s => s.key)
    expect(order.indexOf('pre-press')).toBeLessThan(order.indexOf('press'))
    expect(settingOf('sublimation', 'pre-press', 'polyester').dwellSeconds.value).toBeGreaterThanOrEqual(5)
    expect(stepOf('sublimation', 'press').gapMin.value).toBeGreaterThan(0)
    expect(order.indexOf('peel')).toBeGreaterThan(order.indexOf('press'))
  })
  // Common shop practice: about two minutes a print. Trade press on DTG: 90 s light to 3 min dark at 10 × 12 in; cure about
  // 330 °F, 30 to 45 s; pretreat dried 20 to 30 s.
  it('DTG prints about two minutes at 10 × 12 in, then cures at about 330 °F for 30 to 45 s', () => {
    const print = settingOf('dtg', 'print', 'cotton')
    expect(print.dwellSeconds.value).toBe(120)
    expect(stepOf('dtg', 'print').dwellAtCm2?.value).toBeCloseTo((10 * 12 * 25.4 ** 2) / 100, 0)
    const cure = settingOf('dtg', 'cure', 'cotton')
    expect(fahrenheit(cure)).toBeCloseTo(330, 6)
    expect(cure.dwellSeconds.value).toBeGreaterThanOrEqual(30)
    expect(cure.dwellSeconds.value).toBeLessThanOrEqual(45)
    expect(settingOf('dtg', 'dry', 'cotton').dwellSeconds.value).toBeGreaterThanOrEqual(20)
    expect(settingOf('dtg', 'dry', 'cotton').dwellSeconds.value).toBeLessThanOrEqual(30)
  })
  // Plastisol ink maker's questions and answers: whole film 280 to 320 °F, standard 320 °F. Trade press: at least 60 s in a
  // long hood; small dryers about 150 garments an hour (Nov 2015, p. 95).
  it('plastisol cures with its film at 320 °F, at least 60 s, about 150 garments an hour', () => {
    const cure = settingOf('screen', 'cure', 'cotton')
    expect(cure.temperature?.value).toBeCloseTo(160, 9)
    expect(cure.dwellSeconds.value).toBeGreaterThanOrEqual(60)
    expect(3600 / (stepOf('screen', 'cure').paceSeconds?.value ?? 0)).toBe(150)
  })
  // Trade press, Aug 2018, p. 33, worked example: two screens a job, 10 min a screen to set up, 65 an hour on a manual press.
  it('a manual press makes about 65 two-colour prints an hour after 10 min a screen', () => {
    const print = stepOf('screen', 'print')
    expect(print.setup).toMatchObject({ seconds: { value: 600 }, per: 'press-screen' })
    const seconds = print.handlingSeconds.value + 2 * (print.perInkSeconds?.value ?? 0)
    expect(Math.abs(3600 / seconds - 65)).toBeLessThan(65 * 0.05)
  })
  // Screen supplier: 4 to 5 screens an hour reclaimed by hand.
  it('four to five screens are reclaimed in an hour', () => {
    const anHour = 3600 / stepOf('screen', 'reclaim').handlingSeconds.value
    expect(anHour).toBeGreaterThanOrEqual(4)
    expect(anHour).toBeLessThanOrEqual(5)
  })
  it('no step heats a fibre above what it takes; sublimation on polyester is the exception', () => {
    for (const { id, method, steps } of everyRecipe)
      for (const step of steps)
        for (const setting of step.settings)
          for (const fibre of setting.classes) {
            if (!setting.temperature || (method === 'sublimation' && fibre !== 'hard')) continue
            expect(setting.temperature.value, `${id} ${step.key} ${fibre}`).toBeLessThanOrEqual(
              HEAT_LIMIT[fibre].value,
            )
          }
  })
})

describe('reading a recipe', () => {
  it('the press state is its temperature in whole °C, so two presses at one temperature need no changeover', () => {
    expect(stateFor(stepOf('transfer', 'press'), settingOf('transfer', 'press', 'cotton'))).toBe('149C')
    expect(stateFor(stepOf('sublimation', 'press'), settingOf('sublimation', 'press', 'polyester'))).toBe(
      '204C',
    )
    expect(stateFor(stepOf('dtg', 'print'), settingOf('dtg', 'print', 'cotton'))).toBeNull()
    expect(stateFor(stepOf('screen', 'print'), settingOf('screen', 'print', 'cotton'))).toBe('plastisol')
  })
  it('steps joined to one visit of the press stand at one temperature', () => {
    for (const method of METHODS)
      defaultRecipes[method].steps.forEach((step, i, all) => {
        const next = all[i + 1]
        if (!step.joinsNext || !next) return
        for (const setting of step.settings)
          for (const fibre of setting.classes) {
            const following = settingFor(next, fibre)
            if (following) expect(stateFor(step, setting)).toBe(stateFor(next, following))
          }
      })
  })
  it('white counts as light', () => {
    expect(happensOn('light', 'white')).toBe(true)
    expect(happensOn('dark', 'white')).toBe(false)
    expect(happensOn('dark', 'dark')).toBe(true)
    expect(happensOn('any', 'dark')).toBe(true)
  })
  it.each([
    ['a temperature at which polyester melts', { celsius: 270 }, /too big|260/i],
    ['a dwell below zero', { dwell: -1 }, /too small|0/i],
  ])('refuses %s', (_, change, message) => {
    const recipe = structuredClone(defaultRecipes.transfer)
    const setting = recipe.steps.find(s => s.key === 'press')?.settings[0]
    if (!setting?.temperature) throw new Error('no press')
    if ('celsius' in change) setting.temperature.value = change.celsius as typeof setting.temperature.value
    if ('dwell' in change) setting.dwellSeconds.value = change.dwell
    const read = recipeSchema.safeParse(recipe)
    expect(read.success).toBe(false)
    expect(JSON.stringify(read.error?.issues)).toMatch(message)
  })
  it('refuses two steps of one key, a joined last step, and a longest wait below the shortest', () => {
    const twice = structuredClone(defaultRecipes.dtg)
    twice.steps.push(
      structuredClone(finish[0] as (typeof finish)[number]),
      structuredClone(finish[0] as (typeof finish)[number]),
    )
    expect(recipeSchema.safeParse(twice).success).toBe(false)
    const joined = structuredClone(defaultRecipes.dtg)
    for (const s of joined.steps.slice(-1)) s.joinsNext = true
    expect(recipeSchema.safeParse(joined).success).toBe(false)
    const waits = structuredClone(defaultRecipes.dtg)
    for (const s of waits.steps.filter(s => s.key === 'pretreat')) s.gapMin = { value: 500, from: 'setting' }
    expect(recipeSchema.safeParse(waits).success).toBe(false)
  })
  it('°F are read exactly', () => expect(fromFahrenheit(400)).toBeCloseTo(204.444, 3))
})

it('what a step is counted by is told in words', () => {
  expect(countedWords('new-art', 1)).toBe('1 artwork')
  expect(countedWords('press-screen', 4)).toBe('4 screens')
})
