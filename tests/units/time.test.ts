import { TZDate } from '@date-fns/tz'
import { format } from 'date-fns'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  addDays,
  atTime,
  dayBounds,
  dayOf,
  formatDay,
  formatLongDay,
  formatMinutes,
  formatMoment,
  formatMonth,
  formatPast,
  formatTime,
  instant,
  isTimeZone,
  minutesFor,
  monthBounds,
  monthOf,
  nextMonth,
  shopDay,
  shopMonth,
  weekdayOf,
} from '@/lib/units/time'

const zone = 'Europe/Lisbon'
const hours = (b: { from: number; to: number }) => (b.to - b.from) / 3_600_000

describe('days in the shop’s zone (clock changes as the IANA time zone database has them)', () => {
  it('an ordinary day has 24 hours', () => expect(hours(dayBounds(shopDay('2026-05-14'), zone))).toBe(24))
  it('the day the clock goes forward has 23', () =>
    expect(hours(dayBounds(shopDay('2026-03-29'), zone))).toBe(23))
  it('the day the clock goes back has 25', () =>
    expect(hours(dayBounds(shopDay('2026-10-25'), zone))).toBe(25))
  it('a day belongs to the zone, not to the machine', () => {
    const at = instant(Date.UTC(2026, 4, 14, 23, 30))
    expect(dayOf(at, zone)).toBe('2026-05-15')
    expect(dayOf(at, 'America/New_York')).toBe('2026-05-14')
  })
  it('a time that the change skips becomes the first moment after it', () =>
    expect(formatTime(atTime(shopDay('2026-03-29'), '01:30', zone), zone)).toBe('02:30'))
  it('refuses days that are none', () => {
    // The day after and the month after could not be written any more, or the year not be counted as one of ours.
    for (const far of ['9999-12-31', '3000-01-01', '1899-12-31', '0000-01-01']) {
      expect(() => shopDay(far)).toThrow('is not a day')
      expect(() => shopMonth(far.slice(0, 7))).toThrow('is not a month')
    }
    expect(dayBounds(shopDay('2999-12-31'), zone).to).toBeGreaterThan(
      dayBounds(shopDay('1900-01-01'), zone).from,
    )
    expect(() => shopDay('2026-02-30')).toThrow()
    expect(() => shopMonth('2026-13')).toThrow()
  })
})

describe('months', () => {
  it('ends where the next begins, for every month of a hundred years', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1990 * 12, max: 2090 * 12 }),
        fc.constantFrom('Europe/Lisbon', 'America/New_York', 'Asia/Tokyo', 'Australia/Lord_Howe'),
        (index, z) => {
          const month = shopMonth(`${Math.floor(index / 12)}-${String((index % 12) + 1).padStart(2, '0')}`)
          const bounds = monthBounds(month, z)
          expect(monthBounds(nextMonth(month), z).from).toBe(bounds.to)
          expect(monthOf(bounds.from, z)).toBe(month)
          expect(monthOf(instant(bounds.to - 1), z)).toBe(month)
        },
      ),
    )
  })
  it('goes over the year’s end', () => {
    expect(nextMonth(shopMonth('2026-12'))).toBe('2027-01')
    expect(nextMonth(shopMonth('2026-01'), -1)).toBe('2025-12')
  })
})

describe('small things', () => {
  it('counts days over a leap day', () => expect(addDays(shopDay('2028-02-28'), 2)).toBe('2028-03-01'))
  it('knows ISO weekdays: 2026-05-14 is a Thursday', () => expect(weekdayOf(shopDay('2026-05-14'))).toBe(4))
  it('never promises less time than the work takes', () => {
    expect(minutesFor(61)).toBe(2)
    expect(minutesFor(60)).toBe(1)
    expect(minutesFor(0)).toBe(0)
  })
  it('says spans in words', () => {
    expect(formatMinutes(95)).toBe('1 h 35 min')
    expect(formatMinutes(0)).toBe('0 min')
    expect(formatMinutes(1500)).toBe('1 d 1 h')
    expect(formatMinutes(-30)).toBe('−30 min')
  })
  it('knows zones by name', () => {
    expect(isTimeZone('Europe/Lisbon')).toBe(true)
    expect(isTimeZone('Nowhere/Town')).toBe(false)
  })
})

describe('words for a moment, held to date-fns with its time zones', () => {
  /** Zones with odd offsets, half-hour changes, changes at midnight and none. */
  const ZONES = [
    ...['Europe/Lisbon', 'America/New_York', 'America/St_Johns', 'America/Havana', 'Asia/Kathmandu'],
    ...[
      'Australia/Lord_Howe',
      'Pacific/Chatham',
      'Pacific/Apia',
      'Africa/Monrovia',
      'Africa/Casablanca',
      'UTC',
    ],
  ]
  const same = (ms: number, z: string) => {
    const at = instant(ms)
    const there = new TZDate(ms, z)
    expect([
      ...[dayOf(at, z), monthOf(at, z), formatTime(at, z), formatDay(at, z), formatLongDay(at, z)],
      ...[formatMoment(at, z), formatPast(at, z)],
    ]).toEqual([
      ...[format(there, 'yyyy-MM-dd'), format(there, 'yyyy-MM'), format(there, 'HH:mm')],
      ...[format(there, 'EEE d MMM'), format(there, 'EEEE d MMMM yyyy')],
      ...[format(there, 'EEE d MMM, HH:mm'), format(there, 'd MMM yyyy, HH:mm')],
    ])
  }
  it('at any moment from 1800 to 2200', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: Date.UTC(1800, 0, 1), max: Date.UTC(2200, 0, 1) }),
        fc.constantFrom(...ZONES),
        same,
      ),
      { numRuns: 1000 },
    )
  })
  it('on both sides of every change of the clock since 1970, to the millisecond', () => {
    let changes = 0
    for (const z of ZONES) {
      const offset = (ms: number) => new TZDate(ms, z).getTimezoneOffset()
      for (let from = Date.UTC(1970, 0, 1); from < Date.UTC(2030, 0, 1); from += 20 * 86_400_000) {
        let [low, high] = [from, from + 20 * 86_400_000]
        if (offset(low) === offset(high)) continue
        while (high - low > 1) {
          const middle = Math.floor((low + high) / 2)
          if (offset(middle) === offset(low)) low = middle
          else high = middle
        }
        changes++
        for (const ms of [low - 900_000, low, high, high + 900_000]) same(ms, z)
      }
    }
    expect(changes).toBeGreaterThan(500)
  })
  it('names every month', () => {
    for (let m = 1; m <= 12; m++)
      expect(formatMonth(shopMonth(`2026-${String(m).padStart(2, '0')}`))).toBe(
        format(new Date(2026, m - 1, 15), 'MMMM yyyy'),
      )
  })
})
