import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { readNumber } from '@/app/number-in-address'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import { MoneyField } from '@/app/parts/money-field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { Waterfall } from '@/app/parts/waterfall'
import type { Compared } from '@/lib/books/estimate'
import { COST_SOURCE, COST_WORDS, COSTS, type CostKind, marginShare } from '@/lib/books/margin'
import { methodWords, type OrderBooks, orderBooks } from '@/lib/books/store'
import { sumVariance, type Variance } from '@/lib/books/variance'
import { hours, logsWorking, marginWorking, materialWorking } from '@/lib/books/working'
import { isOrderState } from '@/lib/orders/states'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatAmount } from '@/lib/stock/items'
import type { BaseUnit } from '@/lib/units/base-unit'
import {
  formatMicro,
  formatMoney,
  type Micro,
  type Minor,
  micro,
  microToMinor,
  minor,
  roundToMicro,
} from '@/lib/units/money'
import { formatMoment, formatMonth } from '@/lib/units/time'
import type { Working } from '@/lib/units/working'
import { orderCostAction } from '../../actions'
import styles from '../../office.module.css'
import { OfficeNav } from '../../office-nav'
import { money, percent } from '../../show'

/** To a tenth of a cent: what the lines add up to is seen without the book's last digits. */
const fine = (value: Micro, currency: string) =>
  formatMicro(roundToMicro(Math.round(value / 1000) * 1000), currency)

type Props = { params: Promise<{ number: string }> }

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  return { title: `Order ${(await params).number.slice(0, 12)} in the books` }
}

