'use client'
import { type SelectHTMLAttributes, useId } from 'react'
import { FieldFrame, type FieldProps, fieldTies } from './field'
import styles from './field.module.css'
import { useFieldError } from './form-context'

/** One of a list; `group` puts neighbours under one heading. */
export type SelectOption = { value: string; label: string; group?: string; disabled?: boolean }

/**
 * One choice out of many, by the browser's own list. For two to five use Choices: they are seen at once.
 * @param options in order
 * @param empty words of a first, empty choice: "choose a blank"
 */
export function SelectField({
  name,
  label,
  hint,
  error,
  required,
  value,
  options,
  empty,
  ...rest
}: FieldProps & { options: readonly SelectOption[]; empty?: string } & Omit<
    SelectHTMLAttributes<HTMLSelectElement>,
    keyof FieldProps
  >) {
  const id = useId()
  const said = useFieldError(name) ?? error
  const groups: { name: string | undefined; options: SelectOption[] }[] = []
  for (const option of options) {
    const last = groups.at(-1)
    if (last && last.name === option.group) last.options.push(option)
    else groups.push({ name: option.group, options: [option] })
  }
  const draw = (o: SelectOption) => (
    <option key={o.value} value={o.value} disabled={o.disabled}>
      {o.label}
    </option>
  )
  return (
    <FieldFrame id={id} label={label} hint={hint} error={said} required={required}>
      <span className={styles.selectBox}>
        <select
          className={styles.select}
          name={name}
          // A select does not follow a new default by itself.
          key={String(value ?? '')}
          defaultValue={value ?? undefined}
          required={required}
          {...fieldTies(id, hint, said)}
          {...rest}
        >
          {empty !== undefined && <option value="">{empty}</option>}
          {groups.map(g =>
            g.name ? (
              <optgroup key={g.name} label={g.name}>
                {g.options.map(draw)}
              </optgroup>
            ) : (
              g.options.map(draw)
            ),
          )}
        </select>
      </span>
    </FieldFrame>
  )
}
