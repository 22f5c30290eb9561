// npm run bench:servers [-- --people 20 --seconds 15 --servers 1,2,3 --kills 0 --from DATA]: app servers beside each other on one PostgreSQL database
// of this machine, with people who write without a pause and go from one server to the other. Prints a table; exit 1 where anything is lost.
import { mkdtempSync, rmSync } from 'node:fs'
import { cpus, tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { demoShop } from './support/demo-shop'
import { prepareBuild } from './support/fresh.mjs'
import { several } from './support/several'

const { values } = parseArgs({
  options: {
    people: { type: 'string', default: '20' },
    seconds: { type: 'string', default: '15' },
    servers: { type: 'string', default: '1,2,3' },
    kills: { type: 'string', default: '0' },
    from: { type: 'string' },
    'as-built': { type: 'boolean', default: false },
  },
})
if (!values['as-built']) prepareBuild(console.log)
const row = (...cells: (string | number)[]) => console.log(`| ${cells.join(' | ')} |`)
const drawn = mkdtempSync(join(tmpdir(), 'shirtwright-servers-'))
try {
  demoShop(drawn, values.from)
  console.log(
    `${cpus().length} cores for the app servers, the database and ${values.people} people; the database does not wait for the disk.\n`,
  )
  row(
    'servers',
    'writes a second',
    'to one server',
    'taken by each',
    'told by each',
    'killed',
    'cut off',
    'waited in vain',
    'errors',
    'lost',
    'half',
  )
  row(...Array.from({ length: 11 }, () => '---'))
  let alone = 0
  for (const servers of values.servers.split(',').map(Number)) {
    const data = mkdtempSync(join(tmpdir(), 'shirtwright-servers-'))
    try {
      demoShop(data, drawn)
      const r = await several({
        data,
        servers,
        people: Number(values.people),
        seconds: Number(values.seconds),
        seed: servers,
        kills: Number(values.kills),
      })
      alone ||= r.perSecond
      const half = [...r.half, ...r.books]
      row(
        servers,
        r.perSecond.toFixed(0),
        (r.perSecond / alone).toFixed(2),
        r.byServer.join(' + '),
        r.told.join(', '),
        r.kills,
        r.cut,
        r.late,
        r.errors.length,
        r.lost.length,
        half.length,
      )
      for (const wrong of [...r.errors, ...r.lost, ...half].slice(0, 10)) console.log(`  ${wrong}`)
      if (r.errors.length || r.lost.length || half.length) process.exitCode = 1
    } finally {
      rmSync(data, { recursive: true, force: true })
    }
  }
} finally {
  rmSync(drawn, { recursive: true, force: true })
}
