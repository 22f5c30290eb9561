import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type Job, type Opening, plan, type Shop, type Step } from '@/lib/planning/engine'
import textbook from '../../vectors/scheduling-textbook.json'
import { bruteForce } from './brute-force'

const HORIZON = 100_000
const stationOf = (id: string) => ({
  id,
  kind: 'machine',
  open: [{ from: 0, to: HORIZON }],
  state: null,
  changeovers: [],
})
const stepOf = (id: string, on: [string, number][]): Step => ({
  id,
  on: on.map(([station, run]) => ({ station, setup: 0, run })),
  state: null,
  attended: 'none',
  pausable: false,
  gap: { min: 0, max: null },
})
const jobOf = (id: string, steps: Step[], due: number | null = null, weight = 1): Job => ({
  id,
  release: 0,
  due,
  weight,
  hard: false,
  steps,
})
const shopOf = (stations: string[], jobs: Job[]): Shop => ({
  now: 0,
  horizon: HORIZON,
  stations: stations.map(stationOf),
  crew: [],
  jobs,
  kept: [],
})
const entries = (list: object) => Object.entries(list as Record<string, number[]>)

describe('textbook examples', () => {
  // Johnson 1954; examples as named in the vectors file.
  for (const example of textbook.johnson_two_machine_flow_shop) {
    it(`two-machine flow shop: ${example.name}`, () => {
      // Decimals become whole hundredths.
      const scale = Number.isInteger(example.makespan) ? 1 : 100
      const jobs = entries(example.jobs_m1_m2).map(([id, times]) => {
        const [a, b] = times as [number, number]
        return jobOf(id, [
          stepOf('1', [['one', Math.round(a * scale)]]),
          stepOf('2', [['two', Math.round(b * scale)]]),
        ])
      })
      const found = plan(shopOf(['one', 'two'], jobs), { aim: 'finish', steps: 4000, seed: 1 })
      expect(found.objective.finish).toBe(Math.round(example.makespan * scale))
      expect(found.bound.finish).toBeLessThanOrEqual(found.objective.finish)
    })
  }

  for (const example of textbook.total_tardiness) {
    it(`total tardiness: ${example.name}`, () => {
      const jobs = entries(example.jobs_p_d).map(([id, pd]) => {
        const [p, d] = pd as [number, number]
        return jobOf(id, [stepOf('1', [['one', p]])], d)
      })
      const found = plan(shopOf(['one'], jobs), { steps: 2000, seed: 1 })
      expect(found.objective.weightedLateMinutes).toBe(example.optimum_sum_tardiness)
    })
  }

  // Moore 1968: every job a hard promise, so the fewest late jobs come first.
  for (const example of textbook.moore_hodgson_min_tardy_jobs) {
    it(`fewest late jobs: ${example.name}`, () => {
      const jobs = entries(example.jobs_p_d).map(([id, pd]) => {
        const [p, d] = pd as [number, number]
        return { ...jobOf(id, [stepOf('1', [['one', p]])], d), hard: true }
      })
      const found = plan(shopOf(['one'], jobs), { steps: 3000, seed: 1 })
      expect(found.objective.hardMisses).toBe(example.min_tardy)
    })
  }

  // Smith 1956: with every due date at 0, weighted lateness is weighted completion.
  for (const example of textbook.wspt_sum_weighted_completion) {
    it(`weighted shortest processing time: ${example.name}`, () => {
      const jobs = entries(example.jobs_p_w).map(([id, pw]) => {
        const [p, w] = pw as [number, number]
        return jobOf(id, [stepOf('1', [['one', p]])], 0, w)
      })
      const found = plan(shopOf(['one'], jobs), { steps: 2000, seed: 1 })
      expect(found.objective.weightedLateMinutes).toBe(example.optimum)
      const rule = plan(shopOf(['one'], jobs), { rule: 'weighted-short' })
      expect(rule.runs.map(r => r.job)).toEqual(example.optimal_order)
    })
  }

  for (const example of textbook.single_machine_rules) {
    it(`earliest due date and shortest processing time: ${example.name}`, () => {
      const jobs = entries(example.jobs_p_d).map(([id, pd]) => {
        const [p, d] = pd as [number, number]
        return jobOf(id, [stepOf('1', [['one', p]])], d - example.start)
      })
      const order = (rule: 'due' | 'short') => plan(shopOf(['one'], jobs), { rule }).runs.map(r => r.job)
      expect(order('due')).toEqual(example.results.EDD.order)
      expect(order('short')).toEqual(example.results.SPT.order)
    })
  }

  for (const example of textbook.parallel_machines_makespan) {
    it(`parallel machines: ${example.name}`, () => {
      const machines = Array.from({ length: example.machines }, (_, m) => `${m}`)
      const jobs = example.p.map((p, j) =>
        jobOf(`${j}`, [
          stepOf(
            '1',
            machines.map(m => [m, p]),
          ),
        ]),
      )
      const found = plan(shopOf(machines, jobs), { aim: 'finish', steps: 20_000, seed: 1 })
      expect(found.objective.finish).toBe(example.optimal_makespan)
    })
  }

  for (const example of textbook.job_shop_makespan) {
    it(`job shop: ${example.name}`, () => {
      const machines = Math.max(...example.rows.map(r => r.length / 2))
      const jobs = example.rows.map((row, j) =>
        jobOf(
          `${j}`,
          Array.from({ length: row.length / 2 }, (_, k) =>
            stepOf(`${k}`, [[`${row[2 * k]}`, row[2 * k + 1] as number]]),
          ),
        ),
      )
      const found = plan(
        shopOf(
          Array.from({ length: machines }, (_, m) => `${m}`),
          jobs,
        ),
        { aim: 'finish', steps: 40_000, seed: 1 },
      )
      expect(found.objective.finish).toBe(example.optimal_makespan)
    })
  }
})

