'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { inkColourAsked } from '@/lib/artwork/ink-shelf'
import { keepInkColour, retireInkColour } from '@/lib/artwork/store'
import { personWith } from '@/lib/server/session'

/** Puts a spot ink on the shop's list, or gives one that is there another colour. */
export async function keepInkAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.change')
  if (!person.ok) return person
  const read = readForm(inkColourAsked, form)
  if (!read.ok) return read.answer
  await keepInkColour(read.value, person.value)
  revalidatePath('/artdesk', 'layout')
  return {
    ok: true,
    message: `${read.value.name} is on the list: films near ${read.value.hex} carry its name.`,
  }
}

/** Takes a spot ink off the list. */
export async function retireInkAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.change')
  if (!person.ok) return person
  const read = readForm(z.object({ ink: z.uuid('Open the page again.') }), form)
  if (!read.ok) return read.answer
  const gone = await retireInkColour(read.value.ink, person.value)
  if (!gone.ok) return gone
  revalidatePath('/artdesk', 'layout')
  return { ok: true, message: `${gone.value} is off the list. Films that are made already keep its name.` }
}
