'use server'
import { revalidatePath } from 'next/cache'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { clearanceInput } from '@/lib/artwork/clearance'
import { recordClearance } from '@/lib/artwork/store'
import { personWith } from '@/lib/server/session'

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
