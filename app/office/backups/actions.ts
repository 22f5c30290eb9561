'use server'
import { revalidatePath } from 'next/cache'
import * as z from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { EVERY } from '@/lib/server/backup-plan'
import { backUpIfDue, backUpNow, changeBackupPlan, checkOne } from '@/lib/server/backups'
import { personWith } from '@/lib/server/session'

const refresh = () => revalidatePath('/office/backups')

/** A count of spans, as typed. */
const count = (least: number, most: number, what: string) =>
  z
    .string(`Type how many ${what}.`)
    .trim()
    .regex(/^\d{1,4}$/, `Type how many ${what}, as a whole number.`)
    .transform(Number)
    .refine(n => n >= least && n <= most, `Keep ${least} to ${most} ${what}.`)

const planForm = z.object({
  basedOn: z.string().max(2000),
  every: z.enum(EVERY, 'Choose how often.'),
  from: z.string('Type a time.').regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'Type a time of day, as in 02:00.'),
  folder: z
    .string()
    .trim()
    .max(1000, 'This path is too long: at most 1,000 characters.')
    .transform(text => text || null),
  days: count(1, 366, 'days'),
  weeks: count(0, 520, 'weeks'),
  months: count(0, 600, 'months'),
})

/** Changes when and where the shop is backed up, and what stays. */
export async function backupPlanAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const read = readForm(planForm, form)
  if (!read.ok) return read.answer
  const { basedOn, days, weeks, months, ...plan } = read.value
  const done = await changeBackupPlan({ ...plan, keep: { days, weeks, months } }, basedOn, person.value)
  if (!done.ok) return done
  // Whoever saves need not wait for it.
  void backUpIfDue().catch(() => undefined)
  refresh()
  return { ok: true, message: 'Saved.' }
}

/** Backs the shop up now, and waits until the backup is checked. */
export async function backUpAction(_before: FormAnswer | null): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const done = await backUpNow()
  refresh()
  return done.ok ? { ok: true, message: done.value } : done
}

/** Looks whether one backup is whole. */
export async function checkBackupAction(name: string, _before: FormAnswer | null): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const done = await checkOne(z.string().max(64).catch('').parse(name))
  refresh()
  return done.ok ? { ok: true, message: done.value } : done
}
