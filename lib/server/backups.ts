import 'server-only'
import { randomUUID } from 'node:crypto'
import { mkdir, readFile, rm, stat, statfs, writeFile } from 'node:fs/promises'
import { dirname, isAbsolute, join, relative } from 'node:path'
import { ok, type Result, refuse } from '@/lib/units/result'
import { type Instant, instant, instantOf } from '@/lib/units/time'
import {
  backupFolder,
  backupState,
  backupsIn,
  computersChoice,
  MANIFEST,
  manifestSchema,
  type Outcome,
} from './backup-folder'
import { type BackupPlan, dueFrom, keptAs, readPlan, type Stays } from './backup-plan'
import { dataFolder } from './data-folder'
import { db, type Prisma, transaction } from './database'
import { type Actor, record } from './history'
import { askToKeep } from './supervisor'

/** One backup in the folder. */
export type KeptBackup = {
  name: string
  path: string
  made: Instant
  /** Size of the database, bytes, and how many files go with it; null where the backup does not say any more. */
  bytes: number | null
  files: number | null
  /** For what it stays; empty where it goes with the next one. */
  stays: Stays[]
  /** The last look at it after it was made, when it was checked for the first time. */
  check: Outcome | null
}

/** The shop's backups as the office shows them. */
export type Backups = {
  plan: BackupPlan
  zone: string
  folder: string
  /** What the computer's own settings say before the plan. */
  computer: 'folder' | 'none' | null
  last: Outcome | null
  /** When the next is due; null where none is made by itself. */
  next: Instant | null
  /** Whether the folder lies on the disk that holds the shop itself; null where that is not known. */
  sameDisk: boolean | null
  /** What is free where the backups lie, bytes; null where that is not known. */
  free: number | null
  list: KeptBackup[]
}

async function shopsPlan(): Promise<{ plan: BackupPlan; zone: string }> {
  const row = await db().shop.findUniqueOrThrow({
    where: { id: 1 },
    select: { backups: true, timeZone: true },
  })
  return { plan: readPlan(row.backups), zone: row.timeZone }
}

/** Everything that there is to see of the backups. */
export async function backups(now: Instant): Promise<Backups> {
  const { plan, zone } = await shopsPlan()
  const folder = backupFolder(plan)
  const state = backupState()
  const found = backupsIn(folder)
  const stays = keptAs(
    found.map(one => one.made),
    plan.keep,
    zone,
  )
  const list = await Promise.all(
    found.map(async one => {
      const manifest = await readFile(join(one.path, MANIFEST), 'utf8')
        .then(text => manifestSchema.parse(JSON.parse(text)))
        .catch(() => null)
      return {
        name: one.name,
        path: one.path,
        made: instantOf(one.made),
        bytes: manifest?.database.bytes ?? null,
        files: manifest?.files.length ?? null,
        stays: [...(stays.get(one.made) ?? [])],
        check: state.checks[one.name] ?? null,
      }
    }),
  )
  const computer = computersChoice()
  const newest = found[0] ? instantOf(found[0].made) : null
  const [disk, shops] = await Promise.all([diskOf(folder), diskOf(dataFolder())])
  return {
    plan,
    zone,
    folder,
    computer: computer === null || computer === 'none' ? computer : 'folder',
    last: state.last,
    next: computer === 'none' ? null : laterOf(dueFrom(plan, newest, now, zone), now),
    sameDisk: disk && shops ? disk.dev === shops.dev : null,
    free: disk?.free ?? null,
    list,
  }
}

/** What was due before is due now. */
const laterOf = (due: Instant | null, now: Instant): Instant | null =>
  due === null ? null : instant(Math.max(due, now))

/** The disk under a folder, or under the nearest folder above it that is there. */
export async function diskOf(folder: string): Promise<{ dev: number; free: number } | null> {
  for (let at = folder; ; at = dirname(at)) {
    try {
      const [{ dev }, { bavail, bsize }] = await Promise.all([stat(at), statfs(at)])
      return { dev, free: bavail * bsize }
    } catch {
      if (dirname(at) === at) return null
    }
  }
}

/**
 * Changes when and where the shop is backed up. A folder is tried first: a file is written there and taken away again.
 * @param basedOn the plan that the person had before them, as text
 */
export async function changeBackupPlan(
  plan: BackupPlan,
  basedOn: string,
  by: Actor,
): Promise<Result<BackupPlan>> {
  const fits = plan.folder === null ? ok(null) : await folderFits(plan.folder)
  if (!fits.ok) return fits
  return transaction(async tx => {
    const { plan: before } = await shopsPlan()
    if (JSON.stringify(before) !== basedOn)
      return refuse(
        'changed',
        'Somebody has changed the plan of the backups while you had it open: load the page again to see theirs.',
      )
    if (JSON.stringify(before) === JSON.stringify(plan)) return ok(plan)
    await tx.shop.update({ where: { id: 1 }, data: { backups: plan as Prisma.InputJsonValue } })
    await record({
      by,
      what: 'changed when and where the shop is backed up',
      entity: 'shop',
      ref: 'backups',
      before: before as Prisma.InputJsonValue,
      after: plan as Prisma.InputJsonValue,
    })
    return ok(plan)
  })
}

/** Makes a folder and those above it, one by one: Node's own way never comes back from some places (/proc). */
async function makeFolder(folder: string): Promise<void> {
  if (await stat(folder).catch(() => null)) return
  if (dirname(folder) !== folder) await makeFolder(dirname(folder))
  await mkdir(folder, { mode: 0o700 })
}

/** Whether backups can lie in a folder. */
async function folderFits(folder: string): Promise<Result<null>> {
  const no = (message: string) => refuse('folder', message, 'folder')
  if (!isAbsolute(folder) || folder.includes('\0'))
    return no(`“${folder}” is not a whole path: type it from the top, as in /mnt/backups/shop.`)
  const inside = relative(join(dataFolder(), 'files'), folder)
  if (inside === '' || !(inside.startsWith('..') || isAbsolute(inside)))
    return no('This folder holds the artwork that is to be backed up: choose another.')
  const probe = join(folder, `.try-${randomUUID()}`)
  try {
    await makeFolder(folder)
    await writeFile(probe, 'a try')
    await rm(probe)
    return ok(null)
  } catch {
    return no(`Nothing can be written to ${folder}: is the disk there, and may Shirtwright write to it?`)
  }
}

/** Backs the shop up now. @returns one sentence about what was made, or about what went wrong */
export const backUpNow = (): Promise<Result<string>> => askToKeep(['backup'])

/** Lets it be looked whether one is due: after the plan was changed. */
export const backUpIfDue = (): Promise<Result<string>> => askToKeep(['backup', '--if-due'])

/** Restores one backup of the folder in a scratch place and compares it. Nothing of the shop is touched. */
export async function checkOne(name: string): Promise<Result<string>> {
  const { plan } = await shopsPlan()
  const one = backupsIn(backupFolder(plan)).find(b => b.name === name)
  if (!one) return refuse('gone', 'This backup is not there any more: load the page again.')
  return askToKeep(['backup', '--check', one.path])
}
