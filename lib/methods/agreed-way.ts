import { z } from 'zod'
import { priceListSchema } from './contract'

/** The way that an offer was priced by: with it the work is planned as agreed, whatever recipes and rates say later. */
const agreedWaySchema = z.object({
  /** Key in the comparison. */
  way: z.string(),
  recipe: z.object({ id: z.string(), version: z.int(), name: z.string() }).nullable(),
  outside: priceListSchema.nullable(),
  /** Id of the card of rates. */
  rateCard: z.string(),
  taken: z.array(
    z.object({ recipe: z.string().nullable(), key: z.string(), factor: z.number(), runs: z.int() }),
  ),
  keptScreens: z.array(z.string()),
  /** Missing in offers of before art was a step: their recipe has none. */
  preparedArt: z.array(z.string()).default([]),
})
export type AgreedWay = z.infer<typeof agreedWaySchema>

/** The way in what an offer kept for the shop; null where it kept none. */
export function readAgreedWay(work: unknown): AgreedWay | null {
  const read = agreedWaySchema.safeParse(work)
  return read.success ? read.data : null
}
