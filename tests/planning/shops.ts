import fc from 'fast-check'
import type { CheckedShop, CheckedStep } from './checker'

const iso = (minute: number) => `${new Date(minute * 60_000).toISOString().slice(0, 19)}Z`

/** Days around which clocks change, and an ordinary one (Wikipedia, "Daylight saving time by country": last Sundays of March and October; US: second Sunday of March). */
const STARTS = [
  '2026-03-27T06:00:00Z',
  '2026-10-23T06:00:00Z',
  '2026-03-06T14:00:00Z',
  '2026-05-12T09:30:00Z',
]
const ZONES = ['Europe/Lisbon', 'America/New_York', 'Australia/Lord_Howe', 'Pacific/Auckland', 'UTC']

const SPANS: [string, string][] = [
  ['08:00', '17:00'],
  ['08:00', '12:00'],
  ['13:00', '18:00'],
  ['00:00', '24:00'],
  ['01:30', '04:30'],
  ['22:00', '24:00'],
  ['09:00', '09:40'],
]

const hours = fc
  .array(fc.tuple(fc.integer({ min: 1, max: 7 }), fc.constantFrom(...SPANS)), { minLength: 1, maxLength: 9 })
  .map(list => list.map(([weekday, [from, to]]) => ({ weekday, from, to })))

/** Small shops with everything in them: part-time hours, closures, changeovers, gaps, zero-length and impossible steps, kept runs. */
export const anyShop: fc.Arbitrary<CheckedShop> = fc
  .record({
    start: fc.constantFrom(...STARTS),
    zone: fc.constantFrom(...ZONES),
    stations: fc.integer({ min: 1, max: 3 }),
    crew: fc.integer({ min: 0, max: 3 }),
    jobs: fc.integer({ min: 1, max: 5 }),
  })
  .chain(size => {
    const now = Date.parse(size.start) / 60_000
    const states = ['a', 'b', 'c']
    const span = fc
      .tuple(fc.integer({ min: -600, max: 6000 }), fc.integer({ min: 1, max: 4000 }))
      .map(([a, b]) => ({ from: iso(now + a), to: iso(now + a + b) }))
    const closed = fc.array(span, { maxLength: 2 })
    const change = fc.record({
      from: fc.constantFrom(...states),
      to: fc.constantFrom(...states),
      minutes: fc.integer({ min: 0, max: 40 }),
      attended: fc.boolean(),
    })
    const stations = fc.tuple(
      ...Array.from({ length: size.stations }, (_, i) =>
        fc.record({
          id: fc.constant(`s${i}`),
          kind: fc.constantFrom('p', 'q'),
          hours,
          closed,
          state: fc.option(fc.constantFrom(...states)),
          changeovers: fc.uniqueArray(change, { maxLength: 6, selector: c => `${c.from}>${c.to}` }),
        }),
      ),
    )
    const crew = fc.tuple(
      ...Array.from({ length: size.crew }, (_, i) =>
        fc.record({
          id: fc.constant(`m${i}`),
          skills: fc.subarray(['p', 'q'], { minLength: 1 }),
          hours,
          closed,
        }),
      ),
    )
    const step = (i: number): fc.Arbitrary<CheckedStep> =>
      fc.record({
        id: fc.constant(`t${i}`),
        on: fc
          .uniqueArray(fc.integer({ min: 0, max: size.stations - 1 }), { minLength: 1, maxLength: 2 })
          .chain(list =>
            fc.tuple(
              ...list.map(s =>
                fc.record({
                  station: fc.constant(`s${s}`),
                  setup: fc.constantFrom(0, 0, 5, 20),
                  run: fc.constantFrom(0, 1, 15, 40, 90, 300, 600),
                }),
              ),
            ),
          ),
        state: fc.option(fc.constantFrom(...states)),
        attended: fc.constantFrom('all', 'setup', 'none'),
        pausable: fc.boolean(),
        gap: fc.option(
          fc
            .tuple(fc.integer({ min: 0, max: 90 }), fc.option(fc.integer({ min: 0, max: 300 })))
            .map(([min, extra]) => ({ min, max: extra === null ? null : min + extra })),
        ),
      })
    const jobs = fc.tuple(
      ...Array.from({ length: size.jobs }, (_, i) =>
        fc.record({
          id: fc.constant(`j${i}`),
          release: fc.integer({ min: -500, max: 2500 }).map(m => iso(now + m)),
          due: fc.option(
            fc.integer({ min: 0, max: 9000 }).map(m => iso(now + m)),
            { freq: 6 },
          ),
          weight: fc.constantFrom(0, 1, 1, 2, 0.5),
          hard: fc.boolean(),
          steps: fc
            .integer({ min: 1, max: 3 })
            .chain(n => fc.tuple(...Array.from({ length: n }, (_, k) => step(k)))),
        }),
      ),
    )
    return fc.record({
      now: fc.constant(size.start),
      timeZone: fc.constant(size.zone),
      stations,
      crew,
      jobs,
    })
  })