/** One order: what it brought, what it took, and what was planned. */
export default async function OrderInBooks({ params }: Props) {
  await requirePerson('books.see')
  const number = readNumber((await params).number)
  const books = number !== null ? await orderBooks(number) : null
  if (!books) notFound()
  const { currency, timeZone } = await shop()
  const { row } = books
  const show = (n: Minor) => money(n, currency)
  const share = marginShare(row)
  const agreed = !['enquiry', 'offered', 'declined', 'withdrawn'].includes(books.state)
  return (
    <RoomPage>
      <OfficeNav current="/office" />
      <PageHead
        back={
          books.month
            ? { href: `/office?month=${books.month}`, label: formatMonth(books.month) }
            : { href: '/office', label: 'Month end' }
        }
        title={`Order ${row.number}`}
        mark={isOrderState(books.state) ? <StateMark state={books.state} /> : undefined}
        sense={`${row.customer}${row.title ? ` · ${row.title}` : ''} · ${methodWords(row.method)} · ${row.pieces.toLocaleString('en')} pieces`}
        more={<ButtonLink href={`/counter/orders/${row.number}`}>Order at the counter</ButtonLink>}
      />
      {books.month === null && (
        <Notice>
          {agreed
            ? 'It is not handed over yet: these are the costs so far.'
            : 'Nothing is agreed yet, so it has no revenue: costs that are booked on it already stand here.'}
        </Notice>
      )}
      {books.monthClosed && books.month && (
        <Notice>
          {formatMonth(books.month)} is closed. Its figures there stay as they were kept; what was booked on
          this order later is shown here and counts in the month of its booking.
        </Notice>
      )}
      <div className={styles.figures}>
        <Figure label="Revenue" value={show(row.revenue)} note="agreed, before tax" />
        <Figure label="Cost" value={show(row.cost)} />
        <Figure
          label="Margin"
          value={show(row.margin)}
          tone={row.margin < 0 ? 'late' : undefined}
          working={marginWorking(row, currency)}
          note={share === null ? undefined : `${percent(share)} of revenue`}
        />
      </div>
      {(agreed || row.cost !== 0) && (
        <Section title="From revenue to margin">
          <Waterfall
            title={<span className="aloud">Each cost a step down</span>}
            items={[
              { key: 'revenue', label: 'Revenue', value: row.revenue, total: true, shown: show(row.revenue) },
              ...COSTS.filter(c => row.costs[c] !== 0).map(c => ({
                key: c,
                label: COST_WORDS[c],
                value: -row.costs[c],
                shown: (
                  <Figure
                    value={show(minor(-row.costs[c]))}
                    about={`${COST_WORDS[c]} of order ${row.number}`}
                    working={costWorking(books, c, currency)}
                  />
                ),
              })),
              { key: 'margin', label: 'Margin', value: row.margin, total: true, shown: show(row.margin) },
            ]}
          />
        </Section>
      )}
      <Section title="Against the estimate">
        {books.compared ? (
          <Estimate compared={books.compared} currency={currency} />
        ) : (
          <p>
            {agreed
              ? 'The agreed offer of this order kept no estimate to compare with.'
              : 'There is an estimate to compare with once an offer is agreed.'}
          </p>
        )}
      </Section>
      <Section title="Material" id="material">
        <DataTable
          caption="What it took from the shelves, by the stock book"
          quietCaption
          rows={books.material}
          rowKey={m => `${m.kind} ${m.itemId}`}
          empty="Nothing was taken from the shelves for it yet."
          columns={[
            {
              key: 'item',
              head: 'Item',
              rowHead: true,
              wrap: true,
              cell: m => <Link href={`/stockroom/items/${encodeURIComponent(m.sku)}`}>{m.name}</Link>,
            },
            { key: 'kind', head: 'As', cell: m => COST_WORDS[m.kind] },
            {
              key: 'quantity',
              head: 'Amount',
              numeric: true,
              cell: m => formatAmount(m.quantity, m.unit as BaseUnit),
            },
            {
              key: 'value',
              head: 'Value',
              numeric: true,
              cell: m => fine(m.value, currency),
              foot: fine(micro(books.material.reduce((a, m) => a + m.value, 0)), currency),
            },
          ]}
        />
      </Section>
      <Section title="Work" id="work">
        <DataTable
          caption="Time on its steps, by the work logs"
          quietCaption
          rows={books.work}
          rowKey={w => w.id}
          empty="Nobody has reported work on it yet."
          columns={[
            { key: 'step', head: 'Step', rowHead: true, wrap: true, cell: w => w.step },
            { key: 'station', head: 'Station', wrap: true, cell: w => w.station },
            { key: 'who', head: 'Who', cell: w => w.byName },
            { key: 'from', head: 'From', cell: w => formatMoment(w.fromAt, timeZone) },
            {
              key: 'labourTime',
              head: 'Labour',
              numeric: true,
              cell: w => hours(w.labourSeconds),
              foot: hours(row.labourSeconds),
            },
            {
              key: 'labour',
              head: 'Labour money',
              numeric: true,
              cell: w => show(w.labour),
              foot: show(row.costs.labour),
            },
            {
              key: 'machineTime',
              head: 'Machine',
              numeric: true,
              cell: w => hours(w.machineSeconds),
              foot: hours(row.machineSeconds),
            },
            {
              key: 'machine',
              head: 'Machine money',
              numeric: true,
              cell: w => show(w.machine),
              foot: show(row.costs.machine),
            },
          ]}
        />
      </Section>
      <Section title="Outside work and freight" id="outside">
        <DataTable
          caption="What was written down"
          quietCaption
          rows={books.outside}
          rowKey={o => o.id}
          empty="Nothing was bought outside for it."
          columns={[
            { key: 'kind', head: 'For', rowHead: true, cell: o => COST_WORDS[o.kind] },
            { key: 'note', head: 'What', wrap: true, cell: o => o.note },
            { key: 'at', head: 'When', cell: o => formatMoment(o.at, timeZone) },
            { key: 'by', head: 'Who', cell: o => o.byName },
            { key: 'amount', head: 'Amount', numeric: true, cell: o => show(o.amount) },
          ]}
        />
        <ActionForm
          action={orderCostAction.bind(null, row.number)}
          label="Write down outside work or freight"
          clear
        >
          <input type="hidden" name="formKey" value={randomUUID()} />
          <Row>
            <Choices
              name="kind"
              label="For"
              value="freight"
              across
              options={[
                { value: 'freight', label: 'Freight' },
                { value: 'outside', label: 'Outside work' },
              ]}
            />
            <MoneyField
              name="amount"
              label="Amount before tax"
              hint="With a minus it takes an earlier line back."
              currency={currency}
              required
            />
            <Field name="note" label="What" maxLength={300} required={false} />
          </Row>
          <SubmitButton look="plain">Write it down</SubmitButton>
        </ActionForm>
      </Section>
    </RoomPage>
  )
}

