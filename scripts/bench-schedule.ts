import { readdirSync, readFileSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type Plan, plan, RULES } from '@/lib/planning/engine'
import { type Instance, KINDS, type Kind, readInstances } from './bench-formats'
import { solveByMip } from './bench-mip'

/** Plans published instances: bench-schedule.ts --kind K [--seconds 10] [--steps N] [--seed 1] FILE… prints a JSON line each.
 * Without files: a table of all instances in tests/benchmarks, or of one kind. Seconds are by the wall clock for files and
 * seconds of processor time for the table, so that other processes do not decide it; `--clock wall|processor` says otherwise.
 * `--alone` leaves the general solver out of the table. */
async function main(args: string[]): Promise<number> {
  const fail = (line: string) => {
    process.stderr.write(`${line}\n`)
    return 2
  }
  let kind: Kind | null = null
  let seconds = 10
  let steps: number | undefined
  let seed = 1
  let clock: Clock | undefined
  let alone = false
  const files: string[] = []
  for (let i = 0; i < args.length; i++) {
    if (args[i] === '--alone') {
      alone = true
      continue
    }
    const option = /^--(kind|seconds|seed|steps|clock)(?:=(.*))?$/.exec(args[i] as string)
    if (!option) {
      if ((args[i] as string).startsWith('--')) return fail(`${args[i]}: no such option`)
      files.push(args[i] as string)
      continue
    }
    const text = option[2] ?? args[++i] ?? ''
    if (option[1] === 'kind') {
      kind = KINDS.find(k => k === text) ?? null
      if (!kind) return fail(`--kind: must be one of ${KINDS.join(', ')}, not "${text}"`)
      continue
    }
    if (option[1] === 'clock') {
      clock = CLOCKS[text as keyof typeof CLOCKS]
      if (!clock) return fail(`--clock: must be wall or processor, not "${text}"`)
      continue
    }
    const value = text.trim() === '' ? Number.NaN : Number(text)
    if (!(value >= 0 && value <= 1e9) || (option[1] !== 'seconds' && !Number.isInteger(value))) {
      return fail(`--${option[1]}: must be a number, 0 or more, not "${text}"`)
    }
    if (option[1] === 'seconds') seconds = value
    else if (option[1] === 'seed') seed = value
    else steps = value
  }
  if (files.length === 0)
    return table(kind ? [kind] : KINDS, { seconds, steps, seed, clock: clock ?? CLOCKS.processor }, alone)
  if (!kind) return fail(`--kind: give one of ${KINDS.join(', ')}`)
  const given = { seconds, steps, seed, clock: clock ?? CLOCKS.wall }
  for (const file of files) {
    let instances: Instance[]
    try {
      instances = readInstances(kind, basename(file).replace(/\.[^.]*$/, ''), readFileSync(file, 'utf8'))
    } catch (error) {
      return fail(`${file}: ${(error as Error).message.split('\n')[0]}`)
    }
    for (const instance of instances) process.stdout.write(`${JSON.stringify(solve(instance, given))}\n`)
  }
  return 0
}

/** Milliseconds. */
type Clock = () => number
const CLOCKS = {
  wall: () => performance.now(),
  processor: () => {
    const { user, system } = process.cpuUsage()
    return (user + system) / 1000
  },
} satisfies Record<string, Clock>

interface Given {
  seconds: number
  steps: number | undefined
  seed: number
  clock: Clock
}

const byLateness = (kind: Kind) => kind === 'weighted-tardiness' || kind === 'setup-tardiness'

function solve(instance: Instance, { seconds, steps, seed, clock }: Given) {
  const began = performance.now()
  const result = plan(instance.shop, {
    seed,
    ...(steps === undefined ? { seconds, clock } : { steps }),
    aim: byLateness(instance.kind) ? 'promises' : 'finish',
  })
  const late = byLateness(instance.kind)
  return {
    name: instance.name,
    value: scoreOf(instance, result),
    bound: late ? result.bound.weightedLateMinutes : result.bound.finish,
    seconds: Math.round(performance.now() - began) / 1000,
    schedule: scheduleOf(result),
  }
}

