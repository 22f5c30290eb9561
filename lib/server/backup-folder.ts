import 'server-only'
import { existsSync, readdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { z } from 'zod'
import type { BackupPlan } from './backup-plan'
import { dataFolder } from './data-folder'

/** What a backup says of itself. */
export const manifestSchema = z.object({
  made: z.iso.datetime(),
  /** Rows and checksum of every table. */
  tables: z.record(z.string(), z.object({ rows: z.int().min(0), sha256: z.string().length(64) })),
  database: z.object({ bytes: z.int(), sha256: z.string().length(64) }),
  /** Kept files by their content's checksum, which is their name. */
  files: z.array(z.string().regex(/^[0-9a-f]{64}$/)),
})
export type Manifest = z.output<typeof manifestSchema>

/** The file of a backup in which it says what it holds. */
export const MANIFEST = 'manifest.json'

/** What the computer's own settings say over the shop's plan: a folder, no schedule, or nothing. */
export function computersChoice(): { folder: string } | 'none' | null {
  const said = process.env.SHIRTWRIGHT_BACKUPS
  if (!said) return null
  return said === 'none' ? 'none' : { folder: resolve(/* turbopackIgnore: true */ said) }
}

/** Where backups go: where the computer says, else where the shop says, else beside the database. */
export function backupFolder(plan: BackupPlan): string {
  const computer = computersChoice()
  if (computer && computer !== 'none') return computer.folder
  return plan.folder ?? join(dataFolder(), 'backups')
}

/** What lies in a folder; nothing where there is none, or none that may be read. */
function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder)
  } catch {
    return []
  }
}

/** Backups of a folder, the latest first. What has no manifest is none. */
export function backupsIn(folder: string): { path: string; name: string; made: Date }[] {
  return namesIn(folder)
    .filter(name => /^\d{4}-\d{2}-\d{2}T[\d-]+Z$/.test(name) && existsSync(join(folder, name, MANIFEST)))
    .map(name => ({
      path: join(folder, name),
      name,
      made: new Date(name.replace(/T(\d{2})-(\d{2})-(\d{2})-(\d{3})Z$/, 'T$1:$2:$3.$4Z')),
    }))
    .filter(one => Number.isFinite(one.made.getTime()))
    .sort((a, b) => b.made.getTime() - a.made.getTime())
}

/** How a try ended, in one sentence. */
const outcomeSchema = z.object({ at: z.iso.datetime(), ok: z.boolean(), message: z.string() })
export type Outcome = z.output<typeof outcomeSchema>

/** What is remembered of backups beside the shop's database, so that it is there when the database is not. */
const stateSchema = z.object({
  /** The last try to make one. */
  last: outcomeSchema.nullable(),
  /** From when on the next is due: whoever looks earlier need not ask. Null: none by itself. */
  nextDue: z.iso.datetime().nullable(),
  /** The last look at a backup, by its name. */
  checks: z.record(z.string(), outcomeSchema),
})
type BackupState = z.output<typeof stateSchema>

const stateFile = () => join(dataFolder(), 'backup-state.json')

/** What is remembered of backups between two of them. Never throws: where the file is missing or damaged, nothing is remembered. */
export function backupState(): BackupState {
  try {
    return stateSchema.parse(JSON.parse(readFileSync(stateFile(), 'utf8')))
  } catch {
    // Not there yet, or damaged: it is only remembered, and made anew.
    return { last: null, nextDue: null, checks: {} }
  }
}

/** Remembers; never half written. */
export function rememberBackups(change: Partial<BackupState>): void {
  const work = `${stateFile()}.part`
  writeFileSync(work, JSON.stringify({ ...backupState(), ...change }, null, 1), { mode: 0o600 })
  renameSync(work, stateFile())
}
