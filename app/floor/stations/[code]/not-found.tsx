import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'

export default function NoStation() {
  return (
    <EmptyState
      title="There is no such station"
      action={<ButtonLink href="/floor/stations">All stations</ButtonLink>}
    >
      It may have another name now, or have left the shop: choose the one you stand at.
    </EmptyState>
  )
}
