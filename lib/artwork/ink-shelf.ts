import * as z from 'zod'
import { onOneLine } from '@/lib/units/form-fields'
import { toHex } from './colour'

const HEX = /^#?([0-9a-f]{3}|[0-9a-f]{6})$/i

/** A colour as it is typed, with or without the sign, short or long: gives "#rrggbb" in small letters. */
const colour = z.string().transform((text, context): string => {
  const [, digits = ''] = HEX.exec(text.trim()) ?? []
  if (!digits) {
    context.addIssue({ code: 'custom', message: 'A colour is typed like #1a2b3c.' })
    return z.NEVER
  }
  const long = digits.length === 3 ? [...digits].map(d => d + d).join('') : digits
  const [r = 0, g = 0, b = 0] = [0, 2, 4].map(at => Number.parseInt(long.slice(at, at + 2), 16))
  return toHex([r, g, b])
})

/** An ink as somebody names it. A name goes on films and screens, so it is short. */
export const inkColourAsked = z.object({
  name: z
    .string()
    .transform(onOneLine)
    .pipe(
      z
        .string()
        .min(1, 'The ink has no name: type the one on its pot.')
        .max(40, 'The name is longer than 40 letters: shorten it, so that it fits on a film.'),
    ),
  hex: colour,
})
export type InkColourAsked = z.infer<typeof inkColourAsked>
