import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { RoomPage } from '@/app/parts/room-page'

export default function NoSuchCustomer() {
  return (
    <RoomPage narrow>
      <h1 className="aloud">No such customer</h1>
      <EmptyState
        title="There is no customer at this address"
        action={<ButtonLink href="/counter/customers">Show all customers</ButtonLink>}
      >
        Look them up by name, contact or phone.
      </EmptyState>
    </RoomPage>
  )
}
