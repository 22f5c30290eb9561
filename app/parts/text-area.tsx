'use client'
import { type TextareaHTMLAttributes, useId } from 'react'
import { FieldFrame, type FieldProps, fieldTies } from './field'
import styles from './field.module.css'
import { useFieldError } from './form-context'

/** Several lines of text; grows as one types where the browser can. */
export function TextArea({
  name,
  label,
  hint,
  error,
  required,
  value,
  rows = 3,
  ...rest
}: FieldProps & Omit<TextareaHTMLAttributes<HTMLTextAreaElement>, keyof FieldProps>) {
  const id = useId()
  const said = useFieldError(name) ?? error
  return (
    <FieldFrame id={id} label={label} hint={hint} error={said} required={required} wide>
      <textarea
        className={styles.area}
        name={name}
        rows={rows}
        defaultValue={value ?? undefined}
        required={required}
        {...fieldTies(id, hint, said)}
        {...rest}
      />
    </FieldFrame>
  )
}
