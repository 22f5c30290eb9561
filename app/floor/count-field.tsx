'use client'
import { useEffect, useId, useState } from 'react'
import { Button } from '@/app/parts/button'
import { FieldError, fieldTies } from '@/app/parts/field'
import { useFieldError } from '@/app/parts/form-context'
import styles from './count-field.module.css'
import { COUNTED, type Counted } from './press-count'

/**
 * A count by thumb: minus, number, plus. Where a press timer of the same name counts, its count can be taken over.
 * @param most as many as there can be; stands there at first unless told otherwise
 */
export function CountField({
  name,
  label,
  most,
  least = 0,
  value = most,
  timer,
  onCount,
}: {
  name: string
  label: string
  most: number
  least?: number
  value?: number
  timer?: string
  /** Is told of every change; what is no number counts as none. */
  onCount?: (count: number) => void
}) {
  const id = useId()
  const error = useFieldError(name)
  const [count, setCount] = useState(String(value))
  const [counted, setCounted] = useState<number | null>(null)
  useEffect(() => setCount(String(value)), [value])
  useEffect(() => {
    if (!timer) return
    const hear = (e: Event) => {
      const told = (e as CustomEvent<Counted>).detail
      if (told.name === timer) setCounted(told.counted)
    }
    window.addEventListener(COUNTED, hear)
    return () => window.removeEventListener(COUNTED, hear)
  }, [timer])
  const set = (text: string) => {
    setCount(text)
    onCount?.(Number.parseInt(text, 10) || 0)
  }
  const step = (by: number) =>
    set(String(Math.min(most, Math.max(least, (Number.parseInt(count, 10) || 0) + by))))
  return (
    <div className={styles.field}>
      <label htmlFor={id} className={styles.label}>
        {label} <span className={styles.of}>of {most}</span>
      </label>
      <div className={styles.row}>
        <Button onClick={() => step(-1)} aria-label={`${label}: one less`} className={styles.step}>
          −
        </Button>
        <input
          name={name}
          value={count}
          onChange={e => set(e.target.value)}
          inputMode="numeric"
          autoComplete="off"
          className={styles.number}
          {...fieldTies(id, undefined, error)}
        />
        <Button onClick={() => step(1)} aria-label={`${label}: one more`} className={styles.step}>
          +
        </Button>
      </div>
      {counted !== null && counted > 0 && String(counted) !== count && (
        <Button look="quiet" onClick={() => set(String(Math.min(most, counted)))}>
          The timer counted {counted}: take that
        </Button>
      )}
      <FieldError id={`${id}-error`} error={error} />
    </div>
  )
}
