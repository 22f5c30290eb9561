import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { requirePerson } from '@/lib/server/session'
import { newOrderAction } from '../actions'
import { formSetting } from '../form-page'
import { OrderForm } from '../order-form'

export const metadata: Metadata = { title: 'New enquiry' }

/** Writes an enquiry down while the customer is on the phone. */
export default async function NewOrder({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[]>>
}) {
  await requirePerson('orders.change')
  const { facts, customers, catalogue, today } = await formSetting()
  const { customer } = await searchParams
  return (
    <RoomPage>
      <PageHead
        title="New enquiry"
        back={{ href: '/counter', label: 'Counter' }}
        sense="Who, by when, and what on what. The price comes next, from the picture itself."
      />
      {catalogue.length === 0 ? (
        <EmptyState
          title="There is no blank to print on yet"
          action={<ButtonLink href="/stockroom">Go to the stockroom</ButtonLink>}
        >
          Add blanks to the catalogue first; then enquiries can be written down.
        </EmptyState>
      ) : (
        <OrderForm
          action={newOrderAction}
          lock={{ formKey: randomUUID() }}
          fields={{
            customer: customers.find(c => c.id === customer),
            title: '',
            note: '',
            promiseDay: '',
            promiseTime: '17:00',
            promiseHard: false,
            rush: false,
            lines: [],
          }}
          catalogue={catalogue}
          customers={customers}
          system={facts.measures}
          today={today}
          save="Write the enquiry down"
        />
      )}
    </RoomPage>
  )
}
