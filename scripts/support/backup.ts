// Backups of a whole shop: database and files, checked, kept by day, week and month, brought back; and the shop as plain tables.
import { createHash } from 'node:crypto'
import {
  copyFileSync,
  createReadStream,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, dirname, join } from 'node:path'
import { pipeline } from 'node:stream/promises'
import Database from 'better-sqlite3'
import { stringify } from 'csv-stringify/sync'
import { z } from 'zod'
import { backupsIn, MANIFEST, type Manifest, manifestSchema } from '@/lib/server/backup-folder'
import { type Keep, keptAs } from '@/lib/server/backup-plan'
import { applyMigrations, readMigrations } from '@/lib/server/migrations'
import { ageOf } from './shop-file.mjs'
import { upgradeFile } from './upgrade'

type Live = InstanceType<typeof Database>

const DATABASE = 'shop.db'
const FILES = 'files'

/** Where a shop stands: its database, and the folder of its kept files. */
export type Place = { database: string; files: string }

/** The shop's own place in a data folder. */
export const placeOf = (data: string): Place => ({
  database: join(data, DATABASE),
  files: join(data, 'files'),
})

const keptFile = (files: string, sha256: string) => join(files, 'kept', sha256.slice(0, 2), sha256)

async function hashOf(file: string): Promise<string> {
  const hash = createHash('sha256')
  await pipeline(createReadStream(file), hash)
  return hash.digest('hex')
}

const tableNames = (db: Live): string[] =>
  db
    .prepare(
      "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND sql NOT LIKE 'CREATE VIRTUAL%' ORDER BY name",
    )
    .pluck()
    .all() as string[]
const quoted = (name: string) => `"${name.replaceAll('"', '""')}"`

/** A value as text that no other value has. */
const exact = (value: unknown): string =>
  value === null
    ? 'n'
    : typeof value === 'bigint'
      ? `i${value}`
      : typeof value === 'number'
        ? `r${value}`
        : Buffer.isBuffer(value)
          ? `b${value.toString('base64')}`
          : `t${value}`

/** Rows and checksum of every table, the same whatever order the rows lie in. */
export function tablesOf(db: Live): Manifest['tables'] {
  db.defaultSafeIntegers(true)
  return Object.fromEntries(
    tableNames(db).map(name => {
      const rows: string[] = []
      for (const row of db
        .prepare(`SELECT * FROM ${quoted(name)}`)
        .raw()
        .iterate() as Iterable<unknown[]>)
        rows.push(
          createHash('sha256')
            .update(JSON.stringify(row.map(exact)))
            .digest('base64'),
        )
      rows.sort()
      return [name, { rows: rows.length, sha256: createHash('sha256').update(rows.join('')).digest('hex') }]
    }),
  )
}

/** Every kept file of a shop, by its content's checksum. */
function keptFiles(files: string): string[] {
  const kept = join(files, 'kept')
  if (!existsSync(kept)) return []
  return readdirSync(kept)
    .flatMap(two => readdirSync(join(kept, two)))
    .filter(name => /^[0-9a-f]{64}$/.test(name))
    .sort()
}

const stamp = (at: Date) => at.toISOString().replace(/[:.]/g, '-')

/**
 * Backs a shop up while it works: the database as one consistent picture, then every kept file (they are only ever added). Files are
 * shared between the backups of a folder. The backup appears under its name only once it is whole, and has been brought back into a
 * scratch place and compared, table by table.
 * @returns the backup's folder
 */
