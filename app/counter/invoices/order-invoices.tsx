import { randomUUID } from 'node:crypto'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { MoneyField } from '@/app/parts/money-field'
import { Notice } from '@/app/parts/notice'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { notInvoiced, standingInvoiced } from '@/lib/books/invoices/invoice'
import { invoicesOf } from '@/lib/books/invoices/store'
import type { OrderView } from '@/lib/orders/order'
import type { Account } from '@/lib/orders/payments'
import type { ShopFacts } from '@/lib/shop/store'
import { formatMoney, type Minor, minor } from '@/lib/units/money'
import { formatDay } from '@/lib/units/time'
import { invoiceAction } from './actions'
import { InvoiceLink } from './invoice-link'

/** Invoices and credit notes of an order, and the form for the next one. */
export async function OrderInvoices({
  order,
  account,
  facts,
  changes,
}: {
  order: OrderView
  account: Account
  facts: ShopFacts
  changes: boolean
}) {
  if (order.gross === null) return null
  const issued = await invoicesOf(order.id)
  const show = (amount: Minor) => formatMoney(amount, facts.currency)
  const left = notInvoiced(order, issued)
  const standing = standingInvoiced(issued)
  const ended = order.state === 'withdrawn' || order.state === 'declined'
  if (ended && issued.length === 0) return null
  return (
    <Section title="Invoices" id="invoices">
      <DataTable
        caption="Invoices and credit notes of the order"
        quietCaption
        rows={issued}
        rowKey={v => v.id}
        empty="None is written yet."
        columns={[
          {
            key: 'name',
            head: 'Number',
            rowHead: true,
            cell: v => <InvoiceLink of={v} />,
          },
          { key: 'at', head: 'Date', cell: v => formatDay(v.issuedAt, facts.timeZone) },
          {
            key: 'due',
            head: 'Due',
            cell: v => (v.dueAt === null ? '–' : formatDay(v.dueAt, facts.timeZone)),
          },
          {
            key: 'amount',
            head: 'Amount',
            numeric: true,
            cell: v => show(v.kind === 'credit' ? minor(-v.gross) : v.gross).replace('-', '−'),
            foot: issued.length > 1 ? show(standing) : undefined,
          },
        ]}
      />
      {ended && standing > 0 && (
        <Notice kind="caution">
          The order has ended, and {show(standing)} still stands invoiced: open the invoice and write a credit
          note.
        </Notice>
      )}
      {changes && left.gross > 0 && (
        <ActionForm action={invoiceAction.bind(null, order.number)} label="Write an invoice">
          <input type="hidden" name="formKey" value={randomUUID()} />
          <MoneyField
            name="amount"
            label="Over"
            currency={facts.currency}
            size={14}
            required={false}
            value={issued.length === 0 && account.depositDue > 0 ? account.depositDue : null}
            hint={`Empty: all that is not invoiced yet, ${show(left.gross)}. Or a part ahead, like the deposit.`}
          />
          <SubmitButton look="plain">Write the invoice</SubmitButton>
        </ActionForm>
      )}
    </Section>
  )
}
