import {
  type Celsius,
  formatTemperature,
  fromFahrenheit,
  type MeasureSystem,
  toFahrenheit,
} from '@/lib/units/measure'
import { ok, type Result, refuse } from '@/lib/units/result'
import { FIBRE_CLASS_WORDS, type FibreClass } from './blanks'
import { CONSUMABLE } from './consumables'
import { peelSchema, pressureSchema, type Recipe } from './recipe'
import type { Sourced } from './sourced'

/** One value of a recipe that a shop may change. */
export type RecipeField = {
  /** Where it stands: "steps.press.settings.0.dwellSeconds". Steps by their key, so that it means the same in every version. */
  path: string
  /** Heading it stands under: the step, or "What it uses up". */
  group: string
  label: string
  kind: 'number' | 'temperature' | 'pressure' | 'peel'
  unit: string
  held: Sourced<unknown>
}

const PER_WORDS = {
  job: 'job',
  design: 'design',
  'new-art': 'artwork prepared',
  screen: 'screen made',
  'press-screen': 'screen on the press',
  sheet: 'sheet',
  piece: 'piece',
  print: 'print',
} as const

const USED = 'What it uses up'

/** Every value of a recipe that can be changed, in the order in which the work is done. */
export function recipeFields(recipe: Recipe): RecipeField[] {
  const fields: RecipeField[] = []
  for (const step of recipe.steps) {
    const put = (
      path: string,
      label: string,
      unit: string,
      held: Sourced<unknown> | null,
      kind: RecipeField['kind'] = 'number',
    ) => {
      if (held) fields.push({ path: `steps.${step.key}.${path}`, group: step.words, label, unit, held, kind })
    }
    if (step.setup)
      put('setup.seconds', `Set-up for each ${PER_WORDS[step.setup.per]}`, 's', step.setup.seconds)
    const one = PER_WORDS[step.per]
    step.settings.forEach((setting, i) => {
      // A setting for every fibre needs no name.
      const on = setting.classes.length >= 5 ? '' : ` on ${classWords(setting.classes)}`
      put(`settings.${i}.temperature`, `Temperature${on}`, '', setting.temperature, 'temperature')
      if (setting.dwellSeconds.value > 0 || setting.temperature)
        put(`settings.${i}.dwellSeconds`, `Time under heat or heads${on}`, 's', setting.dwellSeconds)
      put(`settings.${i}.pressure`, `Pressure${on}`, '', setting.pressure, 'pressure')
    })
    put('handlingSeconds', `Hands on each ${one}`, 's', step.handlingSeconds)
    put('perInkSeconds', 'More for each ink', 's', step.perInkSeconds)
    put('paceSeconds', 'One after another', 's', step.paceSeconds)
    put('peel', 'Peel', '', step.peel, 'peel')
    put('gapMin', 'Wait after it, at least', 'min', step.gapMin)
    put('gapMax', 'Wait after it, at most', 'min', step.gapMax)
  }
  recipe.deposits.forEach((deposit, i) => {
    const { name, unit } = CONSUMABLE[deposit.consumable]
    const on = deposit.ground === 'any' ? '' : `, on ${deposit.ground} cloth`
    const words = unit === 'piece' ? '' : unit === 'ul' ? 'µl' : unit === 'cm2' ? 'cm²' : unit
    const put = (key: string, label: string, more: string, held: Sourced<unknown>) =>
      fields.push({
        path: `deposits.${i}.${key}`,
        group: USED,
        label: `${name}${on}${label}`,
        unit: more,
        held,
        kind: 'number',
      })
    if (deposit.by === 'area')
      put(
        'perCm2',
        `, on each cm² ${deposit.area === 'covered' ? 'that the art covers' : 'of the print'}`,
        words,
        deposit.perCm2,
      )
    else if (deposit.by === 'unit') put('each', `, for each ${PER_WORDS[deposit.per]}`, words, deposit.each)
    else {
      put('threadsPerCm', ': mesh', 'threads/cm', deposit.threadsPerCm)
      put('threadUm', ': thread', 'µm', deposit.threadUm)
      put('densityGPerCm3', ': density', 'g/cm³', deposit.densityGPerCm3)
      put('transferred', ': share that ends on the cloth', '', deposit.transferred)
    }
  })
  return fields
}

/** Fibres in few words: "cotton, blends". */
const classWords = (classes: readonly FibreClass[]): string =>
  classes.map(c => (c === 'blend' ? 'blends' : FIBRE_CLASS_WORDS[c])).join(', ')

