'use server'
import { revalidatePath } from 'next/cache'
import { doneWords, type Look, lookAt, readImport } from '@/app/imports/look'
import type { FormAnswer } from '@/app/parts/form-context'
import { BLANK_COLUMNS } from '@/lib/orders/imports/blanks'
import { blanksPlan, importBlanks, markOf } from '@/lib/orders/imports/store'
import type { ImportInput } from '@/lib/orders/imports/table'
import { personWith } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { instantOf } from '@/lib/units/time'

const NOTHING = { changes: [], errors: [] }

/** Tells what a file of blanks would do. Nothing is written. */
export async function lookAtBlanksAction(sent: ImportInput): Promise<Look> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  const read = readImport(sent, BLANK_COLUMNS)
  if (!read.ok) return read
  const { table, matching, no } = read.value
  const plan = no ? NOTHING : await blanksPlan(table, matching, (await shop()).currency)
  return lookAt(table, matching, no, plan, markOf(plan))
}

/** Takes a file of blanks in, as it was looked at. */
export async function takeBlanksAction(sent: ImportInput): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  const read = readImport(sent, BLANK_COLUMNS)
  if (!read.ok) return read
  const { table, matching, no, seen } = read.value
  if (no) return no
  const { currency } = await shop()
  const done = await importBlanks(table, matching, seen, currency, person.value, instantOf(new Date()))
  if (!done.ok) return done
  revalidatePath('/', 'layout')
  return { ok: true, message: doneWords(done.value, 'blanks') }
}
