import { Bars } from '@/app/parts/bars'
import { DataTable } from '@/app/parts/data-table'
import { Mix } from '@/app/parts/mix'
import { Scatter } from '@/app/parts/scatter'
import { Section } from '@/app/parts/section'
import type { OrderMargin } from '@/lib/books/margin'
import type { Group, MonthReport } from '@/lib/books/month'
import { standOut } from '@/lib/books/stand-out'
import { type methodMix, methodWords } from '@/lib/books/store'
import { METHODS } from '@/lib/shop/methods'
import { type Minor, minor } from '@/lib/units/money'
import { formatMonth } from '@/lib/units/time'
import { ORDER } from './month-order'
import { money } from './show'

/** Customers that have a bar of their own. */
const CUSTOMERS = 12
/** Orders that have a dot. */
const DOTS = 200

/** The largest orders and all that are named: more dots than this are a cloud that nobody reads. */
function toDraw(rows: readonly OrderMargin[], named: ReadonlySet<number>): readonly OrderMargin[] {
  if (rows.length <= DOTS) return rows
  const largest = [...rows].sort((a, b) => b.revenue - a.revenue).slice(0, DOTS)
  return [...largest, ...rows.filter(r => named.has(r.number) && !largest.includes(r))]
}

const ordersOf = (g: Group): string => `${g.orders} ${g.orders === 1 ? 'order' : 'orders'}`

/** Each order a dot, so that losses and those far from the others are seen. */
export function MarginDots({ report }: { report: MonthReport }) {
  const show = (n: Minor) => money(n, report.currency)
  const named = standOut(report.rows)
  const drawn = toDraw(report.rows, named)
  return (
    <Section title="Margin against revenue">
      <Scatter
        title={`${drawn.length < report.rows.length ? `The ${drawn.length} largest orders` : 'Each dot an order'}; named are losses and those far from the month’s mean`}
        xLabel="Revenue"
        yLabel="Margin"
        formatX={n => show(minor(Math.round(n)))}
        formatY={n => show(minor(Math.round(n)))}
        dots={drawn.map(r => ({
          key: String(r.number),
          x: r.revenue,
          y: r.margin,
          name: `${r.number} ${r.customer}`,
          href: `/office/orders/${r.number}`,
          named: named.has(r.number),
          ...(r.margin < 0 ? { tone: 'late' as const } : {}),
        }))}
      />
      <details>
        <summary>The same as a table</summary>
        <DataTable
          caption="Revenue and margin of each order drawn"
          quietCaption
          rows={drawn}
          rowKey={r => String(r.number)}
          mark={r => (r.margin < 0 ? 'late' : undefined)}
          columns={[
            ORDER,
            { key: 'revenue', head: 'Revenue', numeric: true, cell: r => show(r.revenue) },
            { key: 'margin', head: 'Margin', numeric: true, cell: r => show(r.margin) },
          ]}
        />
      </details>
    </Section>
  )
}

/** Whose orders brought most. */
export function ByCustomer({ report }: { report: MonthReport }) {
  const show = (n: Minor) => money(n, report.currency)
  return (
    <Section title="By customer">
      <Bars
        title="Margin, the best first"
        items={report.byCustomer.slice(0, CUSTOMERS).map(g => ({
          key: g.key,
          label: (
            <>
              {g.name} <small>{ordersOf(g)}</small>
            </>
          ),
          value: g.margin,
          shown: show(g.margin),
          ...(g.margin < 0 ? { tone: 'late' as const } : {}),
        }))}
      />
      {report.byCustomer.length > CUSTOMERS && (
        <p>
          The other {report.byCustomer.length - CUSTOMERS} brought{' '}
          {show(minor(report.byCustomer.slice(CUSTOMERS).reduce((a, g) => a + g.margin, 0)))} together.
        </p>
      )}
    </Section>
  )
}

/** How much of the revenue each method brought, this month and before. */
export function MethodsOverMonths({
  mix,
  currency,
}: {
  mix: Awaited<ReturnType<typeof methodMix>>
  currency: string
}) {
  const show = (n: Minor) => money(n, currency)
  return (
    <Section title="Methods over the months">
      <Mix
        title="Revenue by method"
        parts={METHODS.map(m => methodWords(m, true))}
        scaled
        rows={mix.map(m => ({
          key: m.month,
          label: formatMonth(m.month),
          values: METHODS.map(id => Math.max(0, m.revenue.get(id) ?? 0)),
          shown: show(minor([...m.revenue.values()].reduce((a, n) => a + n, 0))),
        }))}
      />
      <details>
        <summary>The same in money</summary>
        <DataTable
          caption="Revenue of each month by method"
          quietCaption
          rows={mix}
          rowKey={m => m.month}
          columns={[
            { key: 'month', head: 'Month', rowHead: true, cell: m => formatMonth(m.month) },
            ...METHODS.map(id => ({
              key: id,
              head: methodWords(id, true),
              numeric: true,
              cell: (m: (typeof mix)[number]) => show(m.revenue.get(id) ?? minor(0)),
            })),
            {
              key: 'all',
              head: 'All',
              numeric: true,
              cell: m => show(minor([...m.revenue.values()].reduce((a, n) => a + n, 0))),
            },
          ]}
        />
      </details>
    </Section>
  )
}
