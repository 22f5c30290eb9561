'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { orderCostInput } from '@/lib/books/input'
import { addOrderCost, closeMonth } from '@/lib/books/store'
import { personWith } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { refuse } from '@/lib/units/result'
import { formatMonth, instantOf, type ShopMonth, shopMonth } from '@/lib/units/time'

const now = () => instantOf(new Date())
// What a form's action was drawn with comes back from the browser, and is read like anything typed.
const monthSchema = z
  .string()
  .regex(/^\d{4}-(0[1-9]|1[0-2])$/)
  .transform(shopMonth)
const numberSchema = z.int().min(1).max(999_999_999).catch(0)
const refresh = () => revalidatePath('/', 'layout')

/** Closes a month. */
export async function closeMonthAction(month: ShopMonth, _before: FormAnswer | null): Promise<FormAnswer> {
  const person = await personWith('books.close')
  if (!person.ok) return person
  const known = monthSchema.safeParse(month)
  if (!known.success) return refuse('month', 'This is not a month: open it again from the month end page.')
  const done = await closeMonth(known.data, person.value, now())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `${formatMonth(month)} is closed.` }
}

/** Writes down what an order cost outside the shop. */
export async function orderCostAction(
  orderNumber: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('books.close')
  if (!person.ok) return person
  const read = readForm(orderCostInput((await shop()).currency), form)
  if (!read.ok) return read.answer
  const done = await addOrderCost({
    ...read.value,
    orderNumber: numberSchema.parse(orderNumber),
    by: person.value,
    now: now(),
  })
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'Written down.' }
}
