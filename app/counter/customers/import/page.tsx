import type { Metadata } from 'next'
import { ImportDesk } from '@/app/imports/import-desk'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { CUSTOMER_COLUMNS } from '@/lib/orders/imports/customers'
import { requirePerson } from '@/lib/server/session'
import { lookAtCustomersAction, takeCustomersAction } from './actions'

export const metadata: Metadata = { title: 'Customers from a file' }

/** Takes customers in from a table. */
export default async function ImportCustomers() {
  await requirePerson('orders.change')
  return (
    <RoomPage>
      <PageHead
        title="Customers from a file"
        back={{ href: '/counter/customers', label: 'Customers' }}
        sense="Whoever is here already is known by the e-mail address, else by the name. Empty cells change nothing, and the same file again changes nothing."
      />
      <ImportDesk
        columns={CUSTOMER_COLUMNS}
        look={lookAtCustomersAction}
        take={takeCustomersAction}
        what="customers"
      />
    </RoomPage>
  )
}
