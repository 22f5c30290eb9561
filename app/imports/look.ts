import {
  type Change,
  type Column,
  countPlan,
  guessMatching,
  type ImportInput,
  type ImportPlan,
  importInput,
  type Matching,
  type RowError,
  readTable,
  refuseMatching,
  type Table,
} from '@/lib/orders/imports/table'
import type { Refusal, Result } from '@/lib/units/result'

/** What a file would do, as it is shown before it is taken in. */
export type Look =
  | {
      ok: true
      head: string[]
      /** The first rows, to see which column holds what. */
      first: string[][]
      matching: Matching
      /** Why it cannot be taken in with this matching; null where it can. */
      no: Refusal | null
      counts: ReturnType<typeof countPlan>
      /** The first of each kind. */
      fresh: { line: number; name: string }[]
      changed: { line: number; name: string; words: string[] }[]
      errors: RowError[]
      seen: string
    }
  | Refusal

/** Most rows of a kind that are listed. */
const LISTED = 100

/** A file and its matching, read; the plan is for the caller to make. */
export function readImport(
  sent: ImportInput,
  columns: readonly Column[],
): Result<{ table: Table; matching: Matching; no: Refusal | null; seen: string }> {
  const read = importInput.safeParse(sent)
  if (!read.success)
    return { ok: false, code: 'file', message: read.error.issues[0]?.message ?? 'Choose the file again.' }
  const table = readTable(read.data.text)
  if (!table.ok) return table
  const known = new Set(columns.map(c => c.key))
  const matching = read.data.matching
    ? Object.fromEntries(Object.entries(read.data.matching).filter(([key]) => known.has(key)))
    : guessMatching(table.value.head, columns)
  return {
    ok: true,
    value: {
      table: table.value,
      matching,
      no: refuseMatching(matching, columns, table.value.head),
      seen: read.data.seen,
    },
  }
}

/** A plan as it is shown. @param mark of the plan, by which it is known again */
export function lookAt(
  { head, rows }: Table,
  matching: Matching,
  no: Refusal | null,
  plan: ImportPlan<unknown, unknown>,
  mark: string,
): Look {
  const of = <K extends Change<unknown, unknown>['kind']>(kind: K) =>
    plan.changes.filter((c): c is Extract<Change<unknown, unknown>, { kind: K }> => c.kind === kind)
  return {
    ok: true,
    head,
    first: rows.slice(0, 3).map(r => r.cells),
    matching,
    no,
    counts: countPlan(plan),
    fresh: of('new')
      .slice(0, LISTED)
      .map(({ line, name }) => ({ line, name })),
    changed: of('change')
      .slice(0, LISTED)
      .map(({ line, name, words }) => ({ line, name, words })),
    errors: plan.errors.slice(0, LISTED),
    seen: mark,
  }
}

/** What was done, in a sentence. */
export function doneWords(
  { fresh, changed, same, wrong }: ReturnType<typeof countPlan>,
  what: string,
): string {
  const parts = [`${fresh} new`, `${changed} changed`, `${same} as they were`]
  if (wrong) parts.push(`${wrong} left out`)
  return `Taken in: ${what}, ${parts.join(', ')}.`
}
