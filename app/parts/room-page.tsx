import type { ReactNode } from 'react'
import { classNames } from './class-names'
import styles from './room-page.module.css'

/**
 * The space of a page inside the shell. With `side` the page has two parts: the work on the left and, on paper beside it, what
 * to keep in view; on a narrow screen the side comes below.
 * @param side a list or facts beside the work
 * @param sideLabel names the side for screen readers
 * @param narrow for forms and reading: lines stay short
 * @param wide no greatest width: the board
 */
export function RoomPage({
  children,
  side,
  sideLabel = 'Beside it',
  narrow,
  wide,
}: {
  children: ReactNode
  side?: ReactNode
  sideLabel?: string
  narrow?: boolean
  wide?: boolean
}) {
  if (!side)
    return (
      <div className={classNames(styles.page, narrow && styles.narrow, wide && styles.allWide)}>
        {children}
      </div>
    )
  return (
    <div className={styles.split}>
      <div className={classNames(styles.page, wide && styles.allWide)}>{children}</div>
      <aside className={styles.side} aria-label={sideLabel}>
        {side}
      </aside>
    </div>
  )
}
