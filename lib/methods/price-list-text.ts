import { type Minor, parseMoney } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'

/** A row of a price list: from so many pieces, so much for one print on one piece. */
type ListRow = { from: number; each: Minor }

/**
 * Reads the rows of a price list as typed or pasted: one on each line, pieces and then the price, parted by a space, a tab, a semicolon
 * or a colon. Empty lines are left out. Refused with the row named, counted as it stands.
 */
export function readListRows(text: string, currency: string): Result<ListRow[]> {
  const rows: ListRow[] = []
  for (const [i, line] of text.split('\n').entries()) {
    const typed = line.trim()
    if (!typed) continue
    const bad = (message: string) =>
      refuse('price-list', `Row ${i + 1}, “${typed.slice(0, 40)}”: ${message}`, 'rows')
    const m = /^(?:from\s+)?(\S+?)\s*(?:[;:\t]\s*|\s+)(.+)$/i.exec(typed)
    if (!m?.[1] || !m[2]) return bad('type the pieces, then the price of one, like 50 1.90.')
    const from = Number(m[1])
    if (!/^\d{1,7}$/.test(m[1]) || from < 1 || from > 1_000_000)
      return bad(`“${m[1].slice(0, 20)}” is not a number of pieces from 1 to 1,000,000.`)
    const price = parseMoney(m[2], currency)
    if (!price.ok) return bad(price.message)
    if (price.value < 0) return bad('a price is not below 0.')
    const before = rows.at(-1)
    if (before && from <= before.from)
      return bad(`it starts at ${from} pieces, the row above at ${before.from}: rows go up.`)
    rows.push({ from, each: price.value })
  }
  if (rows.length === 0)
    return refuse('price-list', 'A price list has at least one row: type it like 50 1.90.', 'rows')
  if (rows.length > 50)
    return refuse('price-list', `A price list has at most 50 rows; this has ${rows.length}.`, 'rows')
  return ok(rows)
}
