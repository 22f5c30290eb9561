// Writes and applies migrations with Prisma's own engine, compiled to WebAssembly.
//   migrate.ts new NAME        writes a migration with what the schema has and the migrations have not, for SQLite and for PostgreSQL
//   migrate.ts apply FILE      brings a database up to date; an existing one is copied before
//   migrate.ts apply URL       brings a PostgreSQL database up to date: each migration wholly or not at all
//   migrate.ts check           exit 1 if schema and migrations disagree
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { isPostgresUrl } from '@/lib/server/database'
import {
  applyMigrations,
  migrationsFolder,
  missingSql,
  postgresGuardsFile,
  postgresMigrationsFolder,
  readGuards,
  readMigrations,
} from '@/lib/server/migrations'
import { NO_POSTGRES } from './support/postgres-programs.mjs'
import { startPostgres } from './support/postgres-server'
import { upgradeFile } from './support/upgrade'

async function writeNew(name: string): Promise<void> {
  if (!/^[a-z0-9_]+$/.test(name))
    throw new Error('Name a migration in small letters, digits and underscores.')
  const sql = await missingSql()
  if (sql === null) console.log('Schema and migrations agree: nothing to write for SQLite.')
  else {
    const count = readMigrations().migrationDirectories.length
    write(
      migrationsFolder,
      `${String(count + 1).padStart(4, '0')}_${name}`,
      sql + guardsOf(rebuilt(sql)),
      'sqlite',
    )
  }
  await writeTwin()
}

/** The same step for PostgreSQL, under the same name: tried out on a scratch server. */
async function writeTwin(): Promise<void> {
  const server = await startPostgres()
  if (!server)
    throw new Error(
      `${NO_POSTGRES} The migration for PostgreSQL is yet to be written: install it, and say "new" again.`,
    )
  try {
    const sql = await missingSql(undefined, undefined, server.url('postgres'))
    if (sql === null) return console.log('Schema and migrations agree: nothing to write for PostgreSQL.')
    const name = readMigrations().migrationDirectories.at(-1)?.path ?? ''
    const first = readMigrations(postgresMigrationsFolder).migrationDirectories.length === 0
    write(
      postgresMigrationsFolder,
      name,
      first ? `${sql}\n${readFileSync(postgresGuardsFile, 'utf8')}` : sql,
      'postgresql',
    )
  } finally {
    await server.stop()
  }
}

/** Tables that a migration builds anew: SQLite drops their triggers with the old ones. */
const rebuilt = (sql: string): Set<string> =>
  new Set(
    [...sql.matchAll(/^DROP TABLE "(\w+)";\nALTER TABLE "new_\1" RENAME TO "\1";/gm)].map(m => m[1] ?? ''),
  )

/** The guards of these tables, to end a migration with. */
function guardsOf(tables: ReadonlySet<string>): string {
  const guards = readGuards().filter(guard => tables.has(guard.table))
  return guards.length
    ? `\n-- Guards of tables that were built anew.\n${guards.map(g => `${g.sql}\n`).join('')}`
    : ''
}

function write(migrations: string, name: string, sql: string, provider: 'sqlite' | 'postgresql'): void {
  const folder = join(migrations, name)
  mkdirSync(folder, { recursive: true })
  writeFileSync(join(folder, 'migration.sql'), sql)
  writeFileSync(join(migrations, 'migration_lock.toml'), `provider = "${provider}"\n`)
  console.log(`Wrote ${folder}/migration.sql: read it before you commit it.`)
}

async function check(): Promise<void> {
  const sql = await missingSql()
  if (sql === null) return
  console.error(`The migrations lack:\n${sql}\nWrite them with: npm run migration -- new NAME`)
  process.exitCode = 1
}

const [command, argument = ''] = process.argv.slice(2)
try {
  if (command === 'new') await writeNew(argument)
  else if (command === 'apply' && isPostgresUrl(argument)) {
    const applied = await applyMigrations(argument)
    console.log(applied.length ? `Applied ${applied.join(', ')}.` : 'The database is up to date.')
  } else if (command === 'apply' && argument) await upgradeFile(argument, console.log)
  else if (command === 'check') await check()
  else throw new Error('Say one of: new NAME, apply FILE, check.')
} catch (error) {
  console.error(error instanceof Error ? error.message : error)
  process.exitCode = 1
}
