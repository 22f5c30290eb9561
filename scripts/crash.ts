// npm run crash [-- --kills 200 --clients 20 --seed 1]: kills the server again and again while people write, and says whether anything was lost.

import { spawnSync } from 'node:child_process'
import { cpSync, existsSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { crash } from './support/crash'
import { prepareBuild } from './support/fresh.mjs'

const { values } = parseArgs({
  options: {
    kills: { type: 'string', default: '200' },
    clients: { type: 'string', default: '20' },
    seed: { type: 'string', default: '1' },
    from: { type: 'string' },
  },
})
prepareBuild(console.log)
const data = mkdtempSync(join(tmpdir(), 'shirtwright-crash-'))
try {
  if (values.from && existsSync(values.from)) cpSync(values.from, data, { recursive: true })
  else
    spawnSync(
      process.execPath,
      ['--conditions=react-server', '--import', 'tsx', 'scripts/prepare-shop.ts', 'demo'],
      { env: { ...process.env, SHIRTWRIGHT_DATA: data }, input: '{}', stdio: ['pipe', 'inherit', 'inherit'] },
    )
  const report = await crash({
    data,
    kills: Number(values.kills),
    clients: Number(values.clients),
    seed: Number(values.seed),
    say: console.log,
  })
  console.log(report)
  if (report.lost.length || report.half.length || report.books.length || report.integrity !== 'ok')
    process.exitCode = 1
} finally {
  rmSync(data, { recursive: true, force: true })
}
