// npm run bench:load [-- --people 50 --seconds 60 --from DATA]: people at work on the production build of this machine, over real HTTP;
// then more and more of them without a pause until it breaks; and orders saved beside the bare driver's inserts. Prints a table. Processor time (Linux)
// tells more than waiting where other programs run beside it. With --profile the server writes where its time went into that folder.
import { mkdtempSync, rmSync } from 'node:fs'
import { cpus, loadavg, tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { demoShop } from './support/demo-shop'
import { prepareBuild } from './support/fresh.mjs'
import { Crowd, type LoadReport } from './support/load'

const { values } = parseArgs({
  options: {
    people: { type: 'string', default: '50' },
    seconds: { type: 'string', default: '60' },
    from: { type: 'string' },
    'as-built': { type: 'boolean', default: false },
    profile: { type: 'string' },
  },
})
const [people, seconds] = [Number(values.people), Number(values.seconds)]
if (!values['as-built']) prepareBuild(console.log)
const data = mkdtempSync(join(tmpdir(), 'shirtwright-load-'))
const row = (...cells: (string | number)[]) => console.log(`| ${cells.join(' | ')} |`)
/** Counted apart: the time in which a server just started is still reading its code. */
const COLD_SECONDS = 15
const broken = (r: LoadReport) => r.errors.length > 0 || r.lost.length > 0

try {
  demoShop(data, values.from)
  console.log(`${cpus().length} cores, load ${loadavg()[0]?.toFixed(1)} before, Node ${process.version}\n`)
  const crowd = await Crowd.of(data, values.profile)
  try {
    // A server just started reads and translates each page's code when somebody first asks for it.
    const cold = await crowd.work({ people, seconds: COLD_SECONDS, pauseMs: 3000, seed: 0 })
    console.log(
      `The first ${COLD_SECONDS} s after the start, all ${people} at once: ${cold.all.n} answers, p50 ${cold.all.p50} ms, p99 ${cold.all.p99} ms, longest ${cold.all.most} ms; errors: ${cold.errors.length}.\n`,
    )
    const day = await crowd.work({ people, seconds, pauseMs: 3000, seed: 1 })
    console.log(
      `${people} people for ${day.seconds} s, three seconds from one thing to the next, three looks for each thing written:\n`,
    )
    row('what', 'times', 'p50', 'p99', 'longest')
    row('---', '---', '---', '---', '---')
    for (const [kind, w] of [['all', day.all] as const, ...Object.entries(day.kinds).sort()])
      row(kind, w.n, `${w.p50} ms`, `${w.p99} ms`, `${w.most} ms`)
    console.log(
      `\nThe server took ${day.cpuMs.toFixed(0)} ms of processor time for each answer, page, form and report together.`,
    )
    console.log(
      `Errors: ${day.errors.length}. Lost, half or twice: ${day.lost.length}. Memory: ${day.memory.join(', ')} MB.`,
    )
    for (const wrong of [...day.errors, ...day.lost].slice(0, 10)) console.log(`  ${wrong}`)
    for (const wrong of [...cold.errors, ...cold.lost].slice(0, 10))
      console.log(`  in the first seconds: ${wrong}`)
    if (broken(day) || broken(cold)) process.exitCode = 1

    console.log('\nWithout a pause, more and more people, ten seconds each:\n')
    row('people', 'a second', 'processor', 'p50', 'p99', 'errors', 'lost', 'memory')
    row('---', '---', '---', '---', '---', '---', '---', '---')
    for (let many = 10; many <= 320; many *= 2) {
      const r = await crowd.work({ people: many, seconds: 10, pauseMs: 0, seed: many })
      row(
        many,
        r.perSecond.toFixed(0),
        `${r.cpuMs.toFixed(0)} ms`,
        `${r.all.p50} ms`,
        `${r.all.p99} ms`,
        r.errors.length,
        r.lost.length,
        `${r.memory.at(-1)} MB`,
      )
      if (broken(r) || r.all.p99 > 10_000) {
        const slowest = Object.entries(r.kinds).sort((a, b) => b[1].p99 - a[1].p99)[0]
        console.log(
          `\nStopped at ${many} people. ${r.errors[0] ?? r.lost[0] ?? `Slowest: ${slowest?.[0]}, p99 ${slowest?.[1].p99} ms`}.`,
        )
        break
      }
    }
    const saves = await crowd.saves(20, 10)
    await crowd.server.end('SIGTERM')
    const bare = crowd.bare(5)
    console.log(
      `\nOrders saved by 20 people at once: ${saves.toFixed(0)} a second. The same ${bare.rows} rows by the bare driver, one safe transaction each: ${bare.perSecond.toFixed(0)} a second. Ratio 1 : ${(bare.perSecond / saves).toFixed(1)}.`,
    )
  } finally {
    await crowd.server.end('SIGKILL')
  }
} finally {
  rmSync(data, { recursive: true, force: true })
}
