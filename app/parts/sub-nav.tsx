import Link from 'next/link'
import { CurrentInView } from './current-in-view'
import styles from './sub-nav.module.css'

/**
 * The pages inside a room, or the faces of one thing: links, the current one marked.
 * @param label names the list for screen readers: "Order 1042"
 * @param items each with its address; count stands after the label
 * @param current the address that is open
 */
export function SubNav({
  label,
  items,
  current,
}: {
  label: string
  items: readonly { href: string; label: string; count?: number }[]
  current: string
}) {
  return (
    <nav aria-label={label} className={styles.nav} data-screen-only>
      {items.map(i => (
        <Link key={i.href} href={i.href} aria-current={i.href === current ? 'page' : undefined}>
          {i.label}
          {i.count !== undefined && <span className={styles.count}> {i.count}</span>}
        </Link>
      ))}
      <CurrentInView current={current} />
    </nav>
  )
}
