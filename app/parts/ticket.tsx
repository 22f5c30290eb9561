import Link from 'next/link'
import type { ReactNode } from 'react'
import { classNames } from './class-names'
import styles from './ticket.module.css'

/**
 * A ticket: paper with one torn edge. It stands for one order, one run, one thing that travels. Lists are tables, not tickets.
 * @param number order number or other short name, in bold
 * @param title who or what
 * @param href opens it: the whole ticket is then one press
 * @param mark a StateMark, or anything that stands on the right of the head
 * @param torn which edge is torn: bottom (default), right for what goes on tomorrow
 * @param tone now | late | risk | done
 * @param foot a line under a hairline: an action, a promise
 */
export function Ticket({
  number,
  title,
  href,
  mark,
  torn = 'bottom',
  tone,
  children,
  foot,
}: {
  number?: ReactNode
  title?: ReactNode
  href?: string
  mark?: ReactNode
  torn?: 'bottom' | 'right' | 'none'
  tone?: 'now' | 'late' | 'risk' | 'done'
  children?: ReactNode
  foot?: ReactNode
}) {
  const name = (
    <>
      {number !== undefined && <b className={styles.number}>{number}</b>} {title}
    </>
  )
  return (
    <article
      className={classNames(styles.ticket, styles[`torn-${torn}`], tone && styles[tone])}
      data-keep-together
    >
      {(number !== undefined || title || mark) && (
        <header className={styles.head}>
          <span className={styles.title}>
            {href ? (
              <Link href={href} className={styles.link}>
                {name}
              </Link>
            ) : (
              name
            )}
          </span>
          {mark && <span className={styles.mark}>{mark}</span>}
        </header>
      )}
      {children && <div className={styles.body}>{children}</div>}
      {foot && <footer className={styles.foot}>{foot}</footer>}
    </article>
  )
}
