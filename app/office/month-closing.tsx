import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { lateWords } from '@/lib/books/close'
import { COST_WORDS } from '@/lib/books/margin'
import type { Carried, MonthReport } from '@/lib/books/month'
import { type MonthView, reopenings } from '@/lib/books/store'
import { formatMoney, type Micro, type Minor, micro, microToMinor, minor } from '@/lib/units/money'
import { formatDay, formatLongDay, formatMonth, type ShopMonth } from '@/lib/units/time'
import { closeMonthAction, reopenMonthAction } from './actions'
import { ORDER } from './month-order'
import styles from './office.module.css'
import { money } from './show'

/** Orders in hand that have a row. */
const IN_HAND = 12

/** What was booked in the month for orders of months that were closed already. */
export function LateEntries({ report, zone }: { report: MonthReport; zone: string }) {
  const show = (n: Minor) => money(n, report.currency)
  return (
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
          { key: 'at', head: 'Booked', cell: l => formatDay(l.at, zone) },
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
  )
}

/** Closes the month, once it is over. */
export function CloseMonth({ month, over }: { month: ShopMonth; over: boolean }) {
  return (
    <Section title={`Close ${formatMonth(month)}`}>
      {over ? (
        <ActionForm action={closeMonthAction.bind(null, month)} label={`Close ${formatMonth(month)}`}>
          <p>
            Its figures are kept as they stand here and never change again. What is booked later for its
            orders counts in the month of the booking, as a late entry.
          </p>
          <SubmitButton look="primary">Close {formatMonth(month)}</SubmitButton>
        </ActionForm>
      ) : (
        <p>It can be closed once it is over. Until then every figure follows the books.</p>
      )}
    </Section>
  )
}

/** Who closed the month, who opened it before and why; the newest can be opened again. */
export async function Closing({
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
export function InHand({
  carried,
  month,
  currency,
}: {
  carried: Carried
  month: ShopMonth
  currency: string
}) {
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
