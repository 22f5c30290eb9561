// npm run release:keep: keeps a backup of the demo shop as this version writes it, in tests/releases/VERSION. Run once for each
// release, on its commit; later versions prove against it that they can take such a shop over. What is kept is never made anew.
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { brotliCompressSync, constants } from 'node:zlib'
import { closeDatabase, openDatabase, setDatabase } from '@/lib/server/database'
import { applyMigrations } from '@/lib/server/migrations'
import { makeBackup } from './support/backup'

/** A kept file that is larger stays out: one or two show that files come along. */
const LARGEST_FILE = 40_000

const { version } = JSON.parse(readFileSync('package.json', 'utf8')) as { version: string }
const to = join('tests/releases', version)
if (existsSync(to)) {
  console.error(
    `${to} is there already: what a release wrote stays as it was. Raise the version in package.json.`,
  )
  process.exit(1)
}
const data = mkdtempSync(join(tmpdir(), 'shirtwright-release-'))
try {
  Object.assign(process.env, { SHIRTWRIGHT_DEMO: '1', SHIRTWRIGHT_DATA: data })
  const { seedDemo } = await import('../prisma/seed/demo')
  const database = join(data, 'shop.db')
  await applyMigrations(database)
  setDatabase(openDatabase(`file:${database}`))
  await seedDemo({ now: Date.now(), say: console.log })
  await closeDatabase()

  const files = join(data, 'small')
  const kept = join(data, 'demo-files', 'kept')
  for (const two of readdirSync(kept))
    for (const name of readdirSync(join(kept, two)))
      if (statSync(join(kept, two, name)).size < LARGEST_FILE)
        cpSync(join(kept, two, name), join(files, 'kept', two, name), { recursive: true })
  const folder = join(data, 'backups')
  const made = await makeBackup({ database, files }, folder, new Date())

  mkdirSync(to, { recursive: true })
  cpSync(join(made, 'manifest.json'), join(to, 'manifest.json'))
  cpSync(join(folder, 'files'), join(to, 'files'), { recursive: true })
  const bytes = readFileSync(join(made, 'shop.db'))
  const packed = brotliCompressSync(bytes, {
    params: { [constants.BROTLI_PARAM_LGWIN]: 24, [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length },
  })
  writeFileSync(join(to, 'shop.db.br'), packed)
  console.log(`Kept ${to}: ${Math.round(packed.length / 1024)} KiB.`)
} finally {
  rmSync(data, { recursive: true, force: true })
}
