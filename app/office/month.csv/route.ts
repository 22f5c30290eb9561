import { monthCsv } from '@/lib/books/month-csv'
import { methodWords, monthReport } from '@/lib/books/store'
import { personWith } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { dayOf } from '@/lib/units/time'
import { monthForFile } from '../asked-month'

/** The month's table as a CSV file. */
export async function GET(request: Request): Promise<Response> {
  const person = await personWith('books.see')
  if (!person.ok)
    return new Response(`${person.message}\n`, { status: person.code === 'signed-out' ? 401 : 403 })
  const month = await monthForFile(request, 'month end')
  if (month instanceof Response) return month
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
