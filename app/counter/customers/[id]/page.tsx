import type { Metadata } from 'next'
import Link from 'next/link'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { WhatHappened } from '@/app/what-happened'
import { customerYears } from '@/lib/books/store'
import { marginWorking } from '@/lib/books/working'
import { ordersOf } from '@/lib/orders/store'
import { historyOf } from '@/lib/server/history'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatMoney, type Minor } from '@/lib/units/money'
import { formatDay, instantOf } from '@/lib/units/time'
import styles from '../../counter.module.css'
import { type CustomerAddress, loadCustomer } from '../../load-customer'
import { Promised } from '../../promise'

export const generateMetadata = async ({ params }: CustomerAddress): Promise<Metadata> => ({
  title: (await loadCustomer(params)).name,
})

/** One customer: how to reach them, and every order of theirs. */
export default async function CustomerPage({ params }: CustomerAddress) {
  const person = await requirePerson('orders.see')
  const customer = await loadCustomer(params)
  const [facts, orders, past] = await Promise.all([
    shop(),
    ordersOf(customer.id),
    historyOf('customer', customer.id, 50),
  ])
  const now = instantOf(new Date())
  const changes = mayDo(person, 'orders.change')
  const prices = mayDo(person, 'prices.see')
  const words = [
    ['Contact', customer.contact],
    [
      'Phone',
      customer.phone && <a href={`tel:${customer.phone.replace(/[^\d+]/g, '')}`}>{customer.phone}</a>,
    ],
    [
      'E-mail',
      customer.email && <a href={`mailto:${encodeURIComponent(customer.email)}`}>{customer.email}</a>,
    ],
    ['Address', customer.address],
    ['Note', customer.note],
    ['Tax', customer.taxExempt && 'exempt'],
  ] as const
  return (
    <RoomPage>
      <PageHead
        title={customer.name}
        back={{ href: '/counter/customers', label: 'Customers' }}
        more={changes && <ButtonLink href={`/counter/customers/${customer.id}/edit`}>Change</ButtonLink>}
        next={
          changes && (
            <ButtonLink look="primary" href={`/counter/new?customer=${customer.id}`}>
              New enquiry for them
            </ButtonLink>
          )
        }
      />
      <dl className={styles.facts}>
        {words.map(
          ([name, value]) =>
            value && (
              <div key={name} style={{ display: 'contents' }}>
                <dt>{name}</dt>
                <dd className={styles.pre}>{value}</dd>
              </div>
            ),
        )}
      </dl>
      {mayDo(person, 'books.see') && <Earned customerId={customer.id} currency={facts.currency} />}
      <Section title="Orders">
        <DataTable
          caption={`Orders of ${customer.name}`}
          quietCaption
          rows={orders}
          rowKey={o => String(o.number)}
          empty="No orders yet."
          columns={[
            {
              key: 'number',
              head: 'Order',
              rowHead: true,
              sort: o => o.number,
              cell: o => <Link href={`/counter/orders/${o.number}`}>{o.number}</Link>,
            },
            { key: 'what', head: 'What it is for', wrap: true, cell: o => o.title },
            { key: 'pieces', head: 'Pieces', numeric: true, sort: o => o.pieces, cell: o => o.pieces },
            { key: 'state', head: 'State', cell: o => <StateMark state={o.state} /> },
            {
              key: 'asked',
              head: 'Asked',
              sort: o => o.enquiredAt,
              cell: o => formatDay(o.enquiredAt, facts.timeZone),
            },
            {
              key: 'promise',
              head: 'Promised',
              sort: o => o.promiseAt,
              cell: o => (
                <Promised
                  at={o.promiseAt}
                  hard={o.promiseHard}
                  state={o.state}
                  now={now}
                  zone={facts.timeZone}
                />
              ),
            },
            ...(prices
              ? [
                  {
                    key: 'total',
                    head: 'Total',
                    numeric: true,
                    sort: (o: (typeof orders)[number]) => o.gross,
                    cell: (o: (typeof orders)[number]) =>
                      o.gross === null ? 'no price yet' : formatMoney(o.gross, facts.currency),
                  },
                ]
              : []),
          ]}
        />
      </Section>
      <WhatHappened about="this customer" lines={past} facts={facts} who={person} />
    </RoomPage>
  )
}

/** What the work for this customer earned, year by year: the owner's to see. */
async function Earned({ customerId, currency }: { customerId: string; currency: string }) {
  const years = await customerYears(customerId)
  if (years.length === 0) return null
  const show = (n: Minor) => formatMoney(n, currency).replace('-', '−')
  return (
    <Section title="What their work earned">
      <DataTable
        caption="Orders handed over, by year"
        quietCaption
        phone="narrow"
        rows={years}
        rowKey={y => y.year}
        mark={y => (y.margin < 0 ? 'late' : undefined)}
        columns={[
          { key: 'year', head: 'Year', rowHead: true, cell: y => y.year },
          { key: 'orders', head: 'Orders', numeric: true, cell: y => y.orders },
          { key: 'revenue', head: 'Revenue', numeric: true, cell: y => show(y.revenue) },
          {
            key: 'margin',
            head: 'Margin',
            numeric: true,
            cell: y => (
              <Figure
                value={show(y.margin)}
                about={`margin of ${y.year}`}
                working={marginWorking(y, currency, 'agreed offers of the year’s orders, before tax')}
              />
            ),
          },
        ]}
      />
    </Section>
  )
}
