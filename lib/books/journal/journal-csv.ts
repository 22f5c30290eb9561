import { minor } from '@/lib/units/money'
import { type Cell, csv, decimal } from '../csv'
import type { Chart, Journal } from './journal'

/**
 * The journal as CSV, one row for each line: amounts are plain decimals of the shop's currency, in the column of their side. Lines of one
 * entry share its number. What people typed cannot become a formula.
 */
export function journalCsv(journal: Journal, chart: Chart, currency: string): string {
  const heads = [
    'entry',
    'day',
    'document',
    'text',
    'account',
    'account name',
    `debit ${currency}`,
    `credit ${currency}`,
    'order',
    'customer',
  ]
  const rows = journal.entries.flatMap((e, i) =>
    e.lines.map((l): Cell[] => [
      i + 1,
      e.day,
      e.document,
      e.words,
      chart[l.account].number,
      chart[l.account].name,
      l.amount > 0 ? decimal(l.amount, currency) : '',
      l.amount < 0 ? decimal(minor(-l.amount), currency) : '',
      e.order ?? '',
      e.customer,
    ]),
  )
  return csv(heads, rows, [2, 3, 4, 5, 9])
}
