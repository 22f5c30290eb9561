import { type Minor, parseMoney } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'

/** A row of a price list: from so many pieces, so much for one print on one piece. */
type ListRow = { from: number; each: Minor }

/** Most broken rows that are told at once. */
const MOST_TOLD = 5

/**
 * Reads the rows of a price list as typed or pasted: one on each line, pieces and then the price, parted by a space, a tab, a semicolon
 * or a colon. Empty lines are left out. Refused with one sentence for each broken row, counted as it stands.
 */
export function readListRows(text: string, currency: string): Result<ListRow[]> {
  const rows: ListRow[] = []
  const broken: string[] = []
  for (const [i, line] of text.split('\n').entries()) {
    const typed = line.trim()
    if (!typed) continue
    const read = readRow(typed, currency)
    const before = rows.at(-1)
    const fault =
      typeof read === 'string'
        ? read
        : before && read.from <= before.from
          ? `it starts at ${read.from} pieces, the row above at ${before.from}: rows go up.`
          : null
    if (fault !== null) broken.push(`Row ${i + 1}, “${typed.slice(0, 40)}”: ${fault}`)
    else if (typeof read !== 'string') rows.push(read)
  }
  if (broken.length > 0) {
    const more = broken.length - MOST_TOLD
    const told = broken.slice(0, MOST_TOLD)
    if (more > 0) told.push(`And ${more} more ${more === 1 ? 'row' : 'rows'}.`)
    return refuse('price-list', told.join(' '), 'rows')
  }
  if (rows.length === 0)
    return refuse('price-list', 'A price list has at least one row: type it like 50 1.90.', 'rows')
  if (rows.length > 50)
    return refuse('price-list', `A price list has at most 50 rows; this has ${rows.length}.`, 'rows')
  return ok(rows)
}

/** One row, or what is wrong with it. */
function readRow(typed: string, currency: string): ListRow | string {
  const m = /^(?:from\s+)?(\S+?)\s*(?:[;:\t]\s*|\s+)(.+)$/i.exec(typed)
  if (!m?.[1] || !m[2]) return 'type the pieces, then the price of one, like 50 1.90.'
  const from = Number(m[1])
  if (!/^\d{1,7}$/.test(m[1]) || from < 1 || from > 1_000_000)
    return `“${m[1].slice(0, 20)}” is not a number of pieces from 1 to 1,000,000.`
  const price = parseMoney(m[2], currency)
  if (!price.ok) return price.message
  return price.value < 0 ? 'a price is not below 0.' : { from, each: price.value }
}
