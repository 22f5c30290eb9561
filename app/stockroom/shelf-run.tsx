import { formatAmount } from '@/lib/stock/items'
import type { BookLine, ItemLine } from '@/lib/stock/views/store'
import { formatDay } from '@/lib/units/time'
import styles from './stockroom.module.css'

/** What was on hand over the lines of the book, as steps. The book itself is the table beside it. */
export function ShelfRun({
  item,
  lines,
  zone,
}: {
  item: ItemLine
  lines: readonly BookLine[]
  zone: string
}) {
  const run = [...lines].reverse()
  const [first] = run
  const last = run.at(-1)
  if (!first || !last || run.length < 3 || last.at === first.at) return null
  const before = first.onHand - first.quantity
  const values = [before, item.reorderPoint, ...run.map(l => l.onHand)]
  const high = Math.max(1, ...values)
  const low = Math.min(0, ...values)
  const x = (at: number) => ((at - first.at) / (last.at - first.at)) * 100
  const y = (n: number) => 40 - ((n - low) / (high - low)) * 40
  let path = `M0 ${y(before).toFixed(2)}`
  for (const l of run) path += `H${x(l.at).toFixed(2)}V${y(l.onHand).toFixed(2)}`
  const point = item.reorderPoint > 0 ? y(item.reorderPoint) : null
  return (
    <figure className={styles.run}>
      <svg viewBox="0 0 100 40" preserveAspectRatio="none" aria-hidden="true">
        {point !== null && <line x1="0" x2="100" y1={point} y2={point} className={styles.point} />}
        <line x1="0" x2="100" y1={y(0)} y2={y(0)} className={styles.zero} />
        <path d={path} className={styles.step} />
      </svg>
      <figcaption>
        On hand from {formatDay(first.at, zone)} to {formatDay(last.at, zone)}, between{' '}
        {formatAmount(Math.min(...values.slice(2)), item.unit)} and{' '}
        {formatAmount(Math.max(...values.slice(2)), item.unit)}
        {point !== null && <>; dashed: reorder at {formatAmount(item.reorderPoint, item.unit)}</>}.
      </figcaption>
    </figure>
  )
}
