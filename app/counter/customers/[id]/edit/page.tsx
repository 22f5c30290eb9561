import type { Metadata } from 'next'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { requirePerson } from '@/lib/server/session'
import { editCustomerAction } from '../../../actions'
import { CustomerForm } from '../../../customer-form'
import { type CustomerAddress, loadCustomer } from '../../../load-customer'

export const metadata: Metadata = { title: 'Change a customer' }

export default async function EditCustomer({ params }: CustomerAddress) {
  await requirePerson('orders.change')
  const customer = await loadCustomer(params)
  return (
    <RoomPage narrow>
      <PageHead
        title={`Change ${customer.name}`}
        back={{ href: `/counter/customers/${customer.id}`, label: customer.name }}
      />
      <CustomerForm action={editCustomerAction.bind(null, customer.id)} customer={customer} />
    </RoomPage>
  )
}
