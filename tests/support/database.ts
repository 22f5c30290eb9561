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

/** The database on a PostgreSQL server that the tests of this process use one after the other, empty between two of them. */
type Lent = { url: string; own: Client; tests: number; drop: () => Promise<void> }
const lent = globalThis as { testDatabase?: Lent }

/** Tests that one database serves: what was deleted takes room, so that it becomes slower in time. */
const MOST_TESTS = 50

/** Lends the process's database, which is made at first use: making one takes a hundred times as long as emptying it. */
async function borrow(server: string): Promise<Lent> {
  if (lent.testDatabase) return lent.testDatabase
  const { url, drop } = await freshOnServer(server)
  const own = new Client({ connectionString: url })
  await own.connect()
  // It ends with the process, and does not keep it: the method is there, its type is not.
  ;(own as Client & { unref: () => void }).unref()
  lent.testDatabase = { url, own, tests: 0, drop }
  return lent.testDatabase
}

/** Makes it as it was; one that cannot be emptied, since somebody still holds a table, is given up, and the test fails. */
async function giveBack(shop: Lent): Promise<void> {
  const { own, drop } = shop
  lent.testDatabase = undefined
  if (++shop.tests < MOST_TESTS) {
    await emptied(own)
    lent.testDatabase = shop
    return
  }
  await own.end()
  await drop()
}

/** Takes every row but those of the migrations' own table away; guards and foreign keys sleep meanwhile. */
export async function emptied(client: Client): Promise<void> {
  const { rows } = await client.query<{ name: string }>(
    `SELECT tablename AS name FROM pg_tables WHERE schemaname = 'public' AND tablename <> '_prisma_migrations' ORDER BY 1`,
  )
  const each = rows.map(({ name }) => `IF EXISTS (SELECT FROM "${name}") THEN DELETE FROM "${name}"; END IF;`)
  await client.query(
    `DO $$ BEGIN SET LOCAL session_replication_role = replica; SET LOCAL lock_timeout = '10s'; ${each.join(' ')} END $$`,
  )
}

/**
 * Gives every test a database without anything in it, which `db()` and `transaction()` then use: `beforeEach(freshDatabase)`. It is a new
 * SQLite file, or the process's own on PostgreSQL where the tests are run there: a test that changes tables or guards takes `freshOnServer`.
 */
export async function freshDatabase(): Promise<() => Promise<void>> {
  const server = inject('postgres')
  if (server) {
    const shop = await borrow(server)
    setDatabase(openDatabase(shop.url))
    return async () => {
      await closeDatabase()
      await giveBack(shop)
    }
  }
  const file = await freshFile()
  setDatabase(openDatabase(`file:${file}`))
  return async () => {
    await closeDatabase()
    await rm(join(file, '..'), { recursive: true, force: true })
  }
}
