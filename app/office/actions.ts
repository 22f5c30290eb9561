'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { fieldsOf, readForm } from '@/app/forms'
import { previewRows } from '@/app/office/settings/preview-rows'
import type { FormAnswer } from '@/app/parts/form-context'
import { orderCostInput } from '@/lib/books/input'
import { readRates } from '@/lib/books/rates-form'
import { addOrderCost, changeRates, closeMonth, reopenMonth } from '@/lib/books/store'
import { personWith } from '@/lib/server/session'
import { rateCards, shop } from '@/lib/shop/store'
import { changeValuation } from '@/lib/stock/items/store'
import { formKey } from '@/lib/units/form-fields'
import { parseMoney } from '@/lib/units/money'
import { refuse } from '@/lib/units/result'
import {
  dayBounds,
  dayOf,
  formatLongDay,
  formatMonth,
  instantOf,
  type ShopMonth,
  shopDay,
  shopMonth,
} from '@/lib/units/time'

const now = () => instantOf(new Date())
// What a form's action was drawn with comes back from the browser, and is read like anything typed.
const monthSchema = z
  .string()
  .regex(/^(19|2\d)\d\d-(0[1-9]|1[0-2])$/)
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

/** Opens the newest closed month again, with a reason. */
export async function reopenMonthAction(
  month: ShopMonth,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('books.close')
  if (!person.ok) return person
  const known = monthSchema.safeParse(month)
  if (!known.success) return refuse('month', 'This is not a month: open it again from the month end page.')
  const done = await reopenMonth(known.data, fieldsOf(form).why ?? '', person.value, now())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `${formatMonth(known.data)} is open again.` }
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

const fromSchema = z.object({
  from: z.string().regex(/^\d{4}-\d{2}-\d{2}$/, 'Choose the day from which they count.'),
  basedOn: formKey,
})

/** Changes the shop's rates from a day on. */
export async function changeRatesAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const head = readForm(fromSchema, form)
  const [cards, { currency, timeZone }] = await Promise.all([rateCards(), shop()])
  const newest = cards[0]
  if (!newest) return refuse('no-rates', 'The shop has no rates yet: set it up first.')
  const read = readRates(fieldsOf(form), newest.rates, currency)
  const errors = { ...(head.ok || head.answer.ok ? {} : head.answer.errors), ...(read.ok ? {} : read.errors) }
  const [first] = Object.values(errors)
  if (!head.ok || !read.ok)
    return {
      ok: false,
      message:
        Object.keys(errors).length === 1
          ? (first ?? '')
          : `${Object.keys(errors).length} fields need another look.`,
      errors,
    }
  const moment = now()
  let from = moment
  if (head.value.from !== dayOf(moment, timeZone)) {
    try {
      from = dayBounds(shopDay(head.value.from), timeZone).from
    } catch {
      return refuse('day', 'There is no such day: choose another.', 'from')
    }
  }
  const done = await changeRates(
    { rates: read.rates, from, basedOn: head.value.basedOn },
    person.value,
    moment,
  )
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `Saved. They count from ${formatLongDay(from, timeZone)}.` }
}

/** A quantity, and what a piece of it would be sold at. Amounts and shares in words. */
export type PreviewRow = { pieces: number; before: PreviewPrice; after: PreviewPrice }
type PreviewPrice = { each: string; net: string; margin: string; below: boolean }
export type PreviewAnswer = { ok: true; rows: PreviewRow[] } | { ok: false; message: string }

/** What typed rates would do to prices and margins, beside what counts now. Nothing is written. */
export async function previewPricesAction(form: FormData): Promise<PreviewAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const [cards, { currency }] = await Promise.all([rateCards(), shop()])
  const newest = cards[0]
  if (!newest) return refuse('no-rates', 'The shop has no rates yet: set it up first.')
  const fields = fieldsOf(form)
  const cost = parseMoney(fields.previewCost ?? '', currency)
  if (!cost.ok || cost.value <= 0)
    return refuse('cost', 'Type what one piece costs to make, above 0, to see what it would be sold at.')
  const read = readRates(fields, newest.rates, currency)
  if (!read.ok)
    return refuse('rates', `This cannot be reckoned with yet: ${Object.values(read.errors)[0] ?? ''}`)
  return { ok: true, rows: previewRows(newest.rates, read.rates, cost.value, currency) }
}

/** Changes how stock is valued. */
export async function valuationAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const read = readForm(
    z.object({ valuation: z.enum(['fifo', 'average'], { error: 'Choose one of the two.' }) }),
    form,
  )
  if (!read.ok) return read.answer
  const done = await changeValuation(read.value.valuation, person.value, now())
  if (!done.ok) return done
  refresh()
  return {
    ok: true,
    message: done.value
      ? `Changed. ${done.value} ${done.value === 1 ? 'shelf was' : 'shelves were'} revalued, each by one line in its book.`
      : 'Changed: no shelf had to be revalued.',
  }
}
