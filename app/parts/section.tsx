import type { ReactNode } from 'react'
import styles from './section.module.css'

/**
 * A part of a page under its own heading. Hairlines and space divide pages here, not boxes.
 * @param title heading; level 2 unless told
 * @param aside stands right of the heading: a link, a count
 */
export function Section({
  title,
  level = 2,
  small,
  aside,
  id,
  children,
}: {
  title: ReactNode
  level?: 2 | 3
  /** Looks like level 3 where the page's own order of headings wants level 2. */
  small?: boolean
  aside?: ReactNode
  id?: string
  children: ReactNode
}) {
  const Heading = level === 2 ? 'h2' : 'h3'
  return (
    <section className={styles.section} id={id}>
      <header className={styles.head}>
        <Heading className={level === 2 && !small ? styles.two : styles.three}>{title}</Heading>
        {aside && <div className={styles.aside}>{aside}</div>}
      </header>
      {children}
    </section>
  )
}
