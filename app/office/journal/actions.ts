'use server'
import { revalidatePath } from 'next/cache'
import { fieldsOf, readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { ACCOUNTS, chartSchema } from '@/lib/books/journal/journal'
import { changeChart } from '@/lib/books/journal/store'
import { personWith } from '@/lib/server/session'
import { instantOf } from '@/lib/units/time'

/** Sets the book-keeper's accounts. */
export async function chartAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const fields = fieldsOf(form)
  const text = (name: string) => (fields[name] ?? '').slice(0, 200)
  const read = readForm(
    chartSchema,
    Object.fromEntries(ACCOUNTS.map(a => [a, { number: text(`${a}.number`), name: text(`${a}.name`) }])),
  )
  if (!read.ok) return read.answer
  await changeChart(read.value, person.value, instantOf(new Date()))
  revalidatePath('/', 'layout')
  return { ok: true, message: 'Saved. The journal of every month is written with them.' }
}