export async function makeBackup(shop: Place, folder: string, now: Date): Promise<string> {
  const work = join(folder, `.unfinished-${stamp(now)}`)
  mkdirSync(work, { recursive: true, mode: 0o700 })
  try {
    const copy = join(work, DATABASE)
    const live = new Database(shop.database, { readonly: true, timeout: 30_000 })
    try {
      live.prepare('VACUUM INTO ?').run(copy)
    } finally {
      live.close()
    }
    const names = keptFiles(shop.files)
    for (const name of names) {
      const to = join(folder, FILES, name.slice(0, 2), name)
      if (existsSync(to)) continue
      mkdirSync(dirname(to), { recursive: true })
      copyFileSync(keptFile(shop.files, name), `${to}.part`)
      renameSync(`${to}.part`, to)
    }
    const made = new Database(copy, { readonly: true })
    const tables = tablesOf(made)
    made.close()
    const manifest: Manifest = {
      made: now.toISOString(),
      tables,
      database: { bytes: statSync(copy).size, sha256: await hashOf(copy) },
      files: names,
    }
    writeFileSync(join(work, MANIFEST), JSON.stringify(manifest, null, 1))
    await checkBackup(work, join(folder, FILES))
    const done = join(folder, stamp(now))
    renameSync(work, done)
    return done
  } catch (error) {
    rmSync(work, { recursive: true, force: true })
    throw error
  }
}

/**
 * Brings a backup back into a scratch place and compares it with its manifest: the database whole, every table's rows and checksum,
 * every file's content.
 * @throws with one sentence that says what is broken
 */
export async function checkBackup(backup: string, files = join(dirname(backup), FILES)): Promise<Manifest> {
  const no = (why: string) => new Error(`The backup ${backup} cannot be used: ${why}. Nothing was changed.`)
  if (!existsSync(backup)) throw no('there is no such folder')
  let manifest: Manifest
  try {
    manifest = manifestSchema.parse(JSON.parse(readFileSync(join(backup, MANIFEST), 'utf8')))
  } catch {
    throw no('its manifest is missing or damaged')
  }
  const copy = join(backup, DATABASE)
  if (!existsSync(copy)) throw no('its database is missing')
  if ((await hashOf(copy)) !== manifest.database.sha256) throw no('its database is damaged')
  const scratch = mkdtempSync(join(tmpdir(), 'shirtwright-check-'))
  try {
    copyFileSync(copy, join(scratch, DATABASE))
    const db = new Database(join(scratch, DATABASE))
    try {
      if (db.pragma('integrity_check', { simple: true }) !== 'ok') throw no('its database is not whole')
      const broken = db.pragma('foreign_key_check') as unknown[]
      if (broken.length) throw no(`${broken.length} of its rows point to nothing`)
      const found = tablesOf(db)
      for (const [name, table] of Object.entries(manifest.tables))
        if (found[name]?.sha256 !== table.sha256 || found[name]?.rows !== table.rows)
          throw no(`the table ${name} is not as it was`)
    } finally {
      db.close()
    }
  } finally {
    rmSync(scratch, { recursive: true, force: true })
  }
  for (const name of manifest.files) {
    const file = join(files, name.slice(0, 2), name)
    if (!existsSync(file)) throw no(`the file ${name.slice(0, 12)}… is missing`)
    if ((await hashOf(file)) !== name) throw no(`the file ${name.slice(0, 12)}… is damaged`)
  }
  return manifest
}

/** Drops the backups of a folder that need not stay, and the files that none of the others names. @returns how many went */
export function prune(folder: string, keep: Keep, zone: string): number {
  const all = backupsIn(folder)
  const stay = keptAs(
    all.map(b => b.made),
    keep,
    zone,
  )
  const gone = all.filter(b => !stay.has(b.made))
  for (const { path } of gone) rmSync(path, { recursive: true, force: true })
  if (gone.length === 0) return 0
  const named = new Set(
    backupsIn(folder).flatMap(
      b => manifestSchema.parse(JSON.parse(readFileSync(join(b.path, MANIFEST), 'utf8'))).files,
    ),
  )
  const files = join(folder, FILES)
  if (existsSync(files))
    for (const two of readdirSync(files))
      for (const name of readdirSync(join(files, two))) if (!named.has(name)) rmSync(join(files, two, name))
  return gone.length
}

/** Whether another program has this database open. */
function inUse(file: string): boolean {
  const db = new Database(file, { timeout: 200 })
  try {
    // Refused as long as anybody else is connected.
    db.pragma('journal_mode = DELETE')
    return false
  } catch {
    return true
  } finally {
    db.close()
  }
}

/**
 * Brings a backup back in place of the shop there is, which is kept beside it; one of an earlier version is brought to this one. The
 * backup is checked first: a broken one is refused before anything is touched.
 * @returns where the shop of before was put, if there was one
 */
