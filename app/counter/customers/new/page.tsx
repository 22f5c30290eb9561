import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { requirePerson } from '@/lib/server/session'
import { newCustomerAction } from '../../actions'
import { CustomerForm } from '../../customer-form'

export const metadata: Metadata = { title: 'New customer' }

export default async function NewCustomer() {
  await requirePerson('orders.change')
  return (
    <RoomPage narrow>
      <PageHead title="New customer" back={{ href: '/counter/customers', label: 'Customers' }} />
      <CustomerForm action={newCustomerAction} formKey={randomUUID()} />
    </RoomPage>
  )
}
