import type { Metadata } from 'next'
import Link from 'next/link'
import { InvoiceLink } from '@/app/counter/invoices/invoice-link'
import { Bars } from '@/app/parts/bars'
import { Button } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import { Notice } from '@/app/parts/notice'
import { OrderLink } from '@/app/parts/order-link'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { TAX_BY_WORDS, type TaxBy } from '@/lib/books/invoices/invoice'
import { AGE_WORDS, AGES, owedByCustomer, taxByRate } from '@/lib/books/invoices/owed'
import {
  invoicesBetween,
  invoicing,
  moneySums,
  owingOrders,
  paymentSums,
  taxedOrders,
} from '@/lib/books/invoices/store'
import { type TaxByPayments, taxByPayments } from '@/lib/books/invoices/tax-by-payments'
import { requirePerson } from '@/lib/server/session'
import { ratesAt, shop } from '@/lib/shop/store'
import { type Minor, minor, sumMinor } from '@/lib/units/money'
import { dayOf, formatDay, formatLongDay, instantOf, monthOf } from '@/lib/units/time'
import { askedSpan } from '../asked-span'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'
import { money } from '../show'

export const metadata: Metadata = { title: 'Money' }

/** Invoices that have a row. */
const MOST = 200

/** Who owes what and since when, what came in, and the tax of a period. */
export default async function Money({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const now = instantOf(new Date())
  const { currency, timeZone } = await shop()
  const query = await searchParams
  const { taxBy: usual } = await invoicing()
  const by: TaxBy = query.tax === 'invoices' || query.tax === 'payments' ? query.tax : usual
  const span = askedSpan(query, monthOf(now, timeZone), dayOf(now, timeZone), timeZone)
  const [owing, sums, issued, paid, rates, moved] = await Promise.all([
    owingOrders(now),
    moneySums(now),
    invoicesBetween(span.from, span.to),
    paymentSums(span.from, span.to),
    ratesAt(now),
    by === 'payments' ? taxedOrders(span.from, span.to) : null,
  ])
  const show = (n: Minor) => money(n, currency)
  const rows = owedByCustomer(owing, now, timeZone)
  const total = (of: (r: (typeof rows)[number]) => Minor) => sumMinor(rows.map(of))
  const open = total(r => r.open)
  const ahead = total(r => r.ahead)
  const uninvoiced = total(r => r.notInvoiced)
  // Money ahead that covers goods out without an invoice is in neither sum: invoiced less paid is what the books say.
  const covered = minor(open - (sums.invoiced - sums.paid) - ahead)
  const late = sumMinor(rows.map(r => minor(r.open - r.byAge['not due'])))
  const tax = taxByRate(issued)
  const other: TaxBy = by === 'payments' ? 'invoices' : 'payments'
  const taxName = rates.tax.name
  const days = `${formatLongDay(span.from, timeZone)} to ${formatLongDay(instantOf(new Date(span.to - 1)), timeZone)}`
  return (
    <RoomPage wide>
      <OfficeNav current="/office/money" />
      <PageHead title="Money" sense="Who owes what and since when, what came in, and the tax of a period." />
      <div className={styles.figures}>
        <Figure
          label="Invoiced, not paid"
          value={show(open)}
          working={{
            formula:
              'invoiced − credited − paid, each order’s payments laid against its oldest invoice first',
            inputs: [
              {
                name: 'Invoiced less credited',
                value: show(sums.invoiced),
                from: 'measured',
                source: 'invoice book',
              },
              {
                name: 'Received less given back',
                value: show(sums.paid),
                from: 'measured',
                source: 'payments',
              },
              { name: 'Paid ahead of invoices', value: show(minor(ahead + covered)), from: 'worked' },
            ],
            result: show(open),
            note: 'Invoiced less paid, and what was paid ahead put back: it belongs to other orders.',
          }}
        />
        <Figure label="Of it late" value={show(late)} tone={late > 0 ? 'late' : undefined} />
        <Figure label="Handed over, not invoiced" value={show(uninvoiced)} />
        <Figure label="Paid ahead" value={show(ahead)} note="The customers’, until their goods are out." />
      </div>
      <Section title="Who owes what">
        <DataTable
          caption="By customer and age, whoever owes most first"
          quietCaption
          rows={rows}
          rowKey={r => r.customerId}
          empty="Nobody owes anything, and nothing was paid ahead."
          mark={r => (r.byAge['over 90'] > 0 ? 'late' : undefined)}
          columns={[
            {
              key: 'customer',
              head: 'Customer',
              rowHead: true,
              wrap: true,
              cell: r => (
                <>
                  <Link href={`/counter/customers/${r.customerId}`}>{r.customer}</Link>
                  {r.invoices.map(v => (
                    <small key={v.id}>
                      {' '}
                      <Link href={`/counter/invoices/${v.id}`}>{v.name}</Link>
                    </small>
                  ))}
                  {r.toInvoice.map(o => (
                    <small key={o.number}>
                      {' '}
                      <Link href={`/counter/orders/${o.number}#invoices`}>order {o.number}</Link>
                    </small>
                  ))}
                </>
              ),
              foot: 'All',
            },
            ...AGES.map(age => ({
              key: age,
              head: AGE_WORDS[age],
              numeric: true,
              sort: (r: (typeof rows)[number]) => r.byAge[age],
              cell: (r: (typeof rows)[number]) => (r.byAge[age] === 0 ? '–' : show(r.byAge[age])),
              foot: show(total(r => r.byAge[age])),
            })),
            {
              key: 'open',
              head: 'Invoiced, open',
              numeric: true,
              sort: r => r.open,
              cell: r => (r.open === 0 ? '–' : show(r.open)),
              foot: show(open),
            },
            {
              key: 'out',
              head: 'Out, not invoiced',
              numeric: true,
              sort: r => r.notInvoiced,
              cell: r => (r.notInvoiced === 0 ? '–' : show(r.notInvoiced)),
              foot: show(uninvoiced),
            },
            {
              key: 'ahead',
              head: 'Paid ahead',
              numeric: true,
              sort: r => r.ahead,
              cell: r => (r.ahead === 0 ? '–' : show(r.ahead)),
              foot: show(ahead),
            },
          ]}
        />
      </Section>
      {open > 0 && (
        <Section title="By age">
          <Bars
            title="Open invoices by how long they are late"
            items={AGES.map(age => {
              const amount = total(r => r.byAge[age])
              return {
                key: age,
                label: AGE_WORDS[age],
                value: amount,
                shown: show(amount),
                ...(age === 'over 90' && amount > 0 ? { tone: 'late' as const } : {}),
              }
            })}
          />
        </Section>
      )}
      <Section title="Of a period">
        <form action="/office/money" className={styles.filter} data-screen-only>
          <Field name="from" label="From" type="date" value={span.first} required />
          <Field name="to" label="To" type="date" value={span.last} required />
          {by !== usual && <input type="hidden" name="tax" value={by} />}
          <Button type="submit">Show</Button>
        </form>
        <p>{days}</p>
        <div className={styles.pair}>
          <Section title={`${taxName} by rate`} level={3}>
            {moved ? (
              <ByPayments tax={taxByPayments(moved)} name={taxName} show={show} />
            ) : (
              <DataTable
                caption="Invoices less credit notes of the period, by their date"
                quietCaption
                rows={tax}
                rowKey={r => String(r.rateBp)}
                empty="Nothing was invoiced in it."
                columns={[
                  {
                    key: 'rate',
                    head: 'Rate',
                    rowHead: true,
                    cell: r => rateWords(r.rateBp),
                    foot: 'All',
                  },
                  {
                    key: 'papers',
                    head: 'Invoices, credit notes',
                    cell: r => `${r.invoices}, ${r.credits}`,
                  },
                  {
                    key: 'net',
                    head: 'Before tax',
                    numeric: true,
                    cell: r => show(r.net),
                    foot: show(sumMinor(tax.map(r => r.net))),
                  },
                  {
                    key: 'tax',
                    head: taxName,
                    numeric: true,
                    cell: r => show(r.tax),
                    foot: show(sumMinor(tax.map(r => r.tax))),
                  },
                  {
                    key: 'gross',
                    head: 'Total',
                    numeric: true,
                    cell: r => show(r.gross),
                    foot: show(sumMinor(tax.map(r => r.gross))),
                  },
                ]}
              />
            )}
            <p data-screen-only>
              Counted {TAX_BY_WORDS[by]}.{' '}
              <Link href={`/office/money?from=${span.first}&to=${span.last}&tax=${other}`}>
                Count it {TAX_BY_WORDS[other]}
              </Link>
            </p>
            <Notice kind="caution">
              Which day counts, and whether tax is owed once money comes in, is for the rules where the shop
              is: ask your tax adviser. The owner says it once, under “Invoicing”. Whoever changes over counts
              nothing twice.
            </Notice>
          </Section>
          <Section title="Money in" level={3}>
            <DataTable
              caption="Payments of the period by means"
              quietCaption
              rows={paid}
              rowKey={p => p.means}
              empty="No money changed hands in it."
              columns={[
                { key: 'means', head: 'By', rowHead: true, cell: p => p.means, foot: 'All' },
                {
                  key: 'in',
                  head: 'Received',
                  numeric: true,
                  cell: p => show(p.received),
                  foot: show(sumMinor(paid.map(p => p.received))),
                },
                {
                  key: 'out',
                  head: 'Given back',
                  numeric: true,
                  cell: p => (p.givenBack === 0 ? '–' : show(p.givenBack)),
                  foot: show(sumMinor(paid.map(p => p.givenBack))),
                },
              ]}
            />
          </Section>
        </div>
        <DataTable
          caption="Invoices and credit notes of the period, newest first"
          rows={issued.slice(0, MOST)}
          rowKey={v => v.id}
          empty="None was written in it."
          columns={[
            {
              key: 'name',
              head: 'Number',
              rowHead: true,
              cell: v => <InvoiceLink of={v} />,
            },
            { key: 'at', head: 'Date', cell: v => formatDay(v.issuedAt, timeZone) },
            {
              key: 'order',
              head: 'Order',
              wrap: true,
              cell: v => <OrderLink order={{ number: v.orderNumber, customer: v.customer }} />,
            },
            {
              key: 'why',
              head: 'What for',
              cell: v =>
                v.kind === 'invoice' ? (
                  'invoice'
                ) : v.lowers ? (
                  <StateMark state="risk">lowers the price</StateMark>
                ) : (
                  'takes an invoice back'
                ),
              spare: true,
            },
            {
              key: 'tax',
              head: taxName,
              numeric: true,
              cell: v => show(v.kind === 'credit' ? minor(-v.tax) : v.tax),
            },
            {
              key: 'gross',
              head: 'Total',
              numeric: true,
              cell: v => show(v.kind === 'credit' ? minor(-v.gross) : v.gross),
            },
          ]}
        />
        {issued.length > MOST && (
          <p>
            The newest {MOST} of {issued.length} are shown: choose a shorter period for the others.
          </p>
        )}
      </Section>
    </RoomPage>
  )
}

const rateWords = (bp: number): string => (bp === 0 ? 'none' : `${Number((bp / 100).toFixed(2))} %`)

/** Tax that became due as customers paid, with what it is made of. */
function ByPayments({
  tax: { rows, beyond, moved },
  name,
  show,
}: {
  tax: TaxByPayments
  name: string
  show: (n: Minor) => string
}) {
  const sum = (of: (r: TaxByPayments['rows'][number]) => Minor) => sumMinor(rows.map(of))
  return (
    <>
      <DataTable
        caption="Payments received less given back in the period, with the tax in them"
        quietCaption
        rows={rows}
        rowKey={r => String(r.rateBp)}
        empty="No money with a price behind it changed hands in it."
        columns={[
          { key: 'rate', head: 'Rate', rowHead: true, cell: r => rateWords(r.rateBp), foot: 'All' },
          { key: 'orders', head: 'Orders', numeric: true, cell: r => r.orders },
          {
            key: 'net',
            head: 'Before tax',
            numeric: true,
            cell: r => show(r.net),
            foot: show(sum(r => r.net)),
          },
          { key: 'tax', head: name, numeric: true, cell: r => show(r.tax), foot: show(sum(r => r.tax)) },
          {
            key: 'gross',
            head: 'Paid',
            numeric: true,
            cell: r => show(r.gross),
            foot: show(sum(r => r.gross)),
          },
        ]}
      />
      <div className={styles.figures}>
        <Figure
          label={`${name} by payments`}
          value={show(sum(r => r.tax))}
          working={{
            formula:
              'for each order: its tax × what was paid ÷ its price, at the end of the period less at its beginning',
            inputs: [
              ...rows.map(r => ({
                name: `at ${rateWords(r.rateBp)}, ${r.orders} ${r.orders === 1 ? 'order' : 'orders'}`,
                value: show(r.tax),
                from: 'worked' as const,
                source: `in ${show(r.gross)} received less given back`,
              })),
              {
                name: 'Received beyond a price, or before one was agreed: no tax in it',
                value: show(beyond),
                from: 'measured' as const,
                source: 'payments',
              },
              {
                name: 'Received less given back, all',
                value: show(moved),
                from: 'measured' as const,
                source: 'payments',
              },
            ],
            result: show(sum(r => r.tax)),
            note: 'Part payments count in proportion; paid in full, an order has counted its tax to the cent. What is given back takes its tax back.',
          }}
        />
      </div>
    </>
  )
}