export async function restore(
  backup: string,
  shop: Place,
  now: Date,
  say: (line: string) => void,
): Promise<string | null> {
  const manifest = await checkBackup(backup)
  const files = join(dirname(backup), FILES)
  mkdirSync(dirname(shop.database), { recursive: true, mode: 0o700 })
  const work = `${shop.database}.restored`
  for (const rest of [work, `${work}-wal`, `${work}-shm`]) rmSync(rest, { force: true })
  copyFileSync(join(backup, DATABASE), work)
  const age = ageOf(work)
  if (age !== 'current' && age !== 'older') {
    rmSync(work)
    throw new Error(
      `The backup ${backup} is of ${age === 'newer' ? 'a newer version' : 'another version'} of Shirtwright: install that one to restore it. Nothing was changed.`,
    )
  }
  if (existsSync(shop.database) && inUse(shop.database)) {
    rmSync(work)
    throw new Error('The shop is open: stop it first, then restore. Nothing was changed.')
  }
  if (age === 'older') await upgradeFile(work, say, readMigrations(), false)
  for (const name of manifest.files) {
    const to = keptFile(shop.files, name)
    if (existsSync(to)) continue
    mkdirSync(dirname(to), { recursive: true })
    copyFileSync(join(files, name.slice(0, 2), name), `${to}.part`)
    renameSync(`${to}.part`, to)
  }
  let before: string | null = null
  if (existsSync(shop.database)) {
    before = join(dirname(shop.database), 'before-restore', `${stamp(now)}-${basename(shop.database)}`)
    mkdirSync(dirname(before), { recursive: true, mode: 0o700 })
    // Copied, so that there is no moment without a shop: the next line exchanges one for the other at once.
    copyFileSync(shop.database, before)
  }
  renameSync(work, shop.database)
  return before
}

type Plain = null | number | string | { integer: string } | { bytes: string }
const plain = (value: unknown): Plain =>
  typeof value === 'bigint'
    ? Number.isSafeInteger(Number(value))
      ? Number(value)
      : { integer: String(value) }
    : Buffer.isBuffer(value)
      ? { bytes: value.toString('base64') }
      : typeof value === 'number' && Number.isInteger(value)
        ? // A real number that happens to be whole stays one.
          { integer: `${value}r` }
        : (value as null | number | string)
const back = (value: Plain): unknown =>
  value === null || typeof value === 'string'
    ? value
    : typeof value === 'number'
      ? Number.isInteger(value)
        ? BigInt(value)
        : value
      : 'bytes' in value
        ? Buffer.from(value.bytes, 'base64')
        : value.integer.endsWith('r')
          ? Number(value.integer.slice(0, -1))
          : BigInt(value.integer)

/** Text that a spreadsheet does not take for a formula. */
const harmless = (text: string) => (/^[=+\-@\t\r]/.test(text) ? `'${text}` : text)

/** Writes the whole shop as plain tables: NAME.json to bring back, NAME.csv to read, and its files. @returns rows by table */
export function exportShop(shop: Place, to: string): Record<string, number> {
  if (existsSync(to) && readdirSync(to).length > 0)
    throw new Error(`The folder ${to} is not empty: choose a new one.`)
  mkdirSync(join(to, 'files'), { recursive: true, mode: 0o700 })
  const db = new Database(shop.database, { readonly: true, timeout: 30_000 })
  db.defaultSafeIntegers(true)
  try {
    // One picture of all tables.
    db.exec('BEGIN')
    const counts = Object.fromEntries(
      tableNames(db).map(name => {
        const rows = db.prepare(`SELECT * FROM ${quoted(name)}`).all() as Record<string, unknown>[]
        const columns = db.prepare(`SELECT name FROM pragma_table_info(?)`).pluck().all(name) as string[]
        writeFileSync(
          join(to, `${name}.json`),
          JSON.stringify({ columns, rows: rows.map(r => columns.map(c => plain(r[c]))) }),
        )
        writeFileSync(
          join(to, `${name}.csv`),
          stringify([
            columns,
            ...rows.map(r =>
              columns.map(c => {
                const value = r[c]
                if (value === null) return ''
                return Buffer.isBuffer(value) ? value.toString('base64') : harmless(String(value))
              }),
            ),
          ]),
        )
        return [name, rows.length]
      }),
    )
    db.exec('COMMIT')
    for (const name of keptFiles(shop.files))
      copyFileSync(keptFile(shop.files, name), join(to, 'files', name))
    return counts
  } finally {
    db.close()
  }
}

