import { describe, expect, test } from 'vitest'
import { dayHours, lateMinutes } from '@/lib/floor/happened/day'
import { learnedSteps, offeredRates, type Ran, wilson } from '@/lib/floor/happened/learned'
import { defaultRates } from '@/lib/shop/rates'

const ran = (more: Partial<Ran> = {}): Ran => ({
  recipe: { id: 'transfer', name: 'Heat transfer' },
  key: 'press',
  title: 'Press',
  station: { id: 'a', name: 'Press A' },
  people: ['Ana'],
  recipeSeconds: 750,
  actualSeconds: 680,
  good: 10,
  spoiled: 0,
  ...more,
})

describe('what the floor learned of a step', () => {
  test('measured 68 s a piece beside the recipe’s 75, by station and person', () => {
    const [press, ...others] = learnedSteps([
      ran(),
      ran({ station: { id: 'b', name: 'Press B' }, people: ['Rui'], actualSeconds: 880 }),
      ran({ people: ['Ana', 'Rui'], actualSeconds: 480, good: 8, spoiled: 2 }),
      ran({ key: 'pack', title: 'Pack' }),
    ])
    expect(others.map(o => o.key)).toEqual(['pack'])
    expect(press).toMatchObject({ runs: 3, pieces: 30, perPiece: 68, recipePerPiece: 75, spoiled: 2 })
    expect(press?.spread).toEqual({ from: 48, to: 88, of: 'all' })
    expect(press?.stations.map(s => [s.name, s.perPiece, s.pieces])).toEqual([
      ['Press A', 58, 20],
      ['Press B', 88, 10],
    ])
    // Each with what would be planned there: (7200 + 1160) ÷ (7200 + 1500), and (7200 + 880) ÷ (7200 + 750).
    expect(press?.stations.map(s => [s.id, s.pace.runs])).toEqual([
      ['a', 2],
      ['b', 1],
    ])
    expect(press?.stations[0]?.pace.factor).toBeCloseTo(8360 / 8700, 10)
    expect(press?.stations[1]?.pace.factor).toBeCloseTo(8080 / 7950, 10)
    // The run of both is nobody's alone.
    expect(press?.people.map(p => [p.name, p.perPiece])).toEqual([
      ['Ana', 68],
      ['Rui', 88],
    ])
    // (7200 + 2040) ÷ (7200 + 2250), on 3 runs.
    expect(press?.pace.factor).toBeCloseTo(9240 / 9450, 10)
    expect(press?.pace).toMatchObject({ runs: 3, least: 480 / 750, most: 880 / 750 })
  })

  test('the middle half of four runs is said, an odd one is not', () => {
    const [press] = learnedSteps([600, 700, 800, 9000].map(actualSeconds => ran({ actualSeconds })))
    // Sorted 60, 70, 80, 900 a piece: quarters fall at 67.5 and 285.
    expect(press?.spread).toEqual({ from: 67.5, to: 285, of: 'middle half' })
  })

  test('runs without time or pieces teach nothing', () => {
    expect(learnedSteps([ran({ actualSeconds: 0 }), ran({ good: 0 })])).toEqual([])
  })
})

test('bounds of a share', () => {
  // Worked example: 5 of 100 lies between 2.15 % and 11.18 % (Wilson's score interval without continuity correction).
  const { from, to } = wilson(5, 100)
  expect(from).toBeCloseTo(0.0215, 4)
  expect(to).toBeCloseTo(0.1118, 4)
  expect(wilson(0, 0)).toEqual({ from: 0, to: 1 })
})

test('spoilage that is taken twice does not count the same pieces twice', () => {
  const counted = [{ method: 'transfer' as const, pieces: 300, spoiled: 3 }]
  const first = offeredRates([{ rates: defaultRates }], counted)
  if (!first) throw new Error('no rates')
  expect(first.spoilage.transfer.from).toBe('measured')
  expect(first.spoilage.dtg).toEqual(defaultRates.spoilage.dtg)
  const second = offeredRates([{ rates: first }, { rates: defaultRates }], counted)
  expect(second?.spoilage).toEqual(first.spoilage)
})

test('hours of a day by person and station; what is taken back counts off', () => {
  const clock = (person: string, station: string, labourSeconds: number, machineSeconds = labourSeconds) => ({
    person,
    station,
    labourSeconds,
    machineSeconds,
  })
  const day = dayHours([
    clock('Rui', 'Press', 600),
    clock('Ana', 'Press', 900),
    clock('Ana', 'Bench', 300, 400),
    clock('Ana', 'Press', -900),
  ])
  expect(day.stations).toEqual(['Bench', 'Press'])
  expect(day.rows.map(r => [r.person, ...r.at.values(), r.sum])).toEqual([
    ['Ana', 300, 0, 300],
    ['Rui', 0, 600, 600],
  ])
  expect([...day.machine]).toEqual([
    ['Bench', 400],
    ['Press', 600],
  ])
  expect(day.labour).toBe(900)
})

test('how late a promise is', () => {
  expect(lateMinutes(0, 60_000, 0)).toBe(1)
  expect(lateMinutes(0, null, 120_000)).toBe(2)
  expect(lateMinutes(100_000, 100_000, 0)).toBeNull()
  expect(lateMinutes(100_000, null, 0)).toBeNull()
})
