import type { CheckedShop, CheckedStep } from './checker'

/**
 * A seeded shop with some weeks of work: printers, presses, a booth, a screen press with its dryer, a bench; people with different
 * hours; set-ups that depend on what ran before; cures that go on overnight; wet work that must not wait. Invented.
 */
export function shopWeek(jobs: number, seed: number): CheckedShop {
  let s = (seed * 2654435761 + 12345) >>> 0
  const random = () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0
    return s / 4294967296
  }
  const below = (n: number) => Math.floor(random() * n)
  const pick = <T>(list: readonly T[]): T => list[below(list.length)] as T
  const start = Date.parse('2026-05-11T07:00:00Z')
  const iso = (minute: number) => new Date(start + minute * 60_000).toISOString()
  const week = (from: string, to: string, days = [1, 2, 3, 4, 5]) =>
    days.map(weekday => ({ weekday, from, to }))
  const halves = (days = [1, 2, 3, 4, 5]) =>
    days.flatMap(weekday => [
      { weekday, from: '08:00', to: '12:30' },
      { weekday, from: '13:00', to: '18:00' },
    ])
  const temperatures = ['130C', '150C', '165C', '205C']
  const degrees = (t: string) => Number.parseInt(t, 10)
  const heat = temperatures.flatMap(from =>
    temperatures
      .filter(to => to !== from)
      .map(to => ({
        from,
        to,
        minutes: Math.round(
          Math.abs(degrees(to) - degrees(from)) * (degrees(to) > degrees(from) ? 0.22 : 0.4),
        ),
        attended: false,
      })),
  )
  const inks = ['white', 'yellow', 'red', 'blue', 'black']
  const wash = inks.flatMap((from, i) =>
    inks.flatMap((to, k) => (i === k ? [] : [{ from, to, minutes: i > k ? 35 : 15, attended: true }])),
  )
  // Large shops have two of the busy machines.
  const twin = jobs > 100
  const stations: CheckedShop['stations'] = [
    { id: 'press 1', kind: 'press', hours: week('08:00', '18:00'), state: '150C', changeovers: heat },
    { id: 'press 2', kind: 'press', hours: week('08:00', '18:00'), state: '205C', changeovers: heat },
    { id: 'sublimation', kind: 'sublimation', hours: week('08:00', '18:00') },
    { id: 'dtg 1', kind: 'dtg', hours: week('08:00', '20:00'), state: 'light' },
    ...(twin ? [{ id: 'dtg 2', kind: 'dtg', hours: week('08:00', '20:00'), state: 'light' }] : []),
    { id: 'booth', kind: 'booth', hours: week('08:00', '18:00') },
    { id: 'screens', kind: 'screens', hours: week('07:30', '18:00'), state: 'white', changeovers: wash },
    { id: 'dryer', kind: 'dryer', hours: week('07:30', '20:00') },
    { id: 'bench', kind: 'bench', hours: week('08:00', '18:00') },
    {
      id: 'bench 2',
      kind: 'bench',
      hours: week('08:00', '18:00'),
      closed: [{ from: iso(2880), to: iso(2880 + 720) }],
    },
  ]
  const crew: CheckedShop['crew'] = [
    { id: 'ana', skills: ['press', 'dtg', 'booth', 'bench', 'sublimation'], hours: halves() },
    { id: 'rui', skills: ['screens', 'dryer', 'press', 'bench'], hours: halves() },
    { id: 'eva', skills: ['bench', 'press', 'booth', 'dtg'], hours: week('09:00', '15:00', [1, 2, 3, 4]) },
    { id: 'leo', skills: ['bench', 'screens', 'sublimation'], hours: week('12:00', '18:00') },
    ...(twin
      ? [
          { id: 'mia', skills: ['press', 'bench', 'dtg', 'booth'], hours: halves() },
          { id: 'tom', skills: ['screens', 'press', 'sublimation', 'bench'], hours: halves() },
        ]
      : []),
  ]
  const anyPress = (setup: number, run: number) =>
    ['press 1', 'press 2'].map(station => ({ station, setup, run }))
  const anyBench = (run: number) => ['bench', 'bench 2'].map(station => ({ station, setup: 0, run }))
  const anyDtg = (setup: number, run: number) =>
    (twin ? ['dtg 1', 'dtg 2'] : ['dtg 1']).map(station => ({ station, setup, run }))
  const load = twin ? 26 : 40
  const list: CheckedShop['jobs'] = []
  for (let j = 0; j < jobs; j++) {
    const pieces = 1 + Math.floor(random() ** 2 * 40)
    const pack: CheckedStep = {
      id: 'pack',
      on: anyBench(Math.ceil(3 + pieces * 0.5)),
      attended: 'all',
      pausable: true,
    }
    const method = random()
    let steps: CheckedStep[]
    if (method < 0.4) {
      steps = [
        {
          id: 'press',
          on: anyPress(4, Math.ceil(pieces * 1.1)),
          state: pick(['130C', '150C', '150C', '165C']),
          attended: 'all',
          gap: { min: 5, max: null },
        },
        pack,
      ]
    } else if (method < 0.6) {
      steps = [
        {
          id: 'print paper',
          on: [{ station: 'sublimation', setup: 5, run: Math.ceil(pieces * 1.5) }],
          attended: 'setup',
          gap: { min: 10, max: null },
        },
        {
          id: 'press',
          on: anyPress(4, Math.ceil(pieces * 1.6)),
          state: '205C',
          attended: 'all',
          gap: { min: 30, max: null },
        },
        pack,
      ]
    } else if (method < 0.85) {
      steps = [
        {
          id: 'pretreat',
          on: [{ station: 'booth', setup: 5, run: Math.ceil(pieces * 0.8) }],
          attended: 'all',
          gap: { min: 15, max: 600 },
        },
        {
          id: 'print',
          on: anyDtg(6, Math.ceil(pieces * 3)),
          attended: 'setup',
          pausable: pieces > 20,
          gap: { min: 0, max: 120 },
        },
        {
          id: 'cure',
          on: anyPress(2, Math.ceil(pieces * 1.2)),
          state: '165C',
          attended: 'all',
          gap: { min: 60, max: null },
        },
        pack,
      ]
    } else {
      const colours = 1 + below(4)
      steps = [
        {
          id: 'print',
          on: [{ station: 'screens', setup: 10 + 12 * colours, run: Math.ceil(10 + pieces * 0.6 * colours) }],
          state: pick(inks),
          attended: 'all',
          gap: { min: 0, max: 90 },
        },
        {
          id: 'dry',
          on: [{ station: 'dryer', setup: 5, run: Math.ceil(5 + pieces * 0.4) }],
          attended: 'setup',
          gap: { min: 20, max: null },
        },
        pack,
      ]
    }
    const span = jobs * load
    const release = random() < 0.4 ? 0 : Math.floor(random() * span * 0.8)
    list.push({
      id: `${1000 + j}`,
      release: iso(release),
      due: iso(release + 600 + Math.floor(random() * span * 0.9)),
      weight: pick([1, 1, 1, 2, 3]),
      hard: random() < 0.1,
      steps,
    })
  }
  return { now: iso(0), timeZone: 'Europe/Lisbon', stations, crew, jobs: list, kept: [] }
}
