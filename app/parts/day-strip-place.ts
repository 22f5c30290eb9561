import { TZDate } from '@date-fns/tz'
import { format } from 'date-fns'
import type { Instant } from '@/lib/units/time'

/** A stretch of the strip in percent of its width. */
export type Stretch = { left: number; width: number }
/** The time that a strip shows, less spans that are left out (nights, days off): in order, apart, inside the range. */
export type StripRange = { from: Instant; to: Instant; skips?: readonly { from: Instant; to: Instant }[] }

/** Milliseconds of the strip that are shown before an instant. */
function shownBefore(at: number, { from, skips = [] }: StripRange): number {
  let shown = at - from
  for (const s of skips) {
    if (s.from >= at) break
    shown -= Math.min(at, s.to) - s.from
  }
  return shown
}

/** Milliseconds that a strip shows in all. */
export const shownMs = (range: StripRange): number => shownBefore(range.to, range)

/** Where an instant stands, in percent of the strip; outside the range it stands at the edge. */
export const placeAt = (at: number, range: StripRange): number =>
  Math.min(100, Math.max(0, (shownBefore(at, range) / shownMs(range)) * 100))

/** The instant at a place of the strip: what placeAt gives, turned round. @param percent of the strip's width, 0 to 100 */
export function timeAt(percent: number, range: StripRange): number {
  let at = range.from + (Math.min(100, Math.max(0, percent)) / 100) * shownMs(range)
  for (const s of range.skips ?? []) {
    if (s.from > at) break
    at += s.to - s.from
  }
  return Math.min(at, range.to)
}

/** Where a span stands, cut to the range; undefined when none of it is in the range. */
export function stretchOf(from: number, to: number, range: StripRange): Stretch | undefined {
  if (to <= range.from || from >= range.to) return undefined
  const left = placeAt(from, range)
  return { left, width: placeAt(to, range) - left }
}

/** What a run says: nothing, its number from top to bottom, its number alone, with its pieces (close set, or not), with its customer, with the word of its sign, with its work. */
export type RunForm = 'bare' | 'upright' | 'stacked' | 'close' | 'short' | 'named' | 'signed' | 'full'

/** From how many rem on a run has room for a form, widest first. */
const FORMS: readonly [number, RunForm][] = [
  [15, 'full'],
  [11, 'signed'],
  [8.2, 'named'],
  [4.4, 'short'],
  [3.4, 'close'],
  [2.3, 'stacked'],
  [0.95, 'upright'],
]
/** A changeover so wide has room for words, rem. */
export const CHANGEOVER_REM = 4.8

/** The most that a run so wide has room for. @param rem its width */
export const formOf = (rem: number): RunForm => FORMS.find(([least]) => rem > least)?.[1] ?? 'bare'

/** Where a device keeps how wide its strip was last, in rem: the next page is drawn for it from the start. */
export const STRIP_COOKIE = 'strip'
/** What such a cookie says; undefined where it says nothing that can be. */
export function stripRem(cookie: string | undefined): number | undefined {
  const rem = Number(cookie)
  return rem >= 10 && rem <= 500 ? rem : undefined
}

/** What is left of the range when the open hours are taken out. Open spans may touch or overlap. */
export function closedSpans(
  open: readonly { from: Instant; to: Instant }[],
  range: StripRange,
): { from: number; to: number }[] {
  const closed: { from: number; to: number }[] = []
  let at: number = range.from
  for (const span of [...open].sort((a, b) => a.from - b.from)) {
    if (span.from > at && at < range.to) closed.push({ from: at, to: Math.min(span.from, range.to) })
    at = Math.max(at, span.to)
  }
  if (at < range.to) closed.push({ from: at, to: range.to })
  return closed
}

const HOUR = 3_600_000

/**
 * Marks of the time axis: whole hours of the shop's clock, or days when the range is longer than two days. `minor` marks may
 * be left unnamed where there is little room.
 */
export function stripTicks(range: StripRange, zone: string): { at: number; text: string; minor: boolean }[] {
  if (range.skips) return dayTicks(range, zone)
  const hours = (range.to - range.from) / HOUR
  const step = hours <= 14 ? 1 : hours <= 26 ? 2 : hours <= 50 ? 4 : 24
  const ticks: { at: number; text: string; minor: boolean }[] = []
  // Walked hour by hour: on the day the clock changes an hour is missing or stands twice.
  const first = Math.ceil(range.from / (HOUR / 4)) * (HOUR / 4)
  for (let at = first; at < range.to; at += HOUR / 4) {
    const clock = new TZDate(at, zone)
    const hour = clock.getHours()
    if (clock.getMinutes() !== 0 || hour % step !== 0) continue
    ticks.push({
      at,
      text: step === 24 ? format(clock, 'EEE d MMM') : format(clock, 'H:mm'),
      minor: step !== 24 && (hour / step) % 2 === 1,
    })
  }
  return ticks
}

/** Where nights are left out: each day where it begins to be shown, and its noon. */
function dayTicks(range: StripRange, zone: string): { at: number; text: string; minor: boolean }[] {
  const ticks: { at: number; text: string; minor: boolean }[] = []
  const shown: { from: number; to: number }[] = []
  let from: number = range.from
  for (const s of range.skips ?? []) {
    if (s.from > from) shown.push({ from, to: s.from })
    from = s.to
  }
  if (from < range.to) shown.push({ from, to: range.to })
  let day = ''
  for (const span of shown) {
    const clock = new TZDate(span.from, zone)
    const text = format(clock, 'EEE d MMM')
    if (text !== day) ticks.push({ at: span.from, text, minor: false })
    day = text
    clock.setHours(12, 0, 0, 0)
    if (clock.getTime() > span.from + 2 * HOUR && clock.getTime() < span.to)
      ticks.push({ at: clock.getTime(), text: '12', minor: true })
  }
  return ticks
}

/**
 * The thread from one run to the next, in a field of 1000 units across and 100 down for each lane: along its own lane while
 * it cures or settles, then over to the lane of the next run.
 * @param from end of the first run, percent; cured when the curing is over; to where the next work begins
 */
export function threadPath(
  from: number,
  cured: number,
  to: number,
  fromLane: number,
  toLane: number,
): string {
  const u = (percent: number) => Number((percent * 10).toFixed(1))
  const y1 = fromLane * 100 + 50
  const y2 = toLane * 100 + 50
  const turn = Math.max(from, Math.min(cured, to))
  if (y1 === y2) return `M${u(from)} ${y1}H${u(to)}`
  const k = Math.max(9, (u(to) - u(turn)) / 2)
  return `M${u(from)} ${y1}H${u(turn)}C${u(turn) + k} ${y1} ${u(to) - k} ${y2} ${u(to)} ${y2}`
}