function costWorking(books: OrderBooks, cost: CostKind, currency: string): Working {
  const total = books.row.costs[cost]
  if (cost === 'blanks' || cost === 'consumables' || cost === 'spoilage')
    return materialWorking(
      books.material
        .filter(m => m.kind === cost)
        .map(m => ({ name: m.name, shown: formatAmount(m.quantity, m.unit as BaseUnit), value: m.value })),
      total,
      currency,
    )
  if (cost === 'labour' || cost === 'machine')
    return logsWorking(
      books.work
        .filter(w => w[cost] !== 0)
        .map(w => ({
          step: w.step,
          who: cost === 'labour' ? w.byName : (w.station ?? ''),
          seconds: cost === 'labour' ? w.labourSeconds : w.machineSeconds,
          amount: w[cost],
        })),
      total,
      currency,
    )
  return {
    formula: 'sum of what was written down',
    inputs: books.outside
      .filter(o => o.kind === cost)
      .map(o => ({
        name: o.note || COST_WORDS[o.kind],
        value: formatMoney(o.amount, currency),
        from: 'measured',
        source: COST_SOURCE[cost],
      })),
    result: formatMoney(total, currency),
  }
}

/** Planned beside real, each difference split into price, usage and time. Red is dearer than planned. */
function Estimate({ compared, currency }: { compared: readonly Compared[]; currency: string }) {
  const toMoney = (n: number) => formatMoney(microToMinor(micro(Math.round(n)), currency), currency)
  const signed = (n: number) => {
    const shown = toMoney(Math.abs(n))
    return microToMinor(micro(Math.round(n)), currency) === 0 ? shown : `${n > 0 ? '+' : '−'}${shown}`
  }
  const quantity = (c: Compared, n: number) =>
    c.unit === null ? '' : c.unit === 'second' ? hours(n) : formatAmount(Math.round(n), c.unit)
  const sum = sumVariance(compared.map(c => c.variance))
  const planned = compared.reduce((a, c) => a + c.planned.cost, 0)
  const real = compared.reduce((a, c) => a + c.real.cost, 0)
  return (
    <DataTable
      caption="Planned when it was agreed, and real. + is dearer than planned"
      rows={compared}
      rowKey={c => c.key}
      mark={c => (c.variance.total > Math.max(1e6, c.planned.cost * 0.1) ? 'late' : undefined)}
      columns={[
        { key: 'what', head: 'What', rowHead: true, wrap: true, cell: c => c.name, foot: 'Together' },
        {
          key: 'plannedAmount',
          head: 'Planned',
          numeric: true,
          cell: c => quantity(c, c.planned.quantity),
          spare: true,
        },
        {
          key: 'planned',
          head: 'Planned cost',
          numeric: true,
          cell: c => toMoney(c.planned.cost),
          foot: toMoney(planned),
        },
        {
          key: 'realAmount',
          head: 'Real',
          numeric: true,
          cell: c => quantity(c, c.real.quantity),
          spare: true,
        },
        {
          key: 'real',
          head: 'Real cost',
          numeric: true,
          cell: c => toMoney(c.real.cost),
          foot: toMoney(real),
        },
        {
          key: 'price',
          head: 'By price or rate',
          numeric: true,
          cell: c => signed(c.variance.price),
          foot: signed(sum.price),
        },
        {
          key: 'usage',
          head: 'By usage',
          numeric: true,
          cell: c => signed(c.variance.usage),
          foot: signed(sum.usage),
        },
        {
          key: 'time',
          head: 'By time',
          numeric: true,
          cell: c => signed(c.variance.time),
          foot: signed(sum.time),
        },
        {
          key: 'total',
          head: 'Difference',
          numeric: true,
          cell: c => (
            <Figure
              value={signed(c.variance.total)}
              about={`difference of ${c.name}`}
              working={varianceWorking(c, c.variance, toMoney, n => quantity(c, n))}
            />
          ),
          foot: signed(sum.total),
        },
      ]}
    />
  )
}

function varianceWorking(
  c: Compared,
  v: Variance,
  money: (n: number) => string,
  quantity: (n: number) => string,
): Working {
  const word = c.unit === 'second' ? 'time' : 'usage'
  return {
    formula: `(real price − planned price) × real ${word} + (real ${word} − planned ${word}) × planned price`,
    inputs: [
      {
        name: `Planned ${word}`,
        value: quantity(c.planned.quantity) || '–',
        from: 'agreed',
        source: 'estimate of the offer',
      },
      { name: 'Planned cost', value: money(c.planned.cost), from: 'agreed', source: 'estimate of the offer' },
      { name: `Real ${word}`, value: quantity(c.real.quantity) || '–', from: 'measured' },
      { name: 'Real cost', value: money(c.real.cost), from: 'measured' },
      { name: 'By price', value: money(v.price), from: 'measured' },
      { name: `By ${word}`, value: money(v.usage + v.time), from: 'measured' },
    ],
    result: money(v.total),
    note: 'Variance as management accounting splits it (Warren, Accounting, standard costs): above 0 is dearer than planned.',
  }
}
