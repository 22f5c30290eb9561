'use client'
import Link from 'next/link'
import { type CSSProperties, memo, type ReactNode, useEffect, useRef, useState } from 'react'
import { formatMinutes, formatTime, type Instant } from '@/lib/units/time'
import { classNames } from './class-names'
import styles from './day-strip.module.css'
import {
  CHANGEOVER_REM,
  closedSpans,
  formOf,
  placeAt,
  type RunForm,
  STRIP_COOKIE,
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
 * something else.
 * On a phone the strip scrolls inside its own box.
 * @param range what is shown; zone is the shop's time zone
 * @param now draws the line
 * @param label names the strip: "Thursday 14 May, by station"
 * @param rem how wide its tracks are thought to be until they are measured; their least width where nothing is known
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
  rem: thought,
  size = 'normal',
  hourWidth = 64,
}: {
  range: StripRange
  zone: string
  now?: Instant
  stations: readonly StripStation[]
  threads?: readonly StripThread[]
  label: string
  rem?: number | undefined
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
  const least = Math.round(hours * (range.skips ? 20 : hours > 50 ? 10 : hourWidth))
  const nowAt = now !== undefined && now >= range.from && now <= range.to ? placeAt(now, range) : undefined
  const ticks = stripTicks(range, zone)
  const { axis, rem } = useTrackWidth(Math.max(least / 16, thought ?? 0))
  return (
    <section
      className={classNames(styles.strip, styles[size])}
      style={
        {
          '--least': `${least}px`,
        } as CSSProperties
      }
      aria-label={label}
      // Scrolled by keyboard where it is wider than its box.
      {...{ tabIndex: 0 }}
    >
      <div className={styles.field}>
        <div ref={axis} className={styles.axis} aria-hidden="true">
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
                  <Link prefetch={false} href={s.href} className={styles.name}>
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
                    <Run
                      key={run.id}
                      run={run}
                      range={range}
                      zone={zone}
                      form={formOf(wide(run.work, run.end, range, rem) - tornOff(run, range))}
                      tells={wide(run.start, run.work, range, rem) >= CHANGEOVER_REM}
                      thread={after.get(run.id)}
                    />
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

/** Torn ends take so many rem of a run: it goes on after the strip, or came from before it. */
const tornOff = (run: StripRun, { from, to }: StripRange): number =>
  (Number(run.end > to) + Number(run.work < from)) * 0.5

/** A span's width on a track so many rem wide. */
const wide = (from: Instant, to: Instant, range: StripRange, rem: number): number =>
  ((stretchOf(from, to, range)?.width ?? 0) / 100) * rem

/**
 * The width of the strip's tracks in rem, as the page is zoomed and its letters are set: measured once rather than asked for by each run's
 * own style (container queries took a tenth of a second of a slow tablet's first layout). Kept on this device for its next page.
 * @param thought until it is measured
 */
function useTrackWidth(thought: number) {
  const axis = useRef<HTMLDivElement>(null)
  const [rem, setRem] = useState(thought)
  useEffect(() => {
    if (!axis.current) return
    const watch = new ResizeObserver(([entry]) => {
      const px = entry?.contentRect.width ?? 0
      const measured = px / Number.parseFloat(getComputedStyle(document.documentElement).fontSize)
      if (!(measured > 0)) return
      setRem(was => (Math.abs(was - measured) < 0.1 ? was : measured))
      // biome-ignore lint/suspicious/noDocumentCookie: the Cookie Store is not there over plain http
      document.cookie = `${STRIP_COOKIE}=${measured.toFixed(1)}; path=/floor; max-age=31536000; samesite=lax`
    })
    watch.observe(axis.current)
    return () => watch.disconnect()
  }, [])
  return { axis, rem }
}

type RunProps = {
  run: StripRun
  range: StripRange
  zone: string
  form: RunForm
  /** Whether its changeover has room for words. */
  tells: boolean
  thread: StripThread | undefined
}

/** A run, drawn again only when what it shows has changed: a board has hundreds, and a change moves a few. */
const Run = memo(DrawnRun, (a, b) => {
  const { run: one, thread: from, ...rest } = a
  const { run: other, thread: to, ...others } = b
  return same(one, other) && same(from ?? {}, to ?? {}) && same(rest, others)
})

const same = (a: object, b: object): boolean => {
  const entries = Object.entries(a)
  return (
    entries.length === Object.keys(b).length &&
    entries.every(([key, value]) => {
      const other = b[key as keyof typeof b] as unknown
      return Object.is(value, other) || (Array.isArray(value) && String(value) === String(other))
    })
  )
}

function DrawnRun({ run, range, zone, form, tells, thread }: RunProps) {
  const place = stretchOf(run.work, run.end, range)
  const before = run.work > run.start ? stretchOf(run.start, run.work, range) : undefined
  const sign = run.state === 'done' ? 'done' : run.standing
  if (!place && !before) return null
  const names = form === 'named' || form === 'signed' || form === 'full'
  return (
    <li>
      {before && (
        <span className={styles.changeover} style={percent(before)} title={run.changeover} aria-hidden="true">
          {tells && <span className={styles.changeoverText}>{run.changeover}</span>}
        </span>
      )}
      {place && (
        // A plain link: the board takes the click, and a link of the framework costs much more to set up.
        <a
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
          data-run={run.id}
          data-start={run.start}
          data-end={run.end}
          data-can={run.can?.join(' ')}
          aria-label={spoken(run, zone, thread)}
        >
          <span className={styles.paper}>
            {form !== 'bare' && (
              <span className={classNames(styles.words, styles[form])} aria-hidden="true">
                <span className={styles.first}>
                  <b className={styles.order}>
                    {run.order}
                    {sign && <Sign name={sign} />}
                    {sign && (form === 'signed' || form === 'full') && (
                      <span className={styles.word}>{sign === 'risk' ? 'at risk' : sign}</span>
                    )}
                  </b>
                  {names && <span className={styles.quantity}>{run.quantity}</span>}
                </span>
                {form !== 'upright' && form !== 'stacked' && (
                  <span className={styles.second}>
                    {names ? <span className={styles.who}>{run.who}</span> : run.quantity}
                    {form === 'full' && <span className={styles.detail}>{run.detail}</span>}
                  </span>
                )}
              </span>
            )}
            {run.pinned && <span className={styles.pin} />}
            {run.progress !== undefined && run.state === 'running' && (
              <span className={styles.progress} style={{ width: `${Math.round(run.progress * 100)}%` }} />
            )}
          </span>
        </a>
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
