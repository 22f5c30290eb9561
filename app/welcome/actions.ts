'use server'
import { redirect } from 'next/navigation'
import * as z from 'zod'
import { fieldsOf } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { hasOwnShop } from '@/lib/server/data-folder'
import { isDemo } from '@/lib/server/demo'
import { hasDatabase } from '@/lib/server/health'
import { LONGEST_PASSWORD, SHORTEST_PASSWORD } from '@/lib/server/passwords'
import { askForShop } from '@/lib/server/supervisor'

const shopForm = z
  .object({
    name: z
      .string('Type what the shop is called.')
      .trim()
      .min(1, 'Type what the shop is called.')
      .max(80, "A shop's name has at most 80 characters."),
    currency: z.enum(Intl.supportedValuesOf('currency'), 'Choose the currency that you charge in.'),
    timeZone: z.enum(
      ['UTC', ...Intl.supportedValuesOf('timeZone')],
      "Choose the time zone of the shop's clock.",
    ),
    measures: z.enum(['metric', 'imperial'], 'Choose how measures are shown.'),
    owner: z
      .string('Type your name: you sign in with it.')
      .trim()
      .min(1, 'Type your name: you sign in with it.')
      .max(60, 'A name has at most 60 characters.'),
    password: z
      .string(`A password has at least ${SHORTEST_PASSWORD} characters.`)
      .min(SHORTEST_PASSWORD, `A password has at least ${SHORTEST_PASSWORD} characters.`)
      .max(LONGEST_PASSWORD, `A password has at most ${LONGEST_PASSWORD} characters.`),
    again: z.string('Type the password a second time.'),
  })
  .refine(form => form.password === form.again, {
    path: ['again'],
    message: 'The two passwords differ: type the same one twice.',
  })
  .refine(form => form.password.toLowerCase() !== form.owner.toLowerCase(), {
    path: ['password'],
    message: 'Choose a password that is not your name.',
  })

/** A shop can be set up while there is none, or from within the demo. */
const mayOpenShop = () => !hasDatabase() || isDemo()
const hasShop: FormAnswer = { ok: false, message: 'There is a shop here already: sign in to it.' }

export async function setUpShop(_: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  if (!mayOpenShop() || hasOwnShop()) return hasShop
  const read = shopForm.safeParse(fieldsOf(form))
  if (!read.success) {
    const errors: Record<string, string> = {}
    for (const { path, message } of read.error.issues) errors[String(path[0])] ??= message
    return { ok: false, message: '', errors }
  }
  const { again, ...shop } = read.data
  const asked = askForShop('own', shop)
  if (!asked.ok) return asked
  redirect('/welcome/opening?kind=own')
}

/** Back from the demo to the shop that is kept beside it. */
export async function openOwnShop(): Promise<FormAnswer> {
  if (!isDemo() || !hasOwnShop())
    return { ok: false, message: 'There is no shop of your own here: set one up.' }
  const asked = askForShop('own')
  if (!asked.ok) return asked
  redirect('/welcome/opening?kind=own')
}

export async function openDemo(): Promise<FormAnswer> {
  if (!mayOpenShop()) return hasShop
  const asked = askForShop('demo')
  if (!asked.ok) return asked
  redirect('/welcome/opening?kind=demo')
}
