import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { placeAt, type StripRange, shownMs, stripTicks, timeAt } from '@/app/parts/day-strip-place'
import { isWanted } from '@/lib/floor/find'
import { measuredSpreads } from '@/lib/floor/sure/spread'
import { chanceWords } from '@/lib/floor/sure/words'
import { pageAt, wallPages } from '@/lib/floor/wall-pages'
import { instant } from '@/lib/units/time'

const HOUR = 3_600_000
const MONDAY = Date.UTC(2026, 8, 14, 7)
/** Two days from 8 to 17 in Lisbon, the night between them left out. */
const week: StripRange = {
  from: instant(MONDAY),
  to: instant(MONDAY + 33 * HOUR),
  skips: [{ from: instant(MONDAY + 9 * HOUR), to: instant(MONDAY + 24 * HOUR) }],
}

describe('a strip without its nights', () => {
  it('shows the open hours alone', () => {
    expect(shownMs(week)).toBe(18 * HOUR)
    expect(placeAt(MONDAY + 9 * HOUR, week)).toBe(50)
    expect(placeAt(MONDAY + 15 * HOUR, week)).toBe(50)
    expect(placeAt(MONDAY + 24 * HOUR, week)).toBe(50)
    expect(placeAt(week.to, week)).toBe(100)
  })
  it('finds the time of a place again', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 1800 }), n => {
        const at = timeAt(n / 18, week)
        expect(placeAt(at, week)).toBeCloseTo(n / 18, 6)
        expect(at >= MONDAY + 9 * HOUR && at < MONDAY + 24 * HOUR && n !== 900).toBe(false)
      }),
    )
  })
  it('names each day where it begins', () => {
    const named = stripTicks(week, 'Europe/Lisbon').filter(t => !t.minor)
    expect(named.map(t => t.text)).toEqual(['Mon 14 Sep', 'Tue 15 Sep'])
  })
})

describe('finding a run', () => {
  const run = { number: 1042, customer: 'Café Órbita', title: 'Press', crewId: 'ana', stationCode: 'press-a' }
  const wanted = { find: '', who: '', station: '' }
  it('goes by number, customer or work, whatever the accents and capitals', () => {
    for (const find of ['', '1042', '#104', 'orbita', 'CAFE', 'press'])
      expect(isWanted(run, { ...wanted, find }), find).toBe(true)
    for (const find of ['042', '1043', 'kestrel'])
      expect(isWanted(run, { ...wanted, find }), find).toBe(false)
  })
  it('goes by person and by station', () => {
    expect(isWanted(run, { ...wanted, who: 'ana', station: 'press-a' })).toBe(true)
    expect(isWanted(run, { ...wanted, who: 'rui' })).toBe(false)
    expect(isWanted(run, { ...wanted, station: 'bench' })).toBe(false)
  })
})

describe('how times vary', () => {
  const ran = (factor: number, spoiled = 0) => ({
    recipe: 'r',
    key: 'press',
    plannedSeconds: 600,
    actualSeconds: 600 * factor,
    pieces: 10,
    spoiled,
  })
  it('is the root mean square of the logs, with four usual runs before it', () => {
    // ln 1.5 twice: √((4 · 0.15² + 2 · 0.4055²) / 6).
    const spread = measuredSpreads([ran(1.5), ran(1.5)]).get('r press')
    expect(spread?.deviation).toBeCloseTo(0.2643, 3)
    expect(spread?.runs).toBe(2)
  })
  it('comes near what is measured when much is', () => {
    const many = Array.from({ length: 400 }, (_, i) => ran(i % 2 ? 1.05 : 1 / 1.05))
    expect(measuredSpreads(many).get('r press')?.deviation).toBeCloseTo(Math.log(1.05), 2)
  })
  it('leaves out clocks that somebody forgot', () => {
    expect(measuredSpreads([ran(40), ran(0.01)]).size).toBe(0)
  })
  it('counts how often something is spoiled, and what share of the run that is', () => {
    expect(measuredSpreads([ran(1, 2), ran(1), ran(1)]).get('r press')).toMatchObject({
      misprint: 0.25,
      again: 0.2,
    })
  })
  it('is said without certainty', () => {
    expect([1, 0.924, 0.5, 0].map(chanceWords)).toEqual(['over 99 %', '92 %', '50 %', 'under 1 %'])
  })
})

describe('the wall', () => {
  it('turns by the clock, through all pages and round', () => {
    expect([0, 11, 12, 35, 36].map(s => pageAt(s * 1000, 3, 12))).toEqual([0, 0, 1, 2, 0])
    expect(pageAt(5000, 0, 12)).toBe(0)
  })
  it('shows every row once', () => {
    expect(wallPages([1, 2, 3, 4, 5])).toEqual([[1, 2, 3, 4], [5]])
    expect(wallPages([])).toEqual([])
  })
})
