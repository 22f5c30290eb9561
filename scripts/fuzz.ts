// npm run fuzz [-- --cases 20000 --uploads 1000 --seed 1 --from DATA]: sends the built server what no form and no camera would send, and
// every schema of the project what it does not ask for. Exit 1 on any answer of 500, anything written by half, or memory beyond bounds.
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { demoShop } from './support/demo-shop'
import { prepareBuild } from './support/fresh.mjs'
import { fuzz } from './support/fuzz'
import { fuzzUploads } from './support/fuzz-uploads'

const { values } = parseArgs({
  options: {
    cases: { type: 'string', default: '20000' },
    uploads: { type: 'string', default: '1000' },
    seed: { type: 'string', default: '1' },
    from: { type: 'string' },
    'as-built': { type: 'boolean', default: false },
  },
})
const [cases, uploads, seed] = [Number(values.cases), Number(values.uploads), Number(values.seed)]
if (!values['as-built']) prepareBuild(console.log)
const data = mkdtempSync(join(tmpdir(), 'shirtwright-fuzz-'))
let wrong = 0
try {
  demoShop(data, values.from)
  if (cases > 0) {
    const schemas = spawnSync('npx', ['vitest', 'run', 'tests/borders.test.ts'], {
      env: { ...process.env, FUZZ_CASES: String(cases), FUZZ_SEED: String(seed) },
      encoding: 'utf8',
    })
    console.log(schemas.status === 0 ? `Every schema, ${cases} cases: nothing failed.` : schemas.stdout)
    const report = await fuzz({ data, cases, seed, say: console.log })
    console.log(report)
    wrong +=
      Number(schemas.status !== 0) +
      report.faults.length +
      report.half.length +
      Number(report.integrity !== 'ok')
  }
  if (uploads > 0) {
    const report = await fuzzUploads({ data, files: uploads, seed, say: console.log })
    console.log(report)
    wrong += report.faults.length
  }
} finally {
  rmSync(data, { recursive: true, force: true })
}
process.exitCode = wrong ? 1 : 0
