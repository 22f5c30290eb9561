'use server'
import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { fieldsOf, isBoundNumber, isBoundText, readForm, strayed } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { replan } from '@/lib/planning/store'
import { personWith } from '@/lib/server/session'
import { approveCount, countLine, dropCount, findCount, startCount } from '@/lib/stock/counts/store'
import { countLineInput, newCountInput } from '@/lib/stock/input'
import { formatAmount } from '@/lib/stock/items'
import { findItem } from '@/lib/stock/views/store'
import { refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'

const now = () => instantOf(new Date())
const refresh = () => revalidatePath('/', 'layout')

/** Begins a round of counting. */
export async function startCountAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  const read = readForm(newCountInput, form)
  if (!read.ok) return read.answer
  const { kind, ...rest } = read.value
  const done = await startCount({ ...rest, kinds: kind ? [kind] : [] }, person.value, now())
  if (!done.ok) return done
  redirect(`/stockroom/counts/${done.value}`)
}

/** Writes down what is really there of one item. */
export async function countLineAction(
  number: number,
  sku: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  if (!isBoundNumber(number) || !isBoundText(sku)) return strayed()
  const item = await findItem(sku)
  if (!item) return refuse('no-item', `There is no item ${sku.slice(0, 60)}: choose one from the list.`)
  const read = readForm(countLineInput({ ...item, pack: item.pricePer }), form)
  if (!read.ok) return read.answer
  const { found, seen, scanned } = read.value
  const done = await countLine({ number, itemId: item.id, found, seen }, person.value, now())
  if (!done.ok) return done
  revalidatePath(`/stockroom/counts/${number}`, 'layout')
  // Whoever scans goes on to the next shelf.
  if (scanned) redirect(`/stockroom/counts/${number}?done=${encodeURIComponent(sku)}`)
  return {
    ok: true,
    message: found === null ? 'Taken back.' : `${formatAmount(found, item.unit)} written down.`,
  }
}

/** Approves the differences of a count. */
export async function approveCountAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const count = await findCount(number, { size: 1 })
  if (!count) return refuse('no-count', `There is no count ${number}: choose one from the list.`)
  const left = new Set(Object.keys(fieldsOf(form)).flatMap(f => (f.startsWith('left.') ? [f.slice(5)] : [])))
  const done = await approveCount(number, left, person.value, now())
  if (!done.ok) return done
  // What is on the shelf decides what can begin.
  await replan(`count ${number} approved`, now())
  refresh()
  return {
    ok: true,
    message: `${done.value.booked} booked${done.value.left ? `, ${done.value.left} left as they were` : ''}.`,
  }
}

/** Ends a count of which nothing is booked. */
export async function dropCountAction(
  number: number,
  _before: FormAnswer | null,
  _form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const done = await dropCount(number, person.value, now())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `Count ${number} is dropped: nothing of it is booked.` }
}
