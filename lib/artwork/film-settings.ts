import * as z from 'zod'
import { type LayerSettings, layerSchema } from './print-files'

/** How the films of one print are made, as somebody chose it; what is left out goes as usual. */
export const filmSettingsSchema = layerSchema.extend({
  /** Inks at most; left out: as many as the art's colours need. */
  inks: z.number().int().min(1).max(12).optional(),
  /** Names of the inks on the shelf that may stand in for the art's colours; left out: all of them. */
  shelf: z.array(z.string()).optional(),
})
export type FilmSettings = z.infer<typeof filmSettingsSchema>

const number = (what: string, least: number, most: number) =>
  z.coerce
    .number(`${what} is a number: type one from ${least} to ${most}.`)
    .min(least, `${what} is at least ${least}.`)
    .max(most, `${what} is at most ${most}.`)
const orNone = <T extends z.ZodType>(schema: T) =>
  z
    .union([z.literal('').transform(() => undefined), schema])
    .optional()
    .default(undefined as never)

/** Film settings as a form sends them, all in text; an empty field goes as usual. The choke is read by the caller, mm. */
export const filmSettingsAsked = z.object({
  mesh: number('The mesh', 30, 600).int('The mesh is a whole number of threads per inch.'),
  chokeMm: z.number().min(0).max(3, 'The choke is at most 3 mm.'),
  lpi: orNone(number('The ruling', 10, 100)),
  angle: orNone(number('The angle', 0, 180)),
  inks: orNone(number('The number of inks', 1, 12).int('The number of inks is a whole number.')),
})

/** What decides a film's layers, out of what was chosen. */
export const layersOf = ({ inks: _, shelf: __, ...layers }: FilmSettings): LayerSettings => layers
