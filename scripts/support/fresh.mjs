// Makes what is made from sources (client, build) anew when its sources have changed, and only then.
import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import {
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { postgresSchema } from '../../lib/server/postgres-schema.mjs'

export const home = fileURLToPath(new URL('../..', import.meta.url))
const postgresClient = join(home, 'lib/server/client-postgres')
const bin = name => join(home, 'node_modules', ...name)

/** Prisma's clients from prisma/schema: one for SQLite, and one for PostgreSQL beside it. */
export function prepareClient() {
  const mark = join(home, 'lib/server/client/.made-from')
  const sources = fingerprint([
    'prisma/schema',
    'prisma.config.ts',
    'package-lock.json',
    'lib/server/postgres-schema.mjs',
  ])
  if (isMadeFrom(mark, sources) && existsSync(postgresClient)) return false
  const generate = [bin(['prisma', 'build', 'index.js']), 'generate']
  run('prisma generate', generate)
  const schema = mkdtempSync(join(tmpdir(), 'shirtwright-schema-'))
  try {
    for (const name of readdirSync(join(home, 'prisma/schema')))
      writeFileSync(
        join(schema, name),
        postgresSchema(readFileSync(join(home, 'prisma/schema', name), 'utf8'), postgresClient),
      )
    run('prisma generate for PostgreSQL', [...generate, '--schema', schema])
  } finally {
    rmSync(schema, { recursive: true, force: true })
  }
  writeFileSync(mark, sources)
  return true
}

/**
 * The production build, with what the standalone server needs beside it.
 * @param {(line: string) => void} [say] told when it has to build, which takes a while
 */
export function prepareBuild(say) {
  const made = prepareClient()
  const mark = join(home, '.next/standalone/.made-from')
  const sources = fingerprint([
    ...['app', 'lib', 'public', 'prisma/schema', 'proxy.ts', 'instrumentation.ts'],
    ...['next.config.mjs', 'tsconfig.json', 'package-lock.json', '.env'],
  ])
  if (!made && isMadeFrom(mark, sources)) return false
  say?.('Building: about half a minute …')
  run('next build', [bin(['next', 'dist', 'bin', 'next']), 'build'])
  cpSync(join(home, '.next/static'), join(home, '.next/standalone/.next/static'), { recursive: true })
  if (existsSync(join(home, 'public'))) {
    cpSync(join(home, 'public'), join(home, '.next/standalone/public'), { recursive: true })
  }
  writeFileSync(mark, sources)
  return true
}

function run(title, args) {
  const done = spawnSync(process.execPath, args, {
    cwd: home,
    encoding: 'utf8',
    // The framework would tell its makers of each build.
    env: { ...process.env, NEXT_TELEMETRY_DISABLED: '1' },
  })
  if (done.status !== 0) throw new Error(`${title} failed:\n${done.stdout}${done.stderr}`)
}

const isMadeFrom = (mark, sources) => existsSync(mark) && readFileSync(mark, 'utf8') === sources

/** Names and contents of files and folders, as one hash. */
function fingerprint(paths) {
  const hash = createHash('sha256')
  const add = path => {
    const full = join(home, path)
    if (!existsSync(full) || path.startsWith('lib/server/client')) return
    if (statSync(full).isDirectory()) {
      for (const name of readdirSync(full).sort()) add(`${path}/${name}`)
      return
    }
    hash.update(`${path}\0`).update(readFileSync(full)).update('\0')
  }
  for (const path of paths) add(path)
  return hash.digest('hex')
}
