import { readFileSync } from 'node:fs'
import { basename } from 'node:path'
import { type Plan, plan } from '@/lib/planning/engine'
import { type Instance, KINDS, type Kind, readInstances } from './bench-formats'

/** Plans published instances: bench-schedule.ts --kind K [--seconds 10] [--steps N] [--seed 1] FILE… prints a JSON line each. */
function main(args: string[]): number {
  const fail = (line: string) => {
    process.stderr.write(`${line}\n`)
    return 2
  }
  let kind: Kind | null = null
  let seconds = 10
  let steps: number | undefined
  let seed = 1
  const files: string[] = []
  for (let i = 0; i < args.length; i++) {
    const option = /^--(kind|seconds|seed|steps)(?:=(.*))?$/.exec(args[i] as string)
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
    const value = text.trim() === '' ? Number.NaN : Number(text)
    if (!(value >= 0 && value <= 1e9) || (option[1] !== 'seconds' && !Number.isInteger(value))) {
      return fail(`--${option[1]}: must be a number, 0 or more, not "${text}"`)
    }
    if (option[1] === 'seconds') seconds = value
    else if (option[1] === 'seed') seed = value
    else steps = value
  }
  if (!kind) return fail(`--kind: give one of ${KINDS.join(', ')}`)
  if (files.length === 0) return fail('file: give at least one instance file')
  for (const file of files) {
    let instances: Instance[]
    try {
      instances = readInstances(kind, basename(file).replace(/\.[^.]*$/, ''), readFileSync(file, 'utf8'))
    } catch (error) {
      return fail(`${file}: ${(error as Error).message.split('\n')[0]}`)
    }
    for (const instance of instances)
      process.stdout.write(`${JSON.stringify(solve(instance, seconds, steps, seed))}\n`)
  }
  return 0
}

const byLateness = (kind: Kind) => kind === 'weighted-tardiness' || kind === 'setup-tardiness'

function solve(instance: Instance, seconds: number, steps: number | undefined, seed: number) {
  const began = performance.now()
  const result = plan(instance.shop, {
    seed,
    ...(steps === undefined ? { seconds, clock: () => performance.now() } : { steps }),
    aim: byLateness(instance.kind) ? 'promises' : 'finish',
  })
  const late = byLateness(instance.kind)
  return {
    name: instance.name,
    value: late ? result.objective.weightedLateMinutes : result.objective.finish,
    bound: late ? result.bound.weightedLateMinutes : result.bound.finish,
    seconds: Math.round(performance.now() - began) / 1000,
    schedule: scheduleOf(result),
  }
}

function scheduleOf(result: Plan) {
  return result.runs.map(r => ({
    job: Number(r.job),
    step: Number(r.step),
    machine: Number(r.station),
    start: r.work,
    end: r.end,
  }))
}

process.exitCode = main(process.argv.slice(2))