const tableFile = z.object({ columns: z.array(z.string()), rows: z.array(z.array(z.custom<Plain>())) })

/** The migrations that an exported shop had: its tables are laid out as they were then, and brought to this version afterwards. */
function migrationsOf(from: string) {
  const { columns, rows } = tableFile.parse(
    JSON.parse(readFileSync(join(from, '_prisma_migrations.json'), 'utf8')),
  )
  const at = columns.indexOf('migration_name')
  const names = new Set(rows.map(row => row[at]))
  const list = readMigrations()
  const known = new Set<unknown>(list.migrationDirectories.map(m => m.path))
  if ([...names].some(name => !known.has(name)))
    throw new Error(
      'This shop was exported by a newer version of Shirtwright: install that one to import it.',
    )
  return { ...list, migrationDirectories: list.migrationDirectories.filter(m => names.has(m.path)) }
}

/**
 * Makes an exported shop anew in a place where there is none: the same rows in every table; one of an earlier version is then brought
 * to this one.
 */
export async function importShop(from: string, shop: Place): Promise<Record<string, number>> {
  if (existsSync(shop.database)) throw new Error(`There is a shop already in ${shop.database}.`)
  const names = readdirSync(from).filter(name => name.endsWith('.json'))
  if (!names.includes('Shop.json') || !names.includes('_prisma_migrations.json'))
    throw new Error(`There is no exported shop in ${from}.`)
  const migrations = migrationsOf(from)
  mkdirSync(dirname(shop.database), { recursive: true, mode: 0o700 })
  const work = `${shop.database}.imported`
  for (const rest of [work, `${work}-wal`, `${work}-shm`]) rmSync(rest, { force: true })
  await applyMigrations(work, migrations)
  const db = new Database(work)
  const counts: Record<string, number> = {}
  try {
    db.pragma('foreign_keys = OFF')
    const triggers = db.prepare("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").all() as {
      name: string
      sql: string
    }[]
    db.transaction(() => {
      // Guards watch over changes; this only writes again what was allowed once.
      for (const { name } of triggers) db.exec(`DROP TRIGGER ${quoted(name)}`)
      for (const file of names) {
        const table = file.slice(0, -'.json'.length)
        const { columns, rows } = tableFile.parse(JSON.parse(readFileSync(join(from, file), 'utf8')))
        const known = db.prepare('SELECT name FROM pragma_table_info(?)').pluck().all(table) as string[]
        const strange = columns.find(c => !known.includes(c))
        if (known.length === 0 || strange)
          throw new Error(
            `${file} is of another version of Shirtwright${strange ? `: it has a column ${strange}` : ''}.`,
          )
        db.exec(`DELETE FROM ${quoted(table)}`)
        const insert = db.prepare(
          `INSERT INTO ${quoted(table)} (${columns.map(quoted).join(', ')}) VALUES (${columns.map(() => '?').join(', ')})`,
        )
        for (const row of rows) insert.run(row.map(back))
        counts[table] = rows.length
      }
      for (const { sql } of triggers) db.exec(sql)
      const broken = db.pragma('foreign_key_check') as unknown[]
      if (broken.length) throw new Error(`${broken.length} rows of the export point to nothing.`)
    })()
    db.close()
    await applyMigrations(work)
  } catch (error) {
    db.close()
    rmSync(work, { force: true })
    throw error
  }
  for (const name of existsSync(join(from, 'files')) ? readdirSync(join(from, 'files')) : []) {
    if ((await hashOf(join(from, 'files', name))) !== name) throw new Error(`The file ${name} is damaged.`)
    const to = keptFile(shop.files, name)
    mkdirSync(dirname(to), { recursive: true })
    copyFileSync(join(from, 'files', name), to)
  }
  renameSync(work, shop.database)
  return counts
}
