import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { type Plan, plan } from '@/lib/planning/engine'
import { type Kind, readInstances } from '@/scripts/bench-formats'

const root = join(process.cwd(), 'tests/benchmarks')
const numbers = (text: string) =>
  text
    .split('\n')
    .filter(line => !line.startsWith('#'))
    .join(' ')
    .trim()
    .split(/\s+/)
    .map(Number)
const solve = (kind: Kind, file: string, steps: number) => {
  const [instance] = readInstances(
    kind,
    file.replace(/\..*/, ''),
    readFileSync(join(root, kind, file), 'utf8'),
  )
  if (!instance) throw new Error(`${file} holds no instance`)
  const late = kind === 'weighted-tardiness' || kind === 'setup-tardiness'
  return plan(instance.shop, { steps, seed: 1, aim: late ? 'promises' : 'finish' })
}
const at = (found: Plan, job: number, step: number) => {
  const run = found.runs.find(r => r.job === `${job}` && r.step === `${step}`)
  if (!run) throw new Error(`no run of ${job}, ${step}`)
  return run
}

// Instances and best-known values with their sources: tests/benchmarks/README.md. Schedules are checked against the files' own numbers.
describe('published instances', () => {
  it.each([
    ['ft06.txt', 55],
    ['la01.txt', 666],
    ['la03.txt', 597],
    ['la04.txt', 590],
  ])('job shop %s: the optimum, proven', { timeout: 60_000 }, (file, optimum) => {
    const found = solve('jobshop', file, 60_000)
    const n = numbers(readFileSync(join(root, 'jobshop', file), 'utf8'))
    const [jobs, machines] = n as [number, number]
    const busy = new Map<string, { from: number; to: number }[]>()
    let finish = 0
    for (let j = 0; j < jobs; j++) {
      let before = 0
      for (let k = 0; k < machines; k++) {
        const machine = n[2 + 2 * (j * machines + k)]
        const time = n[3 + 2 * (j * machines + k)] as number
        const run = at(found, j, k)
        expect([run.station, run.end - run.work]).toEqual([`${machine}`, time])
        expect(run.work).toBeGreaterThanOrEqual(before)
        before = run.end
        finish = Math.max(finish, run.end)
        busy.set(run.station, [...(busy.get(run.station) ?? []), { from: run.work, to: run.end }])
      }
    }
    for (const list of busy.values()) {
      list.sort((a, b) => a.from - b.from)
      for (let i = 1; i < list.length; i++) expect(list[i]?.from).toBeGreaterThanOrEqual(list[i - 1]?.to ?? 0)
    }
    expect([finish, found.objective.finish, found.bound.finish, found.optimal]).toEqual([
      optimum,
      optimum,
      optimum,
      true,
    ])
  })

  it('flexible job shop mk01: the best known', { timeout: 60_000 }, () => {
    const found = solve('flexible', 'mk01.fjs', 8_000)
    expect(found.objective.finish).toBe(40)
    expect(found.bound.finish).toBeLessThanOrEqual(40)
  })

  it('job shop with set-ups t2-ps01: within 2% of the optimum, set-ups between families as in the file', {
    timeout: 60_000,
  }, () => {
    const found = solve('jobshop-setups', 't2-ps01.txt', 8_000)
    const n = numbers(readFileSync(join(root, 'jobshop-setups/t2-ps01.txt'), 'utf8'))
    const [jobs, machines, families] = n as [number, number, number]
    const family = (j: number) => n[3 + j * (1 + 2 * machines)] as number
    const table = n.slice(3 + jobs * (1 + 2 * machines))
    for (let m = 0; m < machines; m++) {
      const runs = found.runs.filter(r => r.station === `${m}`).sort((a, b) => a.work - b.work)
      runs.forEach((r, i) => {
        const before = runs[i - 1]
        const f = family(Number(r.job))
        const setup = before
          ? (table[families * (1 + family(Number(before.job))) + f] as number)
          : (table[f] as number)
        expect(r.work).toBeGreaterThanOrEqual((before?.end ?? 0) + setup)
      })
    }
    // Optimum 798, proven by a complete search: tests/benchmarks/README.md.
    expect(found.objective.finish).toBeGreaterThanOrEqual(798)
    expect(found.objective.finish).toBeLessThanOrEqual(813)
    expect(found.bound.finish).toBeLessThanOrEqual(798)
  })

  it('set-up tardiness: the value is that of the sequence, and the bound is below the optimum', {
    timeout: 60_000,
  }, () => {
    const file = 'wtsds-081.txt'
    const found = solve('setup-tardiness', file, 30_000)
    const n = numbers(readFileSync(join(root, 'setup-tardiness', file), 'utf8'))
    const jobs = n[0] as number
    const part = (k: number) => n.slice(1 + k * jobs, 1 + (k + 1) * jobs)
    const [run, weight, due, first] = [part(0), part(1), part(2), part(3)]
    let t = 0
    let value = 0
    let before = -1
    for (const r of found.runs) {
      const j = Number(r.job)
      t += ((before < 0 ? first[j] : part(4 + before)[j]) as number) + (run[j] as number)
      expect(r.end).toBe(t)
      value += (weight[j] as number) * Math.max(0, t - (due[j] as number))
      before = j
    }
    expect(found.objective.weightedLateMinutes).toBe(value)
    // Optimum 383485: S. Tanaka, M. Araki 2013.
    expect(value).toBeGreaterThanOrEqual(383_485)
    expect(value).toBeLessThan(383_485 * 1.08)
    expect(found.bound.weightedLateMinutes).toBeLessThanOrEqual(383_485)
    expect(found.bound.weightedLateMinutes).toBeGreaterThan(383_485 / 2)
  })

  it('weighted tardiness: the first instance to its optimum', { timeout: 60_000 }, () => {
    const found = solve('weighted-tardiness', 'wt40-001-040.txt', 20_000)
    expect(found.objective.weightedLateMinutes).toBe(913)
    expect(found.bound.weightedLateMinutes).toBeLessThanOrEqual(913)
  })
})
