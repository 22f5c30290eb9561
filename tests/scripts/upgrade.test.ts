import { existsSync, mkdtempSync, readdirSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import Database from 'better-sqlite3'
import { beforeEach, expect, inject, test } from 'vitest'
import { applyMigrations, readMigrations } from '@/lib/server/migrations'
import { ageOf } from '../../scripts/support/shop-file.mjs'
import { upgradeFile } from '../../scripts/support/upgrade'
import { freshFile } from '../support/database'

const quiet = () => {}

/** The project's migrations and one more. */
function withNext(sql: string) {
  const list = readMigrations()
  list.migrationDirectories.push({
    path: '9999_next',
    migrationFile: { path: 'migration.sql', content: { tag: 'ok', value: sql } },
  })
  return list
}

let file: string
beforeEach(async () => {
  file = await freshFile()
  const live = new Database(file)
  live.prepare("INSERT INTO Counter (name, next) VALUES ('order', 7)").run()
  live.close()
})

/** One value of the database. */
function read(path: string, sql: string): unknown {
  const live = new Database(path, { readonly: true })
  try {
    return live.prepare(sql).pluck().get()
  } finally {
    live.close()
  }
}

const kept = () => {
  const folder = join(dirname(file), 'before-upgrade')
  return existsSync(folder) ? readdirSync(folder).map(name => join(folder, name)) : []
}

test('an upgrade keeps the rows, and the file from before beside it', async () => {
  await upgradeFile(file, quiet, withNext('ALTER TABLE "Counter" ADD COLUMN "note" TEXT;'))
  expect(read(file, "SELECT next FROM Counter WHERE name = 'order' AND note IS NULL")).toBe(7)
  expect(kept()).toHaveLength(1)
  expect(() => read(kept()[0] as string, 'SELECT note FROM Counter')).toThrow(/no such column/)
})

test('an upgrade that fails half way leaves the old file as it was', async () => {
  const bad = withNext('ALTER TABLE "Counter" ADD COLUMN "note" TEXT; INSERT INTO "Nowhere" VALUES (1);')
  await expect(upgradeFile(file, quiet, bad)).rejects.toThrow(/Nowhere/)
  expect(read(file, "SELECT next FROM Counter WHERE name = 'order'")).toBe(7)
  expect(() => read(file, 'SELECT note FROM Counter')).toThrow(/no such column/)
  expect(ageOf(file)).toBe('current')
  expect(readdirSync(dirname(file)).filter(name => name.includes('.next'))).toEqual([])
})

test('an upgrade after which a row would point to nothing is refused', async () => {
  const bad = withNext(
    `PRAGMA foreign_keys=OFF; INSERT INTO "Account" ("id", "accountId", "providerId", "userId", "updatedAt")
     VALUES ('a', 'a', 'credential', 'nobody', '2026-01-01');`,
  )
  await expect(upgradeFile(file, quiet, bad)).rejects.toThrow('1 rows would point to nothing')
  expect(read(file, 'SELECT count(*) FROM Account')).toBe(0)
})

test('a database that is open in another program is not touched', async () => {
  const other = new Database(file)
  other.pragma('journal_mode = WAL')
  other.prepare('SELECT 1 FROM Counter').get()
  const next = withNext('ALTER TABLE "Counter" ADD COLUMN "note" TEXT;')
  await expect(upgradeFile(file, quiet, next)).rejects.toThrow('is open in another program')
  other.close()
  expect(kept()).toEqual([])
})

test('a database that is up to date stays as it is', async () => {
  await upgradeFile(file, quiet)
  expect(kept()).toEqual([])
})

test('the age of a file is told without Prisma', async () => {
  expect(ageOf(file)).toBe('current')
  expect(ageOf(join(dirname(file), 'no-such.db'))).toBe('none')

  const scratch = mkdtempSync(join(inject('scratch'), 'age-'))
  const text = join(scratch, 'text.db')
  writeFileSync(text, 'this is no database')
  expect(ageOf(text)).toBe('broken')

  const newer = join(scratch, 'newer.db')
  await applyMigrations(newer, withNext('ALTER TABLE "Counter" ADD COLUMN "note" TEXT;'))
  expect(ageOf(newer)).toBe('newer')

  const changed = new Database(file)
  changed.prepare("UPDATE _prisma_migrations SET checksum = 'other'").run()
  changed.close()
  expect(ageOf(file)).toBe('changed')

  const older = new Database(file)
  older.prepare('DELETE FROM _prisma_migrations').run()
  older.close()
  expect(ageOf(file)).toBe('older')
})
