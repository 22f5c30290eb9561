import { scaleLinear } from 'd3-scale'
import { classNames } from './class-names'
import styles from './scatter.module.css'

/** One dot. `name` is written beside it where it stands out; all dots are in the list behind. */
export type Dot = {
  key: string
  x: number
  y: number
  name: string
  href?: string
  named?: boolean
  tone?: 'late' | 'risk' | 'done'
}

/**
 * Dots in a plane, one for each order: margin against revenue. The ones that stand out carry their name; every dot can be reached
 * and says both its numbers. For what is behind the dots put a table beside it.
 * @param title heading of the figure
 * @param formatX, formatY as people read the numbers
 */
export function Scatter({
  title,
  xLabel,
  yLabel,
  formatX = String,
  formatY = String,
  dots,
}: {
  title: string
  xLabel: string
  yLabel: string
  formatX?: (x: number) => string
  formatY?: (y: number) => string
  dots: readonly Dot[]
}) {
  if (dots.length === 0) return <p>There is nothing to draw yet.</p>
  const xs = dots.map(d => d.x)
  const ys = dots.map(d => d.y)
  const x = scaleLinear()
    .domain([Math.min(0, ...xs), Math.max(1, ...xs)])
    .nice(5)
    .range([0, 100])
  const y = scaleLinear()
    .domain([Math.min(0, ...ys), Math.max(1, ...ys)])
    .nice(5)
    .range([100, 0])
  return (
    <figure className={styles.figure}>
      <figcaption className={styles.title}>{title}</figcaption>
      <span className={styles.label} aria-hidden="true">
        {yLabel}
      </span>
      <div className={styles.plot}>
        <div aria-hidden="true">
          {y.ticks(5).map(t => (
            <span
              key={t}
              className={classNames(styles.yTick, t === 0 && styles.zero)}
              style={{ top: `${y(t)}%` }}
            >
              <span>{formatY(t)}</span>
            </span>
          ))}
          {x.ticks(5).map(t => (
            <span key={t} className={styles.xTick} style={{ left: `${x(t)}%` }}>
              {formatX(t)}
            </span>
          ))}
        </div>
        <ul className={styles.dots}>
          {dots.map(d => {
            const said = `${d.name}: ${xLabel} ${formatX(d.x)}, ${yLabel} ${formatY(d.y)}`
            const inner = (
              <>
                <span className={classNames(styles.dot, d.tone && styles[d.tone])} title={said} />
                {d.named && (
                  <span className={classNames(styles.name, x(d.x) > 50 && styles.before)} aria-hidden="true">
                    {d.name}
                  </span>
                )}
                <span className="aloud">{said}</span>
              </>
            )
            return (
              <li key={d.key} className={styles.place} style={{ left: `${x(d.x)}%`, top: `${y(d.y)}%` }}>
                {d.href ? <a href={d.href}>{inner}</a> : inner}
              </li>
            )
          })}
        </ul>
      </div>
      <span className={classNames(styles.label, styles.xLabel)} aria-hidden="true">
        {xLabel}
      </span>
    </figure>
  )
}
