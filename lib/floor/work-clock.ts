import { type Minor, roundToMinor } from '@/lib/units/money'
import { type Instant, type Seconds, seconds } from '@/lib/units/time'

/** A span of work, end exclusive. */
export type Span = { from: Instant; to: Instant }

/** One line of the reports on a step, oldest first. */
export type Mark = { kind: 'start' | 'pause' | 'resume' | 'finish' | 'misprint' | 'piece'; at: Instant }

/**
 * The span that a report ends: from the last start, resume or finished part to now. Null while nothing runs.
 * A report of a clock that was set back gives a span of no length.
 */
export function openSpan(marks: readonly Mark[], now: Instant): Span | null {
  let from: Instant | null = null
  for (const m of marks) {
    if (m.kind === 'start' || m.kind === 'resume') from = m.at
    else if (m.kind === 'pause') from = null
    // A part that is handed on ends one span and begins the next.
    else if (m.kind === 'finish' && from !== null) from = m.at
  }
  return from === null ? null : { from, to: now < from ? from : now }
}

/**
 * Seconds of a span that count as worked, rounded to whole ones. Somebody who forgot to report before going home has not worked
 * through the night: where the span runs over closed time, only the open part counts. Work done wholly outside the hours counts.
 * @param open the station's open spans around it
 */
export function workedSeconds(span: Span, open: readonly Span[]): Seconds {
  const whole = Math.max(0, span.to - span.from)
  let inside = 0
  for (const o of open) inside += Math.max(0, Math.min(span.to, o.to) - Math.max(span.from, o.from))
  return seconds(Math.round((inside > 0 ? Math.min(inside, whole) : whole) / 1000))
}

/** Which part of a step somebody has to stand by. */
export type Attended = 'all' | 'setup' | 'none'

/**
 * Seconds of somebody's time in a span: all of it, what is left of the set-up, or none.
 * @param attendedBefore seconds of somebody's time booked on this step before
 */
export function attendedSeconds(
  worked: Seconds,
  attended: Attended,
  setupMinutes: number,
  attendedBefore: Seconds,
): Seconds {
  if (attended === 'all') return worked
  if (attended === 'none') return seconds(0)
  return seconds(Math.min(worked, Math.max(0, setupMinutes * 60 - attendedBefore)))
}

/** Money of a time at a rate by the hour, in minor units, halves away from zero: 90 s at 20.00 an hour are 0.50. */
export const timeMoney = (time: Seconds, perHour: Minor): Minor => roundToMinor((time * perHour) / 3600)