describe('small shops', () => {
  const openings = fc.constantFrom<Opening[]>(
    [{ from: 0, to: 4000 }],
    [
      { from: 0, to: 60 },
      { from: 90, to: 4000 },
    ],
    [
      { from: 10, to: 45 },
      { from: 50, to: 95 },
      { from: 130, to: 4000 },
    ],
  )
  const change = fc.record({
    from: fc.constantFrom('a', 'b', 'c'),
    to: fc.constantFrom('a', 'b', 'c'),
    minutes: fc.integer({ min: 1, max: 20 }),
    attended: fc.boolean(),
  })
  const station = (id: string) =>
    fc.record({
      id: fc.constant(id),
      kind: fc.constant('machine'),
      open: openings,
      state: fc.constantFrom('a', 'b', null),
      changeovers: fc.uniqueArray(change, { maxLength: 5, selector: c => c.from + c.to }),
    })
  const choice = fc.record({
    station: fc.constantFrom('one', 'two'),
    setup: fc.constantFrom(0, 3),
    run: fc.integer({ min: 1, max: 25 }),
  })
  const step = (id: string) =>
    fc.record({
      id: fc.constant(id),
      on: fc.oneof(
        { weight: 3, arbitrary: choice.map(c => [c]) },
        {
          weight: 1,
          arbitrary: fc.uniqueArray(choice, { minLength: 2, maxLength: 2, selector: c => c.station }),
        },
      ),
      state: fc.constantFrom('a', 'b', 'c', null),
      attended: fc.constantFrom('all' as const, 'setup' as const, 'none' as const),
      pausable: fc.constant(false),
      gap: fc.record({ min: fc.constantFrom(0, 0, 10), max: fc.constant(null) }),
    })
  const job = (id: string) =>
    fc.record({
      id: fc.constant(id),
      release: fc.constantFrom(0, 0, 15, 40),
      due: fc.integer({ min: 10, max: 160 }),
      weight: fc.constantFrom(1, 1, 2, 3),
      hard: fc.boolean(),
      steps: fc.tuple(step('1'), step('2')).chain(([a, b]) => fc.constantFrom([a], [a, b])),
    })
  const shop = fc.record({
    now: fc.constant(0),
    horizon: fc.constant(4000),
    stations: fc.tuple(station('one'), station('two')),
    crew: fc.constant([{ id: 'ana', skills: ['machine'], open: [{ from: 0, to: 4000 }] }]),
    jobs: fc.oneof(fc.tuple(job('p'), job('q'), job('r')), fc.tuple(job('p'), job('q'), job('r'), job('s'))),
    kept: fc.constant([]),
  }) as unknown as fc.Arbitrary<Shop>

  it('are planned as well as trying everything does', { timeout: 120_000 }, () => {
    fc.assert(
      fc.property(shop, s => {
        const found = plan(s, { steps: 8000, seed: 1 })
        const best = bruteForce(s)
        expect(found.objective).toEqual(best)
        for (const key of ['hardMisses', 'weightedLateMinutes', 'finish'] as const)
          expect(found.bound[key]).toBeLessThanOrEqual(best[key])
      }),
      { numRuns: Number(process.env.BRUTE_RUNS ?? 200) },
    )
  })
})

describe('the bound on lateness', () => {
  const two = (id: string, first: string, due: number, weight = 1) =>
    jobOf(
      id,
      [
        stepOf('1', [[first, 10]]),
        stepOf('2', [
          ['three', 5],
          ['four', 5],
        ]),
      ],
      due,
      weight,
    )

  it('meets the plan where one of several stations is short', () => {
    // Alone each ends at 15; one after the other the k-th to end does so at 10k + 5.
    const jobs = ['p', 'q', 'r'].map(id => two(id, 'one', 15))
    const found = plan(shopOf(['one', 'two', 'three', 'four'], jobs), { steps: 500, seed: 1 })
    expect(found.objective.weightedLateMinutes).toBe(30)
    expect(found.bound.weightedLateMinutes).toBe(30)
    expect(found.optimal).toBe(true)
  })

  it('counts each job on one station only, and weights level by level', () => {
    const jobs = [two('p', 'one', 15, 3), two('q', 'one', 15), two('r', 'two', 15, 2), two('s', 'two', 15)]
    const found = plan(shopOf(['one', 'two', 'three', 'four'], jobs), { steps: 500, seed: 1 })
    // q and s wait ten minutes each.
    expect(found.objective.weightedLateMinutes).toBe(20)
    expect(found.bound.weightedLateMinutes).toBe(20)
  })

  it('counts the minutes of people, and hard promises that cannot all be kept', () => {
    const attended = (id: string, on: string): Job => ({
      ...jobOf(id, [{ ...stepOf('1', [[on, 10]]), attended: 'all' }], 10),
      hard: true,
    })
    const shop = {
      ...shopOf(['one', 'two'], [attended('p', 'one'), attended('q', 'two')]),
      crew: [{ id: 'ana', skills: ['machine'], open: [{ from: 0, to: HORIZON }] }],
    }
    const found = plan(shop, { steps: 500, seed: 1 })
    expect(found.objective).toMatchObject({ hardMisses: 1, weightedLateMinutes: 10 })
    expect(found.bound).toMatchObject({ hardMisses: 1, weightedLateMinutes: 10 })
  })
})
