import type { ReactNode } from 'react'
import styles from './bar-table.module.css'
import { classNames } from './class-names'

/** One bar of the fall. A total stands on the ground; a step takes from (or adds to) what was left. */
export type FallItem = {
  key: string
  label: ReactNode
  value: number
  total?: boolean
  /** The amount as people read it; a Figure with its working fits. */
  shown: ReactNode
}

/**
 * The fall from revenue to margin, each cost a step down from where the last one ended. The bars stand in a real table, so the
 * numbers are beside them, read aloud, and printed.
 * @param items in order: a total first, its steps, a total last. A last total that is not the sum of the steps is a fault of the
 *   caller: the core adds up, the drawing does not.
 */
export function Waterfall({ title, items }: { title: ReactNode; items: readonly FallItem[] }) {
  let level = 0
  const bars = items.map(item => {
    const from = item.total ? 0 : level
    level = item.total ? item.value : level + item.value
    return { item, from, to: level }
  })
  const low = Math.min(0, ...bars.map(b => Math.min(b.from, b.to)))
  const high = Math.max(0, ...bars.map(b => Math.max(b.from, b.to)))
  const at = (v: number) => (high === low ? 0 : ((v - low) / (high - low)) * 100)
  return (
    <table className={styles.table}>
      <caption className={styles.caption}>{title}</caption>
      <thead className="aloud">
        <tr>
          <th scope="col">What</th>
          <th scope="col">Amount</th>
          <td />
        </tr>
      </thead>
      <tbody>
        {bars.map(({ item, from, to }, i) => (
          <tr key={item.key} className={classNames(item.total && styles.total)}>
            <th scope="row">{item.label}</th>
            <td className={styles.amount}>{item.shown}</td>
            <td className={styles.bars} aria-hidden="true">
              <span
                className={classNames(
                  styles.bar,
                  item.total
                    ? item.value < 0
                      ? styles.loss
                      : styles.ground
                    : to < from
                      ? styles.down
                      : styles.up,
                )}
                style={{ left: `${at(Math.min(from, to))}%`, width: `${Math.abs(at(to) - at(from))}%` }}
              />
              {i < bars.length - 1 && <span className={styles.thread} style={{ left: `${at(to)}%` }} />}
              {low < 0 && <span className={styles.zero} style={{ left: `${at(0)}%` }} />}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
