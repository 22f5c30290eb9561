import { describe, expect, it } from 'vitest'
import { instantOfMinute, openingsOf } from '@/lib/planning/openings'
import { type Instant, instant } from '@/lib/units/time'

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
  it('follow the week hours in the zone of the shop, from and to given instants', () => {
    expect(read(openingsOf(hours, [], LISBON, t('2026-09-14T10:00Z'), t('2026-09-15T10:00Z')))).toEqual([
      '09-14T10:00 – 09-14T11:00',
      '09-14T12:00 – 09-14T16:00',
    ])
  })

  it('leave closures out, to the minute that they touch', () => {
    const repair = { from: '2026-09-14T09:59:30+01:00', to: '2026-09-14T11:00:30+01:00' }
    expect(read(openingsOf(hours, [repair], LISBON, t('2026-09-14T00:00Z'), t('2026-09-15T00:00Z')))).toEqual(
      ['09-14T07:00 – 09-14T08:59', '09-14T10:01 – 09-14T11:00', '09-14T12:00 – 09-14T16:00'],
    )
  })

  it('are none when a closure covers them', () => {
    const week = { from: '2026-09-14T00:00:00Z', to: '2026-09-21T00:00:00Z' }
    expect(openingsOf(hours, [week], LISBON, t('2026-09-14T00:00Z'), t('2026-09-15T00:00Z'))).toEqual([])
  })
})
