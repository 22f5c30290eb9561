// npm run backup | restore | export | import: the shop kept safe. SHIRTWRIGHT_DATA names the data folder, SHIRTWRIGHT_BACKUPS where backups go.
//   backup                    backs up now, checks the backup, and drops what need not be kept
//   backup -- --if-due        only if one is due by the shop's plan (npm start asks again and again)
//   backup -- --check FOLDER  checks one backup
//   restore -- FOLDER         puts a backup in place of the shop, once the shop is stopped
//   export -- FOLDER          writes every table as JSON and CSV, with the files;   import -- FOLDER  makes a shop of it
import { existsSync, mkdtempSync, rmSync } from 'node:fs'
import { basename, join, resolve } from 'node:path'
import Database from 'better-sqlite3'
import { Client } from 'pg'
import {
  backupFolder,
  backupState,
  backupsIn,
  computersChoice,
  rememberBackups,
} from '@/lib/server/backup-folder'
import { type BackupPlan, dueFrom, readPlan } from '@/lib/server/backup-plan'
import { dataFolder } from '@/lib/server/data-folder'
import { isPostgresUrl } from '@/lib/server/database'
import { instantOf } from '@/lib/units/time'
import {
  checkBackup,
  exportShop,
  importShop,
  makeBackup,
  type Place,
  placeOf,
  prune,
  restore,
} from './support/backup'
import { copyOfServer } from './support/carry'

const [task, ...rest] = process.argv.slice(2)
const data = dataFolder()
const shop = placeOf(data)
/** Where the shop lies on a server, what is kept of it is a file all the same: it can be read without that server. */
const server = isPostgresUrl(process.env.DATABASE_URL ?? '') ? process.env.DATABASE_URL : undefined

/** Hands over the place of the shop's file; of a shop on a server, of a copy that is taken now and goes afterwards. */
async function withShop<T>(work: (shop: Place) => T | Promise<T>): Promise<T> {
  if (!server) {
    if (!existsSync(shop.database)) throw new Error(`There is no shop in ${data}.`)
    return work(shop)
  }
  const folder = mkdtempSync(join(data, 'copy-'))
  try {
    const copy = join(folder, 'shop.db')
    await copyOfServer(server, copy)
    return await work({ ...shop, database: copy })
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

/** A file cannot be put in place of a database that other servers may be working with. */
function onlyAsFile(): void {
  if (server)
    throw new Error(
      `The shop lies on a database server: ${task} without DATABASE_URL into a data folder of its own, then move it to an empty database (npm run move-to-postgres).`,
    )
}

/** Number of the lock that keeps two servers from backing up at the same time. */
const BACKUP_LOCK = 0x6b656570

/** Runs `work` while no other server backs the shop up. */
async function inTurn<T>(work: (client: Client | undefined) => Promise<T>): Promise<T> {
  if (!server) return work(undefined)
  const client = new Client({ connectionString: server })
  await client.connect()
  try {
    await client.query('SELECT pg_advisory_lock($1)', [BACKUP_LOCK])
    return await work(client)
  } finally {
    // The lock goes with the connection.
    await client.end()
  }
}

/** What the shop says of its backups; the usual where its database is of a version that says nothing. */
async function shopsPlan(client: Client | undefined): Promise<{ plan: BackupPlan; zone: string }> {
  if (client) {
    const { rows } = await client.query<{ timeZone: string; backups: unknown }>('SELECT * FROM "Shop"')
    if (!rows[0]) throw new Error('There is no shop in the database of DATABASE_URL.')
    return { plan: readPlan(rows[0].backups), zone: rows[0].timeZone }
  }
  const db = new Database(shop.database, { readonly: true, timeout: 10_000 })
  try {
    const row = db.prepare('SELECT * FROM Shop').get() as { timeZone?: string; backups?: string | null }
    return { plan: readPlan(row.backups ? JSON.parse(row.backups) : null), zone: row.timeZone ?? 'UTC' }
  } catch {
    return { plan: readPlan(null), zone: 'UTC' }
  } finally {
    db.close()
  }
}

const given = (what: string): string => {
  const path = rest.find(one => !one.startsWith('--'))
  if (!path) throw new Error(`Say which ${what}: npm run ${task} -- FOLDER`)
  return resolve(path)
}
const total = (counts: Record<string, number>) => Object.values(counts).reduce((a, b) => a + b, 0)

const sentenceOf = (error: unknown) => (error instanceof Error ? error.message : String(error))

/** Restores a backup in a scratch place, compares it, and remembers what came of it. */
async function check(path: string): Promise<string> {
  const remember = (ok: boolean, message: string) =>
    rememberBackups({
      checks: { ...backupState().checks, [basename(path)]: { at: new Date().toISOString(), ok, message } },
    })
  try {
    const { made, tables, files } = await checkBackup(path)
    const message = `The backup of ${made} is whole: ${Object.keys(tables).length} tables and ${files.length} files, as they were.`
    remember(true, message)
    return message
  } catch (error) {
    remember(false, sentenceOf(error))
    throw error
  }
}

const tasks: Record<string, () => Promise<string | undefined>> = {
  backup: async () => {
    if (rest.includes('--check')) return check(given('backup'))
    return inTurn(backUp)
  },
  restore: async () => {
    onlyAsFile()
    const before = await restore(given('backup'), shop, new Date(), line => console.log(line))
    return `The shop is as the backup has it.${before ? ` The one from before is kept as ${before}.` : ''}`
  },
  export: async () => {
    const to = given('folder')
    return `Wrote ${total(await withShop(place => exportShop(place, to)))} rows.`
  },
  import: async () => {
    onlyAsFile()
    return `Made the shop anew: ${total(await importShop(given('folder'), shop))} rows.`
  },
}

async function backUp(client: Client | undefined): Promise<string | undefined> {
  if (!client && !existsSync(shop.database)) throw new Error(`There is no shop in ${data}.`)
  const { plan, zone } = await shopsPlan(client)
  const folder = backupFolder(plan)
  const now = new Date()
  const next = () => {
    if (computersChoice() === 'none') return null
    const last = backupsIn(folder)[0]?.made
    return dueFrom(plan, last ? instantOf(last) : null, instantOf(now), zone)
  }
  const remember = (ok: boolean, message: string) => {
    const due = next()
    const nextDue = due === null ? null : new Date(due).toISOString()
    rememberBackups({ nextDue, ...(message && { last: { at: now.toISOString(), ok, message } }) })
  }
  const due = next()
  if (rest.includes('--if-due') && (due === null || due > now.getTime())) {
    remember(true, '')
    return
  }
  try {
    const made = await withShop(place => makeBackup(place, folder, now))
    const gone = prune(folder, plan.keep, zone)
    const message = `Backed up to ${made}, and checked.${gone ? ` ${gone} old ones went.` : ''}`
    remember(true, message)
    return message
  } catch (error) {
    remember(false, sentenceOf(error))
    throw error
  }
}

try {
  const work = tasks[task ?? '']
  if (!work) throw new Error('Say one of: backup, restore, export, import.')
  const said = await work()
  if (said) console.log(said)
} catch (error) {
  console.error(sentenceOf(error))
  process.exitCode = 1
}
