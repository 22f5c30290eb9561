import { expect, test } from 'vitest'
import { servesBetter } from '@/lib/planning/anew'
import type { Plan } from '@/lib/planning/engine'

type Worth = {
  unplaced?: number
  hard?: number
  late?: number
  changeover?: number
  ends?: [job: string, end: number][]
}
/** As much of a plan as it is judged by. */
const plan = ({ unplaced = 0, hard = 0, late = 0, changeover = 0, ends = [] }: Worth) =>
  ({
    unplaced: Array.from({ length: unplaced }),
    objective: { hardMisses: hard, weightedLateMinutes: late, changeoverMinutes: changeover },
    runs: ends.map(([job, end]) => ({ job, end })),
  }) as unknown as Plan

test.each<[string, Worth, Worth]>([
  ['a step more that has its place, whatever else it costs', {}, { unplaced: 1 }],
  ['… even with a hard date missed', { hard: 1, late: 900 }, { unplaced: 1 }],
  ['a hard date more that is kept, though more is late', { late: 900 }, { hard: 1 }],
  ['less that is late, though the stations change more', { late: 10, changeover: 90 }, { late: 11 }],
  ['fewer changes, though jobs end later', { ends: [['a', 90]] }, { changeover: 5, ends: [['a', 60]] }],
  [
    'jobs that end sooner in sum',
    {
      ends: [
        ['a', 60],
        ['b', 90],
      ],
    },
    {
      ends: [
        ['a', 80],
        ['b', 80],
      ],
    },
  ],
])('%s serves better', (_, better, worse) => {
  expect(servesBetter(plan(better), plan(worse))).toBe(true)
  expect(servesBetter(plan(worse), plan(better))).toBe(false)
})

test('a job ends with its last run, and a plan of the same worth is no better', () => {
  const early = {
    ends: [
      ['a', 30],
      ['a', 100],
    ] satisfies [string, number][],
  }
  const late = {
    ends: [
      ['a', 90],
      ['a', 100],
    ] satisfies [string, number][],
  }
  expect(servesBetter(plan(early), plan(late))).toBe(false)
  expect(servesBetter(plan(late), plan(early))).toBe(false)
})
