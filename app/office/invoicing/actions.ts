'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { invoicingInput } from '@/lib/books/invoices/input'
import { changeInvoicing } from '@/lib/books/invoices/store'
import { raiseOrderNumber } from '@/lib/orders/store'
import { personWith } from '@/lib/server/session'
import { instantOf } from '@/lib/units/time'

const now = () => instantOf(new Date())
const refresh = () => revalidatePath('/', 'layout')

const numberInput = z.object({
  nextOrder: z.coerce
    .number({ error: 'Type a whole number.' })
    .int('Type a whole number.')
    .min(1, 'Numbers begin at 1.')
    .max(99_999_999, 'The number is too large.'),
})

/** Lets the numbers of orders go on from a higher one. */
export async function orderNumberAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const read = readForm(numberInput, form)
  if (!read.ok) return read.answer
  const done = await raiseOrderNumber(read.value.nextOrder, person.value, now())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `The next order is ${read.value.nextOrder}.` }
}

/** Changes what stands on invoices from now on. */
export async function invoicingAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const read = readForm(invoicingInput, form)
  if (!read.ok) return read.answer
  const done = await changeInvoicing(read.value, person.value, now())
  if (!done.ok) return done
  refresh()
  return {
    ok: true,
    message: 'Saved. It stands on invoices from now on; those that are written stay as they are.',
  }
}
