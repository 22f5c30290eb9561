import { tzOffset } from '@date-fns/tz'
import { mergeOpenings, type Opening, subtractOpenings } from './engine'

/** Open on a weekday (Monday = 1 … Sunday = 7), wall-clock "HH:MM"; "24:00" is the end of the day. */
export interface WeeklyHours {
  weekday: number
  from: string
  to: string
  /** Holds from this instant on, epoch milliseconds; left out: always did. */
  since?: number
  /** Holds before this instant; left out: for good. */
  until?: number
}

const MINUTE = 60_000
const DAY = 1440

/**
 * Weekly hours in a time zone as openings in minutes since the epoch, without the closed spans, cut to [from, to).
 * A minute is open when the clock on the wall shows a time within the hours: what the change of the clock skips is not there,
 * what it repeats is there twice.
 */
export function openings(
  hours: readonly WeeklyHours[],
  closed: readonly Opening[],
  timeZone: string,
  from: number,
  to: number,
): Opening[] {
  if (hours.length === 0 || to <= from) return []
  const byDay: (Opening & { since: number; until: number })[][] = Array.from({ length: 8 }, () => [])
  for (const h of hours)
    byDay[h.weekday]?.push({
      from: minuteOfDay(h.from),
      to: minuteOfDay(h.to),
      since: h.since === undefined ? from : Math.floor(h.since / MINUTE),
      until: h.until === undefined ? to : Math.floor(h.until / MINUTE),
    })
  const zone = new Zone(timeZone)
  const found: Opening[] = []
  const first = Math.floor(from / DAY) - 1
  const last = Math.floor(to / DAY) + 1
  for (let day = first; day <= last; day++) {
    // 1970-01-01 was a Thursday.
    const weekday = ((((day + 3) % 7) + 7) % 7) + 1
    const list = byDay[weekday]
    if (!list || list.length === 0) continue
    for (const span of list) {
      for (const part of zone.spans(day * DAY + span.from, day * DAY + span.to)) {
        const a = Math.max(from, part.from, span.since)
        const b = Math.min(to, part.to, span.until)
        if (a < b) found.push({ from: a, to: b })
      }
    }
  }
  return subtractOpenings(mergeOpenings(found), mergeOpenings(closed))
}

/** Minutes open in a week without closures. */
export function weeklyMinutes(hours: readonly WeeklyHours[]): number {
  const at = hours.map(h => ({
    from: h.weekday * DAY + minuteOfDay(h.from),
    to: h.weekday * DAY + minuteOfDay(h.to),
  }))
  return mergeOpenings(at).reduce((sum, o) => sum + o.to - o.from, 0)
}

function minuteOfDay(time: string): number {
  const [h, m] = time.split(':').map(Number) as [number, number]
  return h * 60 + m
}

const zones = new Map<string, Map<number, number>>()

/** Wall clock to minutes since the epoch. Offsets are asked once per half day: the zone data never changes. */
class Zone {
  private readonly known: Map<number, number>

  constructor(private readonly name: string) {
    let known = zones.get(name)
    if (!known) {
      known = new Map()
      zones.set(name, known)
    }
    this.known = known
  }

  private offsetAt(minute: number): number {
    return tzOffset(this.name, new Date(minute * MINUTE))
  }

  private atNoonOrMidnight(halfDay: number): number {
    let offset = this.known.get(halfDay)
    if (offset === undefined) {
      offset = this.offsetAt(halfDay * 720)
      this.known.set(halfDay, offset)
    }
    return offset
  }

  /** When the wall clock shows a time in [from, to), both minutes of local time since the epoch within one day. */
  spans(from: number, to: number): Opening[] {
    // Offsets lie between -12 h and +14 h, so those instants lie between these two.
    const day = Math.floor(from / DAY)
    const before = this.atNoonOrMidnight(day * 2 - 2)
    const after = this.atNoonOrMidnight(day * 2 + 4)
    if (before === after) return [{ from: from - before, to: to - before }]
    let low = (day * 2 - 2) * 720
    let high = (day * 2 + 4) * 720
    while (low < high) {
      const mid = Math.floor((low + high) / 2)
      if (this.offsetAt(mid) === after) high = mid
      else low = mid + 1
    }
    return [
      { from: from - before, to: Math.min(low, to - before) },
      { from: Math.max(low, from - after), to: to - after },
    ]
  }
}
