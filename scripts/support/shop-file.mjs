// What a database file says about its own version, without opening it through Prisma.
import { createHash } from 'node:crypto'
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
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
    applied = live
      .prepare(
        'SELECT migration_name AS name, checksum FROM _prisma_migrations WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL',
      )
      .all()
    live.close()
  } catch {
    return 'broken'
  }
  const known = new Map(migrations())
  if (applied.some(one => !known.has(one.name))) return 'newer'
  if (applied.some(one => known.get(one.name) !== one.checksum)) return 'changed'
  return applied.length < known.size ? 'older' : 'current'
}

const migrations = () =>
  readdirSync(join(home, 'prisma/migrations'), { withFileTypes: true })
    .filter(entry => entry.isDirectory())
    .map(entry => [
      entry.name,
      createHash('sha256')
        .update(readFileSync(join(home, 'prisma/migrations', entry.name, 'migration.sql')))
        .digest('hex'),
    ])
