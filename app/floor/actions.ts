'use server'
import { revalidatePath } from 'next/cache'
import type { FormAnswer } from '@/app/parts/form-context'
import { replan } from '@/lib/planning/store'
import { personWith } from '@/lib/server/session'
import { instantOf } from '@/lib/units/time'

/** Makes a new plan on request: after hours, stations or promises were changed. */
export async function planAnew(): Promise<FormAnswer> {
  const person = await personWith('floor.plan')
  if (!person.ok) return person
  const made = await replan(`${person.value.name} asked for a new plan`, instantOf(new Date()))
  revalidatePath('/floor', 'layout')
  return made.ok ? { ok: true, message: 'The plan is new.' } : made
}
