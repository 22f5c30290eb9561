import { journalCsv } from '@/lib/books/journal/journal-csv'
import { chart, journal } from '@/lib/books/journal/store'
import { personWith } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { instantOf } from '@/lib/units/time'
import { askedMonth } from '../asked-month'

/** The journal of a month as a CSV file for the book-keeper. */
export async function GET(request: Request): Promise<Response> {
  const person = await personWith('books.see')
  if (!person.ok)
    return new Response(`${person.message}\n`, { status: person.code === 'signed-out' ? 401 : 403 })
  const { month, unknown } = await askedMonth(
    new URL(request.url).searchParams.get('month'),
    instantOf(new Date()),
  )
  if (unknown)
    return new Response('The shop has no books of this month: choose one on the journal page.\n', {
      status: 404,
    })
  const [{ currency }, accounts, written] = await Promise.all([shop(), chart(), journal(month)])
  return new Response(journalCsv(written.journal, accounts, currency), {
    headers: {
      'content-type': 'text/csv; charset=utf-8',
      'content-disposition': `attachment; filename="journal-${month}.csv"`,
      'cache-control': 'no-store',
    },
  })
}
