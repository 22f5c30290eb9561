import type { Metadata } from 'next'
import Link from 'next/link'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { EmptyState } from '@/app/parts/empty-state'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { listInput } from '@/lib/orders/input'
import { listCustomers, PAGE_ROWS } from '@/lib/orders/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatDay } from '@/lib/units/time'
import styles from '../counter.module.css'
import { FindBox } from '../find-box'

export const metadata: Metadata = { title: 'Customers' }

/** Everybody who ever asked for something. */
export default async function Customers({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[]>>
}) {
  const person = await requirePerson('orders.see')
  const { find, page } = listInput.parse(await searchParams)
  const [facts, { rows, total }] = await Promise.all([shop(), listCustomers(find, page)])
  const pages = Math.max(1, Math.ceil(total / PAGE_ROWS))
  const at = (n: number) =>
    `/counter/customers?${new URLSearchParams({ ...(find ? { find } : {}), page: String(n) })}`
  return (
    <RoomPage>
      <PageHead
        title="Customers"
        back={{ href: '/counter', label: 'Counter' }}
        sense={find ? `${total} found for “${find}”.` : `${total} in the books.`}
        more={
          mayDo(person, 'orders.change') && (
            <>
              <ButtonLink href="/counter/customers/new">New customer</ButtonLink>
              <ButtonLink href="/counter/customers/import">From a file</ButtonLink>
            </>
          )
        }
      />
      <FindBox value={find} action="/counter/customers" by="name, contact, phone or e-mail" />
      <DataTable
        caption="Customers"
        quietCaption
        rows={rows}
        rowKey={c => c.id}
        empty={
          <EmptyState
            title={find ? `Nobody fits “${find}”` : 'No customers yet'}
            action={<ButtonLink href="/counter/new">New enquiry</ButtonLink>}
          >
            A customer is written down with the first enquiry.
          </EmptyState>
        }
        columns={[
          {
            key: 'name',
            head: 'Customer',
            rowHead: true,
            wrap: true,
            cell: c => <Link href={`/counter/customers/${c.id}`}>{c.name}</Link>,
          },
          { key: 'contact', head: 'Contact', wrap: true, cell: c => c.contact || '–' },
          { key: 'phone', head: 'Phone', cell: c => c.phone || '–' },
          { key: 'orders', head: 'Orders', numeric: true, cell: c => c.orders },
          {
            key: 'last',
            head: 'Last asked',
            cell: c => (c.lastOrderAt === null ? '–' : formatDay(c.lastOrderAt, facts.timeZone)),
          },
        ]}
      />
      {pages > 1 && (
        <nav className={styles.pages} aria-label="Pages">
          {page > 1 && <ButtonLink href={at(page - 1)}>Earlier</ButtonLink>}
          <span>
            Page {Math.min(page, pages)} of {pages}
          </span>
          {page < pages && <ButtonLink href={at(page + 1)}>Later</ButtonLink>}
        </nav>
      )}
    </RoomPage>
  )
}
