import { ButtonLink } from './parts/button'
import { EmptyState } from './parts/empty-state'
import { RoomPage } from './parts/room-page'

/** An address that leads nowhere. */
export default function NotFound() {
  return (
    <main>
      <RoomPage narrow>
        <h1>Nothing is here</h1>
        <EmptyState
          title="This address leads nowhere"
          action={
            <ButtonLink look="primary" href="/">
              To the shop
            </ButtonLink>
          }
        >
          It may be cut short, or what stood here is gone.
        </EmptyState>
      </RoomPage>
    </main>
  )
}
