import { EmptyState } from '@/app/parts/empty-state'
import styles from '../offer.module.css'

export default function NoSuchOffer() {
  return (
    <main className={styles.page}>
      <h1 className="aloud">No offer here</h1>
      <EmptyState title="There is no offer at this address">
        Check that the address was copied whole. If it was, it has ended since: ask the shop that sent it.
      </EmptyState>
    </main>
  )
}
