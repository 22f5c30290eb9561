'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { clearanceInput } from '@/lib/artwork/clearance'
import { mendAsked } from '@/lib/artwork/print-files'
import { keepOriginal, keepVersion, recordClearance } from '@/lib/artwork/store'
import { personWith } from '@/lib/server/session'
import { hexSchema } from '@/lib/shop/blanks'

/** Records on what basis an artwork may be sold, or takes the last basis back. */
export async function clearAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.clear')
  if (!person.ok) return person
  const read = readForm(clearanceInput, form)
  if (!read.ok) return read.answer
  const saved = await recordClearance(read.value, person.value)
  if (!saved.ok) return saved
  revalidatePath('/', 'layout')
  return {
    ok: true,
    message:
      read.value.basis === 'withdrawn'
        ? 'Taken back: no offer is agreed and no run starts with this artwork until somebody records a basis.'
        : 'Recorded: this artwork may be sold on that basis.',
  }
}

const artworkAsked = z.object({ artwork: z.uuid('Open the artwork again.') })

/** Keeps a mended version of an artwork for a cloth. The original stays as it is. */
export async function keepVersionAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.change')
  if (!person.ok) return person
  const read = readForm(artworkAsked.and(mendAsked), form)
  if (!read.ok) return read.answer
  const { artwork, ...wanted } = read.value
  const kept = await keepVersion(artwork, wanted, person.value)
  if (!kept.ok) return kept
  revalidatePath('/artdesk', 'layout')
  return { ok: true, message: `Kept: prints on ${wanted.cloth} are made from it. The original is unchanged.` }
}

/** Goes back to the original on a cloth. */
export async function keepOriginalAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.change')
  if (!person.ok) return person
  const read = readForm(artworkAsked.extend({ cloth: hexSchema }), form)
  if (!read.ok) return read.answer
  const kept = await keepOriginal(read.value.artwork, read.value.cloth, person.value)
  if (!kept.ok) return kept
  revalidatePath('/artdesk', 'layout')
  return { ok: true, message: `Prints on ${read.value.cloth} are made from the original again.` }
}
