import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  closedSpans,
  formOf,
  placeAt,
  stretchOf,
  stripRem,
  stripTicks,
  threadPath,
} from '@/app/parts/day-strip-place'
import { atTime, type Instant, instant, shopDay } from '@/lib/units/time'

const range = { from: instant(1000), to: instant(2000) }

describe('a place on the strip', () => {
  it('is the share of the range that has passed', () => {
    expect(placeAt(1000, range)).toBe(0)
    expect(placeAt(1250, range)).toBe(25)
    expect(placeAt(2000, range)).toBe(100)
  })
  it('stays inside the strip', () => {
    expect(placeAt(0, range)).toBe(0)
    expect(placeAt(9000, range)).toBe(100)
  })
  it('cuts a span to the range, and leaves out what lies outside', () => {
    expect(stretchOf(1500, 3000, range)).toEqual({ left: 50, width: 50 })
    expect(stretchOf(0, 1000, range)).toBeUndefined()
    expect(stretchOf(2000, 2500, range)).toBeUndefined()
  })
})

describe('what a run says', () => {
  it.each([
    [0.5, 'bare'],
    [2, 'upright'],
    [3, 'stacked'],
    [4, 'close'],
    [6, 'short'],
    [10, 'named'],
    [12, 'signed'],
    [40, 'full'],
  ] as const)('in %s rem is %s', (rem, form) => {
    expect(formOf(rem)).toBe(form)
  })
  it('goes by the width that the device kept, if it is one', () => {
    expect(stripRem('54.9')).toBe(54.9)
    for (const odd of [undefined, '', '0', '-3', 'wide', '1e9']) expect(stripRem(odd)).toBeUndefined()
  })
})

describe('closed time', () => {
  it('is what the open hours leave of the range', () => {
    expect(
      closedSpans(
        [
          { from: instant(1100), to: instant(1300) },
          { from: instant(1600), to: instant(1900) },
        ],
        range,
      ),
    ).toEqual([
      { from: 1000, to: 1100 },
      { from: 1300, to: 1600 },
      { from: 1900, to: 2000 },
    ])
  })
  it('is the whole range on a holiday, and nothing when it is open throughout', () => {
    expect(closedSpans([], range)).toEqual([{ from: 1000, to: 2000 }])
    expect(closedSpans([{ from: instant(0), to: instant(5000) }], range)).toEqual([])
  })
  it('and the open time make up every moment of the range exactly once, whatever order the hours come in', () => {
    const span = fc.tuple(fc.integer({ min: 900, max: 2100 }), fc.integer({ min: 1, max: 300 }))
    fc.assert(
      fc.property(fc.array(span, { maxLength: 8 }), spans => {
        const open = spans.map(([from, length]) => ({ from: instant(from), to: instant(from + length) }))
        const closed = closedSpans(open, range)
        for (let at = range.from as number; at < range.to; at += 7) {
          const isOpen = open.some(o => o.from <= at && at < o.to)
          expect(closed.filter(c => c.from <= at && at < c.to).length).toBe(isOpen ? 0 : 1)
        }
      }),
      { numRuns: 60 },
    )
  })
})

describe('the marks of the time axis', () => {
  const day = (d: string, from: string, to: string, zone: string) => ({
    from: atTime(shopDay(d), from, zone),
    to: atTime(shopDay(d), to, zone),
  })
  it('stand at whole hours of the shop’s own clock, also where the zone is half an hour off', () => {
    const ticks = stripTicks(day('2026-05-14', '07:30', '10:30', 'Asia/Kolkata'), 'Asia/Kolkata')
    expect(ticks.map(t => t.text)).toEqual(['8:00', '9:00', '10:00'])
    expect(ticks[0]?.at).toBe(atTime(shopDay('2026-05-14'), '08:00', 'Asia/Kolkata'))
  })
  it('leave out the hour that does not exist when the clock goes forward', () => {
    const ticks = stripTicks(day('2026-03-29', '00:00', '06:00', 'Europe/Lisbon'), 'Europe/Lisbon')
    expect(ticks.map(t => t.text)).toEqual(['0:00', '2:00', '3:00', '4:00', '5:00'])
  })
  it('show the hour twice when the clock goes back', () => {
    const ticks = stripTicks(day('2026-10-25', '00:00', '04:00', 'Europe/Lisbon'), 'Europe/Lisbon')
    expect(ticks.map(t => t.text)).toEqual(['0:00', '1:00', '1:00', '2:00', '3:00'])
  })
  it('are days when the strip is a week', () => {
    const from = atTime(shopDay('2026-05-11'), '00:00', 'Europe/Lisbon')
    const ticks = stripTicks({ from, to: (from + 5 * 86_400_000) as Instant }, 'Europe/Lisbon')
    expect(ticks.map(t => t.text)).toEqual([
      'Mon 11 May',
      'Tue 12 May',
      'Wed 13 May',
      'Thu 14 May',
      'Fri 15 May',
    ])
  })
})

describe('a thread', () => {
  it('follows its own lane while it cures, then goes over to the next run', () => {
    expect(threadPath(10, 20, 30, 0, 2)).toBe('M100 50H200C250 50 250 250 300 250')
  })
  it('is a plain line to the next run on the same lane', () => {
    expect(threadPath(10, 20, 30, 1, 1)).toBe('M100 150H300')
  })
  it('never turns after the next run has begun', () => {
    expect(threadPath(10, 90, 30, 0, 1)).toMatch(/^M100 50H300C/)
  })
})
