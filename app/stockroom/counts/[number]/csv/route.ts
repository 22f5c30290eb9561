import { stringify } from 'csv-stringify/sync'
import { readNumber } from '@/app/number-in-address'
import { fromOwnPage } from '@/lib/server/origin'
import { personWith } from '@/lib/server/session'
import { CSV_MOST } from '@/lib/stock/counts'
import { findCount, importCounts } from '@/lib/stock/counts/store'
import { typedAmount } from '@/lib/stock/items'
import { instantOf } from '@/lib/units/time'

type Context = { params: Promise<{ number: string }> }

/** The list of a count as CSV: filled in a spreadsheet, it is read in again. */
export async function GET(_request: Request, { params }: Context) {
  const person = await personWith('stock.see')
  if (!person.ok) return new Response(person.message, { status: 403 })
  const number = readNumber((await params).number)
  const found = number !== null ? await findCount(number, { size: 200_000 }) : null
  if (!found) return new Response('There is no such count: choose one from the list.', { status: 404 })
  const { count, lines } = found
  const rows = lines.map(l => [
    l.sku,
    l.name,
    l.found === null ? '' : typedAmount(l.found, l.unit),
    // Whoever counts blind does not read it in the file either.
    ...(count.blind && count.state === 'open' ? [] : [typedAmountOf(l.bookHad ?? l.onHand, l.unit)]),
    l.countedBy,
  ])
  const heads = ['sku', 'name', 'found', ...(count.blind && count.state === 'open' ? [] : ['book']), 'by']
  // Texts that people typed are marked, so that no spreadsheet takes one for a formula.
  const csv = stringify([heads, ...rows], { bom: true, record_delimiter: 'windows', escape_formulas: true })
  return new Response(csv, {
    headers: {
      'Content-Type': 'text/csv; charset=utf-8',
      'Content-Disposition': `attachment; filename="count-${count.number}.csv"`,
      'Cache-Control': 'private, no-store',
    },
  })
}

const typedAmountOf = (n: number, unit: Parameters<typeof typedAmount>[1]) =>
  n < 0 ? `-${typedAmount(-n, unit)}` : typedAmount(n, unit)

/** A file of counts. `?bad=skip` takes the good rows of it, `?bad=nothing` none while one is bad. */
export async function POST(request: Request, { params }: Context) {
  const answer = (body: object, status = 200) => Response.json(body, { status })
  if (!fromOwnPage(request)) return answer({ ok: false, message: 'This came from another site.' }, 403)
  const person = await personWith('stock.move')
  if (!person.ok) return answer({ ok: false, message: person.message }, 403)
  const number = readNumber((await params).number)
  if (number === null) return answer({ ok: false, message: 'There is no such count.' }, 404)
  if (Number(request.headers.get('content-length') ?? 0) > CSV_MOST)
    return answer({ ok: false, message: 'This file is larger than 20 MB: send it in parts.' }, 413)
  const bad = new URL(request.url).searchParams.get('bad') === 'nothing' ? 'nothing' : 'skip'
  const done = await importCounts(number, await request.text(), bad, person.value, instantOf(new Date()))
  return done.ok ? answer({ ok: true, ...done.value }) : answer({ ok: false, message: done.message }, 422)
}
