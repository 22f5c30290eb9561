import { scaleLinear, scaleLog } from 'd3-scale'
import { line } from 'd3-shape'
import type { CSSProperties, ReactNode } from 'react'
import { apart, spread } from './chart-labels'
import { classNames } from './class-names'
import { DataTable } from './data-table'
import styles from './line-chart.module.css'

/** One line of the chart; points in the order of x. */
export type ChartLine = { key: string; name: string; points: readonly { x: number; y: number }[] }
/** A place where the cheapest changes: marked on the lines and said in a sentence. */
export type Crossing = { x: number; y: number; text: string }

const DASHES = ['', '9 5', '2 5', '14 4 2 4', '5 3', '1 3', '18 4', '9 3 2 3 2 3']

/**
 * Lines over quantity, drawn on the server: nothing of it runs in the browser. Each line has its own dash and its name at its
 * end; crossings are marked, dropped to the axis and said in words; the table beside holds the same numbers.
 * @param title heading of the figure
 * @param xLabel, yLabel what the axes measure, unit included
 * @param formatX, formatY as people read the numbers
 * @param log logarithmic x: for 1 to 500 pieces
 * @param lines up to eight; from five on the table stands below
 * @param mark key of the line that is meant: drawn in the accent, and heavier
 * @param at a value of x to point out: { x: 24, text: "this order" }
 * @param tableAt values of x that the table shows; they must be among the points
 * @param table stands in place of that table, below the lines, where it says more than the points do
 */
