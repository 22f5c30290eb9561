import type { ReactNode } from 'react'
import styles from './mix.module.css'

/** One row: a month. Values in the order of the parts, 0 or more; `shown` as people read the whole. */
export type MixRow = { key: string; label: ReactNode; values: readonly number[]; shown: ReactNode }

const PATTERNS = ['solid', 'hatch', 'open', 'dots', 'cross', 'wash'] as const

/**
 * How a whole is made up, row by row: the methods of each month. Each part has its own pattern, so it can be told apart without
 * colour; the shares stand in the row, in a real table.
 * @param parts names, up to six, in the order of the values
 * @param scaled rows are as long as their whole; otherwise every row is as long as the others
 */
export function Mix({
  title,
  parts,
  rows,
  scaled,
}: {
  title: ReactNode
  parts: readonly string[]
  rows: readonly MixRow[]
  scaled?: boolean
}) {
  const wholes = rows.map(r => r.values.reduce((a, b) => a + b, 0))
  const most = Math.max(0, ...wholes)
  const pattern = (i: number) => styles[PATTERNS[i % PATTERNS.length] ?? 'solid']
  return (
    <table className={styles.table}>
      <caption className={styles.caption}>
        {title}
        <span className={styles.key} aria-hidden="true">
          {parts.map((p, i) => (
            <span key={p}>
              <i className={pattern(i)} /> {p}
            </span>
          ))}
        </span>
      </caption>
      <thead className="aloud">
        <tr>
          <th scope="col">When</th>
          <th scope="col">All</th>
          <th scope="col">Shares</th>
        </tr>
      </thead>
      <tbody>
        {rows.map((r, n) => {
          const whole = wholes[n] ?? 0
          const share = (v: number) => (whole > 0 ? (v / whole) * 100 : 0)
          return (
            <tr key={r.key}>
              <th scope="row">{r.label}</th>
              <td className={styles.amount}>{r.shown}</td>
              <td className={styles.bars}>
                <span className="aloud">
                  {parts.map((p, i) => `${p} ${Math.round(share(r.values[i] ?? 0))}%`).join(', ')}
                </span>
                <span
                  aria-hidden="true"
                  className={styles.bar}
                  style={{ width: `${scaled && most > 0 ? (whole / most) * 100 : whole > 0 ? 100 : 0}%` }}
                >
                  {r.values.map((v, i) =>
                    v > 0 ? (
                      <span
                        key={parts[i]}
                        className={styles.part}
                        style={{ width: `${share(v)}%` }}
                        title={`${parts[i]}: ${Math.round(share(v))}%`}
                      >
                        <i className={pattern(i)} />
                        <b>{Math.round(share(v))}%</b>
                      </span>
                    ) : null,
                  )}
                </span>
              </td>
            </tr>
          )
        })}
      </tbody>
    </table>
  )
}
