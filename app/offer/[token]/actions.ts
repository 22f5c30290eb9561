'use server'
import { revalidatePath } from 'next/cache'
import { isBoundText, readForm, strayed } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { agreeInput, askInput, declineInput } from '@/lib/orders/input'
import { askChange, declineOffer } from '@/lib/orders/store'
import { agreeAndPlan } from '@/lib/planning/store'
import { instantOf } from '@/lib/units/time'

// No sign-in here: whoever holds the address may answer. Each action goes by the address alone and trusts nothing else.

const now = () => instantOf(new Date())

/** The customer agrees: it becomes work, on the plan and on the shelves. */
export async function agreeAction(
  token: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  if (!isBoundText(token)) return strayed()
  const read = readForm(agreeInput, form)
  if (!read.ok) return read.answer
  const agreed = await agreeAndPlan({ token, ...read.value, now: now() })
  if (!agreed.ok) return agreed
  revalidatePath('/', 'layout')
  return { ok: true, message: 'Agreed. The shop has it, and the work is on its plan.' }
}

/** The customer asks for something else. */
export async function askAction(
  token: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  if (!isBoundText(token)) return strayed()
  const read = readForm(askInput, form)
  if (!read.ok) return read.answer
  const asked = await askChange({ token, ...read.value, now: now() })
  if (!asked.ok) return asked
  revalidatePath('/', 'layout')
  return { ok: true, message: 'The shop has read it here and will send a new offer.' }
}

/** The customer says no. */
export async function declineAction(
  token: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  if (!isBoundText(token)) return strayed()
  const read = readForm(declineInput, form)
  if (!read.ok) return read.answer
  const declined = await declineOffer({ token, ...read.value, now: now() })
  if (!declined.ok) return declined
  revalidatePath('/', 'layout')
  return { ok: true, message: 'The offer is declined. Thank you for saying so.' }
}
