'use client'
import { type ReactNode, useId } from 'react'
import { classNames } from './class-names'
import { FieldError } from './field'
import styles from './field.module.css'
import { useFieldError } from './form-context'

/** One of the choices; `note` is a line under its label. */
export type Choice = { value: string; label: ReactNode; note?: ReactNode; disabled?: boolean }

/**
 * Choices that are seen at once: one of them (radio buttons), or any number (many).
 * @param value the chosen one; values is the list where `many`
 * @param across side by side, as one strip, for short labels
 */
export function Choices({
  name,
  label,
  hint,
  error,
  required,
  value,
  values,
  options,
  many,
  across,
}: {
  name: string
  label: ReactNode
  hint?: ReactNode
  error?: string
  required?: boolean
  value?: string | null
  values?: readonly string[]
  options: readonly Choice[]
  many?: boolean
  across?: boolean
}) {
  const id = useId()
  const said = useFieldError(name) ?? error
  const described = [hint ? `${id}-hint` : '', said ? `${id}-error` : ''].filter(Boolean).join(' ')
  return (
    <fieldset className={styles.choices} aria-describedby={described || undefined}>
      <legend className={styles.label}>{label}</legend>
      {hint && (
        <span id={`${id}-hint`} className={styles.hint}>
          {hint}
        </span>
      )}
      <div className={classNames(styles.options, across && styles.across)}>
        {options.map(o => (
          <label key={o.value} className={styles.option}>
            <input
              type={many ? 'checkbox' : 'radio'}
              name={name}
              value={o.value}
              defaultChecked={many ? values?.includes(o.value) : value === o.value}
              disabled={o.disabled}
              required={required && !many}
              aria-invalid={said ? true : undefined}
            />
            <span>
              {o.label}
              {o.note && <span className={styles.note}>{o.note}</span>}
            </span>
          </label>
        ))}
      </div>
      <FieldError id={`${id}-error`} error={said} />
    </fieldset>
  )
}
