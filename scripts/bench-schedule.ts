import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type Plan, plan, RULES } from '@/lib/planning/engine'
import { type Instance, KINDS, type Kind, readInstances } from './bench-formats'
import { solveByMip } from './bench-mip'

/** Plans published instances: bench-schedule.ts --kind K [--seconds 10] [--steps N] [--seed 1] FILE… prints a JSON line each.
 * Without files: a table of all instances in tests/benchmarks, or of one kind, with `--seed 1-3` for each of several seeds. Seconds are by
 * the wall clock for files and seconds of processor time for the table, so that other processes do not decide it; `--clock
 * wall|processor` says otherwise. `--alone` leaves the general solver out of the table, `--write` puts it into docs/bench-schedule.md. */
async function main(args: string[]): Promise<number> {
  const fail = (line: string) => {
    process.stderr.write(`${line}\n`)
    return 2
  }
  let kind: Kind | null = null
  let seconds = 10
  let steps: number | undefined
  let seeds = [1]
  let clock: Clock | undefined
  let alone = false
  let write = false
  const files: string[] = []
  for (let i = 0; i < args.length; i++) {
    if (args[i] === '--alone' || args[i] === '--write') {
      if (args[i] === '--alone') alone = true
      else write = true
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
    if (option[1] === 'seed') {
      const range = /^(\d{1,9})(?:-(\d{1,9}))?$/.exec(text.trim())
      const first = Number(range?.[1])
      const count = Number(range?.[2] ?? first) - first + 1
      if (!range || count < 1 || count > 20)
        return fail(`--seed: must be a whole number, or two as in 1-3 (at most 20 seeds), not "${text}"`)
      seeds = Array.from({ length: count }, (_, k) => first + k)
      continue
    }
    const value = text.trim() === '' ? Number.NaN : Number(text)
    if (!(value >= 0 && value <= 1e9) || (option[1] !== 'seconds' && !Number.isInteger(value))) {
      return fail(`--${option[1]}: must be a number, 0 or more, not "${text}"`)
    }
    if (option[1] === 'seconds') seconds = value
    else steps = value
  }
  if (files.length === 0) {
    const given = { seconds, steps, clock: clock ?? CLOCKS.processor }
    const lines = await table(kind ? [kind] : KINDS, given, seeds, alone)
    if (write) writeTable(lines)
    return 0
  }
  if (!kind) return fail(`--kind: give one of ${KINDS.join(', ')}`)
  const given = { seconds, steps, clock: clock ?? CLOCKS.wall }
  for (const file of files) {
    let instances: Instance[]
    try {
      instances = readInstances(kind, basename(file).replace(/\.[^.]*$/, ''), readFileSync(file, 'utf8'))
    } catch (error) {
      return fail(`${file}: ${(error as Error).message.split('\n')[0]}`)
    }
    for (const instance of instances)
      for (const seed of seeds) {
        const { spent: _, ...line } = solve(instance, given, seed)
        process.stdout.write(`${JSON.stringify(line)}\n`)
      }
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
  clock: Clock
}

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..')
/** Between these lines of the document stands what this program printed. */
const MARKS = ['<!-- printed by bench:schedule -->', '<!-- end of what was printed -->']

const byLateness = (kind: Kind) => kind === 'weighted-tardiness' || kind === 'setup-tardiness'

function solve(instance: Instance, { seconds, steps, clock }: Given, seed: number) {
  const began = performance.now()
  const worked = CLOCKS.processor()
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
    spent: (CLOCKS.processor() - worked) / 1000,
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

/** All instances in tests/benchmarks as tables: the engine by seeds, the best of four dispatching rules, a general MIP solver. */
async function table(
  kinds: readonly Kind[],
  given: Given,
  seeds: readonly number[],
  alone: boolean,
): Promise<string[]> {
  const { seconds, steps, clock } = given
  const began = performance.now()
  const lines: string[] = []
  const out = (line: string) => {
    lines.push(line)
    process.stdout.write(`${line}\n`)
  }
  const effort =
    steps === undefined
      ? `${seconds} s ${clock === CLOCKS.wall ? 'by the clock' : 'of processor time'} (weighted-tardiness ${seconds / 5} s)`
      : `${steps} steps`
  const engines = seeds.map(seed => `seed ${seed}`)
  out(`${new Date().toISOString().slice(0, 10)}, ${effort} for each instance and seed.`)
  out('')
  out(
    `| instance | best known | ${engines.join(' | ')} | proven bound | seconds | best of four rules${alone ? '' : ' | MIP solver'} |`,
  )
  out(`| --- |${' ---: |'.repeat(seeds.length + (alone ? 4 : 5))}`)
  const sums: string[] = []
  for (const kind of kinds) {
    const best: number[] = []
    const ours: Solved[][] = seeds.map(() => [])
    const others: (number | null)[][] = [[], []]
    for (const { instance, known } of published(kind)) {
      const time = kind === 'weighted-tardiness' ? seconds / 5 : seconds
      const found = seeds.map(seed => solve(instance, { ...given, seconds: time }, seed))
      // The solver's limit is by the wall clock: it gets no less of it than the engine had, and never less than its seconds.
      const wall = Math.max(time, ...found.map(f => f.seconds))
      const rule = Math.min(...RULES.map(r => scoreOf(instance, plan(instance.shop, { rule: r }))))
      const mip = alone ? null : await solveByMip(instance.shop, byLateness(kind), wall)
      best.push(known)
      found.forEach((f, k) => {
        ours[k]!.push(f)
      })
      others[0]!.push(rule)
      others[1]!.push(mip)
      // A plan that meets its own bound is proven, and marked so.
      const values = found.map(f => (f.value === f.bound ? `${f.value} \\*` : `${f.value}`))
      const bound = Math.max(...found.map(f => f.bound))
      const took = found.map(f => f.spent.toFixed(1)).join(', ')
      out(
        `| ${instance.name} | ${known} | ${values.join(' | ')} | ${bound} | ${took} | ${rule}${alone ? '' : ` | ${mip ?? 'none'}`} |`,
      )
    }
    const each = (of: (list: Solved[]) => string) => ours.map(of).join(', ')
    const reached = each(list => `${list.filter((f, i) => f.value === best[i]).length}`)
    const proven = each(list => `${list.filter(f => f.value === f.bound).length}`)
    const gaps = each(list =>
      meanGap(
        list.map(f => f.value),
        best,
      ),
    )
    const last = alone ? '' : ` | ${meanGap(others[1]!, best)}`
    sums.push(
      `| ${kind} | ${best.length} | ${reached} | ${proven} | ${gaps} | ${meanGap(others[0]!, best)}${last} |`,
    )
  }
  out('')
  out(
    `\\* The plan meets its bound: proven. Seconds: of processor time${clock === CLOCKS.wall ? ' (limit by the clock)' : ''}, by seeds. Sums, by seeds as well:`,
  )
  out('')
  out(
    `| kind | instances | best known reached | proven | mean gap, engine | mean gap, rules${alone ? '' : ' | mean gap, MIP'} |`,
  )
  out(`| --- | ---: | ---: | ---: | ---: | ---: |${alone ? '' : ' ---: |'}`)
  for (const line of sums) out(line)
  out('')
  out(
    `Gaps are to the best-known value, over instances where that is not 0; in brackets how many gave a plan. The whole took ${Math.round((performance.now() - began) / 60_000)} min.`,
  )
  return lines
}

type Solved = ReturnType<typeof solve>

function* published(kind: Kind): Generator<{ instance: Instance; known: number }> {
  const folder = join(ROOT, 'tests/benchmarks', kind)
  const known = JSON.parse(readFileSync(join(folder, 'best-known.json'), 'utf8')) as Record<string, Known>
  for (const file of readdirSync(folder).sort()) {
    if (file.endsWith('.json')) continue
    const text = readFileSync(join(folder, file), 'utf8')
    for (const instance of readInstances(kind, file.replace(/\.[^.]*$/, ''), text)) {
      const best = known[instance.name]?.optimum ?? known[instance.name]?.upper
      if (best !== undefined) yield { instance, known: best }
    }
  }
}

function meanGap(values: readonly (number | null)[], best: readonly number[]): string {
  const gaps = values.flatMap((value, i) =>
    value === null || best[i] === 0 ? [] : [(100 * (value - best[i]!)) / best[i]!],
  )
  return gaps.length === 0
    ? 'none'
    : `${(gaps.reduce((a, b) => a + b, 0) / gaps.length).toFixed(2)}% (${gaps.length})`
}

/** Puts the tables into the document, in place of those that stand there. */
function writeTable(lines: readonly string[]): void {
  const file = join(ROOT, 'docs/bench-schedule.md')
  const text = readFileSync(file, 'utf8')
  const from = text.indexOf(MARKS[0]!)
  const to = text.indexOf(MARKS[1]!)
  if (from < 0 || to < from) throw new Error(`${file} lacks its marks "${MARKS.join('" and "')}"`)
  writeFileSync(file, `${text.slice(0, from + MARKS[0]!.length)}\n\n${lines.join('\n')}\n\n${text.slice(to)}`)
}

process.exitCode = await main(process.argv.slice(2))
