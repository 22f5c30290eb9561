'use server'
import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { creditInput, invoiceInput } from '@/lib/books/invoices/input'
import { writeCreditNote, writeInvoice } from '@/lib/books/invoices/store'
import { personWith } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { instantOf } from '@/lib/units/time'

const now = () => instantOf(new Date())
const refresh = () => revalidatePath('/', 'layout')
// What a form's action was drawn with comes back from the browser, and is read like anything typed.
const numberSchema = z.int().min(1).max(999_999_999).catch(0)
const idSchema = z.uuid().catch('')

/** Writes an invoice for an order. */
export async function invoiceAction(
  orderNumber: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  const read = readForm(invoiceInput((await shop()).currency), form)
  if (!read.ok) return read.answer
  const asked = { ...read.value, orderNumber: numberSchema.parse(orderNumber) }
  const made = await writeInvoice(asked, person.value, now())
  if (!made.ok) return made
  refresh()
  redirect(`/counter/invoices/${made.value.id}`)
}

/** Writes a credit note about an invoice. */
export async function creditAction(
  invoiceId: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  const read = readForm(creditInput((await shop()).currency), form)
  if (!read.ok) return read.answer
  const asked = { ...read.value, invoiceId: idSchema.parse(invoiceId) }
  const made = await writeCreditNote(asked, person.value, now())
  if (!made.ok) return made
  refresh()
  redirect(`/counter/invoices/${made.value.id}`)
}
