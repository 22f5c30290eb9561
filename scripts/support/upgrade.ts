import { copyFileSync, existsSync, mkdirSync, renameSync, rmSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import Database from 'better-sqlite3'
import { applyMigrations, readMigrations } from '@/lib/server/migrations'

/**
 * Applies what is missing to a copy, and puts the copy in place only when all went well: a failure leaves the
 * old file as it was. The file from before is kept beside it.
 * @param keep false where it is a copy already, of which nobody needs another
 */
export async function upgradeFile(
  file: string,
  say: (line: string) => void,
  migrations = readMigrations(),
  keep = true,
): Promise<void> {
  mkdirSync(dirname(file), { recursive: true })
  const work = `${file}.next`
  for (const rest of [work, `${work}-wal`, `${work}-shm`, `${work}-journal`]) rmSync(rest, { force: true })
  const existed = existsSync(file)
  if (existed) {
    settle(file)
    copyFileSync(file, work)
  }
  let applied: string[]
  try {
    applied = await applyMigrations(work, migrations)
    const made = new Database(work)
    const broken = made.pragma('foreign_key_check') as unknown[]
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
  if (existed && keep) {
    const kept = join(dirname(file), 'before-upgrade', `${stamp()}-${basename(file)}`)
    mkdirSync(dirname(kept), { recursive: true })
    copyFileSync(file, kept)
    say(`Kept the database from before as ${kept}`)
  }
  renameSync(work, file)
  say(
    `Brought to this version in ${applied.length === 1 ? 'one step' : `${applied.length} steps`}: ${applied.join(', ')}`,
  )
}

/** Brings everything into the one file. SQLite refuses while another program has it open, whose writes would be lost. */
export function settle(file: string): void {
  const live = new Database(file, { timeout: 500 })
  try {
    live.pragma('journal_mode = DELETE')
  } catch {
    throw new Error(`${file} is open in another program: stop that first.`)
  } finally {
    live.close()
  }
}

const stamp = () => new Date().toISOString().replace(/[:.]/g, '-')
