import type * as z from 'zod'
import { logRefused } from '@/lib/server/log'
import type { FormAnswer } from './parts/form-context'

/** Whether what a page has bound before a form is a number as it comes back: it is read like anything that is sent. */
export const isBoundNumber = (value: unknown): boolean =>
  Number.isInteger(value) && (value as number) >= 0 && (value as number) < 2 ** 31
/** … or a name, a code, an id. */
export const isBoundText = (value: unknown): boolean => typeof value === 'string' && value.length <= 300
/** The answer to a call that none of the pages makes. */
export function strayed() {
  logRefused('no page')
  return {
    ok: false as const,
    message: 'This was sent from no page of the shop: load the page again, and send it from there.',
  }
}

const LONGEST_SENTENCE = 400

/**
 * The fields of a form as text, the last of each name: at most 10,000 characters each. Files are left out. What is no form at all, as a
 * program may send it, has no fields.
 */
export function fieldsOf(form: unknown): Record<string, string> {
  const values: Record<string, string> = {}
  if (!(form instanceof FormData)) return values
  for (const [name, value] of form.entries())
    if (typeof value === 'string' && !name.startsWith('$')) values[name] = value.slice(0, 10_000)
  return values
}

/** All texts of one name: ticks, many choices. */
export const allOf = (form: unknown, name: string): string[] =>
  form instanceof FormData ? form.getAll(name).filter(value => typeof value === 'string') : []

const isPlain = (value: unknown): boolean =>
  typeof value === 'object' && value !== null && Object.getPrototypeOf(value) === Object.prototype

/**
 * Reads a form through its schema; parsing never writes. A bad form gives the answer for ActionForm: one clear sentence for each bad
 * field, while what was typed stays on the page. Nested paths are joined by dots: "lines.0.width".
 */
export function readForm<S extends z.ZodType>(
  schema: S,
  form: unknown,
): { ok: true; value: z.output<S> } | { ok: false; answer: FormAnswer } {
  const read = schema.safeParse(isPlain(form) ? form : fieldsOf(form))
  if (read.success) return { ok: true, value: read.data }
  const errors: Record<string, string> = {}
  // A sentence that quotes what was sent is no longer than a page can show.
  for (const issue of read.error.issues)
    errors[issue.path.join('.') || 'form'] ??= issue.message.slice(0, LONGEST_SENTENCE)
  logRefused('form', Object.keys(errors))
  const [first, ...others] = Object.entries(errors)
  // One bad field says its sentence beside it alone; several are counted on top.
  if (first && first[0] !== 'form' && others.length === 0)
    return { ok: false, answer: { ok: false, message: first[1], field: first[0] } }
  const message = errors.form ?? `${1 + others.length} fields need another look before this can be saved.`
  return { ok: false, answer: { ok: false, message, errors } }
}
