import { stringify } from 'csv-stringify/sync'
import { readNumber } from '@/app/number-in-address'
import { personWith } from '@/lib/server/session'
import { findCount } from '@/lib/stock/counts/store'
import { typedAmount } from '@/lib/stock/items'

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
