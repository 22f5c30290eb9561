import { Problem } from './problem'
import { Random } from './random'
import { PLACED, Timeline } from './timeline'
import type { Plan, Shop } from './types'

/** How the minutes of a step vary, as the floor has measured it. */
export interface Spread {
  /** Standard deviation of the logarithm of the run minutes: 0.15 is about 15%. */
  deviation: number
  /** Chance that something is spoiled and done again, 0 to 1, and the share of the run that this takes. */
  misprint?: number
  again?: number
}

export interface Chance {
  job: string
  /** Share of the futures in which the job ends by its promise; null without a promise. */
  onTime: number | null
  /** Minutes by which half, and nine in ten, of the futures see it ended; null where fewer do. */
  half: number | null
  nineInTen: number | null
}

export interface ChanceOptions {
  seed?: number
  futures?: number
  /** Spread per step; without it every step has DEFAULT_SPREAD. */
  spread?: (job: string, step: string) => Spread
}

/** Until the floor has measured: common practice, no source. */
export const DEFAULT_SPREAD: Spread = { deviation: 0.15 }

/**
 * How sure the promises of a plan are: the plan is worked through many times in the same order by the same people on the same
 * stations, each time with other run minutes (log-normal, median as planned) and misprints. Same seed, same chances.
 */
export function chances(shop: Shop, plan: Plan, options: ChanceOptions = {}): Chance[] {
  const futures = Math.max(1, Math.floor(options.futures ?? 500))
  const random = new Random(options.seed ?? 1)
  const p = new Problem(shop)
  const line = new Timeline(p)
  const jobs = new Map(shop.jobs.map((j, i) => [j.id, i]))
  const stations = new Map(shop.stations.map((s, i) => [s.id, i]))
  const crew = new Map(shop.crew.map((m, i) => [m.id, i]))
  const order: number[] = []
  const planned: { choice: number; run: number; spread: Spread }[] = []
  for (const run of plan.runs) {
    const j = jobs.get(run.job)
    const k = j === undefined ? -1 : shop.jobs[j]!.steps.findIndex(s => s.id === run.step)
    if (j === undefined || k < 0) continue
    const op = p.jobFirst[j]! + k
    let choice = -1
    for (let c = p.choiceFirst[op]!; c < p.choiceFirst[op + 1]!; c++) {
      if (p.choiceStation[c] === stations.get(run.station)) choice = c
    }
    if (choice < 0) continue
    planned.push({
      choice,
      run: p.run[choice]!,
      spread: options.spread?.(run.job, run.step) ?? DEFAULT_SPREAD,
    })
    if (p.keptOf[op]! >= 0) continue
    order.push(op)
    line.fixed[op] = choice
    line.wanted[op] = run.crew === null ? -1 : (crew.get(run.crew) ?? -1)
  }
  for (let j = 0; j < p.jobs; j++) {
    if (plan.unplaced.some(u => u.job === shop.jobs[j]!.id)) line.dropped[j] = 1
  }
  const ends: number[][] = shop.jobs.map(() => [])
  for (let future = 0; future < futures; future++) {
    for (const { choice, run, spread } of planned) {
      let minutes = run * Math.exp(spread.deviation * random.normal())
      if (spread.misprint && random.next() < spread.misprint) minutes += run * (spread.again ?? 1)
      p.run[choice] = Math.max(run > 0 ? 1 : 0, Math.round(minutes))
    }
    if (p.limitedGaps) line.notBefore.fill(-(1 << 30))
    line.setOrder(order)
    line.decode()
    for (let j = 0; j < p.jobs; j++) {
      const last = p.jobFirst[j + 1]! - 1
      if (line.status[last] === PLACED) ends[j]!.push(line.end[last]!)
    }
  }
  for (const { choice, run } of planned) p.run[choice] = run
  return shop.jobs.map((job, j) => {
    const list = ends[j]!.sort((a, b) => a - b)
    const by = (share: number) => list[Math.ceil(share * futures) - 1] ?? null
    const onTime = job.due === null ? null : list.filter(e => e <= (job.due ?? 0)).length / futures
    return { job: job.id, onTime, half: by(0.5), nineInTen: by(0.9) }
  })
}
