import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { RoomPage } from '@/app/parts/room-page'

export default function NoStation() {
  return (
    <RoomPage narrow>
      <h1 className="aloud">No such station</h1>
      <EmptyState
        title="There is no such station"
        action={<ButtonLink href="/floor/stations">All stations</ButtonLink>}
      >
        It may have another name now, or have left the shop: choose the one you stand at.
      </EmptyState>
    </RoomPage>
  )
}
