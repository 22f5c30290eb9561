import { describe, expect, it } from 'vitest'
import { instantOfMinute, minuteAfter, openingsOf } from '@/lib/planning/openings'
import { atTime, type Instant, instant, shopDay } from '@/lib/units/time'

const LISBON = 'Europe/Lisbon'
const t = (iso: string): Instant => instant(Date.parse(iso))
const hours = [
  { weekday: 1, from: '08:00', to: '12:00' },
  { weekday: 1, from: '13:00', to: '17:00' },
  { weekday: 7, from: '00:00', to: '24:00' },
]
const read = (spans: { from: number; to: number }[]) =>
  spans.map(s => [s.from, s.to].map(m => new Date(instantOfMinute(m)).toISOString().slice(5, 16)).join(' – '))

describe('open minutes', () => {
  it('follow the week hours in the zone of the shop', () => {
    expect(read(openingsOf(hours, [], LISBON, t('2026-09-14T10:00Z'), t('2026-09-15T10:00Z')))).toEqual([
      '09-14T07:00 – 09-14T11:00',
      '09-14T12:00 – 09-14T16:00',
    ])
  })

  it('join over midnight', () => {
    const round = [
      { weekday: 7, from: '20:00', to: '24:00' },
      { weekday: 1, from: '00:00', to: '04:00' },
    ]
    expect(openingsOf(round, [], 'UTC', t('2026-09-13T00:00Z'), t('2026-09-14T00:00Z'))).toEqual([
      {
        from: minuteAfter(atTime(shopDay('2026-09-13'), '20:00', 'UTC')),
        to: minuteAfter(atTime(shopDay('2026-09-14'), '04:00', 'UTC')),
      },
    ])
  })

  it.each([
    ['2026-03-29', 23],
    ['2026-10-25', 25],
    ['2026-10-18', 24],
  ])('of the whole Sunday %s are %i hours: the clock changes', (day, length) => {
    const at = atTime(shopDay(day), '12:00', LISBON)
    const [sunday] = openingsOf(hours, [], LISBON, at, at)
    expect(((sunday?.to ?? 0) - (sunday?.from ?? 0)) / 60).toBe(length)
  })

  it('leave closures out, to the minute that they touch', () => {
    const repair = { from: '2026-09-14T09:59:30+01:00', to: '2026-09-14T11:00:30+01:00' }
    expect(read(openingsOf(hours, [repair], LISBON, t('2026-09-14T10:00Z'), t('2026-09-14T10:00Z')))).toEqual(
      ['09-14T07:00 – 09-14T08:59', '09-14T10:01 – 09-14T11:00', '09-14T12:00 – 09-14T16:00'],
    )
  })

  it('are none when a closure covers them', () => {
    const week = { from: '2026-09-14T00:00:00Z', to: '2026-09-21T00:00:00Z' }
    expect(openingsOf(hours, [week], LISBON, t('2026-09-14T10:00Z'), t('2026-09-14T10:00Z'))).toEqual([])
  })
})
