import { z } from 'zod'
import { sizeRulesSchema } from '@/lib/artwork/size-rules'
import { CONSUMABLES } from '@/lib/shop/consumables'
import { methodSchema } from '@/lib/shop/methods'
import { PLACEMENT, placementSchema } from '@/lib/shop/placements'
import { COUNTED_BY } from '@/lib/shop/recipe'

const countedSchema = z.enum(COUNTED_BY)

/** One closing, pass or stroke of a step, as it was agreed. Temperatures in °C, times in seconds. */
const partSchema = z.object({
  key: z.string(),
  words: z.string(),
  temperature: z.number().nullable(),
  dwellSeconds: z.number(),
  pressure: z.string().nullable(),
  peel: z.string().nullable(),
  coverSheet: z.string().nullable(),
  /** Where the values came from, each once. */
  sources: z.array(z.string()),
})

/** The print that a step works, as it was agreed. Lengths in mm. */
const printSchema = z.object({
  id: z.string(),
  placement: placementSchema,
  widthMm: z.number(),
  heightMm: z.number(),
  dropMm: z.number(),
  offsetMm: z.number(),
  /** Other widths by garment size; left out: one size for all. */
  bySize: sizeRulesSchema.optional(),
  artworkId: z.string().nullable(),
  artworkName: z.string(),
  /** Screens, the underbase included; 0 where none are used. */
  screens: z.number(),
})

/** What a step keeps of its recipe, whatever is edited later: the ticket and the station screen read this. */
export const stepRecipeSchema = z.object({
  key: z.string(),
  words: z.string(),
  method: methodSchema.nullable(),
  /** Null for what ends every job, whatever the method. */
  recipe: z.object({ id: z.string(), version: z.number(), name: z.string() }).nullable(),
  phase: z.enum(['before', 'work', 'after']),
  /** Several where the recipe joins steps piece by piece at one station. */
  parts: z.array(partSchema).min(1),
  /** Minutes that a piece lies before the next step: settling, drying. */
  restMinutes: z.number(),
  /** What it is counted by on the floor: pieces, or sheets and screens, which are no pieces. */
  counted: z.object({ per: countedSchema, units: z.number() }),
  /** Whether the blank is worked here: then it leaves the shelf, and can be spoiled. */
  onBlank: z.boolean(),
  /** Consumables, in base units: for one piece, and once for the step. */
  uses: z.array(z.object({ consumable: z.enum(CONSUMABLES), perPiece: z.number(), once: z.number() })),
  /** Working days in the post that it waits for after the order is agreed. */
  postDays: z.int().min(0),
  /** Who prints it, where another printer does. */
  printedBy: z.string().optional(),
  /** When it went out to them, where that was after the order was agreed; epoch ms. */
  sentAt: z.number().optional(),
  cautions: z.array(z.string()),
  notes: z.array(z.string()),
  print: printSchema.nullable(),
})
export type StepRecipe = z.infer<typeof stepRecipeSchema>
export type StepPart = z.infer<typeof partSchema>
export type StepPrint = z.infer<typeof printSchema>

/** Pieces of one size and colour of a step, and the blank that they are made on. */
export const sizeCountSchema = z.object({
  size: z.string(),
  colour: z.string().default(''),
  itemId: z.string(),
  quantity: z.int().min(0),
})
export type SizeCount = z.infer<typeof sizeCountSchema>
export const sizeCountsSchema = z.array(sizeCountSchema)

/**
 * The pieces of a batch, each once, as its first steps have them: a step may work some of the sizes alone.
 * @param steps of one batch, in their order
 */
export function piecesThrough(steps: readonly { sizes: readonly SizeCount[] }[]): SizeCount[] {
  const all = new Map<string, SizeCount>()
  for (const { sizes } of steps) for (const s of sizes) if (!all.has(s.itemId)) all.set(s.itemId, s)
  return [...all.values()]
}

/** The sizes among counts, each once, in their order: "S, M". */
export const namesOf = (sizes: readonly Pick<SizeCount, 'size'>[]): string =>
  [...new Set(sizes.map(s => s.size))].join(', ')

/** The colours among counts, each once, in their order: "Navy, White". */
export const coloursOf = (sizes: readonly Pick<SizeCount, 'colour'>[]): string =>
  [...new Set(sizes.map(s => s.colour).filter(Boolean))].join(', ')

/** A step as far as one is told from another. */
type Told = {
  title: string
  sizes: readonly SizeCount[]
  recipe: { print: Pick<StepPrint, 'placement' | 'artworkName'> | null }
}

/**
 * What tells a step from the others of its batch that are called the same: the colours that it works, where the print sits, the
 * sizes or the artwork, as many of them as differ. Empty where its title is enough.
 * @param batch all steps of the batch, this one among them
 */
export function apartFrom(step: Told, batch: readonly Told[]): string {
  const alike = batch.filter(s => s.title === step.title)
  const said: ((s: Told) => string)[] = [
    s => coloursOf(s.sizes),
    s => (s.recipe.print ? PLACEMENT[s.recipe.print.placement].name.toLowerCase() : ''),
    s => namesOf(s.sizes),
    s => s.recipe.print?.artworkName ?? '',
  ]
  return said
    .filter(words => new Set(alike.map(words)).size > 1)
    .map(words => words(step))
    .filter(Boolean)
    .join(', ')
}
