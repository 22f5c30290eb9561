import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { RoomPage } from '@/app/parts/room-page'

export default function NotInTheBooks() {
  return (
    <RoomPage narrow>
      <h1 className="aloud">Not in the books</h1>
      <EmptyState
        title="There is nothing at this address in the books"
        action={<ButtonLink href="/office">Go to month end</ButtonLink>}
      >
        Look at the number again: orders stand here by the number on their ticket.
      </EmptyState>
    </RoomPage>
  )
}
