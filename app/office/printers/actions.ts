'use server'
import { randomUUID } from 'node:crypto'
import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { readPriceList } from '@/lib/methods/contract'
import { readListRows } from '@/lib/methods/price-list-text'
import { retirePriceList, savePriceList } from '@/lib/methods/store'
import { personWith } from '@/lib/server/session'
import { METHODS } from '@/lib/shop/methods'
import { shop } from '@/lib/shop/store'
import { formatMoney, parseMoney } from '@/lib/units/money'
import { instantOf } from '@/lib/units/time'

/** An answer that also says which version stands now. */
export type ListAnswer = FormAnswer & { version?: number; stands?: string }

const now = () => instantOf(new Date())
const keySchema = z.string().max(64)
const amount = (currency: string) =>
  z.string().transform((t, issue) => {
    const read = parseMoney(t.trim() || '0', currency)
    if (read.ok && read.value >= 0) return read.value
    issue.addIssue({ code: 'custom', message: read.ok ? 'It is not below 0.' : read.message })
    return z.NEVER
  })
const listInput = (currency: string) =>
  z.object({
    version: z.coerce.number().int().min(0),
    name: z.string().trim().min(2, 'Type what you call this printer.').max(80),
    method: z.enum(METHODS, { error: 'Choose how they print.' }),
    days: z
      .string()
      .regex(/^\d{1,3}$/, 'Days are a whole number from 0 to 365.')
      .transform(Number)
      .refine(n => n <= 365, 'Days are a whole number from 0 to 365.'),
    setupEach: amount(currency),
    freight: amount(currency),
    rows: z.string().transform((t, issue) => {
      const read = readListRows(t, currency)
      if (read.ok) return read.value
      issue.addIssue({ code: 'custom', message: read.message })
      return z.NEVER
    }),
  })

/** Writes a price list down, a new one where there is no key. */
export async function savePriceListAction(
  key: string | null,
  _before: FormAnswer | null,
  form: FormData,
): Promise<ListAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const { currency } = await shop()
  const read = readForm(listInput(currency), form)
  if (!read.ok) return read.answer
  const { version, ...rest } = read.value
  const list = readPriceList({ ...rest, key: key === null ? randomUUID() : keySchema.catch('').parse(key) })
  if (!list.ok) return list
  const saved = await savePriceList(list.value, version, person.value, now())
  if (!saved.ok)
    return 'saved' in saved
      ? {
          ok: false,
          message: saved.message,
          version: saved.saved.version,
          stands: saved.saved.list.rows
            .map(r => `from ${r.from} pieces ${formatMoney(r.each, currency)}`)
            .join(', '),
        }
      : saved
  revalidatePath('/', 'layout')
  redirect('/office/printers')
}

/** Puts a price list away. */
export async function retirePriceListAction(
  key: string,
  _before: FormAnswer | null,
  _form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const done = await retirePriceList(keySchema.catch('').parse(key), person.value, now())
  if (!done.ok) return done
  revalidatePath('/', 'layout')
  redirect('/office/printers')
}
