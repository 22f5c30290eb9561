import { type ReactNode, useId } from 'react'
import type { Working } from '@/lib/units/working'
import { classNames } from './class-names'
import styles from './figure.module.css'
import { WorkingSheet } from './working-sheet'

/**
 * A number with its unit, and the working behind it, which opens by press, Enter or Space and closes by Escape. Prints closed.
 * Not for inside a <p>: the working holds tables.
 * @param value as people read it; the unit may be part of it ("€12.50")
 * @param unit set smaller after the number: "mm", "pieces"
 * @param label what it is, above the number; without one the figure stands in line, as in a table cell
 * @param working opens on request; without it the figure is a plain number
 * @param size line (in text and tables) | large (a heading figure) | arm (beside a machine)
 * @param tone late | risk | done
 * @param about names the figure to screen readers where there is no label: "margin of order 1042"
 */
export function Figure({
  value,
  unit,
  label,
  working,
  size = label ? 'large' : 'line',
  tone,
  about,
  note,
}: {
  value: ReactNode
  unit?: ReactNode
  label?: ReactNode
  working?: Working
  size?: 'line' | 'large' | 'arm'
  tone?: 'late' | 'risk' | 'done'
  about?: string
  note?: ReactNode
}) {
  const id = useId()
  const number = (
    <span className={classNames(styles.number, tone && styles[tone])}>
      {value}
      {unit && <span className={styles.unit}> {unit}</span>}
    </span>
  )
  return (
    <div className={classNames(styles.figure, styles[size])}>
      {label && <span className={styles.label}>{label}</span>}
      {working ? (
        <>
          <button type="button" className={styles.opener} popoverTarget={id}>
            {number}
            <span className="aloud">, show the working{about ? ` of ${about}` : ''}</span>
          </button>
          <div id={id} popover="auto" className={styles.sheet} role="dialog" aria-label="Working">
            <WorkingSheet working={working} title={label ?? about} />
            <button
              type="button"
              className={styles.close}
              popoverTarget={id}
              popoverTargetAction="hide"
              aria-label="Close the working"
            >
              <svg viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">
                <path d="m3 3 10 10M13 3 3 13" stroke="currentColor" strokeWidth="2" />
              </svg>
            </button>
          </div>
        </>
      ) : (
        number
      )}
      {note && <span className={styles.note}>{note}</span>}
    </div>
  )
}
