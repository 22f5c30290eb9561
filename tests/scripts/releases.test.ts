import { existsSync, mkdtempSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { afterEach, describe, expect, inject, test } from 'vitest'
import { proveBooks } from '@/lib/books/proof/store'
import { backupsIn } from '@/lib/server/backup-folder'
import { closeDatabase, db, openDatabase, setDatabase } from '@/lib/server/database'
import { readGuards, readMigrations, stepsToSchema } from '@/lib/server/migrations'
import { checkBackup, exportShop, importShop, placeOf, restore, tablesOf } from '../../scripts/support/backup'
import { ageOf } from '../../scripts/support/shop-file.mjs'
import { upgradeFile } from '../../scripts/support/upgrade'
import { releasedBackup, releases } from '../support/releases'

const scratch = (name: string) => mkdtempSync(join(inject('scratch'), `${name}-`))
const NOW = new Date('2027-03-02T10:00:00Z')
const quiet = () => {}
afterEach(closeDatabase)

/** Rows of every table but those in which the versions differ. */
function rows(file: string): Record<string, number> {
  const live = new Database(file, { readonly: true })
  try {
    return Object.fromEntries(
      Object.entries(tablesOf(live))
        .filter(([name]) => name !== '_prisma_migrations')
        .map(([name, table]) => [name, table.rows]),
    )
  } finally {
    live.close()
  }
}

/** A shop of this version in all: tables, guards, rows that fit together, books that follow, and code that reads it. */
async function expectWhole(file: string): Promise<void> {
  expect(ageOf(file)).toBe('current')
  const live = new Database(file)
  expect(live.pragma('integrity_check', { simple: true })).toBe('ok')
  expect(live.pragma('foreign_key_check')).toEqual([])
  const triggers = live
    .prepare("SELECT name FROM sqlite_master WHERE type = 'trigger' ORDER BY name")
    .pluck()
    .all()
  live.close()
  expect(triggers).toEqual(
    readGuards()
      .map(guard => guard.name)
      .sort(),
  )
  expect(await stepsToSchema(file)).toBe(0)
  setDatabase(openDatabase(`file:${file}`))
  const proofs = await proveBooks(NOW)
  expect(proofs.flatMap(proof => proof.faults)).toEqual([])
  expect(await db().order.count()).toBeGreaterThan(50)
  await closeDatabase()
}

test('every release that the changelog names has its shop kept here', () => {
  const named = [...readFileSync('CHANGELOG.md', 'utf8').matchAll(/^## (\d+\.\d+\.\d+)/gm)].map(m => m[1])
  expect(named.length).toBeGreaterThan(0)
  expect([...releases].sort()).toEqual(named.sort())
})

describe.each(releases)('a shop of version %s', version => {
  test('is of migrations that still read as they did then', async () => {
    const { backup, manifest } = releasedBackup(version)
    expect(await checkBackup(backup)).toEqual(manifest)
    expect(['older', 'current']).toContain(ageOf(join(backup, 'shop.db')))
  })

  test('is brought to this version with all its rows, and kept beside as it was', async () => {
    const { backup, manifest } = releasedBackup(version)
    const file = join(backup, 'shop.db')
    const before = rows(file)
    expect(before).toEqual(
      Object.fromEntries(
        Object.entries(manifest.tables)
          .filter(([name]) => name !== '_prisma_migrations')
          .map(([name, table]) => [name, table.rows]),
      ),
    )
    const upgraded = ageOf(file) === 'older'
    await upgradeFile(file, quiet)
    expect(rows(file)).toMatchObject(before)
    expect(existsSync(join(backup, 'before-upgrade'))).toBe(upgraded)
    await expectWhole(file)
  })

  test('stays as it was when the upgrade fails at its last step', async () => {
    const { backup } = releasedBackup(version)
    const file = join(backup, 'shop.db')
    const age = ageOf(file)
    const list = readMigrations()
    list.migrationDirectories.push({
      path: '9999_bad',
      migrationFile: { path: 'migration.sql', content: { tag: 'ok', value: 'DROP TABLE "Nowhere";' } },
    })
    const bytes = readFileSync(file)
    await expect(upgradeFile(file, quiet, list)).rejects.toThrow(/Nowhere/)
    expect(readFileSync(file).equals(bytes)).toBe(true)
    expect(ageOf(file)).toBe(age)
  })

  test('is restored from its backup, with its files', async () => {
    const { backup, manifest } = releasedBackup(version)
    const place = placeOf(scratch('restored'))
    expect(backupsIn(join(backup, '..'))).toMatchObject([{ path: backup, made: new Date(manifest.made) }])
    await restore(backup, place, NOW, quiet)
    for (const name of manifest.files)
      expect(existsSync(join(place.files, 'kept', name.slice(0, 2), name))).toBe(true)
    await expectWhole(place.database)
  })

  test('is imported from its export', async () => {
    const { backup } = releasedBackup(version)
    const file = join(backup, 'shop.db')
    const to = join(scratch('export'), 'shop')
    exportShop({ database: file, files: join(backup, 'no-files') }, to)
    const place = placeOf(scratch('imported'))
    await importShop(to, place)
    expect(rows(place.database)).toMatchObject(rows(file))
    await expectWhole(place.database)
  })
})
