'use client'
import { type ReactNode, useId } from 'react'
import { FieldError } from './field'
import styles from './field.module.css'
import { useFieldError } from './form-context'

/**
 * One tick: yes or no. Sends `value` ("on" unless told) when ticked, nothing otherwise.
 * @param checked ticked at first
 * @param note one line under the label
 */
export function TickField({
  name,
  label,
  note,
  value = 'on',
  checked,
  error,
  required,
}: {
  name: string
  label: ReactNode
  note?: ReactNode
  value?: string
  checked?: boolean
  error?: string
  required?: boolean
}) {
  const id = useId()
  const said = useFieldError(name) ?? error
  return (
    <div className={styles.field}>
      <label className={styles.option}>
        <input
          type="checkbox"
          name={name}
          value={value}
          defaultChecked={checked}
          required={required}
          aria-invalid={said ? true : undefined}
          aria-describedby={said ? `${id}-error` : undefined}
        />
        <span>
          {label}
          {note && <span className={styles.note}>{note}</span>}
        </span>
      </label>
      <FieldError id={`${id}-error`} error={said} />
    </div>
  )
}
