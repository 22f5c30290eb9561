import Link from 'next/link'
import type { CSSProperties, ReactNode } from 'react'
import { formatMinutes, formatTime, type Instant } from '@/lib/units/time'
import { classNames } from './class-names'
import styles from './day-strip.module.css'
import {
  closedSpans,
  placeAt,
  type StripRange,
  shownMs,
  stretchOf,
  stripTicks,
  threadPath,
} from './day-strip-place'
import { RegistrationMark } from './mark'
import { Sign } from './sign'

/** A run on a strip. */
export type StripRun = {
  id: string
  order: string
  who: string
  /** "240 pcs" */
  quantity?: string
  /** "screen, 3 inks" */
  detail?: string
  href: string
  /** start to work is the changeover, work to end the work. */
  start: Instant
  work: Instant
  end: Instant
  /** What the changeover is: "150 → 165 °C", "wash-up". */
  changeover?: string
  state: 'planned' | 'running' | 'done'
  standing?: 'late' | 'risk'
  /** Share of the pieces done, 0 to 1. */
  progress?: number
  /** Held in its place by a person. */
  pinned?: boolean
  /** Lanes that can take it, counted from 0; left out where it cannot be moved. */
  can?: readonly number[]
  /** Not what was looked for: drawn pale. */
  dim?: boolean
}

/** A station with its hours and its runs. */
export type StripStation = {
  id: string
  name: string
  /** "150 °C now", "white on" */
  note?: ReactNode
  href?: string
  open: readonly { from: Instant; to: Instant }[]
  runs: readonly StripRun[]
}

/** Curing or settling between two runs on the strip: `minutes` until the next may begin. */
export type StripThread = { from: string; to: string; what: string; minutes: number }

/**
 * The day, or some days, as one strip per station: open hours, closures dotted, runs to scale (torn where they go on after the
 * strip's end), changeovers hatched, curing and settling as dotted threads to the next run, and the line of now with the
 * registration mark. Each run is a link that says all of it to a screen reader; a run with little room says less, never over
 * something else. On a phone the strip scrolls inside its own box.
 * @param range what is shown; zone is the shop's time zone
 * @param now draws the line
 * @param label names the strip: "Thursday 14 May, by station"
 * @param size normal | wall (a TV)
 * @param hourWidth least width of an hour in px, before the box scrolls
 */
export function DayStrip({
  range,
  zone,
  now,
  stations,
  threads = [],
  label,
  size = 'normal',
  hourWidth = 64,
}: {
  range: StripRange
  zone: string
  now?: Instant
  stations: readonly StripStation[]
  threads?: readonly StripThread[]
  label: string
  size?: 'normal' | 'wall'
  hourWidth?: number
}) {
  const at = new Map<string, { run: StripRun; lane: number }>()
  stations.forEach((s, lane) => {
    for (const run of s.runs) at.set(run.id, { run, lane })
  })
  const drawn = threads.flatMap(t => {
    const from = at.get(t.from)
    const to = at.get(t.to)
    if (!from || !to || from.run.end >= range.to || to.run.work <= range.from) return []
    const d = threadPath(
      placeAt(from.run.end, range),
      placeAt(from.run.end + t.minutes * 60_000, range),
      placeAt(to.run.start, range),
      from.lane,
      to.lane,
    )
    return [{ ...t, d, done: to.run.state !== 'planned' }]
  })
  const after = new Map(threads.map(t => [t.from, t]))
  const hours = shownMs(range) / 3_600_000
  const nowAt = now !== undefined && now >= range.from && now <= range.to ? placeAt(now, range) : undefined
  const ticks = stripTicks(range, zone)
  return (
    <section
      className={classNames(styles.strip, styles[size])}
      style={
        {
          '--least': `${Math.round(hours * (range.skips ? 20 : hours > 50 ? 10 : hourWidth))}px`,
        } as CSSProperties
      }
      aria-label={label}
      // Scrolled by keyboard where it is wider than its box.
      {...{ tabIndex: 0 }}
    >
      <div className={styles.field}>
        <div className={styles.axis} aria-hidden="true">
          {ticks.map(t => (
            <span
              key={t.at}
              className={classNames(
                styles.hour,
                t.minor && styles.minor,
                placeAt(t.at, range) < 1.5 && styles.edge,
              )}
              style={{ left: `${placeAt(t.at, range)}%` }}
            >
              {t.text}
            </span>
          ))}
          {nowAt !== undefined && now !== undefined && (
            <span className={styles.nowMark} style={{ left: `${nowAt}%` }} data-now>
              <RegistrationMark size={22} />
              <span className={styles.nowTime} data-now-time>
                {formatTime(now, zone)}
              </span>
            </span>
          )}
        </div>
        <ul className={styles.lanes}>
          {stations.map(s => (
            <li key={s.id} className={styles.lane} data-station={s.id}>
              <div className={styles.station}>
                {s.href ? (
                  <Link href={s.href} className={styles.name}>
                    {s.name}
                  </Link>
                ) : (
                  <span className={styles.name}>{s.name}</span>
                )}
                {s.note && <span className={styles.note}>{s.note}</span>}
              </div>
              <div className={styles.track} data-track>
                {closedSpans(s.open, range).map(c => {
                  const place = stretchOf(c.from, c.to, range)
                  return (
                    place !== undefined &&
                    place.width > 0 && <span key={c.from} className={styles.closed} style={percent(place)} />
                  )
                })}
                {s.runs.length === 0 && <span className="aloud">no runs</span>}
                <ul className={styles.runs}>
                  {s.runs.map(run => (
                    <Run key={run.id} run={run} range={range} zone={zone} thread={after.get(run.id)} />
                  ))}
                </ul>
              </div>
            </li>
          ))}
        </ul>
        <div className={styles.over} aria-hidden="true">
          {ticks.map(t => (
            <span key={t.at} className={styles.rule} style={{ left: `${placeAt(t.at, range)}%` }} />
          ))}
          {drawn.length > 0 && (
            <svg
              className={styles.threads}
              viewBox={`0 0 1000 ${stations.length * 100}`}
              preserveAspectRatio="none"
              aria-hidden="true"
            >
              {drawn.map(t => (
                <path key={`${t.from} ${t.to}`} d={t.d} data-done={t.done || undefined} />
              ))}
            </svg>
          )}
          {nowAt !== undefined && <span className={styles.nowLine} style={{ left: `${nowAt}%` }} data-now />}
        </div>
      </div>
    </section>
  )
}

