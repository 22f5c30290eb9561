import { describe, expect, it } from 'vitest'
import { FIRST_NAMED, type SeenBoard, sameWhereSame, screenOf } from '@/lib/floor/views/screen'
import { dayBounds, instant, shopDay } from '@/lib/units/time'

const zone = 'Europe/Lisbon'
const days = dayBounds(shopDay('2026-09-14'), zone)
const at = (hours: number) => instant(days.from + hours * 3_600_000)
const run = (id: string, more: object = {}) => ({
  stepId: id,
  orderId: `order-${id}`,
  number: 1042,
  customer: 'Café Órbita',
  title: 'Press',
  pieces: 24,
  good: 0,
  startAt: at(9),
  workAt: at(9.25),
  endAt: at(10),
  stationState: '150C',
  state: 'waiting',
  standing: { standing: 'late', words: '2 h late' },
  crewId: null,
  crew: null,
  pinned: false,
  rush: false,
  can: ['b', 'a', 'gone'],
  ...more,
})
const order = (number: number) => ({
  id: `o${number}`,
  number,
  customer: 'Café Órbita',
  promiseAt: at(16),
  promiseHard: false,
  state: 'making',
  standing: { standing: 'late', words: '2 h late' },
})
const board = (more: Partial<SeenBoard> = {}): SeenBoard => ({
  range: { from: at(8), to: at(18) },
  days,
  zone,
  crew: [],
  stations: [
    { station: { id: 'a', code: 'press-a', name: 'Press A', state: '150C' }, open: [], runs: [run('1')] },
    {
      station: { id: 'b', code: 'press-b', name: 'Press B', state: null },
      open: [],
      runs: [run('2', { state: 'running', good: 6, stationState: null, standing: null })],
    },
  ],
  all: [],
  rests: [],
  waiting: [],
  promises: [],
  late: [],
  next: null,
  goodness: '',
  plan: { madeAt: null, reason: '' },
  done: 0,
  ...more,
})
const words = (state: string | null) => state && `at ${state}`
const seen = (view: SeenBoard, asked = { find: '', all: false }) => screenOf(view, at(12), asked, words)

describe('what a screen is sent of the board', () => {
  it('says of a run that waits where it could go, by the places of the stations', () => {
    const [a, b] = seen(board()).stations
    expect(a?.runs[0]).toMatchObject({
      id: '1',
      state: 'planned',
      late: 'late',
      words: '2 h late',
      can: [0, 1],
    })
    expect(a?.runs[0]?.to).toBe('at 150C')
    expect(b?.runs[0]).toMatchObject({ id: '2', state: 'running', good: 6 })
    expect(b?.runs[0]).not.toHaveProperty('can')
    expect(b).not.toHaveProperty('note')
  })

  it('names the first of a long list and counts the rest, until all are asked for', () => {
    const late = Array.from({ length: 230 }, (_, i) => order(2000 + i))
    const few = seen(board({ late }))
    expect(few.late.count).toBe(230)
    expect(few.late.named.map(o => o.number)).toEqual(late.slice(0, FIRST_NAMED).map(o => o.number))
    expect(seen(board({ late }), { find: '', all: true }).late.named).toHaveLength(230)
  })

  it('finds what is looked for on other days: the first run of each of five days, earliest first', () => {
    const all = [9, 8, 7, 6, 5, 4, 3, 2, 1, 0].flatMap(day =>
      [10, 9].map(hour => ({
        number: 1042,
        customer: 'Café Órbita',
        title: 'Press',
        startAt: at(day * 24 + hour),
      })),
    )
    const { elsewhere } = seen(board({ all }), { find: 'orbita', all: false })
    expect(elsewhere.map(e => e.day)).toEqual(
      ['2026-09-15', '2026-09-16', '2026-09-17', '2026-09-18', '2026-09-19'].map(shopDay),
    )
    expect(elsewhere[0]?.at).toBe(at(24 + 9))
    expect(seen(board({ all }), { find: 'kestrel', all: false }).elsewhere).toEqual([])
    expect(seen(board({ all })).elsewhere).toEqual([])
  })

  it('passes on nothing that costs money, whatever the board knows', () => {
    const dear = { wageMinor: 1850, marginMinor: 9900, costMicro: 5, price: 12 }
    const view = board()
    const loaded = {
      ...view,
      ...dear,
      stations: view.stations.map(s => ({
        ...s,
        ...dear,
        station: { ...s.station, cost: dear, ...dear },
        runs: s.runs.map(r => ({ ...r, ...dear })),
      })),
      late: [{ ...order(1), ...dear }],
      promises: [{ ...order(1), ...dear }],
    }
    expect(JSON.stringify(seen(loaded))).not.toMatch(/wage|margin|cost|price|1850|9900/i)
  })
})

describe('a newer screen beside an older one', () => {
  const before = seen(board())
  it('is the older one where nothing has changed', () => {
    expect(sameWhereSame(before, structuredClone(before))).toBe(before)
  })
  it('takes over every run that says the same, wherever it stands now', () => {
    const after = structuredClone(before)
    const other = after.stations[1]?.runs[0]
    if (other) after.stations[0]?.runs.unshift({ ...other, id: 'new' })
    const made = sameWhereSame(before, after)
    expect(made).toEqual(after)
    expect(made.stations[0]?.runs[1]).toBe(before.stations[0]?.runs[0])
    expect(made.stations[1]).toBe(before.stations[1])
    expect(made.stations[0]).not.toBe(before.stations[0])
  })
  it('loses what is gone: a run, the last of a list, a word', () => {
    const after = structuredClone(before)
    const first = after.stations[0]?.runs[0]
    if (first) delete first.words
    after.stations.pop()
    const made = sameWhereSame(before, after)
    expect(made).toEqual(after)
    expect(made.stations[0]?.runs[0]).not.toHaveProperty('words')
  })
})
