'use server'
import { fieldsOf } from '../../forms'
import type { FormAnswer } from '../form-context'

/** Refuses what is missing, so that the sentences can be seen. Keeps nothing. */
export async function tryForm(_before: FormAnswer | null, data: FormData): Promise<FormAnswer> {
  const errors: Record<string, string> = {}
  const fields = fieldsOf(data)
  if (!fields.customer?.trim())
    errors.customer = 'The customer has no name yet: type one, or choose a known customer.'
  if (!/\d/.test(fields.width ?? ''))
    errors.width = 'The print has no width yet: type it like 254 or 25.4 cm.'
  return Object.keys(errors).length
    ? { ok: false, message: 'Nothing is saved yet: two things are missing below.', errors }
    : { ok: true, message: 'Read as typed. Nothing is kept: this page only shows the parts.' }
}
