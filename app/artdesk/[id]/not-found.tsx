import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'

export default function NoArtwork() {
  return (
    <EmptyState
      title="There is no such artwork"
      action={<ButtonLink href="/artdesk">To the art desk</ButtonLink>}
    >
      The address may be cut short: find the artwork on the art desk or through its order.
    </EmptyState>
  )
}
