'use server'
import { revalidatePath } from 'next/cache'
import { doneWords, type Look, lookAt, readImport } from '@/app/imports/look'
import type { FormAnswer } from '@/app/parts/form-context'
import { CUSTOMER_COLUMNS } from '@/lib/orders/imports/customers'
import { customersPlan, importCustomers, markOf } from '@/lib/orders/imports/store'
import type { ImportInput } from '@/lib/orders/imports/table'
import { personWith } from '@/lib/server/session'
import { instantOf } from '@/lib/units/time'

const NOTHING = { changes: [], errors: [] }

/** Tells what a file of customers would do. Nothing is written. */
export async function lookAtCustomersAction(sent: ImportInput): Promise<Look> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  const read = readImport(sent, CUSTOMER_COLUMNS)
  if (!read.ok) return read
  const { table, matching, no } = read.value
  const plan = no ? NOTHING : await customersPlan(table, matching)
  return lookAt(table, matching, no, plan, markOf(plan))
}

/** Takes a file of customers in, as it was looked at. */
export async function takeCustomersAction(sent: ImportInput): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  const read = readImport(sent, CUSTOMER_COLUMNS)
  if (!read.ok) return read
  const { table, matching, no, seen } = read.value
  if (no) return no
  const done = await importCustomers(table, matching, seen, person.value, instantOf(new Date()))
  if (!done.ok) return done
  revalidatePath('/', 'layout')
  return { ok: true, message: doneWords(done.value, 'customers') }
}
