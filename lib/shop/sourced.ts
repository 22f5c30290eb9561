import { z } from 'zod'
import type { Origin } from '@/lib/units/working'

/** A value with where it came from: recipes, placements and rates hold these, so every figure can show its ground. */
export type Sourced<T> = { value: T; from: Exclude<Origin, 'worked'>; source?: string }

/** What the source line says where the trade simply does it so. */
export const COMMON_PRACTICE = 'common shop practice, no published source'

/** A value read in a published source, named. */
export const published = <T>(value: T, source: string): Sourced<T> => ({ value, from: 'published', source })
/** A value that shops commonly use and nobody published. */
export const practice = <T>(value: T, why = COMMON_PRACTICE): Sourced<T> => ({
  value,
  from: 'default',
  source: why,
})

export const originSchema = z.enum(['measured', 'agreed', 'setting', 'published', 'default'])

/** The same schema for a branded number: the check is the number's, the type says the unit. */
export const branded = <T extends number>(schema: z.ZodNumber): z.ZodType<T, T> =>
  schema as unknown as z.ZodType<T, T>

/** Schema of a sourced value. */
export const sourced = <T>(value: z.ZodType<T, T>) =>
  z.object({ value, from: originSchema, source: z.string().max(300).optional() })

/** Stands beside every recipe. */
export const STARTING_VALUE =
  'Starting values. The current data sheet of the ink, film or garment comes first, then a press test and a wash test.'
