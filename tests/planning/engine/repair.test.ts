import { describe, expect, it } from 'vitest'
import { parseShop, toContract, toEngine } from '@/lib/planning/contract'
import {
  type Change,
  changed,
  consequences,
  improve,
  MOVE_COST,
  type Plan,
  plan,
  repair,
  type Shop,
} from '@/lib/planning/engine'
import { improveAside } from '@/lib/planning/plan.worker'
import { type CheckedShop, check } from '../checker'
import { shopWeek } from '../weeks'

const shopOf = (file: CheckedShop): Shop => {
  const parsed = parseShop(file)
  if (!parsed.ok) throw new Error(`${parsed.field}: ${parsed.message}`)
  return toEngine(parsed.shop)
}
const file = shopWeek(60, 2)
const shop = shopOf(file)
const first = plan(shop, { steps: 800, seed: 1 })
const iso = (minute: number) => new Date(minute * 60_000).toISOString()

describe('what if', () => {
  it('nothing happens: nothing moves, and nothing follows', () => {
    const { consequences: c, plan: made } = repair(shop, first, { kind: 'none' }, { steps: 0 })
    expect(c).toEqual({
      later: [],
      sooner: [],
      unplaced: [],
      changeoverMinutes: 0,
      hardMisses: 0,
      weightedLateMinutes: 0,
      moved: 0,
    })
    expect(made.runs).toEqual(first.runs)
  })

  it('a press is out for a day: who becomes late, and by how much', () => {
    const change: Change = { kind: 'station-out', station: 'press 1', from: shop.now, to: shop.now + 1440 }
    const { plan: made, consequences: c } = repair(shop, first, change)
    const closed = structuredClone(file)
    closed.stations.find(s => s.id === 'press 1')!.closed = [{ from: iso(change.from), to: iso(change.to) }]
    expect(check(closed, toContract(made))).toEqual([])
    for (const r of made.runs) if (r.station === 'press 1') expect(r.start).toBeGreaterThanOrEqual(change.to)
    expect(c.later.length).toBeGreaterThan(0)
    for (const l of c.later) {
      expect(made.late.find(x => x.job === l.job)?.minutes).toBe(l.after)
      expect(first.late.find(x => x.job === l.job)?.minutes ?? 0).toBe(l.before)
    }
    const sum = (late: typeof first.late) =>
      late.reduce((s, l) => s + l.minutes * shop.jobs.find(j => j.id === l.job)!.weight, 0)
    expect(c.weightedLateMinutes).toBe(sum(made.late) - sum(first.late))
    expect(c.moved).toBe(made.moved)
  })

  it('a run is dragged: it stays where it was put', () => {
    const run = first.runs.find(r => r.step === 'pack' && r.start > shop.now + 600)!
    const change: Change = {
      kind: 'pin',
      job: run.job,
      step: run.step,
      station: run.station,
      start: run.start + 1440,
    }
    const { plan: made } = repair(shop, first, change)
    expect(made.runs.find(r => r.job === run.job && r.step === run.step)?.start).toBe(run.start + 1440)
    const kept = [{ ...change, start: iso(change.start) }].map(({ kind, ...k }) => k)
    expect(check({ ...file, kept }, toContract(made))).toEqual([])
    expect(changed(changed(shop, change), { kind: 'unpin', job: run.job, step: run.step })).toEqual(shop)
  })

  it('work comes or goes', () => {
    const [gone, ...stay] = shop.jobs
    const fewer = changed(shop, { kind: 'drop', job: gone!.id })
    expect(fewer.jobs).toEqual(stay)
    const {
      plan: made,
      shop: more,
      consequences: c,
    } = repair(fewer, plan(fewer, { steps: 300 }), {
      kind: 'add',
      jobs: [gone!],
    })
    expect(more.jobs.length).toBe(60)
    expect(made.unplaced).toEqual([])
    expect(consequences(more, made, more, made).later).toEqual([])
    expect(c.unplaced).toEqual([])
  })

  it('a job is split: the first half goes while the second waits for its blanks', () => {
    const late = shop.now + 5 * 1440
    const job = shop.jobs.find(j => j.steps.length === 3)!
    const waits = repair(shop, first, { kind: 'release', job: job.id, release: late })
    const parts = [
      { id: job.id, share: 1, release: job.release },
      { id: `${job.id} rest`, share: 2, release: late },
    ]
    const { shop: halves, plan: made } = repair(shop, first, { kind: 'split', job: job.id, parts })
    expect(halves.jobs.length).toBe(shop.jobs.length + 1)
    const end = (p: Plan, id: string) => Math.max(...p.runs.filter(r => r.job === id).map(r => r.end))
    expect(end(made, job.id)).toBeLessThan(late)
    expect(end(waits.plan, job.id)).toBeGreaterThan(late)
    expect(made.runs.filter(r => r.job === `${job.id} rest`).every(r => r.work >= late)).toBe(true)
    // No piece is printed twice, none is forgotten.
    const [a, b] = parts.map(p => halves.jobs.find(j => j.id === p.id)!)
    job.steps.forEach((s, k) => {
      s.on.forEach((c, i) => {
        expect(a!.steps[k]!.on[i]!.run + b!.steps[k]!.on[i]!.run).toBe(c.run)
        expect(b!.steps[k]!.on[i]!.setup).toBe(c.setup)
      })
    })
    expect(changed(shop, { kind: 'split', job: job.id, parts: [parts[0]!, parts[0]!] })).toBe(shop)
    const begun = changed(shop, {
      kind: 'pin',
      job: job.id,
      step: job.steps[0]!.id,
      station: job.steps[0]!.on[0]!.station,
      start: shop.now,
    })
    expect(changed(begun, { kind: 'split', job: job.id, parts })).toBe(begun)
  })

  it('names the work that has no place any more', () => {
    const change: Change = { kind: 'station-out', station: 'booth', from: 0, to: shop.horizon }
    const { consequences: c } = repair(shop, first, change)
    expect(c.unplaced.length).toBeGreaterThan(0)
    for (const u of c.unplaced) expect(u.why).not.toBe('')
  })
})

