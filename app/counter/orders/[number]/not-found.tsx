import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { RoomPage } from '@/app/parts/room-page'
import { FindBox } from '../../find-box'

export default function NoSuchOrder() {
  return (
    <RoomPage narrow>
      <h1 className="aloud">No such order</h1>
      <FindBox />
      <EmptyState
        title="There is no order of this number"
        action={<ButtonLink href="/counter/orders?state=all">Show all orders</ButtonLink>}
      >
        Look at the number again, or find the order by its customer.
      </EmptyState>
    </RoomPage>
  )
}
