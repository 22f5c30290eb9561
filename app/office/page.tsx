import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { Bars } from '@/app/parts/bars'
import { ButtonLink } from '@/app/parts/button'
import { type Column, DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { Mix } from '@/app/parts/mix'
import { Notice } from '@/app/parts/notice'
import { OrderLink } from '@/app/parts/order-link'
import { PageHead } from '@/app/parts/page-head'
import { Pager } from '@/app/parts/pager'
import { RoomPage } from '@/app/parts/room-page'
import { Scatter } from '@/app/parts/scatter'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { Waterfall } from '@/app/parts/waterfall'
import { lateWords } from '@/lib/books/close'
import { moneyOfOrders } from '@/lib/books/invoices/store'
import {
  COST_WORDS,
  COSTS,
  type CostKind,
  marginPerMachineHour,
  marginShare,
  type OrderMargin,
} from '@/lib/books/margin'
import type { Carried, Group, MonthReport, Tie } from '@/lib/books/month'
import { standOut } from '@/lib/books/stand-out'
import { type MonthView, methodMix, methodWords, monthReport, reopenings } from '@/lib/books/store'
import { columnWorking, hours, marginWorking } from '@/lib/books/working'
import { requirePerson } from '@/lib/server/session'
import { METHODS } from '@/lib/shop/methods'
import { shop } from '@/lib/shop/store'
import {
  formatMicro,
  formatMoney,
  type Micro,
  type Minor,
  micro,
  microToMinor,
  minor,
} from '@/lib/units/money'
import {
  formatDay,
  formatLongDay,
  formatMonth,
  type Instant,
  instantOf,
  monthBounds,
  type ShopMonth,
} from '@/lib/units/time'
import { closeMonthAction, reopenMonthAction } from './actions'
import { askedMonth } from './asked-month'
import { MonthChoice } from './month-choice'
import { MonthNav } from './month-nav'
import styles from './office.module.css'
import { OfficeNav } from './office-nav'
import { money, percent } from './show'

export const metadata: Metadata = { title: 'Month end' }

/** Rows of the table on one page; totals are always of all. */
const SIZE = 100
/** Customers that have a bar of their own, and months that the mix goes back. */
const CUSTOMERS = 12
const MIX = 6
/** Orders in hand that have a row. */
const IN_HAND = 12
/** Orders that have a dot. */
const DOTS = 200

/** The column that names an order of the month, with the way to what it earned. */
const ORDER = {
  key: 'order',
  head: 'Order',
  rowHead: true,
  wrap: true,
  cell: (r: { number: number; customer: string }) => <OrderLink order={r} room="office" />,
}

/** What the month's orders really earned. */
export default async function MonthEnd({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const query = await searchParams
  const now = instantOf(new Date())
  const { month, all, unknown, present } = await askedMonth(query.month, now)
  const [{ timeZone }, { report, closed }, mix] = await Promise.all([
    shop(),
    monthReport(month),
    methodMix(month, MIX),
  ])
  const { currency, total } = report
  const bounds = monthBounds(month, timeZone)
  const owed = await moneyOfOrders(bounds.from, bounds.to)
  const show = (n: Minor) => money(n, currency)
  const share = marginShare(total)
  const named = standOut(report.rows)
  const drawn = toDraw(report.rows, named)
  const perHour = marginPerMachineHour(total)
  const toClose = all.findLast(m => m.closedAt === null && m.month < present)
  const newestClosed = all.find(m => m.closedAt !== null)?.month
  const page = Math.max(1, Math.min(Number(query.page) || 1, Math.ceil(report.rows.length / SIZE) || 1))
  const rows = report.rows.slice((page - 1) * SIZE, page * SIZE)
  return (
    <RoomPage wide>
      <OfficeNav current="/office" />
      <MonthNav month={month} current="/office" />
      <PageHead
        title={formatMonth(month)}
        mark={
          closed ? (
            <StateMark state="done">closed {formatDay(closed.at, timeZone)}</StateMark>
          ) : (
            <StateMark state="making">{month === present ? 'running' : 'open'}</StateMark>
          )
        }
        sense={
          report.rows.length === 0
            ? 'No order was handed over in it.'
            : `${report.rows.length} ${report.rows.length === 1 ? 'order' : 'orders'}, ${total.pieces.toLocaleString('en')} pieces handed over.`
        }
        more={
          <ButtonLink href={`/office/month.csv?month=${month}`} prefetch={false}>
            Download as CSV
          </ButtonLink>
        }
        next={
          toClose && toClose.month !== month ? (
            <ButtonLink look="primary" href={`/office?month=${toClose.month}`}>
              {formatMonth(toClose.month)} is still open
            </ButtonLink>
          ) : undefined
        }
      />
      <MonthChoice month={month} all={all} path="/office" />
      {unknown && (
        <Notice>The shop has no books of the month in the address: this is {formatMonth(month)}.</Notice>
      )}
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
      {report.rows.length > 0 && (
        <div className={styles.pair}>
          <Section title="From revenue to margin">
            <Waterfall
              title={<span className="aloud">Each cost a step down</span>}
              items={fallItems(report)}
            />
          </Section>
          <Section title="By method">
            <GroupTable groups={report.byMethod} what="Method" currency={currency} />
          </Section>
        </div>
      )}
      <Section title="Orders of the month">
        <DataTable
          caption={`Orders handed over in ${formatMonth(month)}; the totals are of all ${report.rows.length}`}
          quietCaption
          rows={rows}
          rowKey={r => String(r.number)}
          empty="None yet. An order stands here from the day that it is handed over."
          mark={r => (r.margin < 0 ? 'late' : undefined)}
          columns={orderColumns(report, timeZone)}
        />
        <Pager
          page={page}
          size={SIZE}
          total={report.rows.length}
          href={to => `/office?month=${month}&page=${to}`}
          what="orders"
        />
      </Section>
      {report.late.length > 0 && (
        <Section title="Late entries">
          <DataTable
            caption="Booked in this month for orders of months that were closed"
            rows={report.late.map((l, i) => ({ ...l, i }))}
            rowKey={l => String(l.i)}
            columns={[
              {
                key: 'order',
                head: 'Order',
                rowHead: true,
                cell: l => <Link href={`/office/orders/${l.orderNumber}`}>{l.orderNumber}</Link>,
              },
              { key: 'at', head: 'Booked', cell: l => formatDay(l.at, timeZone) },
              { key: 'kind', head: 'Cost', cell: l => COST_WORDS[l.kind] },
              { key: 'why', head: 'Belongs to', wrap: true, cell: l => lateWords(l.orderNumber, l.ownMonth) },
              { key: 'by', head: 'Who', cell: l => l.byName },
              {
                key: 'amount',
                head: 'Amount',
                numeric: true,
                cell: l => show(l.amount),
                foot: show(minor(report.late.reduce((a, l) => a + l.amount, 0))),
              },
            ]}
          />
        </Section>
      )}
      {report.rows.length > 0 && (
        <div className={styles.pair}>
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
        </div>
      )}
      {report.rows.length > 0 && (
        <div className={styles.pair}>
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
          <Section title="Does it tie?">
            <Ties ties={report.ties} currency={currency} />
            <p>
              Still to come for these orders: {show(owed.due)}
              {owed.back > 0 && <>, to give back: {show(owed.back)}</>}. Tax and invoices tie on the journal’s
              page.
            </p>
          </Section>
        </div>
      )}
      {report.carried && <InHand carried={report.carried} month={month} currency={currency} />}
      {!closed && (
        <Section title={`Close ${formatMonth(month)}`}>
          {month === present ? (
            <p>It can be closed once it is over. Until then every figure follows the books.</p>
          ) : (
            <ActionForm action={closeMonthAction.bind(null, month)} label={`Close ${formatMonth(month)}`}>
              <p>
                Its figures are kept as they stand here and never change again. What is booked later for its
                orders counts in the month of the booking, as a late entry.
              </p>
              <SubmitButton look="primary">Close {formatMonth(month)}</SubmitButton>
            </ActionForm>
          )}
        </Section>
      )}
      <Closing month={month} closed={closed} newest={newestClosed === month} zone={timeZone} />
    </RoomPage>
  )
}

/** The largest orders and all that are named: more dots than this are a cloud that nobody reads. */
function toDraw(rows: readonly OrderMargin[], named: ReadonlySet<number>): readonly OrderMargin[] {
  if (rows.length <= DOTS) return rows
  const largest = [...rows].sort((a, b) => b.revenue - a.revenue).slice(0, DOTS)
  return [...largest, ...rows.filter(r => named.has(r.number) && !largest.includes(r))]
}

/** The day without its weekday: in a table of one month it is wide enough. */
const shortDay = (at: Instant, zone: string): string => formatDay(at, zone).slice(4)

const ordersOf = (g: Group): string => `${g.orders} ${g.orders === 1 ? 'order' : 'orders'}`

function fallItems(report: MonthReport) {
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

function orderColumns(report: MonthReport, zone: string): Column<OrderMargin>[] {
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

function GroupTable({
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

function Ties({ ties, currency }: { ties: readonly Tie[]; currency: string }) {
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

/** Who closed the month, who opened it before and why; the newest can be opened again. */
async function Closing({
  month,
  closed,
  newest,
  zone,
}: {
  month: ShopMonth
  closed: MonthView['closed']
  newest: boolean
  zone: string
}) {
  const past = await reopenings(month)
  return (
    <>
      {past.map(p => (
        <p key={p.at}>
          Closed by {p.closedBy} on {formatLongDay(p.closedAt, zone)}, opened again by {p.byName} on{' '}
          {formatLongDay(p.at, zone)}: “{p.why}”
        </p>
      ))}
      {closed && (
        <p>
          Closed by {closed.byName} on {formatLongDay(closed.at, zone)}.
        </p>
      )}
      {closed && newest && (
        <details data-screen-only>
          <summary>Open {formatMonth(month)} again</summary>
          <ActionForm action={reopenMonthAction.bind(null, month)} label={`Open ${formatMonth(month)} again`}>
            <TextArea
              name="why"
              label="Why?"
              required
              rows={2}
              maxLength={500}
              hint="Kept with your name, beside what the month said. What came late for it then counts in it."
            />
            <SubmitButton look="plain">Open it again</SubmitButton>
          </ActionForm>
        </details>
      )}
    </>
  )
}

/** What is being made at the month's edge: its cost is carried on until the order is handed over. */
function InHand({ carried, month, currency }: { carried: Carried; month: ShopMonth; currency: string }) {
  const show = (n: Micro) => formatMoney(microToMinor(n, currency), currency).replace('-', '−')
  const row = (name: string, amount: Micro) => ({ name, amount })
  return (
    <div className={styles.pair}>
      <Section title="Work in progress">
        <DataTable
          caption="What orders in hand have cost so far: carried in, and carried on"
          quietCaption
          rows={[
            row(`In hand when ${formatMonth(month)} began`, carried.opening),
            row('Booked in it, on any order', carried.booked),
            row('Gone out with its orders, late entries with them', micro(-carried.out)),
          ]}
          rowKey={r => r.name}
          columns={[
            {
              key: 'name',
              head: 'What',
              rowHead: true,
              wrap: true,
              cell: r => r.name,
              foot: 'In hand at its end, carried on',
            },
            {
              key: 'amount',
              head: 'Cost',
              numeric: true,
              cell: r => show(r.amount),
              foot: show(carried.closing),
            },
          ]}
        />
      </Section>
      <Section title="In hand at its end">
        <DataTable
          caption="Orders in hand at the end of the month with what they cost until then"
          quietCaption
          rows={carried.orders.slice(0, IN_HAND)}
          rowKey={r => String(r.number)}
          empty="Nothing was being made."
          columns={[
            {
              ...ORDER,
              foot:
                carried.orders.length > IN_HAND
                  ? `All ${carried.orders.length}, the dearest ${IN_HAND} shown`
                  : `${carried.orders.length} orders`,
            },
            {
              key: 'cost',
              head: 'So far',
              numeric: true,
              cell: r => show(r.cost),
              foot: show(carried.closing),
            },
          ]}
        />
      </Section>
    </div>
  )
}
