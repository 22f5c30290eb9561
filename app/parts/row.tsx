import type { ReactNode } from 'react'
import { classNames } from './class-names'
import styles from './row.module.css'

/**
 * Things side by side that wrap when there is no room: fields of one line, figures, buttons.
 * @param gap small | normal | large
 * @param align top (fields) | base (figures and text) | middle (buttons)
 */
export function Row({
  children,
  gap = 'normal',
  align = 'top',
}: {
  children: ReactNode
  gap?: 'small' | 'normal' | 'large'
  align?: 'top' | 'base' | 'middle'
}) {
  return <div className={classNames(styles.row, styles[gap], styles[align])}>{children}</div>
}

/** Things under one another with even space. */
export function Stack({
  children,
  gap = 'normal',
}: {
  children: ReactNode
  gap?: 'small' | 'normal' | 'large'
}) {
  return <div className={classNames(styles.stack, styles[gap])}>{children}</div>
}

/** Things in columns of at least `least` rem each, as many as fit. */
export function Columns({ children, least = 18 }: { children: ReactNode; least?: number }) {
  return (
    <div
      className={styles.columns}
      style={{ gridTemplateColumns: `repeat(auto-fill, minmax(min(${least}rem, 100%), 1fr))` }}
    >
      {children}
    </div>
  )
}
