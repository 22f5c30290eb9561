// Writes and applies migrations with Prisma's own engine, compiled to WebAssembly.
//   migrate.ts new NAME        writes a migration with what the schema has and the migrations have not
//   migrate.ts squash          before the first release: writes the one first migration anew
//   migrate.ts apply FILE      brings a database up to date; an existing one is copied before
//   migrate.ts check           exit 1 if schema and migrations disagree
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { basename, dirname, join } from 'node:path'
import Database from 'better-sqlite3'
import {
  applyMigrations,
  guardsFile,
  migrationsFolder,
  missingSql,
  readMigrations,
} from '@/lib/server/migrations'

const firstMigration = '0001_first_shop'

async function writeNew(name: string): Promise<void> {
  if (!/^[a-z0-9_]+$/.test(name))
    throw new Error('Name a migration in small letters, digits and underscores.')
  const sql = await missingSql()
  if (sql === null) {
    console.log('Schema and migrations agree: nothing to write.')
    return
  }
  const count = readMigrations().migrationDirectories.length
  write(`${String(count + 1).padStart(4, '0')}_${name}`, sql)
  if (/RedefineTables/.test(sql) && existsSync(guardsFile)) {
    console.log('It builds tables anew, which drops their triggers: end it with those of prisma/guards.sql.')
  }
}

async function squash(): Promise<void> {
  for (const name of readdirSync(migrationsFolder)) {
    if (name !== 'migration_lock.toml') rmSync(join(migrationsFolder, name), { recursive: true })
  }
  const sql = await missingSql()
  const guards = existsSync(guardsFile) ? `\n${readFileSync(guardsFile, 'utf8')}` : ''
  write(firstMigration, (sql ?? '') + guards)
}

function write(name: string, sql: string): void {
  const folder = join(migrationsFolder, name)
  mkdirSync(folder, { recursive: true })
  writeFileSync(join(folder, 'migration.sql'), sql)
  writeFileSync(join(migrationsFolder, 'migration_lock.toml'), 'provider = "sqlite"\n')
  console.log(`Wrote prisma/migrations/${name}/migration.sql: read it before you commit it.`)
}

/**
 * Applies what is missing to a copy, and puts the copy in place only when all went well: a failure leaves the
 * old file as it was. The file from before is kept beside it.
 */
async function apply(file: string): Promise<void> {
  mkdirSync(dirname(file), { recursive: true })
  const work = `${file}.next`
  for (const rest of [work, `${work}-wal`, `${work}-shm`, `${work}-journal`]) rmSync(rest, { force: true })
  const existed = existsSync(file)
  if (existed) {
    const live = new Database(file)
    live.pragma('wal_checkpoint(TRUNCATE)')
    live.prepare('VACUUM INTO ?').run(work)
    live.close()
  }
  let applied: string[]
  try {
    applied = await applyMigrations(work)
    const made = new Database(work)
    const broken = made.pragma('foreign_key_check') as unknown[]
    made.pragma('wal_checkpoint(TRUNCATE)')
    made.close()
    if (broken.length) throw new Error(`${broken.length} rows would point to nothing.`)
  } catch (error) {
    rmSync(work, { force: true })
    throw error
  }
  if (existed && applied.length === 0) {
    rmSync(work)
    return
  }
  if (existed) {
    const kept = join(dirname(file), 'before-upgrade', `${stamp()}-${basename(file)}`)
    mkdirSync(dirname(kept), { recursive: true })
    copyFileSync(file, kept)
    console.log(`Kept the database from before as ${kept}`)
  }
  for (const rest of [`${file}-wal`, `${file}-shm`]) rmSync(rest, { force: true })
  renameSync(work, file)
  console.log(`Applied ${applied.join(', ')} to ${file}`)
}

const stamp = () => new Date().toISOString().replace(/[:.]/g, '-')

async function check(): Promise<void> {
  const sql = await missingSql()
  if (sql === null) return
  console.error(`The migrations lack:\n${sql}\nWrite them with: npm run migration -- new NAME`)
  process.exitCode = 1
}

const [command, argument = ''] = process.argv.slice(2)
try {
  if (command === 'new') await writeNew(argument)
  else if (command === 'squash') await squash()
  else if (command === 'apply' && argument) await apply(argument)
  else if (command === 'check') await check()
  else throw new Error('Say one of: new NAME, squash, apply FILE, check.')
} catch (error) {
  console.error(error instanceof Error ? error.message : error)
  process.exitCode = 1
}