const percent = (s: { left: number; width: number }) => ({
  left: `${s.left.toFixed(3)}%`,
  width: `${s.width.toFixed(3)}%`,
})

function Run({
  run,
  range,
  zone,
  thread,
}: {
  run: StripRun
  range: StripRange
  zone: string
  thread: StripThread | undefined
}) {
  const place = stretchOf(run.work, run.end, range)
  const before = run.work > run.start ? stretchOf(run.start, run.work, range) : undefined
  const sign = run.state === 'done' ? 'done' : run.standing
  if (!place && !before) return null
  return (
    <li>
      {before && (
        <span className={styles.changeover} style={percent(before)} title={run.changeover} aria-hidden="true">
          <span className={styles.changeoverText}>{run.changeover}</span>
        </span>
      )}
      {place && (
        <Link
          href={run.href}
          className={classNames(
            styles.run,
            styles[run.state],
            run.state !== 'done' && run.standing && styles[run.standing],
            run.end > range.to && styles.goesOn,
            run.work < range.from && styles.cameFrom,
            run.dim && styles.dim,
          )}
          style={percent(place)}
          // Hundreds of pages that nobody has asked for yet would be fetched else.
          prefetch={false}
          draggable={false}
          data-run={run.id}
          data-start={run.start}
          data-end={run.end}
          data-can={run.can?.join(' ')}
          aria-label={spoken(run, zone, thread)}
          title={spoken(run, zone, thread)}
        >
          <span className={styles.paper}>
            <span className={styles.words} aria-hidden="true">
              <span className={styles.first}>
                <b className={styles.order}>
                  {run.order}
                  {sign && <Sign name={sign} />}
                  {sign && <span className={styles.word}>{sign === 'risk' ? 'at risk' : sign}</span>}
                </b>
                <span className={styles.quantity}>{run.quantity}</span>
              </span>
              <span className={styles.second}>
                <span className={styles.who}>{run.who}</span>
                <span className={styles.detail}>{run.detail}</span>
                <span className={styles.few}>{run.quantity}</span>
              </span>
            </span>
            {run.pinned && <span className={styles.pin} />}
            {run.progress !== undefined && run.state === 'running' && (
              <span className={styles.progress} style={{ width: `${Math.round(run.progress * 100)}%` }} />
            )}
          </span>
        </Link>
      )}
    </li>
  )
}

/** All that the drawing shows of a run, in words. */
function spoken(run: StripRun, zone: string, thread: StripThread | undefined): string {
  const changeover =
    run.work > run.start
      ? `changeover ${run.changeover ?? ''} from ${formatTime(run.start, zone)}`.replace('  ', ' ')
      : undefined
  return [
    `${run.order} ${run.who}`,
    run.quantity,
    run.detail,
    `${formatTime(run.work, zone)} to ${formatTime(run.end, zone)}`,
    run.state === 'planned' ? undefined : run.state,
    run.state !== 'done' && run.standing ? (run.standing === 'late' ? 'late' : 'at risk') : undefined,
    run.state === 'running' && run.progress !== undefined
      ? `${Math.round(run.progress * 100)}% done`
      : undefined,
    run.pinned ? 'pinned' : undefined,
    changeover,
    thread ? `then ${thread.what} ${formatMinutes(thread.minutes)}` : undefined,
  ]
    .filter(Boolean)
    .join(', ')
}
