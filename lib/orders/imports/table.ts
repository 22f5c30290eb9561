import { CsvError, parse } from 'csv-parse/sync'
import { z } from 'zod'
import { ok, type Result, refuse } from '@/lib/units/result'

/** A table as it came: its heads, and each row with the line of the file on which it ends. */
export type Table = { head: string[]; rows: { line: number; cells: string[] }[] }

/** Largest file, letters; most rows. A shop's whole list of customers is well below both. */
export const MOST_LETTERS = 900_000
export const MOST_ROWS = 5_000

/** The sign between cells: whichever of comma, semicolon and tab stands most often on the first line, outside quotes. */
function separatorOf(text: string): string {
  const first = (text.split(/\r?\n/).find(line => line.trim()) ?? '').replace(/"[^"]*"/g, '')
  const count = (sign: string) => first.split(sign).length
  return [',', ';', '\t'].reduce((best, sign) => (count(sign) > count(best) ? sign : best))
}

/** A CSV file (RFC 4180; semicolons and tabs too, as spreadsheets write them) as a table. Empty rows are left out. */
export function readTable(text: string): Result<Table> {
  if (text.length > MOST_LETTERS)
    return refuse('too-big', 'The file is over 900 kB: take it in in parts.', 'file')
  if (text.includes('\0'))
    return refuse('not-text', 'This is not a CSV file: save the table as CSV, then choose it again.', 'file')
  try {
    const records = parse(text, {
      bom: true,
      delimiter: separatorOf(text.replace(/^\ufeff/, '')),
      relax_column_count: true,
      skip_empty_lines: true,
      skip_records_with_empty_values: true,
      trim: true,
      info: true,
    }) as unknown as { record: string[]; info: { lines: number } }[]
    const [first, ...rest] = records
    if (!first || rest.length === 0)
      return refuse('empty', 'There is no row below the heads: the first row names the columns.', 'file')
    if (rest.length > MOST_ROWS)
      return refuse(
        'too-many',
        `${rest.length} rows are more than ${MOST_ROWS}: take the file in in parts.`,
        'file',
      )
    return ok({
      head: first.record,
      rows: rest.map(({ record, info }) => ({ line: info.lines, cells: record })),
    })
  } catch (error) {
    if (!(error instanceof CsvError)) throw error
    const line = typeof error.lines === 'number' ? ` near line ${error.lines}` : ''
    return refuse(
      'not-csv',
      `The file cannot be read as CSV${line}: a quotation mark may be open there. Mend it, then choose the file again.`,
      'file',
    )
  }
}

/** A value that a row can bring, and by which heads it is known, in small letters. */
export type Column = { key: string; label: string; needed?: true; heads: readonly string[] }
/** Which column of the file fills which value: its place, or null for none. */
export type Matching = Record<string, number | null>

const plain = (text: string) =>
  text
    .normalize('NFKD')
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim()
    .toLowerCase()

/** The columns of a file that are known by their heads. Each is taken once. */
export function guessMatching(head: readonly string[], columns: readonly Column[]): Matching {
  const free = new Map(head.map((h, i) => [i, plain(h)]))
  const matching: Matching = {}
  for (const c of columns) {
    const names = [c.key, c.label, ...c.heads].map(plain)
    const found = [...free].find(([, h]) => names.includes(h))
    matching[c.key] = found?.[0] ?? null
    if (found) free.delete(found[0])
  }
  return matching
}

/** Why a matching cannot be used, or null: a needed value has no column, or two values have one. */
export function refuseMatching(matching: Matching, columns: readonly Column[], head: readonly string[]) {
  for (const c of columns)
    if (c.needed && (matching[c.key] ?? null) === null)
      return refuse(
        'column',
        `${c.label} has no column yet: choose which column holds it.`,
        `column.${c.key}`,
      )
  const used = new Map<number, string>()
  for (const c of columns) {
    const at = matching[c.key] ?? null
    if (at === null) continue
    if (at < 0 || at >= head.length)
      return refuse(
        'column',
        `The file has no such column: choose another for ${c.label}.`,
        `column.${c.key}`,
      )
    const other = used.get(at)
    if (other)
      return refuse(
        'column',
        `${other} and ${c.label} have the same column: choose one each.`,
        `column.${c.key}`,
      )
    used.set(at, c.label)
  }
  return null
}

/** The cells of a row by what they fill; what has no column is left out. */
export function cellsBy(cells: readonly string[], matching: Matching): Record<string, string> {
  const found: Record<string, string> = {}
  for (const [key, at] of Object.entries(matching)) if (at !== null) found[key] = (cells[at] ?? '').trim()
  return found
}

/** A row that cannot be taken in, and why: a sentence that names the value. */
export type RowError = { line: number; message: string }

/** What one row would do. */
export type Change<New, Edit> =
  | { line: number; kind: 'new'; name: string; value: New }
  | { line: number; kind: 'change'; name: string; value: Edit; words: string[] }
  | { line: number; kind: 'same'; name: string }

/** What a whole file would do. */
export type ImportPlan<New, Edit> = { changes: Change<New, Edit>[]; errors: RowError[] }

/** How many rows are new, change something, change nothing, and cannot be taken in. */
export const countPlan = ({ changes, errors }: ImportPlan<unknown, unknown>) => ({
  fresh: changes.filter(c => c.kind === 'new').length,
  changed: changes.filter(c => c.kind === 'change').length,
  same: changes.filter(c => c.kind === 'same').length,
  wrong: errors.length,
})

/** A plan as one text: two that do the same have the same. */
export const planText = (plan: ImportPlan<unknown, unknown>): string =>
  JSON.stringify([plan.changes.filter(c => c.kind !== 'same'), plan.errors])

const matchingSchema = z.record(z.string().max(40), z.int().min(0).max(999).nullable())
/** What a browser sends of a file: its text, and the matching that a person chose; null takes the guess. */
export const importInput = z.object({
  text: z
    .string({ error: 'The file has no text: choose it again.' })
    .max(MOST_LETTERS + 1, 'The file is over 900 kB: take it in in parts.'),
  matching: matchingSchema.nullable(),
  seen: z.string().max(64).default(''),
})
export type ImportInput = z.input<typeof importInput>
