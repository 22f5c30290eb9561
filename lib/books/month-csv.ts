import { formatMonth, type Instant } from '@/lib/units/time'
import { type Cell, csv, decimal } from './csv'
import { COST_WORDS, COSTS, type Margin } from './margin'
import type { MonthReport } from './month'

/**
 * The table of the month as it stands on the page: one line for each order, one for each late entry, and the total, which
 * is the sum of the lines above it. Amounts are plain decimals of the shop's currency; times are hours.
 * @param dayOf writes an instant as a day of the shop: 2026-05-14
 */
export function monthCsv(
  report: MonthReport,
  dayOf: (at: Instant) => string,
  methodWords: (method: string | null) => string,
): string {
  const { currency } = report
  const money = (m: Margin): Cell[] => [
    decimal(m.revenue, currency),
    ...COSTS.map(c => decimal(m.costs[c], currency)),
    decimal(m.cost, currency),
    decimal(m.margin, currency),
    (m.labourSeconds / 3600).toFixed(2),
    (m.machineSeconds / 3600).toFixed(2),
  ]
  const heads = [
    'order',
    'handed over',
    'customer',
    'title',
    'method',
    'pieces',
    `revenue ${currency}`,
    ...COSTS.map(c => `${COST_WORDS[c].toLowerCase()} ${currency}`),
    `cost ${currency}`,
    `margin ${currency}`,
    'labour hours',
    'machine hours',
  ]
  const rows: Cell[][] = report.rows.map(r => [
    r.number,
    dayOf(r.handedOverAt),
    r.customer,
    r.title,
    methodWords(r.method),
    r.pieces,
    ...money(r),
  ])
  for (const l of report.late)
    rows.push([
      l.orderNumber,
      dayOf(l.at),
      '',
      `late entry for ${formatMonth(l.ownMonth)}`,
      '',
      0,
      decimal(0 as typeof l.amount, currency),
      ...COSTS.map(c => decimal((c === l.kind ? l.amount : 0) as typeof l.amount, currency)),
      decimal(l.amount, currency),
      decimal(-l.amount as typeof l.amount, currency),
      '0.00',
      '0.00',
    ])
  rows.push(['total', report.month, '', '', '', report.total.pieces, ...money(report.total)])
  return csv(heads, rows, [2, 3, 4])
}
