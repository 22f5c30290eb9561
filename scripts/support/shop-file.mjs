// What a shop's database says about its own version, without opening it through Prisma.
import { createHash } from 'node:crypto'
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import pg from 'pg'
import { home } from './fresh.mjs'

/**
 * @param {string} file path of a database
 * @returns {'none' | 'current' | 'older' | 'newer' | 'changed' | 'broken'} none: no file; older: migrations are missing;
 *   newer: it knows migrations that this version does not; changed: an applied migration reads differently now;
 *   broken: no database of ours
 */
export function ageOf(file) {
  if (!existsSync(file)) return 'none'
  let applied
  try {
    const live = new Database(file, { readonly: true })
    applied = live.prepare(APPLIED).all()
    live.close()
  } catch {
    return 'broken'
  }
  return ageBy(applied, migrations('prisma/migrations'))
}

/**
 * The same of a shop on PostgreSQL.
 * @param {string} url
 * @returns {Promise<'none' | 'current' | 'older' | 'newer' | 'changed'>} none: no shop is laid out in this database yet
 * @throws when the server does not answer
 */
export async function ageOnServer(url) {
  const client = new pg.Client({ connectionString: url, connectionTimeoutMillis: 10_000 })
  await client.connect()
  try {
    const { rows: tables } = await client.query(`SELECT to_regclass('"_prisma_migrations"') AS "notes"`)
    if (tables[0].notes === null) return 'none'
    const { rows: applied } = await client.query(APPLIED)
    const age = ageBy(applied, migrations('prisma/postgres/migrations'))
    // Laid out, and then nobody set a shop up.
    if (age === 'current' && !(await client.query('SELECT 1 FROM "Shop"')).rowCount) return 'none'
    return age
  } finally {
    await client.end()
  }
}

const APPLIED =
  'SELECT migration_name AS name, checksum FROM _prisma_migrations WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL'

function ageBy(applied, all) {
  const known = new Map(all)
  if (applied.some(one => !known.has(one.name))) return 'newer'
  if (applied.some(one => known.get(one.name) !== one.checksum)) return 'changed'
  return applied.length < known.size ? 'older' : 'current'
}

const migrations = folder =>
  readdirSync(join(home, folder), { withFileTypes: true })
    .filter(entry => entry.isDirectory())
    .map(entry => [
      entry.name,
      createHash('sha256')
        .update(readFileSync(join(home, folder, entry.name, 'migration.sql')))
        .digest('hex'),
    ])
