'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { planAnew as drawPlanAnew } from '@/lib/planning/store'
import { personWith } from '@/lib/server/session'
import { changeFirstPiece } from '@/lib/shop/changes/store'
import { instantOf } from '@/lib/units/time'

/** Makes a new plan on request: after hours, stations or promises were changed. */
export async function planAnew(): Promise<FormAnswer> {
  const person = await personWith('floor.plan')
  if (!person.ok) return person
  const made = await drawPlanAnew(person.value.name, instantOf(new Date()))
  revalidatePath('/floor', 'layout')
  if (!made.ok) return made
  const { changed } = made.value
  return {
    ok: true,
    message:
      changed === 0
        ? 'Nothing moves: no order is ready sooner without harm to another.'
        : `The plan is new: ${changed === 1 ? 'one run stands' : `${changed} runs stand`} elsewhere.`,
  }
}

/** Whether a short check is ticked before the first piece of every run. */
export async function firstPieceAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const read = readForm(
    z.object({ wanted: z.enum(['yes', 'no'], { error: 'Choose one of the two.' }) }),
    form,
  )
  if (!read.ok) return read.answer
  const wanted = read.value.wanted === 'yes'
  await changeFirstPiece(wanted, person.value, instantOf(new Date()))
  revalidatePath('/floor', 'layout')
  return {
    ok: true,
    message: wanted ? 'From now on every run begins with the check.' : 'Runs begin without the check.',
  }
}
