import { z } from 'zod'
import type { Celsius } from '@/lib/units/measure'
import { FIBRE_CLASSES, type FibreClass, type Ground } from './blanks'
import { CONSUMABLES } from './consumables'
import { methodSchema } from './methods'
import { branded, sourced } from './sourced'
import { pressState, stationKindSchema } from './stations'

const secs = sourced(z.number().min(0).max(86_400))
const amount = sourced(z.number().min(0).max(1e9))
const words = z.string().min(1).max(300)
/** −20 °C to 260 °C: polyester melts at about 250 °C. */
const temperature = sourced(branded<Celsius>(z.number().min(-20).max(260)))

/**
 * What a step or a deposit is counted by. A design is one artwork at one size, whatever sizes and colours it goes on; new art is an
 * artwork that was not prepared for this recipe before, at whatever size. A screen is one that has to be made; a press screen is one
 * that is set up, made or kept.
 */
export const COUNTED_BY = [
  'job',
  'design',
  'new-art',
  'screen',
  'press-screen',
  'sheet',
  'piece',
  'print',
] as const
const PER_UNIT: readonly CountedBy[] = ['sheet', 'piece', 'print']
export type CountedBy = (typeof COUNTED_BY)[number]
/** Whether something is needed once for a job, however many pieces it has. */
export const isOnce = (per: CountedBy): boolean => !PER_UNIT.includes(per)
const COUNTED_WORDS: Record<CountedBy, readonly [one: string, many: string]> = {
  job: ['job', 'jobs'],
  design: ['design', 'designs'],
  'new-art': ['artwork', 'artworks'],
  screen: ['screen', 'screens'],
  'press-screen': ['screen', 'screens'],
  sheet: ['sheet', 'sheets'],
  piece: ['piece', 'pieces'],
  print: ['print', 'prints'],
}
/** "1 artwork", "4 screens": so many of what a step is counted by. */
export const countedWords = (per: CountedBy, units: number): string =>
  `${units} ${COUNTED_WORDS[per][units === 1 ? 0 : 1]}`

/** Press pressure: light about 2 bar, medium about 3, heavy about 4 at the platen gauge. */
export const pressureSchema = z.enum(['light', 'medium', 'heavy'])
export const peelSchema = z.enum(['hot', 'warm', 'cold'])

/** How a step is set for some fibres. The first setting whose classes hold the blank's class is used. */
export const settingSchema = z.object({
  classes: z.array(z.enum(FIBRE_CLASSES)).min(1),
  /** Of the platen, or the film where the station is a dryer. Null where no heat is used. */
  temperature: temperature.nullable(),
  /** Time under heat or under the heads, for one unit. This is what the countdown counts. */
  dwellSeconds: secs,
  pressure: sourced(pressureSchema).nullable(),
})
export type Setting = z.infer<typeof settingSchema>

export const recipeStepSchema = z.object({
  key: z.string().regex(/^[a-z][a-z0-9-]*$/),
  words,
  stationKind: stationKindSchema,
  /** Dark, light: only on such a ground (light includes white). */
  when: z.enum(['always', 'dark', 'light']),
  per: z.enum(COUNTED_BY),
  /** Work before the first unit. Null: none. */
  setup: z.object({ seconds: secs, per: z.enum(['job', 'design', 'press-screen']) }).nullable(),
  /** Hands on one unit beside the dwell: lay, align, peel, unload. */
  handlingSeconds: secs,
  settings: z.array(settingSchema).min(1),
  /** More for each ink on each print: one screen stroke. */
  perInkSeconds: secs.nullable(),
  /** The dwell holds for a print of this area and grows with the area. Null: the same for all sizes. */
  dwellAtCm2: sourced(z.number().positive()).nullable(),
  /** One unit follows another after this, several being inside at once (a belt). Null: one after the other. */
  paceSeconds: secs.nullable(),
  /** What the station stands at for this step; null: the press temperature, where there is one. */
  state: z.string().max(40).nullable(),
  peel: sourced(peelSchema).nullable(),
  coverSheet: z.string().max(80).nullable(),
  attended: z.enum(['all', 'setup', 'none']),
  pausable: z.boolean(),
  /** Minutes that pass at least, and at most, before the next step's work: settling, drying, cooling. */
  gapMin: sourced(z.number().int().min(0).max(100_000)),
  gapMax: sourced(z.number().int().min(0).max(100_000)).nullable(),
  /** Done piece by piece together with the next step, at the same station. */
  joinsNext: z.boolean(),
  /** Before: makes what may be kept for a repeat (art, screens). After: when the goods are ready (wash-up, reclaim). */
  phase: z.enum(['before', 'work', 'after']),
  cautions: z.array(words),
})
export type RecipeStep = z.infer<typeof recipeStepSchema>