const scoreOf = (instance: Instance, result: Plan) =>
  byLateness(instance.kind) ? result.objective.weightedLateMinutes : result.objective.finish

function scheduleOf(result: Plan) {
  return result.runs.map(r => ({
    job: Number(r.job),
    step: Number(r.step),
    machine: Number(r.station),
    start: r.work,
    end: r.end,
  }))
}

interface Known {
  optimum?: number
  upper?: number
}

/** All instances in tests/benchmarks as a table: the engine, the best of four dispatching rules, a general MIP solver. */
async function table(kinds: readonly Kind[], given: Given, alone: boolean): Promise<number> {
  const { seconds, steps, seed, clock } = given
  const root = join(dirname(fileURLToPath(import.meta.url)), '../tests/benchmarks')
  const out = (line: string) => process.stdout.write(`${line}\n`)
  out(
    `Per instance: ${steps === undefined ? `${seconds} s ${clock === CLOCKS.wall ? 'by the clock' : 'of processor time'}` : `${steps} steps`}; weighted-tardiness a fifth. Seed ${seed}.`,
  )
  out('')
  out('| instance | best known | engine | bound | proven | best of four rules | general MIP solver |')
  out('| --- | ---: | ---: | ---: | :---: | ---: | ---: |')
  const sums: string[] = []
  for (const kind of kinds) {
    const folder = join(root, kind)
    const known = JSON.parse(readFileSync(join(folder, 'best-known.json'), 'utf8')) as Record<string, Known>
    const gaps: number[][] = [[], [], []]
    let hit = 0
    let proven = 0
    let count = 0
    for (const file of readdirSync(folder).sort()) {
      if (file.endsWith('.json')) continue
      for (const instance of readInstances(
        kind,
        file.replace(/\.[^.]*$/, ''),
        readFileSync(join(folder, file), 'utf8'),
      )) {
        const best = known[instance.name]?.optimum ?? known[instance.name]?.upper
        if (best === undefined) continue
        const time = kind === 'weighted-tardiness' ? seconds / 5 : seconds
        const began = performance.now()
        const ours = solve(instance, { ...given, seconds: time })
        // The solver's limit is by the wall clock: it gets no less of it than the engine had, and never less than its seconds.
        const wall = Math.max(time, (performance.now() - began) / 1000)
        const rule = Math.min(...RULES.map(r => scoreOf(instance, plan(instance.shop, { rule: r }))))
        const mip = alone ? null : await solveByMip(instance.shop, byLateness(kind), wall)
        count++
        if (ours.value === best) hit++
        if (ours.value === ours.bound) proven++
        ;[ours.value, rule, mip].forEach((value, i) => {
          if (best > 0 && value !== null) gaps[i]?.push((100 * (value - best)) / best)
        })
        const isProven = ours.value === ours.bound ? 'yes' : ''
        out(
          `| ${instance.name} | ${best} | ${ours.value} | ${ours.bound} | ${isProven} | ${rule} | ${alone ? 'left out' : (mip ?? 'none')} |`,
        )
      }
    }
    const mean = (list: number[] = []) =>
      list.length === 0
        ? 'none'
        : `${(list.reduce((a, b) => a + b, 0) / list.length).toFixed(2)}% (${list.length})`
    sums.push(
      `| ${kind} | ${count} | ${hit} | ${proven} | ${mean(gaps[0])} | ${mean(gaps[1])} | ${mean(gaps[2])} |`,
    )
  }
  out('')
  out(
    '| kind | instances | best known reached | proven | mean gap, engine | mean gap, rules | mean gap, MIP |',
  )
  out('| --- | ---: | ---: | ---: | ---: | ---: | ---: |')
  for (const line of sums) out(line)
  return 0
}

process.exitCode = await main(process.argv.slice(2))
