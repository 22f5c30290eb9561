import { z } from 'zod'

/**
 * What the forms of all rooms have in common: how a text is tidied, and which sentence is said of one that does not fit. `what` begins
 * the sentence ("The name"). Markup stays: it is text, and shown as text.
 */

/** Line breaks stay, all else that cannot be seen goes. */
export const visible = (text: string): string =>
  text
    .replace(/\r\n?/g, '\n')
    .replace(/[^\P{C}\n\t]/gu, '')
    .trim()

/** A text on one line: what cannot be seen gone, white space evened out. */
export const onOneLine = (text: string): string => visible(text).replace(/\s+/g, ' ')

/** One line of at most `most` characters; may be empty. */
export const line = (what: string, most: number) =>
  z
    .string({ error: `${what} is missing.` })
    .transform(onOneLine)
    .pipe(z.string().max(most, `${what} is longer than ${most} characters: shorten it.`))

/** One line that is not empty; `how` says what to type. */
export const needed = (what: string, how: string, most: number) =>
  line(what, most).pipe(z.string().min(1, `${what} is empty: ${how}.`))

/** Several lines of at most `most` characters together; may be empty. */
export const lines = (what: string, most: number) =>
  z
    .string({ error: `${what} is missing.` })
    .transform(visible)
    .pipe(z.string().max(most, `${what} is longer than ${most} characters: shorten it.`))

/** A whole number from 0 to `most`, which has at most six digits. */
export const wholeNumber = (what: string, most: number) =>
  z
    .string({ error: `${what} is missing.` })
    .refine(
      t => /^\d{1,6}$/.test(t.trim()) && Number(t) <= most,
      `${what} is a whole number from 0 to ${most}.`,
    )
    .transform(Number)

/** A box to tick: browsers send "on", or nothing. */
export const ticked = z
  .string()
  .optional()
  .transform(v => v === 'on' || v === 'true')

/** The number that a form got when it was drawn: sent twice, it is done once. */
export const formKey = z.uuid({ error: 'This form has lost its number: load the page again.' })

const LOST_VERSION = 'This form has lost its version: load the page again.'

/** The version of what was shown when the form was drawn: whoever changed it since is not written over. `least`: the first there is. */
export const versionFrom = (least: 0 | 1) =>
  z.coerce.number({ error: LOST_VERSION }).int(LOST_VERSION).min(least, LOST_VERSION)
