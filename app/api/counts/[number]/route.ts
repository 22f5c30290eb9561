import { readNumber } from '@/app/number-in-address'
import { fromOwnPage } from '@/lib/server/origin'
import { personWith } from '@/lib/server/session'
import { CSV_MOST } from '@/lib/stock/counts'
import { importCounts } from '@/lib/stock/counts/store'
import { instantOf } from '@/lib/units/time'
import { bodyText } from '../../body-text'

/**
 * Takes a file of counts as the body. `?bad=skip` takes the good rows of it, `?bad=nothing` none while one is bad.
 * It lies below /api because what passes through proxy.ts is cut off, silently, after 10 MB.
 */
export async function POST(request: Request, { params }: { params: Promise<{ number: string }> }) {
  const answer = (body: object, status = 200) => Response.json(body, { status })
  if (!fromOwnPage(request)) return answer({ ok: false, message: 'This came from another site.' }, 403)
  const person = await personWith('stock.move')
  if (!person.ok) return answer({ ok: false, message: person.message }, 403)
  const number = readNumber((await params).number)
  if (number === null) return answer({ ok: false, message: 'There is no such count.' }, 404)
  const text = await bodyText(request, CSV_MOST)
  if (text === null)
    return answer({ ok: false, message: 'This file is larger than 20 MB: send it in parts.' }, 413)
  const bad = new URL(request.url).searchParams.get('bad') === 'nothing' ? 'nothing' : 'skip'
  const done = await importCounts(number, text, bad, person.value, instantOf(new Date()))
  return done.ok ? answer({ ok: true, ...done.value }) : answer({ ok: false, message: done.message }, 422)
}
