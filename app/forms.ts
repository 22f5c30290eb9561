import type * as z from 'zod'

/** What a form's action gives back: what was typed stays, each bad field has one clear sentence. */
export type FormState = {
  values: Record<string, string>
  errors: Record<string, string>
  /** About the whole form: somebody saved before you, nothing to pay … */
  message?: string
  /** Something worth saying after a save that stays on the page. */
  done?: string
}

/** The state of a form that nobody has sent yet. */
export const emptyForm: FormState = { values: {}, errors: {} }

/** What was typed, field by field: the first 10,000 characters of each text. Files are left out. */
export function typed(form: FormData): Record<string, string> {
  const values: Record<string, string> = {}
  for (const [name, value] of form.entries())
    if (typeof value === 'string' && !name.startsWith('$')) values[name] = value.slice(0, 10_000)
  return values
}

/** Reads a form through its schema. Parsing never writes. */
export function readForm<S extends z.ZodType>(
  schema: S,
  form: FormData,
): { ok: true; value: z.output<S> } | { ok: false; state: FormState } {
  const values = typed(form)
  const read = schema.safeParse(values)
  if (read.success) return { ok: true, value: read.data }
  const errors: Record<string, string> = {}
  for (const issue of read.error.issues) {
    const field = issue.path.join('.') || 'form'
    errors[field] ??= issue.message
  }
  const { form: message, ...fields } = errors
  return { ok: false, state: { values, errors: fields, ...(message ? { message } : {}) } }
}

/** A form state that refuses with a sentence, at a field or for the whole form. */
export function refuseForm(form: FormData, message: string, field?: string): FormState {
  return field
    ? { values: typed(form), errors: { [field]: message } }
    : { values: typed(form), errors: {}, message }
}
