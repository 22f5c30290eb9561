import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { RoomPage } from '@/app/parts/room-page'

export default function NotInStock() {
  return (
    <RoomPage narrow>
      <h1 className="aloud">Not in the stockroom</h1>
      <EmptyState
        title="There is nothing at this address in the stockroom"
        action={<ButtonLink href="/stockroom/items">Show all items</ButtonLink>}
      >
        Look at the SKU or the number again, or find the item by its name.
      </EmptyState>
    </RoomPage>
  )
}
