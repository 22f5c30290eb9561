// Makes the database of a shop ready; start.mjs runs it. Each line printed is a step for the person who waits.
//   own        a new shop, as described in JSON on standard input      demo    the demo shop, drawn afresh
//   upgrade    brings the shop's database to this version
import { existsSync, mkdirSync, mkdtempSync, renameSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { text } from 'node:stream/consumers'
import { dataFolder } from '@/lib/server/data-folder'
import {
  closeDatabase,
  db,
  isPostgresUrl,
  openDatabase,
  setDatabase,
  transaction,
} from '@/lib/server/database'
import { applyMigrations } from '@/lib/server/migrations'
import { type NewShop, writeNewShop } from '@/lib/server/new-shop'
import { instant } from '@/lib/units/time'
import { startShop } from '../prisma/seed/starter'
import { makeBackup } from './support/backup'
import { copyOfServer } from './support/carry'
import { upgradeFile } from './support/upgrade'

const say = (step: string) => console.log(step)

/** Where the shop's own database lies, if that is on a server. */
const server = isPostgresUrl(process.env.DATABASE_URL ?? '') ? process.env.DATABASE_URL : undefined

/** Makes a database under another name, so that a half-made one is never opened. */
async function make(file: string, fill: () => Promise<void>): Promise<void> {
  const work = `${file}.new`
  mkdirSync(dataFolder(), { recursive: true, mode: 0o700 })
  for (const rest of [work, `${work}-wal`, `${work}-shm`]) rmSync(rest, { force: true })
  say('Laying out the tables')
  await applyMigrations(work)
  setDatabase(openDatabase(`file:${work}`))
  try {
    await fill()
  } finally {
    await closeDatabase()
  }
  for (const rest of [file, `${file}-wal`, `${file}-shm`]) rmSync(rest, { force: true })
  renameSync(work, file)
}

/** Makes a shop on a server: all of it in one transaction, so that another server never opens a half-made one. */
async function makeOnServer(url: string, fill: () => Promise<void>): Promise<void> {
  mkdirSync(dataFolder(), { recursive: true, mode: 0o700 })
  say('Laying out the tables')
  await applyMigrations(url)
  setDatabase(openDatabase(url))
  try {
    await transaction(async () => {
      if (await db().shop.count()) throw new Error('There is a shop already: start this server again.')
      await fill()
    }, 120)
  } finally {
    await closeDatabase()
  }
}

async function own(): Promise<void> {
  const shop = JSON.parse(await text(process.stdin)) as NewShop
  const fill = async () => {
    say('Opening the shop')
    const owner = await writeNewShop(shop)
    if (!owner.ok) throw new Error(owner.message)
    say('Laying out stations and shelves')
    await startShop(shop.currency, owner.value, instant(Date.now()))
  }
  if (server) return makeOnServer(server, fill)
  const file = join(dataFolder(), 'shop.db')
  if (existsSync(file)) throw new Error(`There is a shop already in ${file}.`)
  await make(file, fill)
}

async function demo(): Promise<void> {
  process.env.SHIRTWRIGHT_DEMO = '1'
  const { seedDemo } = await import('../prisma/seed/demo')
  rmSync(join(dataFolder(), 'demo-files'), { recursive: true, force: true })
  await make(join(dataFolder(), 'demo.db'), () => seedDemo({ now: Date.now(), say }))
}

/** Backs a shop on a server up, and brings it to this version. Its artwork stays where it is, and is no part of this backup. */
async function upgradeServer(url: string): Promise<void> {
  const before = join(dataFolder(), 'before-upgrade')
  mkdirSync(before, { recursive: true, mode: 0o700 })
  const scratch = mkdtempSync(join(before, '.copy-'))
  try {
    const database = join(scratch, 'shop.db')
    await copyOfServer(url, database)
    const kept = await makeBackup({ database, files: join(scratch, 'none') }, before, new Date())
    say(`Kept the database from before as ${kept}`)
  } finally {
    rmSync(scratch, { recursive: true, force: true })
  }
  const applied = await applyMigrations(url)
  say(`Brought to this version: ${applied.join(', ')}`)
}

const tasks: Record<string, () => Promise<void>> = {
  own,
  demo,
  upgrade: async () => {
    say("Bringing the shop's database to this version")
    try {
      if (server) await upgradeServer(server)
      else await upgradeFile(join(dataFolder(), 'shop.db'), say)
    } catch (error) {
      throw new Error(
        `The shop could not be brought to this version: ${error instanceof Error ? error.message : error} Nothing was changed: the version before works on.`,
      )
    }
  },
}
const task = tasks[process.argv[2] ?? '']
try {
  if (!task) throw new Error('Say one of: own, demo, upgrade.')
  await task()
} catch (error) {
  console.error(error instanceof Error ? error.message : error)
  process.exitCode = 1
}
