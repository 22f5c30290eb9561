import { takeReport } from '@/app/floor/take-report'
import { fieldsOf } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { REPORT_KINDS } from '@/lib/floor/kept'
import { fromOwnPage } from '@/lib/server/origin'
import { MOST_PHOTO_BYTES } from '@/lib/server/photo'
import { personWith } from '@/lib/server/session'
import { refuse } from '@/lib/units/result'

/** A photo and the fields beside it. */
const MOST_BYTES = MOST_PHOTO_BYTES + 256 * 1024

const answer = (said: FormAnswer, status = 200) =>
  Response.json(said, { status, headers: { 'Cache-Control': 'no-store' } })

/**
 * Takes one report of a station: a form with `kind`, `stepId`, `formKey` (made by the page, counted once), `by` (who made it) and what
 * the kind wants. Answers { ok, message } with 200; 401 and 403 where the person may not, 413 where the photo is too large.
 */
export async function POST(request: Request) {
  const person = await personWith('floor.report')
  if (!person.ok) return answer(person, person.code === 'signed-out' ? 401 : 403)
  if (!fromOwnPage(request))
    return answer(refuse('foreign', 'Reports are sent from the station’s own page.'), 403)
  const bytes = Number(request.headers.get('content-length') ?? Number.NaN)
  if (!(bytes <= MOST_BYTES))
    return answer(
      refuse('too-big', 'The photo is over 8 MB: take it smaller, or report without it.', 'photo'),
      413,
    )
  const form = await request.formData().catch(() => null)
  if (!form) return answer(refuse('cut-short', 'The report did not arrive whole: send it again.'), 400)
  const fields = fieldsOf(form)
  if (fields.by && fields.by !== person.value.id)
    return answer(
      refuse('other-person', `This was reported under another name: sign in as that person to send it.`),
    )
  const kind = REPORT_KINDS.find(k => k === fields.kind)
  if (!kind) return answer(refuse('kind', 'This report is of no known kind: load the page again.'), 400)
  const photo = form.get('photo')
  const { id, name } = person.value
  return answer(
    await takeReport[kind](fields, photo instanceof Blob && photo.size > 0 ? photo : null, { id, name }),
  )
}
