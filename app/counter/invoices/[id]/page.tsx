import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { cache } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
import { Facts } from '@/app/parts/facts'
import { MoneyField } from '@/app/parts/money-field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { INVOICE_WORDS, leftOf, sumRows } from '@/lib/books/invoices/invoice'
import { findInvoice } from '@/lib/books/invoices/store'
import { getOrder } from '@/lib/orders/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { formatMoney, type Minor } from '@/lib/units/money'
import { formatLongDay } from '@/lib/units/time'
import styles from '../../counter.module.css'
import { creditAction } from '../actions'
import { InvoiceLink } from '../invoice-link'

type Address = { params: Promise<{ id: string }> }
const load = cache(findInvoice)

export const generateMetadata = async ({ params }: Address): Promise<Metadata> => {
  const found = await load((await params).id)
  return { title: found ? `${INVOICE_WORDS[found.page.kind]} ${found.page.name}` : 'No such invoice' }
}

/** An invoice or a credit note as it went out, and the way to credit it. */
export default async function InvoiceSheet({ params }: Address) {
  const person = await requirePerson('prices.see')
  const found = await load((await params).id)
  if (!found) notFound()
  const { page, invoice, issued, orderNumber } = found
  const order = await getOrder(orderNumber)
  const show = (amount: Minor) => formatMoney(amount, page.currency).replace('-', '−')
  const day = (at: typeof page.issuedAt) => formatLongDay(at, page.timeZone)
  const left = leftOf(invoice, issued)
  const credits = issued.filter(v => v.credits === invoice.id)
  const ended = order?.state === 'withdrawn' || order?.state === 'declined'
  return (
    <RoomPage narrow>
      <PageHead
        title={`${INVOICE_WORDS[page.kind]} ${page.name}`}
        back={{ href: `/counter/orders/${orderNumber}`, label: `Order ${orderNumber}` }}
        sense={`${show(page.gross)} ${page.kind === 'credit' ? 'credited to' : 'from'} ${page.customer.name}. It stays as it is.`}
        next={
          <ButtonLink look="primary" href={`/counter/invoices/${invoice.id}/pdf`} prefetch={false}>
            Open the PDF
          </ButtonLink>
        }
      />
      <Facts
        items={[
          { name: 'From', value: <span className={styles.pre}>{page.seller}</span> },
          ...(page.taxNumber ? [{ name: 'Tax number', value: page.taxNumber }] : []),
          {
            name: 'To',
            value: (
              <span className={styles.pre}>
                {[page.customer.name, page.customer.contact, page.customer.address]
                  .filter(Boolean)
                  .join('\n')}
              </span>
            ),
          },
          { name: 'Date', value: day(page.issuedAt) },
          ...(page.dueAt === null ? [] : [{ name: 'Due', value: day(page.dueAt) }]),
          ...(page.suppliedAt === null ? [] : [{ name: 'Handed over', value: day(page.suppliedAt) }]),
          ...(page.about
            ? [
                {
                  name: 'For invoice',
                  value: (
                    <Link href={`/counter/invoices/${invoice.credits}`}>
                      {page.about.name}, {day(page.about.issuedAt)}
                    </Link>
                  ),
                },
              ]
            : []),
        ]}
      />
      <Section title="What it is over">
        <DataTable
          caption="Lines, tax and total"
          quietCaption
          phone="narrow"
          rows={[
            ...page.lines.map((l, i) => ({
              key: `line-${i}`,
              words: l.words,
              pieces: l.pieces,
              amount: l.amount,
              total: false,
            })),
            ...sumRows(page).map(r => ({ ...r, pieces: null, total: r.total === true })),
          ]}
          rowKey={r => r.key}
          columns={[
            {
              key: 'what',
              head: 'What',
              rowHead: true,
              wrap: true,
              cell: r => (r.total ? <strong>{r.words}</strong> : r.words),
            },
            { key: 'pieces', head: 'Pieces', numeric: true, cell: r => r.pieces?.toLocaleString('en') ?? '' },
            {
              key: 'amount',
              head: 'Amount',
              numeric: true,
              cell: r => (r.total ? <strong>{show(r.amount)}</strong> : show(r.amount)),
            },
          ]}
        />
        {page.bank && page.kind === 'invoice' && (
          <p>
            Pay to: {page.bank}. Please name {page.name}.
          </p>
        )}
        {page.note && <p className={styles.pre}>{page.note}</p>}
      </Section>
      {credits.length > 0 && (
        <Section title="Credited since">
          <ul>
            {credits.map(v => (
              <li key={v.id}>
                <InvoiceLink of={v} />, {show(v.gross)}
              </li>
            ))}
          </ul>
        </Section>
      )}
      {page.kind === 'invoice' && left.gross > 0 && mayDo(person, 'orders.change') && (
        <Section title="Credit it">
          <details>
            <summary>The price is lowered, or the invoice was wrong</summary>
            <ActionForm action={creditAction.bind(null, invoice.id)} label="Write a credit note">
              <input type="hidden" name="formKey" value={randomUUID()} />
              {ended ? (
                <input type="hidden" name="lowers" value="anew" />
              ) : (
                <Choices
                  name="lowers"
                  label="What it is for"
                  value="lowers"
                  options={[
                    {
                      value: 'lowers',
                      label: 'The price is lowered',
                      note: 'The customer owes less. What was paid beyond it is given back as a refund.',
                    },
                    {
                      value: 'anew',
                      label: 'The invoice was wrong',
                      note: 'The customer owes the same, and it can be invoiced anew.',
                    },
                  ]}
                />
              )}
              <MoneyField
                name="amount"
                label="Amount, tax included"
                currency={page.currency}
                size={14}
                required={false}
                hint={`Empty: all that is left of it, ${show(left.gross)}.`}
              />
              <TextArea
                name="why"
                label="Why?"
                rows={2}
                maxLength={300}
                required
                hint="Stands on the credit note."
              />
              <SubmitButton look="plain">Write the credit note</SubmitButton>
            </ActionForm>
          </details>
        </Section>
      )}
    </RoomPage>
  )
}
