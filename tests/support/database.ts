import { randomUUID } from 'node:crypto'
import { existsSync } from 'node:fs'
import { copyFile, mkdtemp, rename, rm } from 'node:fs/promises'
import { join } from 'node:path'
import { Client } from 'pg'
import { inject } from 'vitest'
import { closeDatabase, openDatabase, setDatabase } from '@/lib/server/database'
import { applyMigrations } from '@/lib/server/migrations'
import { MIGRATED } from './postgres'

/** Path of a new, empty, migrated database file. Migrations run once for a test run; then the file is copied. */
export async function freshFile(): Promise<string> {
  const scratch = inject('scratch')
  const folder = await mkdtemp(join(scratch, 'shop-'))
  const file = join(folder, 'shop.db')
  const template = join(scratch, 'migrated.db')
  if (!existsSync(template)) {
    // Several test files may get here at once: each makes its own and the last rename wins.
    await applyMigrations(file)
    await rename(file, template)
  }
  await copyFile(template, file)
  return file
}

/**
 * A new, empty, migrated database on a PostgreSQL server.
 * @param server address of the server's database "postgres"
 * @returns its address, and a function that takes it away
 */
export async function freshOnServer(server: string): Promise<{ url: string; drop: () => Promise<void> }> {
  const name = `shop_${randomUUID().replaceAll('-', '')}`
  const url = new URL(server)
  url.pathname = `/${name}`
  await runOn(server, `CREATE DATABASE "${name}" TEMPLATE "${MIGRATED}"`)
  return { url: url.href, drop: () => runOn(server, `DROP DATABASE "${name}" WITH (FORCE)`) }
}

async function runOn(url: string, sql: string): Promise<void> {
  const client = new Client({ connectionString: url })
  await client.connect()
  try {
    await client.query(sql)
  } finally {
    await client.end()
  }
}

/**
 * Gives every test a database of its own, which `db()` and `transaction()` then use:
 * `beforeEach(freshDatabase)`. It is a SQLite file, or lies on PostgreSQL where the tests are run there.
 */
export async function freshDatabase(): Promise<() => Promise<void>> {
  const server = inject('postgres')
  if (server) {
    const { url, drop } = await freshOnServer(server)
    setDatabase(openDatabase(url))
    return async () => {
      await closeDatabase()
      await drop()
    }
  }
  const file = await freshFile()
  setDatabase(openDatabase(`file:${file}`))
  return async () => {
    await closeDatabase()
    await rm(join(file, '..'), { recursive: true, force: true })
  }
}