describe('a better plan', () => {
  // What the search weighs: a moved run costs as much as MOVE_COST weighted late minutes, and as much again for each hour, up to nine.
  const stood = new Map(first.runs.map(r => [`${r.job} ${r.step}`, r]))
  const worth = ({ objective: o, runs }: Plan) =>
    runs.reduce(
      (sum, r) => {
        const was = stood.get(`${r.job} ${r.step}`)!
        if (was.start === r.start && was.station === r.station) return sum
        return sum + MOVE_COST * Math.min(9, 1 + Math.abs(r.start - was.start) / 60)
      },
      o.hardMisses * 1e8 + o.weightedLateMinutes,
    )

  it('is never worse, and the last one told is no better than the answer', () => {
    const told: number[] = []
    const found = improve(shop, first, {
      steps: 1500,
      seed: 3,
      onBetter: p => told.push(worth(p)),
    })
    expect(check(file, toContract(found))).toEqual([])
    expect(worth(found)).toBeLessThanOrEqual(Math.min(worth(first), ...told))
  })

  it('comes from a thread, and a signal ends the search with the best so far', async () => {
    const abort = new AbortController()
    const poor = plan(shop, { rule: 'short' })
    const told: number[] = []
    const began = performance.now()
    const found = await improveAside(shop, poor, {
      seconds: 60,
      seed: 1,
      signal: abort.signal,
      onBetter: p => {
        told.push(worth(p))
        abort.abort()
      },
    })
    expect(performance.now() - began).toBeLessThan(20_000)
    expect(told.length).toBeGreaterThan(0)
    expect(worth(found)).toBeLessThanOrEqual(told[0]!)
    expect(check(file, toContract(found))).toEqual([])
  })
})
