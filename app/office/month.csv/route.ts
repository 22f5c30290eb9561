import { monthCsv } from '@/lib/books/month-csv'
import { methodWords, monthReport } from '@/lib/books/store'
import { personWith } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { dayOf, instantOf } from '@/lib/units/time'
import { askedMonth } from '../asked-month'

/** The month's table as a CSV file. */
export async function GET(request: Request): Promise<Response> {
  const person = await personWith('books.see')
  if (!person.ok)
    return new Response(`${person.message}\n`, { status: person.code === 'signed-out' ? 401 : 403 })
  const { month, unknown } = await askedMonth(
    new URL(request.url).searchParams.get('month'),
    instantOf(new Date()),
  )
  if (unknown)
    return new Response('The shop has no books of this month: choose one on the month end page.\n', {
      status: 404,
    })
  const [{ timeZone }, { report }] = await Promise.all([shop(), monthReport(month)])
  return new Response(
    monthCsv(report, at => dayOf(at, timeZone), methodWords),
    {
      headers: {
        'content-type': 'text/csv; charset=utf-8',
        'content-disposition': `attachment; filename="month-${month}.csv"`,
        'cache-control': 'no-store',
      },
    },
  )
}
