// Writes and applies migrations with Prisma's own engine, compiled to WebAssembly.
//   migrate.ts new NAME        writes a migration with what the schema has and the migrations have not
//   migrate.ts apply FILE      brings a database up to date; an existing one is copied before
//   migrate.ts check           exit 1 if schema and migrations disagree
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { migrationsFolder, missingSql, readGuards, readMigrations } from '@/lib/server/migrations'
import { upgradeFile } from './support/upgrade'

async function writeNew(name: string): Promise<void> {
  if (!/^[a-z0-9_]+$/.test(name))
    throw new Error('Name a migration in small letters, digits and underscores.')
  const sql = await missingSql()
  if (sql === null) {
    console.log('Schema and migrations agree: nothing to write.')
    return
  }
  const count = readMigrations().migrationDirectories.length
  write(`${String(count + 1).padStart(4, '0')}_${name}`, sql + guardsOf(rebuilt(sql)))
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

function write(name: string, sql: string): void {
  const folder = join(migrationsFolder, name)
  mkdirSync(folder, { recursive: true })
  writeFileSync(join(folder, 'migration.sql'), sql)
  writeFileSync(join(migrationsFolder, 'migration_lock.toml'), 'provider = "sqlite"\n')
  console.log(`Wrote prisma/migrations/${name}/migration.sql: read it before you commit it.`)
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
  else if (command === 'apply' && argument) await upgradeFile(argument, console.log)
  else if (command === 'check') await check()
  else throw new Error('Say one of: new NAME, apply FILE, check.')
} catch (error) {
  console.error(error instanceof Error ? error.message : error)
  process.exitCode = 1
}