export function LineChart({
  title,
  xLabel,
  yLabel,
  formatX = String,
  formatY = String,
  log,
  lines,
  mark,
  at,
  crossings = [],
  tableAt,
  table,
}: {
  title: string
  xLabel: string
  yLabel: string
  formatX?: (x: number) => string
  formatY?: (y: number) => string
  log?: boolean
  lines: readonly ChartLine[]
  mark?: string
  at?: { x: number; text: string }
  crossings?: readonly Crossing[]
  tableAt?: readonly number[]
  table?: ReactNode
}) {
  const points = lines.flatMap(l => l.points)
  if (points.length === 0) return <p>There is nothing to draw yet.</p>
  const xs = points.map(p => p.x)
  const [left, right] = [Math.min(...xs), Math.max(...xs)]
  const x = (log ? scaleLog() : scaleLinear())
    .domain([left, right === left ? left + 1 : right])
    .range([0, 100])
  // A steep start must not flatten what matters: the axis ends at three times the middle value where it would.
  const ys = points.map(p => p.y).sort((a, b) => a - b)
  const middle = ys[Math.floor(ys.length / 2)] ?? 0
  const highest = ys.at(-1) ?? 1
  const cut = highest > middle * 4 && middle > 0
  const y = scaleLinear()
    .domain([Math.min(0, ys[0] ?? 0), cut ? middle * 3 : highest])
    .nice(5)
    .range([100, 0])
  const top = y.domain()[1] ?? 1
  const draw = line<{ x: number; y: number }>()
    .x(p => x(p.x) * 10)
    .y(p => y(p.y) * 10)
  const xTicks = log
    ? [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000].filter(t => t >= left && t <= right)
    : // Where only whole numbers stand on the axis (months, pieces) there is no half between them.
      x.ticks(6).filter(t => Number.isInteger(t) || !points.every(p => Number.isInteger(p.x)))
  const ends = spread(
    lines.map(l => Math.max(0, Math.min(100, y(l.points.at(-1)?.y ?? 0)))),
    11.5,
  )
  const places = crossings.map(c => x(c.x))
  const tagged = apart(places, 7)
  // Of those, the ones with room on a phone.
  const narrow = apart(
    places.filter((_, i) => tagged[i]),
    14,
  )
  const taggedOnPhone = places.map((_, i) => tagged[i] && narrow[tagged.slice(0, i).filter(Boolean).length])
  const rows = (tableAt ?? xTicks).filter(t => lines.some(l => l.points.some(p => p.x === t)))
  const value = (l: ChartLine, t: number) => l.points.find(p => p.x === t)?.y
  return (
    <figure className={styles.figure}>
      <figcaption className={styles.title}>{title}</figcaption>
      <div className={classNames(styles.pair, (lines.length > 4 || table !== undefined) && styles.stacked)}>
        <div className={styles.chart} aria-hidden="true">
          <span className={styles.yLabel}>{yLabel}</span>
          <div className={styles.plot}>
            {y.ticks(5).map(t => (
              <span key={t} className={styles.yTick} style={{ top: `${y(t)}%` }}>
                <span>{formatY(t)}</span>
              </span>
            ))}
            {xTicks.map((t, i) => (
              <span
                key={t}
                className={classNames(
                  styles.xTick,
                  i % 2 === 1 && styles.minor,
                  crossings.some((c, k) => tagged[k] && Math.abs(x(c.x) - x(t)) < 4) && styles.covered,
                )}
                style={{ left: `${x(t)}%` }}
              >
                {formatX(t)}
              </span>
            ))}
            <svg
              className={styles.lines}
              viewBox="0 0 1000 1000"
              preserveAspectRatio="none"
              aria-hidden="true"
            >
              {at && <path className={styles.at} d={`M${x(at.x) * 10} 0V1000`} />}
              {crossings.map(c => (
                <path key={c.text} className={styles.drop} d={`M${x(c.x) * 10} ${y(c.y) * 10}V1000`} />
              ))}
              {lines.map((l, i) => (
                <path
                  key={l.key}
                  className={classNames(styles.line, l.key === mark && styles.meant)}
                  strokeDasharray={DASHES[i % DASHES.length]}
                  d={draw([...clip(l.points, top)]) ?? undefined}
                />
              ))}
            </svg>
            {crossings.map((c, i) => (
              <span key={c.text}>
                <span className={styles.cross} style={{ left: `${x(c.x)}%`, top: `${y(c.y)}%` }} />
                {tagged[i] && (
                  <span
                    className={classNames(styles.crossAt, !taggedOnPhone[i] && styles.minor)}
                    style={{ left: `${x(c.x)}%` }}
                  >
                    {formatX(c.x)}
                  </span>
                )}
              </span>
            ))}
            {at && (
              <span className={styles.atText} style={{ left: `${x(at.x)}%` }}>
                {at.text}
              </span>
            )}
            {lines.map((l, i) => (
              <span
                key={l.key}
                className={classNames(styles.end, l.key === mark && styles.meantEnd)}
                style={{ top: `${ends[i]}%` } as CSSProperties}
              >
                <Dash pattern={DASHES[i % DASHES.length]} />
                {l.name}
              </span>
            ))}
          </div>
          <span className={styles.xLabel}>{xLabel}</span>
          <div className={styles.key}>
            {lines.map((l, i) => (
              <span key={l.key} className={classNames(styles.keyed, l.key === mark && styles.meantEnd)}>
                <Dash pattern={DASHES[i % DASHES.length]} />
                {l.name}
              </span>
            ))}
          </div>
        </div>
        <div className={styles.beside}>
          {crossings.length > 0 && (
            <ul className={styles.said}>
              {crossings.map(c => (
                <li key={c.text}>{c.text}</li>
              ))}
            </ul>
          )}
          {table ?? (
            <DataTable
              caption={`${title}: the numbers`}
              quietCaption
              phone="scroll"
              rows={rows}
              rowKey={String}
              columns={[
                { key: 'x', head: xLabel, cell: t => formatX(t), rowHead: true },
                ...lines.map(l => ({
                  key: l.key,
                  head: l.name,
                  numeric: true,
                  cell: (t: number): ReactNode => {
                    const v = value(l, t)
                    return v === undefined ? '–' : formatY(v)
                  },
                })),
              ]}
            />
          )}
        </div>
      </div>
    </figure>
  )
}

function Dash({ pattern }: { pattern: string | undefined }) {
  return (
    <svg width="26" height="10" className={styles.dash} aria-hidden="true">
      <path d="M0 5H26" strokeDasharray={pattern} />
    </svg>
  )
}

/** The points under the top of the axis, with the point where the line comes in. */
function* clip(
  points: readonly { x: number; y: number }[],
  top: number,
): Generator<{ x: number; y: number }> {
  let before: { x: number; y: number } | undefined
  for (const p of points) {
    if (before && before.y > top !== p.y > top) {
      const share = (top - before.y) / (p.y - before.y)
      yield { x: before.x + (p.x - before.x) * share, y: top }
    }
    if (p.y <= top) yield p
    before = p
  }
}
