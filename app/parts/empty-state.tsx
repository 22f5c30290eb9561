import type { ReactNode } from 'react'
import { classNames } from './class-names'
import styles from './empty-state.module.css'
import { RegistrationMark } from './mark'

/**
 * Where a list or a room has nothing yet: what will stand here, and the way to the first one. Without an action it is a plain
 * sentence: nothing is asked of anybody.
 * @param title "No enquiries yet"
 * @param action one button or link
 */
export function EmptyState({
  title,
  children,
  action,
}: {
  title: ReactNode
  children?: ReactNode
  action?: ReactNode
}) {
  return (
    <div className={classNames(styles.empty, action ? styles.invites : undefined)}>
      {action && <RegistrationMark size={44} />}
      <h2 className={styles.title}>{title}</h2>
      {children && <div className={styles.words}>{children}</div>}
      {action && <div className={styles.action}>{action}</div>}
    </div>
  )
}
