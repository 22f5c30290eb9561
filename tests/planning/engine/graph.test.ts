import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { Budget } from '@/lib/planning/engine/budget'
import { GraphSearch } from '@/lib/planning/engine/graph-search'
import { Problem } from '@/lib/planning/engine/problem'
import { Random } from '@/lib/planning/engine/random'
import { type Kind, readInstances } from '@/scripts/bench-formats'

/** When all is done if the steps begin as early as they can, in an order of all of them: what the search says, reckoned anew. */
function finishOf(p: Problem, order: number[], choice: ArrayLike<number>): number {
  const jobFree = Array.from({ length: p.jobs }, (_, j) => Math.max(p.now, p.release[j]!))
  const free = new Array<number>(p.stations).fill(p.now)
  const state = Array.from(p.state0)
  const next = p.jobFirst.slice()
  let astray = 0
  for (const op of order) {
    const j = p.job[op]!
    const c = choice[op]!
    const s = p.choiceStation[c]!
    if (op !== next[j]!++ || c < p.choiceFirst[op]! || c >= p.choiceFirst[op + 1]!) astray++
    const start = Math.max(jobFree[j]!, free[s]! + p.changeover(s, state[s]!, p.state[op]!))
    const end = start + p.setup[c]! + p.run[c]!
    free[s] = end
    state[s] = p.state[op]!
    jobFree[j] = end + p.gapMin[op]!
  }
  expect(astray).toBe(0)
  return Math.max(...free)
}

test.each<[Kind, string]>([
  ['jobshop', 'ft10.txt'],
  ['flexible', 'mk02.fjs'],
  ['jobshop-setups', 't2-ps05.txt'],
])('%s %s: every better plan ends when the search says, and keeps the order of each job', (kind, file) => {
  const text = readFileSync(join(import.meta.dirname, '../../benchmarks', kind, file), 'utf8')
  const p = new Problem(readInstances(kind, file, text)[0]!.shop)
  const steps = Array.from({ length: p.n }, (_, op) => op)
  const place = (op: number) => op - p.jobFirst[p.job[op]!]!
  const order = [...steps].sort((a, b) => place(a) - place(b) || a - b)
  const choice = Int32Array.from(steps, op => p.choiceFirst[op]!)
  for (const seed of [1, 2, 3]) {
    const search = new GraphSearch(p, order, choice, new Random(seed))
    let told = 0
    const check = () => {
      const { rank } = search.best
      const byRank = [...steps].sort((a, b) => rank[a]! - rank[b]!)
      expect(finishOf(p, byRank, search.best.choice)).toBe(search.bestFinish)
      told++
    }
    check()
    // Some 4,800 moves, from several starts.
    search.run(new Budget({ steps: 300 }), 0, 1, check)
    expect(told).toBeGreaterThan(3)
  }
})
