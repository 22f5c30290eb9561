'use server'
import { revalidatePath } from 'next/cache'
import * as z from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { MISPRINT_REASONS } from '@/lib/floor/misprint'
import {
  finishStep,
  pauseStep,
  type Reported,
  reportMisprint,
  resumeStep,
  startStep,
} from '@/lib/floor/store'
import { replan } from '@/lib/planning/store'
import { personWith } from '@/lib/server/session'
import type { Result } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'

const report = z.object({
  stepId: z.uuid({ error: 'This step is not known here: open the board and look what is next.' }),
  formKey: z.uuid({ error: 'This form has lost its number: load the page again.' }),
})
const count = (what: string) =>
  z.coerce
    .number({ error: `${what} are a whole number: type how many.` })
    .int(`${what} are a whole number: type how many.`)
    .min(0, `${what} are 0 or more: type how many.`)
    .max(1_000_000, `That is more than a step holds: count ${what.toLowerCase()} again.`)
const text = z
  .string({ error: 'Say it in a few words.' })
  .trim()
  .max(500, 'Say it in at most 500 characters.')

/** Reads what a station sends, asks who sends it, and does it. */
async function handle<S extends z.ZodType<{ stepId: string; formKey: string }>>(
  schema: S,
  form: FormData,
  work: (value: z.output<S>, by: { id: string; name: string }) => Promise<Result<Reported>>,
  done: string,
): Promise<FormAnswer> {
  const person = await personWith('floor.report')
  if (!person.ok) return person
  const read = readForm(schema, form)
  if (!read.ok) return read.answer
  const { id, name } = person.value
  const result = await work(read.value, { id, name })
  revalidatePath('/floor', 'layout')
  if (!result.ok) return result
  return { ok: true, message: [done, result.value.caution].filter(Boolean).join(' ') }
}
const now = () => instantOf(new Date())

export const start = async (_before: FormAnswer | null, form: FormData): Promise<FormAnswer> =>
  handle(
    report.extend({ stationId: z.uuid({ error: 'Choose the station where it starts.' }) }),
    form,
    (v, by) => startStep({ ...v, by, now: now() }),
    'Started.',
  )

export const pause = async (_before: FormAnswer | null, form: FormData): Promise<FormAnswer> =>
  handle(
    report.extend({ note: text }),
    form,
    (v, by) => pauseStep({ ...v, reason: v.note, by, now: now() }),
    'Paused.',
  )

export const resume = async (_before: FormAnswer | null, form: FormData): Promise<FormAnswer> =>
  handle(report, form, (v, by) => resumeStep({ ...v, by, now: now() }), 'It goes on.')

export const finish = async (_before: FormAnswer | null, form: FormData): Promise<FormAnswer> =>
  handle(
    report.extend({ good: count('Good pieces') }),
    form,
    (v, by) => finishStep({ ...v, by, now: now() }),
    'Counted.',
  )

export const misprint = async (_before: FormAnswer | null, form: FormData): Promise<FormAnswer> =>
  handle(
    report.extend({
      itemId: z.uuid({ error: 'Choose the size that was spoiled.' }),
      quantity: count('Spoiled pieces'),
      reason: z.enum(MISPRINT_REASONS, { error: 'Choose what went wrong.' }),
      note: text.default(''),
    }),
    form,
    (v, by) => reportMisprint({ ...v, by, now: now() }),
    'Misprint counted.',
  )

/** Makes a new plan on request: after hours, stations or promises were changed. */
export async function planAnew(): Promise<FormAnswer> {
  const person = await personWith('floor.plan')
  if (!person.ok) return person
  const made = await replan(`${person.value.name} asked for a new plan`, now())
  revalidatePath('/floor', 'layout')
  return made.ok ? { ok: true, message: 'The plan is new.' } : made
}
