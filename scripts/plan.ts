import { readFileSync, statSync } from 'node:fs'
import { LIMITS, parseShopText, planShop, toContract } from '@/lib/planning/contract'
import { DEFAULT_STEPS } from '@/lib/planning/engine'

/** Prints the plan of a shop file as JSON: plan.ts FILE [--seconds S] [--steps N] [--seed N] */
function main(args: string[]): number {
  const fail = (line: string) => {
    process.stderr.write(`${line}\n`)
    return 2
  }
  let file: string | null = null
  const numbers = new Map<string, number>()
  for (let i = 0; i < args.length; i++) {
    const arg = args[i] as string
    const option = /^--(seconds|steps|seed)(?:=(.*))?$/.exec(arg)
    if (option) {
      const text = option[2] ?? args[++i] ?? ''
      const value = text.trim() === '' ? Number.NaN : Number(text)
      const most = option[1] === 'seconds' ? 3600 : 1e9
      if (!(value >= 0 && value <= most) || (option[1] !== 'seconds' && !Number.isInteger(value))) {
        return fail(`--${option[1]}: must be a number from 0 to ${most}, not "${text}"`)
      }
      numbers.set(option[1] as string, value)
    } else if (arg.startsWith('--'))
      return fail(`${arg}: no such option; there are --seconds, --steps and --seed`)
    else if (file === null) file = arg
    else return fail(`${arg}: one shop file at a time`)
  }
  if (file === null)
    return fail('file: give a shop file, as in plan shop.json [--seconds S] [--steps N] [--seed N]')
  let text: string
  try {
    if (statSync(file).size > LIMITS.bytes) return fail(`file: must be at most ${LIMITS.bytes} bytes`)
    text = readFileSync(file, 'utf8')
  } catch {
    return fail(`file: "${file}" cannot be read`)
  }
  const parsed = parseShopText(text)
  if (!parsed.ok) return fail(`${parsed.field}: ${parsed.message}`)
  const began = performance.now()
  const { plan } = planShop(parsed.shop, {
    seed: numbers.get('seed') ?? 1,
    // Without either, so many steps give the same plan everywhere, unless ten seconds end it first.
    steps: numbers.get('steps') ?? (numbers.has('seconds') ? undefined : DEFAULT_STEPS),
    seconds: numbers.get('seconds') ?? (numbers.has('steps') ? undefined : 10),
    clock: () => performance.now(),
  })
  const seconds = Math.round(performance.now() - began) / 1000
  process.stdout.write(`${JSON.stringify({ ...toContract(plan), seconds })}\n`)
  return 0
}

process.exitCode = main(process.argv.slice(2))
