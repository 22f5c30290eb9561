'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { dropScreens, keepScreens } from '@/lib/methods/store'
import { personWith } from '@/lib/server/session'
import { refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'

const now = () => instantOf(new Date())

const keepInput = z.object({
  design: z
    .string({ error: 'Choose the design.' })
    .regex(/^[\w-]{1,64} \d+(\.\d+)? \d+(\.\d+)?$/, 'Choose the design.')
    .transform(t => {
      const [artworkId = '', widthMm, heightMm] = t.split(' ')
      return { artworkId, widthMm: Number(widthMm), heightMm: Number(heightMm) }
    }),
  screens: z
    .string({ error: 'How many screens? Type a whole number.' })
    .regex(/^([1-9]|1\d|2[0-4])$/, 'A design has 1 to 24 screens: type a whole number.')
    .transform(Number),
  place: z.string().trim().max(60, 'Where they stand is told in at most 60 characters.').default(''),
})

/** Puts the screens of a design on the shelf. */
export async function keepScreensAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  const read = readForm(keepInput, form)
  if (!read.ok) return read.answer
  const { design, ...rest } = read.value
  const done = await keepScreens({ ...design, ...rest }, person.value, now())
  if (!done.ok) return done
  revalidatePath('/', 'layout')
  return { ok: true, message: 'On the shelf: a repeat of this design need not make them again.' }
}

/** Notes that screens are off the shelf. */
export async function dropScreensAction(
  id: string,
  _before: FormAnswer | null,
  _form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  const known = z.string().max(64).safeParse(id)
  if (!known.success) return refuse('screens', 'These screens are not known here: load the page again.')
  const done = await dropScreens(known.data, person.value, now())
  if (!done.ok) return done
  revalidatePath('/', 'layout')
  return { ok: true, message: 'Off the shelf.' }
}
