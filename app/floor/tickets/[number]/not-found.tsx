import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { RoomPage } from '@/app/parts/room-page'

export default function NoTicket() {
  return (
    <RoomPage narrow>
      <h1 className="aloud">No such order</h1>
      <EmptyState title="There is no such order" action={<ButtonLink href="/floor">To the board</ButtonLink>}>
        Nothing with this number is on the floor: look again at the ticket, or find the order at the counter.
      </EmptyState>
    </RoomPage>
  )
}
