import { describe, expect, test } from 'vitest'
import { dueFrom, keptAs, readPlan, USUAL_PLAN } from '@/lib/server/backup-plan'
import { instant } from '@/lib/units/time'

const at = (text: string) => instant(Date.parse(text))
const when = (due: number | null) => (due === null ? null : new Date(due).toISOString())

describe('the next backup is due', () => {
  test('at once where there is none, and never where it is made by hand alone', () => {
    const now = at('2026-03-02T10:00Z')
    expect(dueFrom(USUAL_PLAN, null, now, 'Europe/Lisbon')).toBe(now)
    expect(dueFrom({ ...USUAL_PLAN, every: 'never' }, null, now, 'Europe/Lisbon')).toBeNull()
  })

  test.each([
    // Once a day from 02:00: of the same night when the last was made before, else of the next.
    ['2026-03-02T00:30Z', 'Europe/Lisbon', '2026-03-02T02:00:00.000Z'],
    ['2026-03-02T02:00Z', 'Europe/Lisbon', '2026-03-03T02:00:00.000Z'],
    ['2026-03-02T22:00Z', 'Europe/Lisbon', '2026-03-03T02:00:00.000Z'],
    // Auckland is 13 hours ahead in March: its night is the afternoon before in UTC.
    ['2026-03-02T22:00Z', 'Pacific/Auckland', '2026-03-03T13:00:00.000Z'],
    // The night in which Berlin skips 02:00 to 03:00: the first moment after it.
    ['2026-03-28T12:00Z', 'Europe/Berlin', '2026-03-29T01:00:00.000Z'],
    // The night in which New York has 01:00 twice; 02:00 comes once, an hour later than the night before.
    ['2026-10-31T12:00Z', 'America/New_York', '2026-11-01T07:00:00.000Z'],
    // A leap day, and the year's end.
    ['2028-02-28T12:00Z', 'Europe/Lisbon', '2028-02-29T02:00:00.000Z'],
    ['2026-12-31T12:00Z', 'Europe/Lisbon', '2027-01-01T02:00:00.000Z'],
  ])('after one at %s in %s: %s', (last, zone, due) => {
    expect(when(dueFrom(USUAL_PLAN, at(last), at('2030-01-01T00:00Z'), zone))).toBe(due)
  })

  test('an hour, or six, after the last one', () => {
    const last = at('2026-03-02T10:00Z')
    const due = (every: 'hour' | 'six-hours') =>
      when(dueFrom({ ...USUAL_PLAN, every }, last, at('2026-03-02T10:30Z'), 'UTC'))
    expect(due('hour')).toBe('2026-03-02T11:00:00.000Z')
    expect(due('six-hours')).toBe('2026-03-02T16:00:00.000Z')
  })

  test('at once when the clock was set back behind the last one', () => {
    const now = at('2026-03-02T10:00Z')
    expect(dueFrom(USUAL_PLAN, at('2031-01-01T00:00Z'), now, 'UTC')).toBe(now)
  })
})

describe('what stays', () => {
  test('of a backup an hour: all of the last day, and then one of each day', () => {
    const hours = Array.from({ length: 24 * 10 }, (_, i) => new Date(Date.UTC(2026, 2, 2, i)))
    const stay = keptAs(hours, { days: 4, weeks: 0, months: 0 }, 'UTC')
    expect(stay.size).toBe(24 + 3)
    expect(
      [...stay.keys()]
        .map(d => d.toISOString().slice(0, 13))
        .sort()
        .slice(0, 4),
    ).toEqual(['2026-03-08T23', '2026-03-09T23', '2026-03-10T23', '2026-03-11T00'])
    expect(stay.get(hours.at(-1) as Date)).toEqual(new Set(['last day', 'day']))
  })

  test('a day is one of the shop, not one of Greenwich', () => {
    // 23:30 in Auckland and half an hour after its midnight: the same day in UTC, two in the shop.
    const [late, early] = [new Date('2026-03-02T10:30Z'), new Date('2026-03-02T11:30Z')]
    const later = new Date('2026-03-09T00:00Z')
    const keep = { days: 3, weeks: 0, months: 0 }
    expect(keptAs([late, early, later], keep, 'Pacific/Auckland').size).toBe(3)
    expect(keptAs([late, early, later], keep, 'UTC').size).toBe(2)
  })
})

test('a plan that cannot be read is the usual one', () => {
  for (const bad of [null, 'x', {}, { ...USUAL_PLAN, every: 'sometimes' }, { ...USUAL_PLAN, from: '24:00' }])
    expect(readPlan(bad)).toEqual(USUAL_PLAN)
  expect(readPlan({ ...USUAL_PLAN, every: 'hour' }).every).toBe('hour')
})
