import { journalCsv } from '@/lib/books/journal/journal-csv'
import { chart, journal } from '@/lib/books/journal/store'
import { personWith } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { monthForFile } from '../asked-month'

/** The journal of a month as a CSV file for the book-keeper. */
export async function GET(request: Request): Promise<Response> {
  const person = await personWith('books.see')
  if (!person.ok)
    return new Response(`${person.message}\n`, { status: person.code === 'signed-out' ? 401 : 403 })
  const month = await monthForFile(request, 'journal')
  if (month instanceof Response) return month
  const [{ currency }, accounts, written] = await Promise.all([shop(), chart(), journal(month)])
  return new Response(journalCsv(written.journal, accounts, currency), {
    headers: {
      'content-type': 'text/csv; charset=utf-8',
      'content-disposition': `attachment; filename="journal-${month}.csv"`,
      'cache-control': 'no-store',
    },
  })
}
