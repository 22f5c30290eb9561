'use server'
import { headers } from 'next/headers'
import { redirect } from 'next/navigation'
import * as z from 'zod'
import { fieldsOf, readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { DEMO_PASSWORD, isDemo } from '@/lib/server/demo'
import { askForReset, resetByMail } from '@/lib/server/forgotten'
import { hasDatabase } from '@/lib/server/health'
import { ownAddress } from '@/lib/server/origin'
import { signInByCode } from '@/lib/server/own-sign-in'
import * as door from '@/lib/server/sign-in'
import { signInByPin } from '@/lib/server/tablets'

const form = z.object({
  name: z.string('Type your name.').trim().min(1, 'Type your name.').max(200, 'That is too long for a name.'),
  password: z
    .string('Type your password.')
    .min(1, 'Type your password.')
    .max(1000, 'That is too long for a password.'),
})

export async function signIn(_: FormAnswer | null, data: FormData): Promise<FormAnswer> {
  return enter(fieldsOf(data))
}

async function enter(fields: Record<string, string>): Promise<FormAnswer> {
  if (!hasDatabase()) redirect('/welcome')
  const read = form.safeParse(fields)
  if (!read.success) {
    const errors: Record<string, string> = {}
    for (const { path, message } of read.error.issues) errors[String(path[0])] ??= message
    return { ok: false, message: '', errors }
  }
  const done = await door.signIn(read.data.name, read.data.password, await headers(), fields.stay === 'on')
  if (!done.ok) return { ok: false, message: done.message }
  const to = ownAddress(fields.to)
  redirect(done.value === 'code' ? `/sign-in/code?to=${encodeURIComponent(to)}` : to)
}

/** The second step: a code. */
export async function signInWithCode(_: FormAnswer | null, data: FormData): Promise<FormAnswer> {
  if (!hasDatabase()) redirect('/welcome')
  const fields = fieldsOf(data)
  const code = (fields.code ?? '').slice(0, 100)
  if (!code.trim()) return { ok: false, message: 'Type the code.', field: 'code' }
  const done = await signInByCode(code, await headers())
  if (!done.ok) return { ok: false, message: done.message, ...(done.field && { field: done.field }) }
  redirect(ownAddress(fields.to))
}

/** At a shared tablet: a name and its PIN. */
export async function signInWithPin(_: FormAnswer | null, data: FormData): Promise<FormAnswer> {
  if (!hasDatabase()) redirect('/welcome')
  const fields = fieldsOf(data)
  const person = (fields.person ?? '').slice(0, 64)
  const pin = (fields.pin ?? '').slice(0, 20)
  if (!person) return { ok: false, message: 'Choose your name.', field: 'person' }
  if (!pin) return { ok: false, message: 'Type your PIN.', field: 'pin' }
  const done = await signInByPin(person, pin, await headers())
  if (!done.ok) return { ok: false, message: done.message, ...(done.field && { field: done.field }) }
  const to = ownAddress(fields.to)
  redirect(to.startsWith('/floor') ? to : '/floor')
}

/** Asks for a mail with which a forgotten password is replaced. */
export async function askResetAction(_: FormAnswer | null, data: FormData): Promise<FormAnswer> {
  if (!hasDatabase()) redirect('/welcome')
  const name = fieldsOf(data).name?.trim() ?? ''
  if (!name || name.length > 200) return { ok: false, message: 'Type your name.', field: 'name' }
  const done = await askForReset(name, await headers())
  if (!done.ok) return { ok: false, message: done.message }
  return {
    ok: true,
    message:
      'If the shop has your mail address, a mail is on its way. None after some minutes? Ask the owner for a new password.',
  }
}

const newPassword = z
  .object({
    key: z.string().max(200).catch(''),
    password: z
      .string('Type the new password.')
      .min(1, 'Type the new password.')
      .max(1000, 'That is too long for a password.'),
    again: z.string().max(1000).catch(''),
  })
  .refine(f => f.password === f.again, {
    path: ['again'],
    message: 'The two are not the same: type the new password again.',
  })

/** Replaces a forgotten password by the key of a mail. */
export async function newPasswordAction(_: FormAnswer | null, data: FormData): Promise<FormAnswer> {
  if (!hasDatabase()) redirect('/welcome')
  const read = readForm(newPassword, data)
  if (!read.ok) return read.answer
  const done = await resetByMail(read.value.key, read.value.password, await headers())
  if (!done.ok) return { ok: false, message: done.message, ...(done.field && { field: done.field }) }
  redirect('/sign-in?new=password')
}

/** One press in the demo: everybody there has the same, public password. */
export async function signInToDemo(_: FormAnswer | null, data: FormData): Promise<FormAnswer> {
  if (!isDemo()) return { ok: false, message: 'Only the demo shop signs in without a password.' }
  return enter({ ...fieldsOf(data), password: DEMO_PASSWORD, stay: 'on' })
}

export async function signOut(): Promise<void> {
  if (hasDatabase()) await door.signOut(await headers())
  redirect('/sign-in')
}
