import Link from 'next/link'
import type { ButtonHTMLAttributes, ComponentProps, ReactNode } from 'react'
import styles from './button.module.css'
import { classNames } from './class-names'

/** primary: the one next thing; plain: anything else; quiet: beside text; danger: cannot be taken back. */
export type ButtonLook = 'primary' | 'plain' | 'quiet' | 'danger'
/** floor is 64 px tall, for gloves; small still has a 44 px target on touch screens. */
export type ButtonSize = 'small' | 'normal' | 'floor'

const look = (kind: ButtonLook, size: ButtonSize, wide?: boolean) =>
  classNames(styles.button, styles[kind], styles[size], wide && styles.wide)

/**
 * A button. Inside a form that may take a moment use SubmitButton, which shows that it is working.
 * @param look primary | plain | quiet | danger
 * @param size small | normal | floor
 * @param wide fills the width it is given
 * @param pending shows that it is working; whoever handles the press ignores a second one
 */
export function Button({
  look: kind = 'plain',
  size = 'normal',
  wide,
  pending,
  type = 'button',
  children,
  className,
  ...rest
}: {
  look?: ButtonLook
  size?: ButtonSize
  wide?: boolean
  pending?: boolean
  children: ReactNode
} & ButtonHTMLAttributes<HTMLButtonElement>) {
  return (
    <button
      type={type}
      className={classNames(look(kind, size, wide), className)}
      // Not disabled while pending: focus would be lost.
      aria-disabled={pending || undefined}
      data-pending={pending || undefined}
      {...rest}
    >
      {children}
    </button>
  )
}

/** A link that looks like a button: it goes somewhere and changes nothing. Takes Link's props, and Button's look, size and wide. */
export function ButtonLink({
  look: kind = 'plain',
  size = 'normal',
  wide,
  children,
  className,
  ...rest
}: { look?: ButtonLook; size?: ButtonSize; wide?: boolean; children: ReactNode } & ComponentProps<
  typeof Link
>) {
  return (
    <Link className={classNames(look(kind, size, wide), className)} {...rest}>
      {children}
    </Link>
  )
}
