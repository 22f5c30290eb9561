import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import type { Shop } from '@/lib/planning/engine'
import { heads } from '@/lib/planning/engine/bounds'
import { Budget } from '@/lib/planning/engine/budget'
import { Problem } from '@/lib/planning/engine/problem'
import { Proof } from '@/lib/planning/engine/prove'
import { Random } from '@/lib/planning/engine/random'
import { Timeline } from '@/lib/planning/engine/timeline'
import { readInstances } from '@/scripts/bench-formats'
import { bruteForce } from './brute-force'

const jobShop = (text: string) => readInstances('jobshop', 'shop', text)[0]!.shop

/** When all is done if steps begin at these minutes; fails where a job or a station is in two places at once. */
function finishOf(shop: Shop, starts: ArrayLike<number>): number {
  let op = 0
  let finish = 0
  const busy = new Map<string, [number, number][]>()
  for (const job of shop.jobs) {
    let ready = job.release
    for (const step of job.steps) {
      const { station, setup, run } = step.on[0]!
      const start = starts[op++]!
      expect(start).toBeGreaterThanOrEqual(ready)
      const end = start + setup + run
      for (const [from, to] of busy.get(station) ?? []) expect(start >= to || end <= from).toBe(true)
      busy.set(station, [...(busy.get(station) ?? []), [start, end]])
      ready = end
    }
    finish = Math.max(finish, ready)
  }
  return finish
}

/** The least finish, proven, from a target that any plan meets, some nodes at a time. */
function least(shop: Shop, target: number, nodes: number): { proven: number; met: number[] } {
  const p = new Problem(shop)
  const proof = new Proof(p, heads(p, new Timeline(p)))
  const met: number[] = []
  const budget = new Budget({ steps: 100_000 })
  let proven = -1
  while (proven < 0 && !budget.over) {
    proven = proof.go((met.at(-1) ?? target + 1) - 1, budget, { nodes, share: 1 }, starts => {
      met.push(finishOf(shop, starts))
      return met.at(-1)!
    })
  }
  return { proven, met }
}

// Optima: tests/benchmarks/README.md.
it.each([
  ['la16', 2000, 945],
  ['la17', 2000, 784],
])(
  '%s from %i: meets better plans down to the optimum, and shows that it is',
  { timeout: 60_000 },
  (name, from, optimum) => {
    const text = readFileSync(join(import.meta.dirname, `../../benchmarks/jobshop/${name}.txt`), 'utf8')
    for (const nodes of [100_000, 133]) {
      const { proven, met } = least(jobShop(text), from, nodes)
      expect(proven).toBe(optimum)
      expect(met.at(-1)).toBe(optimum)
      expect(met).toEqual([...new Set(met)].sort((a, b) => b - a))
    }
  },
)

it('comes to what trying everything comes to', () => {
  const random = new Random(7)
  for (let k = 0; k < 80; k++) {
    const stations = 2 + random.below(2)
    const jobs = 2 + random.below(stations === 2 ? 3 : 2)
    const rows = Array.from({ length: jobs }, () => {
      const way = [...Array(stations).keys()].map(s => ({ s, at: random.next() })).sort((a, b) => a.at - b.at)
      return way.map(({ s }) => `${s} ${1 + random.below(9)}`).join(' ')
    })
    const shop = { ...jobShop(`${jobs} ${stations}\n${rows.join('\n')}\n`), horizon: 500 }
    const { proven } = least(shop, 300, 1 + random.below(5))
    expect([k, proven]).toEqual([k, bruteForce(shop).finish])
  }
})
