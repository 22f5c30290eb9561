'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { type Trial, takeTrial, tryChange, undoChange } from '@/lib/planning/board/store'
import { changeSchema } from '@/lib/planning/changes'
import { personWith } from '@/lib/server/session'
import { type Result, refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'

const unknown = () => refuse('change', 'This is no change of the plan: load the page again.')

/** What a change of the plan would mean. Writes nothing. */
export async function tryAction(asked: unknown): Promise<Result<Trial>> {
  const person = await personWith('floor.plan')
  if (!person.ok) return person
  const read = changeSchema.safeParse(asked)
  if (!read.success) {
    const issue = read.error.issues[0]
    const field = issue?.path.at(-1)
    // What a person types; the rest is written by the page.
    return field === 'why' && issue ? refuse('change', issue.message, 'why') : unknown()
  }
  return tryChange(read.data, instantOf(new Date()))
}

/** Takes a trial as it was shown. */
export async function takeAction(id: unknown): Promise<Result<{ words: string }>> {
  const person = await personWith('floor.plan')
  if (!person.ok) return person
  const read = z.string().max(64).safeParse(id)
  if (!read.success) return unknown()
  const taken = await takeTrial(read.data, person.value, instantOf(new Date()))
  if (taken.ok) revalidatePath('/floor', 'layout')
  return taken
}

/** Takes back the newest change of the plan, if it is the one that the person saw. */
export async function undoAction(id: unknown): Promise<Result<{ words: string }>> {
  const person = await personWith('floor.plan')
  if (!person.ok) return person
  const read = z.string().max(64).safeParse(id)
  if (!read.success) return unknown()
  const undone = await undoChange(read.data, person.value, instantOf(new Date()))
  if (undone.ok) revalidatePath('/floor', 'layout')
  return undone
}
