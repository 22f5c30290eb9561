'use server'
import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import * as z from 'zod'
import { allOf, readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { JOBS } from '@/lib/server/rights'
import { personWith } from '@/lib/server/session'
import {
  changeJob,
  changeMailAddress,
  endSession,
  invite,
  resetPassword,
  setActive,
} from '@/lib/server/sign-ins'
import { endTablet, shareThisBrowser } from '@/lib/server/tablets'

const idSchema = z.string().max(64).catch('')
const job = z.enum(JOBS, 'Choose what they are in the shop.')
const password = z.string('Type a password.').min(1, 'Type a password.').max(1000, 'That is too long.')
const email = z.string().max(200, 'That is too long for an address.').default('')
const refresh = () => revalidatePath('/office/sign-ins', 'layout')

/** Lets somebody new sign in. */
export async function inviteAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const read = readForm(
    z.object({
      name: z.string('Type the name to sign in with.').max(200, 'A name has at most 60 characters.'),
      password,
      role: job,
      email,
    }),
    form,
  )
  if (!read.ok) return read.answer
  const done = await invite({ ...read.value, also: allOf(form, 'also') }, person.value)
  if (!done.ok) return done
  refresh()
  redirect('/office/sign-ins')
}

/** Makes somebody owner, counter or press, with rights beyond it. */
export async function jobAction(id: string, _before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const read = readForm(z.object({ role: job }), form)
  if (!read.ok) return read.answer
  const done = await changeJob(idSchema.parse(id), read.value.role, allOf(form, 'also'), person.value)
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `Saved: ${done.value} signs in as ${read.value.role}.` }
}

/** Lets somebody in no more, or again. */
export async function activeAction(
  id: string,
  active: boolean,
  _before: FormAnswer | null,
): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const done = await setActive(idSchema.parse(id), active === true, person.value)
  if (!done.ok) return done
  refresh()
  return {
    ok: true,
    message: active
      ? `${done.value} may sign in again.`
      : `${done.value} may sign in no more, and is signed out everywhere.`,
  }
}

/** Gives somebody a new password. */
export async function resetAction(
  id: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const read = readForm(z.object({ password }), form)
  if (!read.ok) return read.answer
  const done = await resetPassword(idSchema.parse(id), read.value.password, person.value)
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `${done.value} signs in with the new password. Tell it in person.` }
}

/** Changes where a key for a new password may be sent. */
export async function mailAddressAction(
  id: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const read = readForm(z.object({ email }), form)
  if (!read.ok) return read.answer
  const done = await changeMailAddress(idSchema.parse(id), read.value.email, person.value)
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `Saved for ${done.value}.` }
}

/** Signs a browser out. */
export async function endSessionAction(id: string, _before: FormAnswer | null): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const done = await endSession(idSchema.parse(id), person.value)
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `${done.value} is signed out there.` }
}

/** Makes this browser a shared tablet. */
export async function shareAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const read = readForm(
    z.object({
      name: z
        .string('Name the tablet.')
        .trim()
        .min(1, 'Name the tablet: where it hangs.')
        .max(60, 'At most 60 characters.'),
    }),
    form,
  )
  if (!read.ok) return read.answer
  const done = await shareThisBrowser(read.value.name, person.value)
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'This browser is a shared tablet now: sign out, and people come in by PIN.' }
}

/** Ends the sharing of a tablet. */
export async function endTabletAction(id: string, _before: FormAnswer | null): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const done = await endTablet(idSchema.parse(id), person.value)
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `${done.value} is shared no more.` }
}
