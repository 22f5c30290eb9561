import Link from 'next/link'
import type { ReactNode } from 'react'
import styles from './page-head.module.css'

/**
 * Head of a page: what it is, one line of sense, and the one thing to do next as the biggest thing on it.
 * @param title the page's h1
 * @param sense one line: where things stand
 * @param next one primary ButtonLink or Button (size floor makes it big by itself here)
 * @param more quieter actions beside it
 * @param back where one came from: { href, label }
 */
export function PageHead({
  title,
  sense,
  next,
  more,
  back,
  mark,
}: {
  title: ReactNode
  sense?: ReactNode
  next?: ReactNode
  more?: ReactNode
  back?: { href: string; label: string }
  /** A StateMark beside the title. */
  mark?: ReactNode
}) {
  return (
    <header className={styles.head}>
      <div className={styles.words}>
        {back && (
          <Link className={styles.back} href={back.href} data-screen-only>
            <span aria-hidden="true">←</span> {back.label}
          </Link>
        )}
        <div className={styles.title}>
          <h1>{title}</h1>
          {mark}
        </div>
        {sense && <div className={styles.sense}>{sense}</div>}
      </div>
      {(next || more) && (
        <div className={styles.actions} data-screen-only>
          {more}
          {next && <div className={styles.next}>{next}</div>}
        </div>
      )}
    </header>
  )
}
