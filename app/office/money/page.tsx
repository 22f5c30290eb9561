import type { Metadata } from 'next'
import Link from 'next/link'
import { Button } from '@/app/parts/button'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { TAX_BY_WORDS, type TaxBy } from '@/lib/books/invoices/invoice'
import { owedByCustomer } from '@/lib/books/invoices/owed'
import {
  invoicesBetween,
  invoicing,
  moneySums,
  owingOrders,
  paymentSums,
  taxedOrders,
} from '@/lib/books/invoices/store'
import { taxByPayments } from '@/lib/books/invoices/tax-by-payments'
import { requirePerson } from '@/lib/server/session'
import { ratesAt, shop } from '@/lib/shop/store'
import { type Minor, minor, sumMinor } from '@/lib/units/money'
import { dayOf, formatLongDay, instantOf, monthOf } from '@/lib/units/time'
import { askedSpan } from '../asked-span'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'
import { money } from '../show'
import { OwedByAge, WhoOwes } from './owed'
import { IssuedTable, MoneyIn, TaxByInvoicesTable, TaxByPaymentsTable } from './period'

export const metadata: Metadata = { title: 'Money' }

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
      <WhoOwes rows={rows} currency={currency} />
      {open > 0 && <OwedByAge rows={rows} currency={currency} />}
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
              <TaxByPaymentsTable tax={taxByPayments(moved)} name={taxName} show={show} />
            ) : (
              <TaxByInvoicesTable issued={issued} name={taxName} show={show} />
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
          <MoneyIn paid={paid} show={show} />
        </div>
        <IssuedTable issued={issued} taxName={taxName} timeZone={timeZone} show={show} />
      </Section>
    </RoomPage>
  )
}
