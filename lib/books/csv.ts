import { stringify } from 'csv-stringify/sync'
import { currencyDigits, type Minor } from '@/lib/units/money'

/** A cell: texts may hold anything people typed; numbers and amounts are written bare. */
export type Cell = string | number | null

/**
 * A text that no spreadsheet takes for a formula: one that begins with = + − @, a tab or a line break gets an apostrophe
 * before it, as spreadsheets themselves mark text. Numbers never pass through here, so −5 stays a number.
 */
export const harmless = (text: string): string =>
  /^[\s\u00a0]*[=+\-@＝＋－＠]|^[\t\r\n]/.test(text) ? `'${text}` : text

/** An amount as a plain decimal with a point: 1234 of EUR is "12.34", of JPY "1234". */
export function decimal(amount: Minor, currency: string): string {
  const digits = currencyDigits(currency)
  const whole = String(Math.abs(amount)).padStart(digits + 1, '0')
  const body = digits ? `${whole.slice(0, -digits)}.${whole.slice(-digits)}` : whole
  return amount < 0 ? `-${body}` : body
}

/**
 * A table as CSV (RFC 4180: commas, CR LF, quotes where needed) with a byte order mark, so that spreadsheets read it as
 * UTF-8.
 * @param texts columns, counted from 0, that hold what people typed
 */
export function csv(
  heads: readonly string[],
  rows: readonly (readonly Cell[])[],
  texts: readonly number[],
): string {
  const safe = rows.map(row =>
    row.map((cell, i) => (typeof cell === 'string' && texts.includes(i) ? harmless(cell) : cell)),
  )
  return stringify([[...heads], ...safe], { bom: true, record_delimiter: 'windows' })
}
