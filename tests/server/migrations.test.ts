import { mkdtempSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { expect, inject, test } from 'vitest'
import {
  applyMigrations,
  missingSql,
  postgresMigrationsFolder,
  readMigrations,
  readSchema,
  stepsToSchema,
} from '@/lib/server/migrations'
import { freshFile } from '../support/database'

test('migrations build exactly what the schema says', async () => {
  expect(await missingSql()).toBeNull()
})

test('a migrated database is no step away from the schema', async () => {
  expect(await stepsToSchema(await freshFile())).toBe(0)
})

test('a table that no migration builds is found', async () => {
  const more = [...readSchema(), { path: 'more.prisma', content: 'model Extra {\n  id String @id\n}\n' }]
  expect(await missingSql(readMigrations(), more)).toContain('CREATE TABLE "Extra"')
  expect(await stepsToSchema(await freshFile(), more)).toBeGreaterThan(0)
})

test('applying twice does nothing the second time', async () => {
  const file = join(mkdtempSync(join(inject('scratch'), 'twice-')), 'shop.db')
  const names = readMigrations().migrationDirectories.map(one => one.path)
  expect(await applyMigrations(file)).toEqual(names)
  expect(await applyMigrations(file)).toEqual([])
  const live = new Database(file, { readonly: true })
  const noted = live.prepare('SELECT migration_name AS name FROM _prisma_migrations ORDER BY name').all()
  live.close()
  expect(noted).toEqual(names.map(name => ({ name })))
})

test('each migration has its twin for PostgreSQL, from the one on with which that history begins', () => {
  const names = readMigrations().migrationDirectories.map(one => one.path)
  const twins = readMigrations(postgresMigrationsFolder).migrationDirectories.map(one => one.path)
  expect(twins).toEqual(names.slice(names.indexOf(twins[0] ?? '')))
  expect(twins.length).toBeGreaterThan(0)
})
