import type { ReactNode } from 'react'
import { classNames } from './class-names'
import styles from './row.module.css'

/**
 * Things side by side that wrap when there is no room: fields of one line, figures, buttons.
 * @param gap small | normal | large
 * @param align top (fields) | foot (fields with a button beside them) | base (figures and text) | middle (buttons)
 */
export function Row({
  children,
  gap = 'normal',
  align = 'top',
}: {
  children: ReactNode
  gap?: 'small' | 'normal' | 'large'
  align?: 'top' | 'foot' | 'base' | 'middle'
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

/** Things in columns of at least `least` rem each, as many as fit; few things share the whole width, up to `most` rem each. */
export function Columns({
  children,
  least = 18,
  most,
}: {
  children: ReactNode
  least?: number
  most?: number
}) {
  return (
    <div
      className={styles.columns}
      style={{
        gridTemplateColumns: `repeat(auto-fit, minmax(min(${least}rem, 100%), ${most ? `${most}rem` : '1fr'}))`,
      }}
    >
      {children}
    </div>
  )
}
