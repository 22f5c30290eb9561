import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { RoomPage } from '@/app/parts/room-page'

export default function NoArtwork() {
  return (
    <RoomPage narrow>
      <h1 className="aloud">No such artwork</h1>
      <EmptyState
        title="There is no such artwork"
        action={<ButtonLink href="/artdesk">To the art desk</ButtonLink>}
      >
        The address may be cut short: find the artwork on the art desk or through its order.
      </EmptyState>
    </RoomPage>
  )
}
