// npm run crash [-- --kills 200 --clients 20 --seed 1]: kills the server again and again while people write, and says whether anything was lost.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { crash } from './support/crash'
import { demoShop } from './support/demo-shop'
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
  demoShop(data, values.from)
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
