'use client'
import { useEffect, useId, useRef, useState } from 'react'
import { Button } from '@/app/parts/button'
import { FieldError, fieldTies } from '@/app/parts/field'
import { useFieldError } from '@/app/parts/form-context'
import styles from './count-field.module.css'
import { COUNTED, type Counted } from './press-count'

/**
 * A count by thumb: minus, number, plus. Where a press timer of the same name counts, the field follows it until somebody changes the
 * field; from then on the timer's count is offered.
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
  const mine = useRef(false)
  const set = (text: string) => {
    setCount(text)
    onCount?.(Number.parseInt(text, 10) || 0)
  }
  const follow = useRef(set)
  useEffect(() => {
    follow.current = set
  })
  useEffect(() => setCount(String(value)), [value])
  useEffect(() => {
    if (!timer) return
    const hear = (e: Event) => {
      const told = (e as CustomEvent<Counted>).detail
      if (told.name !== timer) return
      setCounted(told.counted)
      if (!mine.current && told.counted > 0) follow.current(String(Math.min(most, told.counted)))
    }
    window.addEventListener(COUNTED, hear)
    return () => window.removeEventListener(COUNTED, hear)
  }, [timer, most])
  const type = (text: string) => {
    mine.current = true
    set(text)
  }
  const step = (by: number) =>
    type(String(Math.min(most, Math.max(least, (Number.parseInt(count, 10) || 0) + by))))
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
          onChange={e => type(e.target.value)}
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
