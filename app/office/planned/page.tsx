import type { Metadata } from 'next'
import Link from 'next/link'
import { Bars } from '@/app/parts/bars'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { Notice } from '@/app/parts/notice'
import { OrderLink } from '@/app/parts/order-link'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { COST_SOURCE, COST_WORDS } from '@/lib/books/margin'
import { varianceOfMonth } from '@/lib/books/months/store'
import type { VarianceRow } from '@/lib/books/months/variance'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { inMinor } from '@/lib/stock/purchase'
import { type Charged, chargedOtherwise } from '@/lib/stock/purchases/store'
import { type Minor, sumMinor, withSign } from '@/lib/units/money'
import { formatMonth, instantOf, monthBounds } from '@/lib/units/time'
import type { Working } from '@/lib/units/working'
import { askedMonth } from '../asked-month'
import { MonthChoice } from '../month-choice'
import { MonthNav } from '../month-nav'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'
import { money } from '../show'

export const metadata: Metadata = { title: 'Planned and real' }

/** Orders that have a row. */
const MOST = 100

/** What the month's orders were planned to cost, what they cost, and why the two differ. */
export default async function Planned({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const { month, all, unknown } = await askedMonth((await searchParams).month, instantOf(new Date()))
  const [found, { timeZone, currency }] = await Promise.all([varianceOfMonth(month), shop()])
  const charged = await chargedOtherwise(monthBounds(month, timeZone))
  const show = (n: Minor) => money(n, found.currency)
  const signed = (n: Minor) => withSign(n, show(n))
  return (
    <RoomPage wide>
      <OfficeNav current="/office" />
      <MonthNav month={month} current="/office/planned" />
      <PageHead
        title={`Planned and real, ${formatMonth(month)}`}
        sense="What its orders were planned to cost, what they cost, and whether prices or quantities and times made the difference. + cost more than planned."
      />
      <MonthChoice month={month} all={all} path="/office/planned" />
      {unknown && (
        <Notice>The shop has no books of the month in the address: this is {formatMonth(month)}.</Notice>
      )}
      <div className={styles.figures}>
        <Figure label="Planned" value={show(found.all.planned)} />
        <Figure label="Real" value={show(found.all.real)} />
        <Figure
          label="Difference"
          value={signed(found.all.total)}
          tone={found.all.total > 0 ? 'late' : undefined}
          working={{
            formula: 'real − planned = price + usage + time',
            inputs: [
              { name: 'Price: paid otherwise than planned', value: signed(found.all.price), from: 'worked' },
              {
                name: 'Usage: more or less material than planned',
                value: signed(found.all.usage),
                from: 'worked',
              },
              {
                name: 'Time: people and machines took longer or less long than planned',
                value: signed(found.all.time),
                from: 'worked',
              },
            ],
            result: signed(found.all.total),
            note: 'price = (real price − planned price) × real quantity; usage and time = (real quantity or time − planned) × planned price or rate, line by line of each order’s estimate.',
          }}
        />
      </div>
      <Section title="By kind of cost">
        <DataTable
          caption="Planned, real, and the parts of the difference"
          quietCaption
          rows={found.rows}
          rowKey={r => r.kind}
          empty="No order with an estimate was handed over in it."
          mark={r => (r.planned > 0 && r.total > r.planned / 10 ? 'late' : undefined)}
          columns={[
            { key: 'kind', head: 'Cost', rowHead: true, cell: r => COST_WORDS[r.kind], foot: 'All' },
            {
              key: 'planned',
              head: 'Planned',
              numeric: true,
              cell: r => show(r.planned),
              foot: show(found.all.planned),
            },
            {
              key: 'real',
              head: 'Real',
              numeric: true,
              cell: r => (
                <Figure
                  value={show(r.real)}
                  about={`${COST_WORDS[r.kind]}, real`}
                  working={realWorking(r, show)}
                />
              ),
              foot: show(found.all.real),
            },
            {
              key: 'price',
              head: 'Price',
              numeric: true,
              cell: r => signed(r.price),
              foot: signed(found.all.price),
            },
            {
              key: 'usage',
              head: 'Usage',
              numeric: true,
              cell: r => signed(r.usage),
              foot: signed(found.all.usage),
            },
            {
              key: 'time',
              head: 'Time',
              numeric: true,
              cell: r => signed(r.time),
              foot: signed(found.all.time),
            },
            {
              key: 'total',
              head: 'Difference',
              numeric: true,
              cell: r =>
                r.planned > 0 && r.total > r.planned / 10 ? (
                  <StateMark state="late">{signed(r.total)}</StateMark>
                ) : (
                  signed(r.total)
                ),
              foot: signed(found.all.total),
            },
          ]}
        />
        <p>
          Price: of labour and machines, the rate of their hour. Usage is of material and blanks, time of
          people and machines.
        </p>
      </Section>
      {found.rows.length > 0 && (
        <Section title="Where it came from">
          <Bars
            title="Difference by kind of cost"
            items={[...found.rows]
              .sort((a, b) => b.total - a.total)
              .map(r => ({
                key: r.kind,
                label: COST_WORDS[r.kind],
                value: r.total,
                shown: signed(r.total),
                ...(r.total > 0 ? { tone: 'late' as const } : {}),
              }))}
          />
        </Section>
      )}
      {charged.length > 0 && <ChargedOtherwise rows={charged} currency={currency} />}
      <Section title="Order by order">
        <DataTable
          caption="Orders, the furthest from their plan first"
          quietCaption
          rows={found.orders.slice(0, MOST)}
          rowKey={o => String(o.number)}
          empty="None."
          columns={[
            {
              key: 'order',
              head: 'Order',
              rowHead: true,
              wrap: true,
              cell: o => <OrderLink order={o} room="office" />,
            },
            {
              key: 'planned',
              head: 'Planned',
              numeric: true,
              sort: o => o.planned,
              cell: o => show(o.planned),
            },
            { key: 'real', head: 'Real', numeric: true, sort: o => o.real, cell: o => show(o.real) },
            { key: 'price', head: 'Price', numeric: true, sort: o => o.price, cell: o => signed(o.price) },
            {
              key: 'usage',
              head: 'Usage',
              numeric: true,
              sort: o => o.usage,
              cell: o => signed(o.usage),
            },
            {
              key: 'time',
              head: 'Time',
              numeric: true,
              sort: o => o.time,
              cell: o => signed(o.time),
            },
            {
              key: 'total',
              head: 'Difference',
              numeric: true,
              sort: o => o.total,
              cell: o => signed(o.total),
            },
          ]}
        />
        {found.orders.length > MOST && (
          <p>
            The {MOST} furthest from their plan of {found.orders.length} are shown.
          </p>
        )}
        {found.without.length > 0 && (
          <Notice>
            {found.without.length} {found.without.length === 1 ? 'order' : 'orders'} kept no estimate and{' '}
            {found.without.length === 1 ? 'is' : 'are'} left out:{' '}
            {found.without
              .slice(0, 20)
              .map(o => o.number)
              .join(', ')}
            .
          </Notice>
        )}
      </Section>
    </RoomPage>
  )
}

const realWorking = (r: VarianceRow, show: (n: Minor) => string): Working => ({
  formula: 'sum over the month’s orders that kept an estimate',
  inputs: [
    { name: 'Planned', value: show(r.planned), from: 'agreed', source: 'estimates of the agreed offers' },
    { name: 'Price', value: show(r.price), from: 'worked' },
    { name: 'Usage', value: show(r.usage), from: 'worked' },
    { name: 'Time', value: show(r.time), from: 'worked' },
  ],
  result: show(r.real),
  note: `From the ${COST_SOURCE[r.kind]}. Each order’s lines are on its own page.`,
})

/** Rows of receipts that are shown. */
const RECEIPTS = 20

/** Receipts of the month at another price than was ordered: what makes blanks and material dearer than planned, at its source. */
function ChargedOtherwise({ rows: exact, currency }: { rows: readonly Charged[]; currency: string }) {
  const rows = exact.map(r => inMinor(r, currency))
  const show = (n: Minor) => money(n, currency)
  const signed = (n: Minor) => withSign(n, show(n))
  const sum = sumMinor(rows.map(r => r.difference))
  return (
    <Section title="Bought at another price than ordered">
      <DataTable
        caption={
          rows.length > RECEIPTS
            ? `The ${RECEIPTS} furthest off of ${rows.length}; the total is of all. + is dearer`
            : 'Received in the month; + is dearer'
        }
        rows={rows.slice(0, RECEIPTS)}
        rowKey={r => `${r.purchase} ${r.sku}`}
        columns={[
          {
            key: 'purchase',
            head: 'Purchase',
            rowHead: true,
            wrap: true,
            cell: r => (
              <Link href={`/stockroom/purchases/${r.purchase}`}>
                {r.purchase} {r.supplier}
              </Link>
            ),
            foot: 'All',
          },
          { key: 'item', head: 'Item', wrap: true, cell: r => r.name },
          { key: 'ordered', head: 'As ordered', numeric: true, cell: r => show(r.ordered) },
          { key: 'charged', head: 'Charged', numeric: true, cell: r => show(r.charged) },
          {
            key: 'difference',
            head: 'Difference',
            numeric: true,
            sort: r => r.difference,
            cell: r => signed(r.difference),
            foot: signed(sum),
          },
        ]}
      />
      <p>It reaches an order, under price, when its pieces are taken from the shelf.</p>
    </Section>
  )
}
