import type * as z from 'zod'
import type { FormAnswer } from './parts/form-context'

/** The fields of a form as text, the last of each name: at most 10,000 characters each. Files are left out. */
export function fieldsOf(form: FormData): Record<string, string> {
  const values: Record<string, string> = {}
  for (const [name, value] of form.entries())
    if (typeof value === 'string' && !name.startsWith('$')) values[name] = value.slice(0, 10_000)
  return values
}

/**
 * Reads a form through its schema; parsing never writes. A bad form gives the answer for ActionForm: one clear sentence for each bad
 * field, while what was typed stays on the page. Nested paths are joined by dots: "lines.0.width".
 */
export function readForm<S extends z.ZodType>(
  schema: S,
  form: FormData | Record<string, unknown>,
): { ok: true; value: z.output<S> } | { ok: false; answer: FormAnswer } {
  const read = schema.safeParse(form instanceof FormData ? fieldsOf(form) : form)
  if (read.success) return { ok: true, value: read.data }
  const errors: Record<string, string> = {}
  for (const issue of read.error.issues) errors[issue.path.join('.') || 'form'] ??= issue.message
  const [first, ...others] = Object.entries(errors)
  // One bad field says its sentence beside it alone; several are counted on top.
  if (first && first[0] !== 'form' && others.length === 0)
    return { ok: false, answer: { ok: false, message: first[1], field: first[0] } }
  const message = errors.form ?? `${1 + others.length} fields need another look before this can be saved.`
  return { ok: false, answer: { ok: false, message, errors } }
}
