import type { ReactNode } from 'react'
import styles from './bar-table.module.css'
import { classNames } from './class-names'

/** One bar. `tone` marks it; a word in its label says why. */
export type BarItem = {
  key: string
  label: ReactNode
  value: number
  shown: ReactNode
  tone?: 'late' | 'risk' | 'done' | 'action'
}

/**
 * Bars by name in a real table: label, number, bar. Values may be below nought.
 * @param items in the order they are shown: by size for "which most", by name or time otherwise
 * @param running adds the running share of the whole, for "which few make most of it" (values of 0 or more)
 */
export function Bars({
  title,
  items,
  running,
  empty = 'Nothing to show yet.',
}: {
  title: ReactNode
  items: readonly BarItem[]
  running?: boolean
  empty?: ReactNode
}) {
  const values = items.map(i => i.value)
  const low = Math.min(0, ...values)
  const high = Math.max(0, ...values)
  const whole = values.reduce((a, b) => a + b, 0)
  const at = (v: number) => (high === low ? 0 : ((v - low) / (high - low)) * 100)
  let sum = 0
  return (
    <table className={styles.table}>
      <caption className={styles.caption}>{title}</caption>
      <thead className="aloud">
        <tr>
          <th scope="col">What</th>
          <th scope="col">Amount</th>
          {running && <th scope="col">Running share</th>}
          <td />
        </tr>
      </thead>
      <tbody>
        {items.length === 0 && (
          <tr>
            <td colSpan={3}>{empty}</td>
          </tr>
        )}
        {items.map(item => {
          sum += item.value
          return (
            <tr key={item.key}>
              <th scope="row">{item.label}</th>
              <td className={styles.amount}>{item.shown}</td>
              {running && (
                <td className={styles.share}>{whole > 0 ? `${Math.round((sum / whole) * 100)}%` : '–'}</td>
              )}
              <td className={styles.bars} aria-hidden="true">
                <span
                  className={classNames(styles.bar, styles[item.tone ?? 'ground'])}
                  style={{
                    left: `${at(Math.min(0, item.value))}%`,
                    width: `${Math.abs(at(item.value) - at(0))}%`,
                  }}
                />
                {low < 0 && <span className={styles.zero} style={{ left: `${at(0)}%` }} />}
              </td>
            </tr>
          )
        })}
      </tbody>
    </table>
  )
}
