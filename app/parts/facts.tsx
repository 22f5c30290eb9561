import type { ReactNode } from 'react'
import { classNames } from './class-names'
import styles from './facts.module.css'

/**
 * Facts about one thing: name and value under one another, as a list of definitions.
 * @param items a value of undefined is left out; null shows "not known yet"
 * @param across name left, value right, on one line each: for narrow sides
 */
export function Facts({
  items,
  across,
}: {
  items: readonly { name: string; value: ReactNode }[]
  across?: boolean
}) {
  return (
    <dl className={classNames(styles.facts, across && styles.across)}>
      {items
        .filter(i => i.value !== undefined)
        .map(i => (
          <div key={i.name}>
            <dt>{i.name}</dt>
            <dd>{i.value === null ? <span className={styles.unknown}>not known yet</span> : i.value}</dd>
          </div>
        ))}
    </dl>
  )
}
