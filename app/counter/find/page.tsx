import type { Metadata } from 'next'
import Link from 'next/link'
import { redirect } from 'next/navigation'
import { DataTable } from '@/app/parts/data-table'
import { OrderLink } from '@/app/parts/order-link'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { namedArtworks } from '@/lib/artwork/store'
import { listInput } from '@/lib/orders/input'
import { getOrder, listCustomers, listOrders } from '@/lib/orders/store'
import { requirePerson } from '@/lib/server/session'
import { FindBox } from '../find-box'

export const metadata: Metadata = { title: 'Found' }

/** Rows of one kind. */
const MOST = 20

/** Leads straight to the order of that number, or to the only thing that fits; else shows the orders, customers and artworks that do. */
export default async function Find({ searchParams }: { searchParams: Promise<Record<string, string>> }) {
  await requirePerson('orders.see')
  const { find } = listInput.parse(await searchParams)
  if (!find) redirect('/counter/orders')
  const number = /^#?\s*(\d{1,9})$/.exec(find)?.[1]
  if (number && (await getOrder(Number(number)))) redirect(`/counter/orders/${Number(number)}`)
  const [orders, customers, artworks] = await Promise.all([
    listOrders(listInput.parse({ find, state: 'all', sort: 'number', down: '1' })),
    listCustomers(find, 1, MOST),
    namedArtworks(find, MOST),
  ])
  const list = `/counter/orders?${new URLSearchParams({ find, state: 'all' })}`
  if (customers.total === 0 && artworks.length === 0) {
    if (orders.total === 1 && orders.rows[0]) redirect(`/counter/orders/${orders.rows[0].number}`)
    redirect(list)
  }
  if (orders.total === 0 && artworks.length === 0 && customers.total === 1 && customers.rows[0])
    redirect(`/counter/customers/${customers.rows[0].id}`)
  if (orders.total === 0 && customers.total === 0 && artworks.length === 1 && artworks[0])
    redirect(`/artdesk/${artworks[0].id}`)
  return (
    <RoomPage>
      <PageHead title={`“${find}”`} back={{ href: '/counter', label: 'Counter' }} />
      <FindBox value={find} />
      {customers.total > 0 && (
        <Section title="Customers">
          <DataTable
            caption="Customers that fit"
            quietCaption
            phone="narrow"
            rows={customers.rows}
            rowKey={c => c.id}
            columns={[
              {
                key: 'name',
                head: 'Customer',
                rowHead: true,
                wrap: true,
                cell: c => <Link href={`/counter/customers/${c.id}`}>{c.name}</Link>,
              },
              { key: 'contact', head: 'Contact', wrap: true, cell: c => c.contact },
              { key: 'orders', head: 'Orders', numeric: true, cell: c => c.orders },
            ]}
          />
          {customers.total > MOST && (
            <p>
              <Link href={`/counter/customers?${new URLSearchParams({ find })}`}>
                All {customers.total} customers
              </Link>
            </p>
          )}
        </Section>
      )}
      {orders.total > 0 && (
        <Section title="Orders">
          <DataTable
            caption="Orders that fit, the newest first"
            quietCaption
            phone="narrow"
            rows={orders.rows.slice(0, MOST)}
            rowKey={o => String(o.number)}
            columns={[
              {
                key: 'order',
                head: 'Order',
                rowHead: true,
                wrap: true,
                cell: o => <OrderLink order={o} />,
              },
              { key: 'what', head: 'What it is for', wrap: true, cell: o => o.title },
              { key: 'state', head: 'State', cell: o => <StateMark state={o.state} /> },
            ]}
          />
          {orders.total > MOST && (
            <p>
              <Link href={list}>All {orders.total} orders</Link>
            </p>
          )}
        </Section>
      )}
      {artworks.length > 0 && (
        <Section title="Artwork">
          <DataTable
            caption="Artworks that fit, the newest first"
            quietCaption
            phone="narrow"
            rows={artworks}
            rowKey={a => a.id}
            columns={[
              {
                key: 'name',
                head: 'File',
                rowHead: true,
                wrap: true,
                cell: a => <Link href={`/artdesk/${a.id}`}>{a.name}</Link>,
              },
              {
                key: 'order',
                head: 'Last order with it',
                numeric: true,
                cell: a =>
                  a.lastOrder === null ? (
                    'none'
                  ) : (
                    <Link href={`/counter/orders/${a.lastOrder}`}>{a.lastOrder}</Link>
                  ),
              },
            ]}
          />
        </Section>
      )}
    </RoomPage>
  )
}