/** A value as it stands in its field, without its unit. */
export function shownValue(field: Pick<RecipeField, 'kind' | 'held'>, system: MeasureSystem): string {
  const { value } = field.held
  if (field.kind !== 'temperature')
    return typeof value === 'number' ? String(Number(value.toPrecision(6))) : String(value)
  const t = system === 'metric' ? (value as number) : toFahrenheit(value as Celsius)
  return String(Math.round(t))
}
/** Unit of a field: degrees as the shop reads them. */
export const unitOf = (field: RecipeField, system: MeasureSystem): string =>
  field.kind === 'temperature' ? (system === 'metric' ? '°C' : '°F') : field.unit

/** The place in a recipe that a path names; null where there is none. */
function heldAt(recipe: Recipe, path: string): Sourced<unknown> | null {
  const [top, name, ...rest] = path.split('.')
  let at: unknown = top === 'steps' ? recipe.steps.find(s => s.key === name) : recipe.deposits[Number(name)]
  for (const key of rest) at = (at as Record<string, unknown> | undefined | null)?.[key]
  return (at as Sourced<unknown> | undefined) ?? null
}

/**
 * A recipe with the values as typed, by path; fields that were not typed, or say what stands there, keep what they had.
 * @returns the recipe as plain data, for reviseRecipe; or one sentence for each bad field
 */
export function withTyped(
  before: Recipe,
  typed: Record<string, string>,
  system: MeasureSystem,
): { ok: true; recipe: Recipe } | { ok: false; errors: Record<string, string> } {
  const recipe = structuredClone(before)
  const errors: Record<string, string> = {}
  for (const field of recipeFields(before)) {
    const text = typed[field.path]?.trim()
    if (text === undefined || text === shownValue(field, system)) continue
    const held = heldAt(recipe, field.path)
    if (!held) continue
    const choices = field.kind === 'pressure' ? pressureSchema : field.kind === 'peel' ? peelSchema : null
    if (choices) {
      const read = choices.safeParse(text)
      if (read.success) held.value = read.data
      else errors[field.path] = `${field.label}: choose one of the list.`
      continue
    }
    const n = Number(text.replace(',', '.'))
    if (text === '' || !Number.isFinite(n) || n < 0)
      errors[field.path] = `${field.label}, “${field.group}”: type a number of 0 or more.`
    else if (field.kind === 'temperature') {
      const t = system === 'metric' ? n : fromFahrenheit(n)
      if (t > 260)
        errors[field.path] =
          `${text} ${unitOf(field, system)} is hotter than any cloth takes: polyester melts at about ${formatTemperature(250 as Celsius, system)}.`
      else held.value = t
    } else if (field.unit === 'min' && !Number.isInteger(n))
      errors[field.path] = `${field.label}: whole minutes.`
    else held.value = n
  }
  const { name } = typed
  if (name !== undefined) {
    const cleaned = name.trim()
    if (cleaned.length < 3 || cleaned.length > 80) errors.name = 'A recipe has a name of 3 to 80 characters.'
    else recipe.name = cleaned
  }
  return Object.keys(errors).length ? { ok: false, errors } : { ok: true, recipe }
}

/** One value that differs between two versions of a recipe. */
export type RecipeChange = { name: string; before: string; after: string }

/** What lies between two versions, value by value, in words. Temperatures in °C unless told. */
export function recipeChanges(
  before: Recipe,
  after: Recipe,
  system: MeasureSystem = 'metric',
): RecipeChange[] {
  const write = (f: RecipeField | undefined) =>
    f ? `${shownValue(f, system)} ${unitOf(f, system)}`.trim() : '–'
  const was = new Map(recipeFields(before).map(f => [f.path, f]))
  const is = new Map(recipeFields(after).map(f => [f.path, f]))
  const named = before.name === after.name ? [] : [{ name: 'Name', before: before.name, after: after.name }]
  return [
    ...named,
    ...[...new Set([...was.keys(), ...is.keys()])].flatMap(path => {
      const [a, b] = [was.get(path), is.get(path)]
      const field = b ?? a
      return !field || write(a) === write(b)
        ? []
        : [{ name: `${field.group}: ${field.label}`, before: write(a), after: write(b) }]
    }),
  ]
}

/** A recipe of its own that begins with the values of another, each with its source. */
export function copyOf(from: Recipe, name: string, all: readonly Recipe[]): Result<Recipe> {
  const called = name.trim()
  if (called.length < 3 || called.length > 80)
    return refuse('name', 'A recipe has a name of 3 to 80 characters.', 'name')
  if (all.some(r => r.name.toLowerCase() === called.toLowerCase()))
    return refuse('name-taken', `There is a recipe “${called}” already: give this one another name.`, 'name')
  const base =
    called
      .toLowerCase()
      .normalize('NFKD')
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '')
      .slice(0, 40) || 'recipe'
  let id = `${from.method}-own-${base}`
  for (let n = 2; all.some(r => r.id === id); n++) id = `${from.method}-own-${base}-${n}`
  return ok({ ...structuredClone(from), id, name: called, version: 1 })
}
