import { existsSync } from 'node:fs'
import { copyFile, mkdtemp, rename, rm } from 'node:fs/promises'
import { join } from 'node:path'
import { inject } from 'vitest'
import { closeDatabase, openDatabase, setDatabase } from '@/lib/server/database'
import { applyMigrations } from '@/lib/server/migrations'

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
 * Gives every test a database of its own, which `db()` and `transaction()` then use:
 * `beforeEach(freshDatabase)`.
 */
export async function freshDatabase(): Promise<() => Promise<void>> {
  const file = await freshFile()
  setDatabase(openDatabase(`file:${file}`))
  return async () => {
    await closeDatabase()
    await rm(join(file, '..'), { recursive: true, force: true })
  }
}
