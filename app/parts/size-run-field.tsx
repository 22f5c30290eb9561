'use client'
import { useId, useRef, useState } from 'react'
import { FieldError } from './field'
import field from './field.module.css'
import { useFieldError } from './form-context'
import styles from './size-run-field.module.css'

/** One size of a run. `free`: pieces on the shelf that nobody was promised; `note`: a surcharge, or "from 14 May". */
export type SizeOfRun = { size: string; quantity?: number | string | null; free?: number; note?: string }

/**
 * Quantities by size in one row, with the total as it grows. Sends one value a size, named `${name}.${size}`
 * ("sizes.2XL" = "4"; empty is none). A run pasted or typed into any box ("S 4, M 8, L 8, 2XL 4") fills the row.
 * An error for `name` stands under the row.
 */
export function SizeRunField({
  name,
  label = 'Pieces by size',
  hint,
  sizes,
  error,
}: {
  name: string
  label?: string
  hint?: string
  sizes: readonly SizeOfRun[]
  error?: string
}) {
  const id = useId()
  const said = useFieldError(name) ?? error
  const row = useRef<HTMLDivElement>(null)
  const [total, setTotal] = useState(() => sum(sizes.map(s => String(s.quantity ?? ''))))
  const boxes = () => [...(row.current?.querySelectorAll('input') ?? [])]
  const count = () => setTotal(sum(boxes().map(b => b.value)))
  const fill = (text: string): boolean => {
    const run = readRun(text)
    if (run.size === 0) return false
    for (const box of boxes()) {
      const given = run.get((box.dataset.size ?? '').toUpperCase())
      if (given !== undefined) box.value = String(given)
    }
    count()
    return true
  }
  const described = [hint ? `${id}-hint` : '', said ? `${id}-error` : ''].filter(Boolean).join(' ')
  return (
    <fieldset className={styles.run} aria-describedby={described || undefined}>
      <legend className={field.label}>{label}</legend>
      {hint && (
        <span id={`${id}-hint`} className={field.hint}>
          {hint}
        </span>
      )}
      <div className={styles.row} ref={row}>
        {sizes.map((s, i) => (
          <div key={s.size} className={styles.size}>
            <label className={styles.name} htmlFor={`${id}-box-${i}`}>
              {s.size}
            </label>
            <input
              id={`${id}-box-${i}`}
              className={styles.box}
              name={`${name}.${s.size}`}
              data-size={s.size}
              type="text"
              inputMode="numeric"
              autoComplete="off"
              maxLength={60}
              defaultValue={s.quantity ?? undefined}
              placeholder="0"
              aria-describedby={s.free !== undefined || s.note ? `${id}-${i}` : undefined}
              aria-invalid={said ? true : undefined}
              onChange={e => {
                if (!/[a-z]/i.test(e.currentTarget.value)) count()
              }}
              onBlur={e => {
                if (/[a-z]/i.test(e.currentTarget.value)) fill(e.currentTarget.value)
              }}
              onPaste={e => {
                if (fill(e.clipboardData.getData('text'))) e.preventDefault()
              }}
            />
            <span className={styles.note} id={`${id}-${i}`}>
              {s.free !== undefined && `${s.free} free`}
              {s.free !== undefined && s.note && <br />}
              {s.note}
            </span>
          </div>
        ))}
        <output className={styles.total} aria-live="polite">
          <span className={styles.name}>Total</span>
          <strong>{total}</strong>
        </output>
      </div>
      <FieldError id={`${id}-error`} error={said} />
    </fieldset>
  )
}

const sum = (texts: readonly string[]): number =>
  texts.reduce((all, t) => all + (/^\s*\d{1,6}\s*$/.test(t) ? Number(t) : 0), 0)

/** Reads "S 4, M 8, 2XL: 4" or "4 S, 8 M" as quantities by size. Empty when it is not a run of sizes. */
export function readRun(text: string): Map<string, number> {
  const run = new Map<string, number>()
  for (const part of text.split(/[,;\n\t/]+/)) {
    const m =
      /^\s*([a-z][a-z0-9-]*|\d*x+[sl]|\d+-\d+)\s*[:=×x ]\s*(\d{1,6})\s*$/i.exec(part) ??
      swap(/^\s*(\d{1,6})\s*[×x ]\s*([a-z][a-z0-9-]*|\d*x+[sl]|\d+-\d+)\s*$/i.exec(part))
    if (m?.[1] && m[2]) run.set(m[1].toUpperCase(), Number(m[2]))
  }
  return run
}
const swap = (m: RegExpExecArray | null) => m && [m[0], m[2], m[1]]
