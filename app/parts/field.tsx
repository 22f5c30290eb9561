'use client'
import { type InputHTMLAttributes, type ReactNode, useId } from 'react'
import { classNames } from './class-names'
import styles from './field.module.css'
import { useFieldError } from './form-context'
import { Sign } from './sign'

/** What every field takes. */
export type FieldProps = {
  name: string
  label: ReactNode
  /** One line under the input: what to type, or why it is asked. */
  hint?: ReactNode
  /** One clear sentence. Inside an ActionForm it comes by itself. */
  error?: string
  required?: boolean
  /** What stands there at first: kept as typed afterwards. */
  value?: string | number | null
}

/** Label, hint and error around an input; the ids tie them together for screen readers. */
export function FieldFrame({
  id,
  label,
  hint,
  error,
  required,
  children,
  wide,
}: Omit<FieldProps, 'name' | 'value'> & { id: string; children: ReactNode; wide?: boolean }) {
  return (
    <div className={classNames(styles.field, wide && styles.wide)}>
      <label className={styles.label} htmlFor={id}>
        {label}
        {required === false && <span className={styles.optional}> if any</span>}
      </label>
      {children}
      {hint && (
        <span id={`${id}-hint`} className={styles.hint}>
          {hint}
        </span>
      )}
      <FieldError id={`${id}-error`} error={error} />
    </div>
  )
}

/** The sentence under a field. */
export function FieldError({ id, error }: { id: string; error?: string | undefined }) {
  return error ? (
    <span id={id} className={styles.error}>
      <Sign name="stop" /> {error}
    </span>
  ) : null
}

/** The ARIA ties of an input to its hint and error. */
export const fieldTies = (id: string, hint: ReactNode, error: string | undefined) => ({
  id,
  'aria-invalid': error ? true : undefined,
  'aria-describedby':
    [hint ? `${id}-hint` : '', error ? `${id}-error` : ''].filter(Boolean).join(' ') || undefined,
})

/**
 * A field for one line of text, a day, a time, a number … by `type`.
 * @param unit stands inside, after the input: "pieces", "%"
 * @param size least width in characters, those of a unit among them; without it the field is as wide as a name
 * Other attributes go to the input.
 */
export function Field({
  name,
  label,
  hint,
  error,
  required,
  value,
  unit,
  size,
  ...rest
}: FieldProps & { unit?: ReactNode; size?: number } & Omit<
    InputHTMLAttributes<HTMLInputElement>,
    keyof FieldProps | 'size'
  >) {
  const id = useId()
  const said = useFieldError(name) ?? error
  // One sentence is not said twice.
  const told = hint === said ? undefined : hint
  return (
    <FieldFrame id={id} label={label} hint={told} error={said} required={required}>
      <span className={styles.box} style={size ? { width: `calc(${size}ch + 2rem)` } : undefined}>
        <input
          type="text"
          autoComplete="off"
          className={styles.input}
          name={name}
          defaultValue={value ?? undefined}
          required={required}
          {...fieldTies(id, told, said)}
          {...rest}
        />
        {unit && <span className={styles.unit}>{unit}</span>}
      </span>
    </FieldFrame>
  )
}
