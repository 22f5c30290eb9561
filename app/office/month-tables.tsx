import { type Column, DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { StateMark } from '@/app/parts/state-mark'
import {
  COST_WORDS,
  COSTS,
  type CostKind,
  marginPerMachineHour,
  marginShare,
  type OrderMargin,
} from '@/lib/books/margin'
import type { Group, MonthReport, Tie } from '@/lib/books/month'
import { methodWords } from '@/lib/books/store'
import { columnWorking, hours, marginWorking } from '@/lib/books/working'
import { formatMicro, type Minor, minor } from '@/lib/units/money'
import { formatDay, type Instant } from '@/lib/units/time'
import { ORDER } from './month-order'
import styles from './office.module.css'
import { money, percent } from './show'

/** What the month brought, cost and left over. */
export function MonthFigures({ report }: { report: MonthReport }) {
  const { currency, total } = report
  const show = (n: Minor) => money(n, currency)
  const share = marginShare(total)
  const perHour = marginPerMachineHour(total)
  return (
    <div className={styles.figures}>
      <Figure
        label="Revenue"
        value={show(total.revenue)}
        working={columnWorking(report.byMethod, minor(0), m => m.revenue, total.revenue, currency)}
      />
      <Figure
        label="Cost"
        value={show(total.cost)}
        working={columnWorking(
          report.byMethod,
          minor(COSTS.reduce((a, c) => a + report.lateCosts[c], 0)),
          m => m.cost,
          total.cost,
          currency,
        )}
      />
      <Figure
        label="Margin"
        value={show(total.margin)}
        tone={total.margin < 0 ? 'late' : undefined}
        working={marginWorking(total, currency, 'agreed offers of the month’s orders, before tax')}
        note={share === null ? undefined : `${percent(share)} of revenue`}
      />
      {perHour !== null && (
        <Figure
          label="Margin per machine hour"
          value={show(perHour)}
          working={{
            formula: 'margin ÷ hours that machines worked on these orders',
            inputs: [
              { name: 'Margin', value: show(total.margin), from: 'measured' },
              {
                name: 'Machine time',
                value: hours(total.machineSeconds),
                from: 'measured',
                source: 'work logs',
              },
            ],
            result: show(perHour),
          }}
        />
      )}
    </div>
  )
}

/** The steps from the revenue down to the margin, each with its working. */
export function fallItems(report: MonthReport) {
  const { total, currency, byMethod, lateCosts } = report
  const show = (n: Minor) => money(n, currency)
  return [
    { key: 'revenue', label: 'Revenue', value: total.revenue, total: true, shown: show(total.revenue) },
    ...COSTS.filter(c => total.costs[c] !== 0).map(c => ({
      key: c,
      label: COST_WORDS[c],
      value: -total.costs[c],
      shown: (
        <Figure
          value={show(minor(-total.costs[c]))}
          about={`${COST_WORDS[c]} of the month`}
          working={columnWorking(byMethod, lateCosts[c], m => m.costs[c], total.costs[c], currency, c)}
        />
      ),
    })),
    {
      key: 'margin',
      label: 'Margin',
      value: total.margin,
      total: true,
      shown: (
        <Figure
          value={show(total.margin)}
          about="the month’s margin"
          working={marginWorking(total, currency, 'agreed offers of the month’s orders, before tax')}
        />
      ),
    },
  ]
}

/** The columns of the orders of a month; a cost that no order has is left out. */
/** The day without its weekday: in a table of one month it is wide enough. */
const shortDay = (at: Instant, zone: string): string => formatDay(at, zone).slice(4)

export function orderColumns(report: MonthReport, zone: string): Column<OrderMargin>[] {
  const { currency, orders, byMethod } = report
  const show = (n: Minor) => money(n, currency)
  const cost = (c: CostKind): Column<OrderMargin> => ({
    key: c,
    head: COST_WORDS[c],
    numeric: true,
    sort: r => r.costs[c],
    cell: r => (r.costs[c] === 0 ? '–' : show(r.costs[c])),
    foot: (
      <Figure
        value={show(orders.costs[c])}
        about={`${COST_WORDS[c]} of all orders`}
        working={columnWorking(byMethod, minor(0), m => m.costs[c], orders.costs[c], currency, c)}
      />
    ),
  })
  return [
    {
      ...ORDER,
      sort: r => r.number,
      foot: `${report.rows.length} orders`,
    },
    {
      key: 'day',
      head: 'Handed over',
      sort: r => r.handedOverAt,
      cell: r => shortDay(r.handedOverAt, zone),
    },
    { key: 'method', head: 'Method', sort: r => r.method, cell: r => methodWords(r.method, true) },
    {
      key: 'pieces',
      head: 'Pieces',
      numeric: true,
      sort: r => r.pieces,
      cell: r => r.pieces.toLocaleString('en'),
      foot: orders.pieces.toLocaleString('en'),
    },
    {
      key: 'revenue',
      head: 'Revenue',
      numeric: true,
      sort: r => r.revenue,
      cell: r => show(r.revenue),
      foot: show(orders.revenue),
    },
    ...COSTS.filter(c => report.rows.some(r => r.costs[c] !== 0)).map(cost),
    {
      key: 'margin',
      head: 'Margin',
      numeric: true,
      sort: r => r.margin,
      cell: r => (
        <Figure
          value={show(r.margin)}
          tone={r.margin < 0 ? 'late' : undefined}
          about={`margin of order ${r.number}`}
          working={marginWorking(r, currency)}
        />
      ),
      foot: (
        <Figure
          value={show(orders.margin)}
          about="margin of all orders"
          working={marginWorking(orders, currency, 'agreed offers of the month’s orders, before tax')}
        />
      ),
    },
    {
      key: 'share',
      head: 'Of revenue',
      numeric: true,
      sort: r => marginShare(r),
      cell: r => {
        const s = marginShare(r)
        return s === null ? '–' : percent(s)
      },
    },
  ]
}

/** Revenue and margin by method. */
export function GroupTable({
  groups,
  what,
  currency,
}: {
  groups: readonly Group[]
  what: string
  currency: string
}) {
  const show = (n: Minor) => money(n, currency)
  return (
    <DataTable
      caption={`${what}, the best margin first`}
      quietCaption
      rows={groups}
      rowKey={g => g.key}
      mark={g => (g.margin < 0 ? 'late' : undefined)}
      columns={[
        { key: 'name', head: what, rowHead: true, wrap: true, cell: g => g.name },
        { key: 'orders', head: 'Orders', numeric: true, cell: g => g.orders },
        { key: 'revenue', head: 'Revenue', numeric: true, cell: g => show(g.revenue) },
        {
          key: 'margin',
          head: 'Margin',
          numeric: true,
          cell: g => (
            <Figure
              value={show(g.margin)}
              about={`margin by ${g.name}`}
              working={marginWorking(g, currency)}
            />
          ),
        },
        {
          key: 'hour',
          head: 'A machine hour',
          numeric: true,
          cell: g => {
            const per = marginPerMachineHour(g)
            return per === null ? '–' : show(per)
          },
        },
      ]}
    />
  )
}

/** Whether the orders' sums agree with the books that they came from. */
export function Ties({ ties, currency }: { ties: readonly Tie[]; currency: string }) {
  return (
    <DataTable
      caption="The orders’ sums against the books they came from"
      rows={ties}
      rowKey={t => t.name}
      mark={t => (t.ties ? undefined : 'late')}
      columns={[
        { key: 'name', head: 'What', rowHead: true, wrap: true, cell: t => t.name },
        { key: 'orders', head: 'Orders', numeric: true, cell: t => money(t.orders, currency) },
        { key: 'book', head: 'Book', numeric: true, cell: t => formatMicro(t.book, currency) },
        {
          key: 'ties',
          head: 'Ties',
          cell: t =>
            t.ties ? (
              <StateMark state="done">
                {t.difference === 0
                  ? 'to the cent'
                  : `rounding ${formatMicro(t.difference, currency).replace('-', '−')}`}
              </StateMark>
            ) : (
              <StateMark state="late">
                off by {formatMicro(t.difference, currency).replace('-', '−')}
              </StateMark>
            ),
        },
      ]}
    />
  )
}
