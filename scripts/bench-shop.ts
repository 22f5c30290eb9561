import { parseShop, toEngine } from '@/lib/planning/contract'
import { chances, plan, RULES, type Shop } from '@/lib/planning/engine'
import { shopWeek } from '@/tests/planning/weeks'

/** Measures the engine on seeded shop weeks: bench-shop.ts [seconds] [seeds]. Prints a table; all times are of the processor. */
const seconds = Number(process.argv[2] ?? 5)
const seeds = Number(process.argv[3] ?? 3)
const clock = () => {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}
const timed = <T>(f: () => T): [T, number] => {
  const began = clock()
  const value = f()
  return [value, Math.round(clock() - began)]
}
const out = (line: string) => process.stdout.write(`${line}\n`)
const shopOf = (jobs: number, seed: number): Shop => {
  const parsed = parseShop(shopWeek(jobs, seed))
  if (!parsed.ok) throw new Error(`${parsed.field}: ${parsed.message}`)
  return toEngine(parsed.shop)
}

plan(shopOf(60, 9), { steps: 500 })
out(`Seeds 1 to ${seeds}, ${seconds} s of search.`)
out('')
out(
  '| jobs | steps | first plan, ms | best of four rules: misses, late | after search: misses, late | less late | ms per candidate | re-plan without news, ms (runs moved) | after a report, ms (runs moved) | 500 futures, ms |',
)
out('| ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |')
for (const jobs of [20, 60, 150, 300]) {
  for (let seed = 1; seed <= seeds; seed++) {
    const shop = shopOf(jobs, seed)
    const [, first] = timed(() => plan(shop, { steps: 0 }))
    const rule = RULES.map(r => plan(shop, { rule: r }).objective).reduce((a, b) =>
      a.hardMisses < b.hardMisses ||
      (a.hardMisses === b.hardMisses && a.weightedLateMinutes <= b.weightedLateMinutes)
        ? a
        : b,
    )
    const [found, spent] = timed(() => plan(shop, { seconds, clock, seed: 1 }))
    // A report from the floor: what began by four hours from now is kept, and one run of it took 25 minutes more.
    const now = shop.now + 240
    const began = found.runs.filter(r => r.start <= now)
    const late = began.reduce((a, r) => (r.end > a.end ? r : a), began[0] as (typeof began)[number])
    const report: Shop = {
      ...shop,
      now,
      jobs: shop.jobs.map(j => ({
        ...j,
        steps: j.steps.map(s =>
          j.id === late.job && s.id === late.step
            ? { ...s, on: s.on.map(c => ({ ...c, run: c.run + 25 })) }
            : s,
        ),
      })),
      kept: began.map(r => ({ job: r.job, step: r.step, station: r.station, crew: r.crew, start: r.start })),
    }
    const quiet: Shop = { ...report, jobs: shop.jobs }
    const [same, looking] = timed(() => plan(quiet, { from: found, seed: 1 }))
    const [mended, mending] = timed(() => plan(report, { from: found, seed: 1 }))
    const [, futures] = timed(() => chances(shop, found, { futures: 500 }))
    const less =
      rule.weightedLateMinutes === 0 ? 0 : 1 - found.objective.weightedLateMinutes / rule.weightedLateMinutes
    out(
      `| ${jobs} | ${shop.jobs.reduce((n, j) => n + j.steps.length, 0)} | ${first} | ${rule.hardMisses}, ${rule.weightedLateMinutes} | ${found.objective.hardMisses}, ${found.objective.weightedLateMinutes} | ${(100 * less).toFixed(0)}% | ${(spent / found.steps).toFixed(3)} | ${looking} (${same.moved}) | ${mending} (${mended.moved}) | ${futures} |`,
    )
  }
}
