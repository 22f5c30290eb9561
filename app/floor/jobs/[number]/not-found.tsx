import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'

export default function NoJob() {
  return (
    <EmptyState title="There is no such order" action={<ButtonLink href="/floor">To the board</ButtonLink>}>
      Nothing with this number is on the floor: look again at the ticket, or find the order at the counter.
    </EmptyState>
  )
}