const ground = z.enum(['any', 'dark', 'light'])

/** What is used up, in base units of the consumable. */
export const depositSchema = z.discriminatedUnion('by', [
  z.object({
    by: z.literal('area'),
    consumable: z.enum(CONSUMABLES),
    /** Covered: where the art is. Printed: the whole rectangle. */
    area: z.enum(['covered', 'printed']),
    perCm2: amount,
    ground,
  }),
  z.object({
    by: z.literal('unit'),
    consumable: z.enum(CONSUMABLES),
    per: z.enum(COUNTED_BY),
    each: amount,
    ground,
  }),
  z.object({
    by: z.literal('mesh'),
    consumable: z.enum(CONSUMABLES),
    /** Threads per centimetre and thread diameter in µm: these give the theoretical ink volume. */
    threadsPerCm: sourced(z.number().min(10).max(200)),
    threadUm: sourced(z.number().min(20).max(400)),
    densityGPerCm3: sourced(z.number().min(0.5).max(3)),
    /** Share of the theoretical volume that ends on the cloth, up to 1. */
    transferred: sourced(z.number().gt(0).max(1)),
    hits: z.int().min(1).max(4),
    ground,
  }),
])
export type Deposit = z.infer<typeof depositSchema>

export const recipeSchema = z
  .object({
    id: z.string().min(1).max(64),
    method: methodSchema,
    /** Counted up whenever a value changes; a ticket keeps the version it was agreed with. */
    version: z.int().min(1),
    name: words,
    /** Where the printed sheets come from: made here, or bought in and waiting for the post. */
    supply: z.enum(['in-house', 'bought-in']),
    steps: z.array(recipeStepSchema).min(1).max(40),
    deposits: z.array(depositSchema).max(40),
    /** Prints are laid out on sheets of this consumable; their size is in the rates. */
    sheet: z.enum(['transfer-sheet', 'sublimation-paper']).nullable(),
    /** One screen for each ink, and one more for the underbase on a dark ground. */
    screens: z.boolean(),
    /** The most colours of one print. Missing: as many as the press or the printer takes. */
    maxInks: z.int().min(1).max(24).optional(),
    /** The ink goes into the cloth and makes no film, however large the patch. */
    softInk: z.boolean().optional(),
    /** Only for shops that have none of these stations: who has a dryer waits for no air. */
    without: z.array(stationKindSchema).optional(),
    notes: z.array(words),
  })
  .refine(r => new Set(r.steps.map(s => s.key)).size === r.steps.length, 'Two steps have the same key.')
  .refine(
    r => r.steps.every(s => s.gapMax === null || s.gapMax.value >= s.gapMin.value),
    'The longest wait after a step is shorter than the shortest.',
  )
  .refine(
    r =>
      r.steps.every((s, i) => {
        const next = r.steps[i + 1]
        return (
          !s.joinsNext || (next !== undefined && next.stationKind === s.stationKind && next.per === s.per)
        )
      }),
    'A step can be joined only to a next one at the same kind of station, counted by the same unit.',
  )
export type Recipe = z.infer<typeof recipeSchema>

/** The setting of a step for a fibre class; null when the recipe has none: the method does not go on that fibre. */
export const settingFor = (step: RecipeStep, fibre: FibreClass): Setting | null =>
  step.settings.find(s => s.classes.includes(fibre)) ?? null

/** Whether a step or a deposit happens on a ground. White counts as light. */
export const happensOn = (when: 'always' | 'any' | 'dark' | 'light', ground: Ground): boolean =>
  when === 'always' || when === 'any' || (when === 'dark') === (ground === 'dark')

/** What the station must stand at: the step's own state, else the press temperature, else none. */
export const stateFor = (step: RecipeStep, setting: Setting): string | null =>
  step.state ??
  (step.stationKind === 'heat-press' && setting.temperature ? pressState(setting.temperature.value) : null)
