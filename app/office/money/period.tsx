import { InvoiceLink } from '@/app/counter/invoices/invoice-link'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { OrderLink } from '@/app/parts/order-link'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { taxByRate } from '@/lib/books/invoices/owed'
import type { invoicesBetween, paymentSums } from '@/lib/books/invoices/store'
import type { TaxByPayments } from '@/lib/books/invoices/tax-by-payments'
import { type Minor, minor, sumMinor } from '@/lib/units/money'
import { formatDay } from '@/lib/units/time'
import styles from '../office.module.css'

/** Invoices that have a row. */
const MOST = 200

type Issued = Awaited<ReturnType<typeof invoicesBetween>>

const rateWords = (bp: number): string => (bp === 0 ? 'none' : `${Number((bp / 100).toFixed(2))} %`)

/** Tax that became due as customers paid, with what it is made of. */
export function TaxByPaymentsTable({
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

/** The tax of a period by its invoices less credit notes. */
export function TaxByInvoicesTable({
  issued,
  name,
  show,
}: {
  issued: Issued
  name: string
  show: (n: Minor) => string
}) {
  const tax = taxByRate(issued)
  return (
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
          head: name,
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
  )
}

/** What came in and went back in a period, by means. */
export function MoneyIn({
  paid,
  show,
}: {
  paid: Awaited<ReturnType<typeof paymentSums>>
  show: (n: Minor) => string
}) {
  return (
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
  )
}

/** The invoices and credit notes of a period, the newest of them where there are many. */
export function IssuedTable({
  issued,
  taxName,
  timeZone,
  show,
}: {
  issued: Issued
  taxName: string
  timeZone: string
  show: (n: Minor) => string
}) {
  return (
    <>
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
    </>
  )
}
