'use server'
import { toSVG } from 'bwip-js/node'
import { revalidatePath } from 'next/cache'
import { headers } from 'next/headers'
import * as z from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import {
  beginSecondFactor,
  changeOwnMail,
  changeOwnPassword,
  confirmSecondFactor,
  endSecondFactor,
} from '@/lib/server/own-sign-in'
import { personByPassword } from '@/lib/server/session'
import { endSession } from '@/lib/server/sign-ins'
import { setPin } from '@/lib/server/tablets'

const word = (missing: string) => z.string(missing).min(1, missing).max(1000, 'That is too long.')
const refresh = () => revalidatePath('/account')

/** What a new authenticator is shown, once: a square code to point it at, the same to type, and spare codes. */
export type EnrolmentAnswer = FormAnswer & { enrolment?: { svg: string; secret: string; codes: string[] } }

export async function passwordAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personByPassword()
  if (!person.ok) return person
  const read = readForm(
    z
      .object({
        password: word('Type the password that you have now.'),
        next: word('Type the new password.'),
        again: z.string().max(1000),
      })
      .refine(f => f.next === f.again, {
        path: ['again'],
        message: 'The two are not the same: type the new password again.',
      }),
    form,
  )
  if (!read.ok) return read.answer
  const done = await changeOwnPassword(read.value, person.value, await headers())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'Your password is changed. Other browsers of yours are signed out.' }
}

export async function mailAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personByPassword()
  if (!person.ok) return person
  const read = readForm(
    z.object({
      email: z.string().max(200, 'That is too long for an address.').default(''),
      password: word('Type your password.'),
    }),
    form,
  )
  if (!read.ok) return read.answer
  const done = await changeOwnMail(read.value, person.value, await headers())
  if (!done.ok) return done
  refresh()
  return {
    ok: true,
    message: read.value.email.trim()
      ? 'A key for a new password is sent there, should you forget yours.'
      : 'Your mail address is taken away.',
  }
}

export async function pinAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personByPassword()
  if (!person.ok) return person
  const read = readForm(z.object({ pin: word('Type the PIN that you wish.') }), form)
  if (!read.ok) return read.answer
  const done = await setPin(person.value.id, read.value.pin.trim(), person.value)
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'Your PIN is set: it opens the floor at the shop’s shared tablets.' }
}

export async function noPinAction(): Promise<FormAnswer> {
  const person = await personByPassword()
  if (!person.ok) return person
  const done = await setPin(person.value.id, null, person.value)
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'Your PIN is taken away.' }
}

export async function beginFactorAction(
  _before: FormAnswer | null,
  form: FormData,
): Promise<EnrolmentAnswer> {
  const person = await personByPassword()
  if (!person.ok) return person
  const read = readForm(z.object({ password: word('Type your password.') }), form)
  if (!read.ok) return read.answer
  const begun = await beginSecondFactor(read.value.password, person.value, await headers())
  if (!begun.ok) return begun
  const { address, secret, codes } = begun.value
  return {
    ok: true,
    enrolment: {
      svg: `data:image/svg+xml,${encodeURIComponent(toSVG({ bcid: 'qrcode', text: address }))}`,
      secret,
      codes,
    },
  }
}

export async function confirmFactorAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personByPassword()
  if (!person.ok) return person
  const read = readForm(z.object({ code: word('Type the code that the authenticator shows.') }), form)
  if (!read.ok) return read.answer
  const done = await confirmSecondFactor(read.value.code.replace(/\s/g, ''), person.value, await headers())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'From now on you sign in with your password and a code.' }
}

export async function endFactorAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personByPassword()
  if (!person.ok) return person
  const read = readForm(z.object({ password: word('Type your password.') }), form)
  if (!read.ok) return read.answer
  const done = await endSecondFactor(read.value.password, person.value, await headers())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'Your password alone signs you in again.' }
}

export async function endOwnSessionAction(id: string): Promise<FormAnswer> {
  const person = await personByPassword()
  if (!person.ok) return person
  const done = await endSession(z.string().max(64).catch('').parse(id), person.value, person.value.id)
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'That browser is signed out.' }
}
