'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { allOf, fieldsOf, readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { endKey, makeKey, SCOPES } from '@/lib/server/api-keys'
import { personWith } from '@/lib/server/session'
import { onOneLine } from '@/lib/units/form-fields'

/** An answer that carries the key, the one time that it is shown. */
export type KeyAnswer = FormAnswer & { key?: string }

const keyInput = z.object({
  name: z
    .string({ error: 'The name is missing.' })
    .transform(onOneLine)
    .pipe(
      z
        .string()
        .min(1, 'The name is empty: type which program it is for.')
        .max(60, 'A name has at most 60 characters.'),
    ),
  scopes: z
    .union([z.string(), z.array(z.string())], { error: 'Choose at least one thing that the key opens.' })
    .transform(given => SCOPES.filter(s => [given].flat().includes(s)))
    .refine(list => list.length > 0, 'Choose at least one thing that the key opens.'),
})

/** Makes a key for a program. */
export async function makeKeyAction(_before: FormAnswer | null, form: FormData): Promise<KeyAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const read = readForm(keyInput, {
    name: fieldsOf(form).name,
    scopes: allOf(form, 'scopes'),
  })
  if (!read.ok) return read.answer
  const made = await makeKey(read.value.name, read.value.scopes, person.value, new Date())
  if (!made.ok) return made
  revalidatePath('/office/programs')
  return { ok: true, message: `The key for “${read.value.name}” is made.`, key: made.value }
}

/** Ends a key. */
export async function endKeyAction(
  id: string,
  _before: FormAnswer | null,
  _form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const done = await endKey(z.string().max(64).catch('').parse(id), person.value, new Date())
  if (!done.ok) return done
  revalidatePath('/office/programs')
  return { ok: true, message: `The key “${done.value.name}” opens nothing any more.` }
}
