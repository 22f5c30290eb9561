import * as z from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { takeBackReport } from '@/lib/floor/counter/store'
import { type ReportKind, saidSizes } from '@/lib/floor/kept'
import { MISPRINT_REASONS } from '@/lib/floor/misprint'
import {
  finishStep,
  pauseStep,
  type Reported,
  reportMisprint,
  resumeStep,
  startStep,
} from '@/lib/floor/store'
import type { Person } from '@/lib/server/people'
import { keepPhoto } from '@/lib/server/photo'
import { formKey } from '@/lib/units/form-fields'
import type { Result } from '@/lib/units/result'
import { type Instant, instantOf } from '@/lib/units/time'

const report = z.object({
  stepId: z.uuid({ error: 'This step is not known here: open the board and look what is next.' }),
  formKey,
  at: z.coerce
    .number()
    .int()
    .min(0)
    .optional()
    .transform(t => t as Instant | undefined),
})
const count = (what: string) =>
  z.coerce
    .number({ error: `${what} are a whole number: type how many.` })
    .int(`${what} are a whole number: type how many.`)
    .min(0, `${what} are 0 or more: type how many.`)
    .max(1_000_000, `That is more than a step holds: count ${what.toLowerCase()} again.`)
/** What the screen knew is a hint, never a reason to refuse a report. */
const seen = z.coerce.number().int().min(0).optional().catch(undefined)
const text = z
  .string({ error: 'Say it in a few words.' })
  .trim()
  .max(500, 'Say it in at most 500 characters.')

type By = Pick<Person, 'id' | 'name'>
/** An answer to a report. `caution` is the part of its message that somebody has to know even if the form is long gone. */
export type ReportAnswer = FormAnswer & { code?: string; caution?: string }

/** Reads one kind of report, and does it. */
const kind =
  <S extends z.ZodType>(
    schema: S,
    work: (
      value: z.output<S>,
      by: By,
      now: Instant,
      fields: Record<string, string>,
      photo: Blob | null,
    ) => Promise<Result<Reported>> | Result<Reported>,
    done: string,
  ) =>
  async (fields: Record<string, string>, photo: Blob | null, by: By): Promise<ReportAnswer> => {
    const read = readForm(schema, fields)
    if (!read.ok) return read.answer
    const result = await work(read.value, by, instantOf(new Date()), fields, photo)
    if (!result.ok) return result
    const { note, caution } = result.value
    return {
      ok: true,
      message: [done, note, caution].filter(Boolean).join(' '),
      ...(caution ? { caution } : {}),
    }
  }

/** What a station can report, by kind: fields as text, a photo where there is one. */
export const takeReport: Record<
  ReportKind,
  (fields: Record<string, string>, photo: Blob | null, by: By) => Promise<ReportAnswer>
> = {
  start: kind(
    report.extend({
      stationId: z.uuid({ error: 'Choose the station where it starts.' }),
      checks: z.string().max(200).default(''),
    }),
    (v, by, now) => startStep({ ...v, checks: v.checks.split(',').filter(Boolean), by, now }),
    'Started.',
  ),
  pause: kind(
    report.extend({ note: text }),
    (v, by, now) => pauseStep({ ...v, reason: v.note, by, now }),
    'Paused.',
  ),
  resume: kind(report, (v, by, now) => resumeStep({ ...v, by, now }), 'It goes on.'),
  finish: kind(
    report.extend({ good: count('Good pieces'), seen }),
    (v, by, now, fields) => finishStep({ ...v, sizes: saidSizes(fields) ?? undefined, by, now }),
    'Counted.',
  ),
  misprint: kind(
    report.extend({
      itemId: z.uuid({ error: 'Choose the size that was spoiled.' }),
      quantity: count('Spoiled pieces'),
      reason: z.enum(MISPRINT_REASONS, { error: 'Choose what went wrong.' }),
      note: text.default(''),
      seen,
    }),
    async (v, by, now, _fields, photo) => {
      if (!photo) return reportMisprint({ ...v, by, now })
      const kept = await keepPhoto(photo)
      return kept.ok ? reportMisprint({ ...v, photo: kept.value, by, now }) : kept
    },
    'Misprint counted.',
  ),
  undo: kind(
    report.extend({
      reportId: z.uuid({ error: 'Choose the report that is wrong.' }),
      why: text.min(1, 'Say in a word what was wrong with it.'),
    }),
    (v, by, now) => takeBackReport({ ...v, by, now }),
    'Taken back.',
  ),
}
