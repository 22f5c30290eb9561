import { createHash } from 'node:crypto'
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { beforeAll, beforeEach, describe, expect, inject, test } from 'vitest'
import { backupsIn } from '@/lib/server/backup-folder'
import { keptAs, USUAL_PLAN } from '@/lib/server/backup-plan'
import { closeDatabase, db, openDatabase, setDatabase } from '@/lib/server/database'
import { writeNewShop } from '@/lib/server/new-shop'
import { instant } from '@/lib/units/time'
import { startShop } from '../../prisma/seed/starter'
import {
  checkBackup,
  exportShop,
  importShop,
  makeBackup,
  type Place,
  placeOf,
  prune,
  restore,
  tablesOf,
} from '../../scripts/support/backup'
import { freshFile } from '../support/database'

const NOW = new Date('2026-03-02T10:00:00Z')
const quiet = () => {}
let shop: Place
let folder: string

const scratch = (name: string) => mkdtempSync(join(inject('scratch'), `${name}-`))
const digest = (file: string) => {
  const live = new Database(file, { readonly: true })
  try {
    return tablesOf(live)
  } finally {
    live.close()
  }
}
const keep = (files: string, content: string) => {
  const sha256 = createHash('sha256').update(content).digest('hex')
  mkdirSync(join(files, 'kept', sha256.slice(0, 2)), { recursive: true })
  writeFileSync(join(files, 'kept', sha256.slice(0, 2), sha256), content)
  return sha256
}

let template: string

/** A shop with stations, shelves and two kept files. */
beforeAll(async () => {
  template = await freshFile()
  setDatabase(openDatabase(`file:${template}`))
  const owner = await writeNewShop({
    name: 'Quay Street Prints',
    currency: 'EUR',
    timeZone: 'Europe/Lisbon',
    measures: 'metric',
    owner: 'Ana',
    password: 'four quiet presses',
  })
  if (!owner.ok) throw new Error(owner.message)
  await startShop('EUR', owner.value, instant(NOW.getTime()))
  await closeDatabase()
}, 60_000)

/** A copy of it, open, as while people work. */
beforeEach(() => {
  const place = scratch('shop')
  shop = { database: join(place, 'shop.db'), files: join(place, 'files') }
  copyFileSync(template, shop.database)
  folder = scratch('backups')
  setDatabase(openDatabase(`file:${shop.database}`))
  keep(shop.files, 'a picture')
  keep(shop.files, 'another picture')
  return closeDatabase
})

describe('a backup', () => {
  test('of a working shop is brought back with the very same rows in every table, and every file', async () => {
    const made = await makeBackup(shop, folder, NOW)
    await closeDatabase()
    const elsewhere = placeOf(scratch('elsewhere'))
    expect(await restore(made, elsewhere, NOW, quiet)).toBeNull()
    const tables = digest(shop.database)
    expect(tables.Station?.rows).toBeGreaterThan(3)
    expect(digest(elsewhere.database)).toEqual(tables)
    const names = (place: Place) => readdirSync(join(place.files, 'kept'), { recursive: true }).sort()
    expect(names(elsewhere)).toEqual(names(shop))
    expect((await checkBackup(made)).tables).toEqual(tables)
  })

  test('holds what was there when it was made, and nothing of what came later', async () => {
    const made = await makeBackup(shop, folder, NOW)
    await db().customer.create({ data: { name: 'Came later' } })
    await closeDatabase()
    expect(digest(shop.database).Customer?.rows).toBe(1)
    const before = await restore(made, shop, NOW, quiet)
    expect(digest(shop.database).Customer?.rows).toBe(0)
    expect(digest(before as string).Customer?.rows).toBe(1)
  })

  test('is not put over a shop that is open', async () => {
    const made = await makeBackup(shop, folder, NOW)
    await db().customer.count()
    await expect(restore(made, shop, NOW, quiet)).rejects.toThrow('stop it first')
    expect(await db().shop.count()).toBe(1)
  })

  const damage: [string, string, (made: string, folder: string) => void][] = [
    ['its folder', 'there is no such folder', made => rmSync(made, { recursive: true })],
    ['the manifest', 'its manifest is missing or damaged', made => rmSync(join(made, 'manifest.json'))],
    ['the database', 'its database is missing', made => rmSync(join(made, 'shop.db'))],
    [
      'a byte of the database',
      'its database is damaged',
      made => {
        const bytes = readFileSync(join(made, 'shop.db'))
        bytes[bytes.length - 5000] = (bytes[bytes.length - 5000] ?? 0) ^ 1
        writeFileSync(join(made, 'shop.db'), bytes)
      },
    ],
    [
      'a file',
      'is missing',
      (_, all) => {
        const [two = ''] = readdirSync(join(all, 'files'))
        rmSync(join(all, 'files', two), { recursive: true })
      },
    ],
    [
      'the content of a file',
      'is damaged',
      (_, all) => {
        const [two = ''] = readdirSync(join(all, 'files'))
        const [name = ''] = readdirSync(join(all, 'files', two))
        writeFileSync(join(all, 'files', two, name), 'something else')
      },
    ],
    [
      'a row, with a checksum of the file that fits again',
      'the table Shop is not as it was',
      made => {
        const file = join(made, 'shop.db')
        const live = new Database(file)
        live.exec("UPDATE Shop SET name = 'Another'")
        live.close()
        const manifest = JSON.parse(readFileSync(join(made, 'manifest.json'), 'utf8'))
        manifest.database.sha256 = createHash('sha256').update(readFileSync(file)).digest('hex')
        writeFileSync(join(made, 'manifest.json'), JSON.stringify(manifest))
      },
    ],
  ]
  test.each(damage)('that lacks %s is refused before anything is touched', async (_, words, break_) => {
    const made = await makeBackup(shop, folder, NOW)
    await db().customer.create({ data: { name: 'Came later' } })
    await closeDatabase()
    const before = digest(shop.database)
    break_(made, folder)
    await expect(restore(made, shop, NOW, quiet)).rejects.toThrow(words)
    expect(digest(shop.database)).toEqual(before)
    expect(existsSync(`${shop.database}.restored`)).toBe(false)
  })

  test('that could not be finished leaves nothing behind', async () => {
    const file = join(shop.files, 'kept', 'zz')
    // A folder where a file should lie cannot be copied.
    mkdirSync(join(file, 'f'.repeat(64)), { recursive: true })
    await expect(makeBackup(shop, folder, NOW)).rejects.toThrow()
    expect(backupsIn(folder)).toEqual([])
    expect(readdirSync(folder).filter(name => name.startsWith('.'))).toEqual([])
  })

  test('old ones go, with the files that nobody needs any more', async () => {
    const lost = keep(shop.files, 'of the first days alone')
    await makeBackup(shop, folder, new Date('2026-01-05T10:00:00Z'))
    await makeBackup(shop, folder, new Date('2026-01-05T11:00:00Z'))
    rmSync(join(shop.files, 'kept', lost.slice(0, 2), lost))
    await makeBackup(shop, folder, new Date('2026-03-02T10:00:00Z'))
    expect(prune(folder, { days: 1, weeks: 1, months: 1 }, 'UTC')).toBe(2)
    const [last, ...others] = backupsIn(folder)
    expect(others).toEqual([])
    expect(last?.made.toISOString()).toBe('2026-03-02T10:00:00.000Z')
    expect(existsSync(join(folder, 'files', lost.slice(0, 2), lost))).toBe(false)
    await checkBackup(last?.path ?? '')
  })
})

test('of a backup a day for two years, the last seven days, five weeks and twelve months stay', () => {
  const days = Array.from({ length: 730 }, (_, i) => new Date(Date.UTC(2025, 0, 1 + i, 22)))
  const stay = [...keptAs(days, USUAL_PLAN.keep, 'UTC').keys()].map(d => d.toISOString().slice(0, 10)).sort()
  // Last day of each month, Sunday of each week, each of the last days; reckoned by hand for the end of 2026.
  expect(stay).toEqual([
    '2026-01-31',
    '2026-02-28',
    '2026-03-31',
    '2026-04-30',
    '2026-05-31',
    '2026-06-30',
    '2026-07-31',
    '2026-08-31',
    '2026-09-30',
    '2026-10-31',
    '2026-11-30',
    '2026-12-06',
    '2026-12-13',
    '2026-12-20',
    '2026-12-25',
    '2026-12-26',
    '2026-12-27',
    '2026-12-28',
    '2026-12-29',
    '2026-12-30',
    '2026-12-31',
  ])
})

describe('the shop as plain tables', () => {
  test('makes the same shop in an empty place', async () => {
    await db().customer.create({ data: { name: '=HYPERLINK("x")', note: 'line\n"quoted", ünï' } })
    await closeDatabase()
    const to = join(scratch('export'), 'shop')
    const counts = exportShop(shop, to)
    expect(counts.Customer).toBe(1)
    const csv = readFileSync(join(to, 'Customer.csv'), 'utf8')
    expect(csv).toContain(`"'=HYPERLINK(""x"")"`)
    const elsewhere = placeOf(scratch('imported'))
    expect(await importShop(to, elsewhere)).toEqual(counts)
    expect(digest(elsewhere.database)).toEqual(digest(shop.database))
    // The guards are there again.
    const live = new Database(elsewhere.database)
    const triggers = live.prepare("SELECT count(*) FROM sqlite_master WHERE type = 'trigger'").pluck().get()
    live.close()
    expect(triggers).toBeGreaterThan(0)
  })

  test('is not laid over a shop, and not half of it is', async () => {
    const to = join(scratch('export'), 'shop')
    exportShop(shop, to)
    await expect(importShop(to, shop)).rejects.toThrow('There is a shop already')
    writeFileSync(join(to, 'Station.json'), '{"columns":["unheardOf"],"rows":[]}')
    const elsewhere = placeOf(scratch('half'))
    await expect(importShop(to, elsewhere)).rejects.toThrow('another version')
    expect(existsSync(elsewhere.database)).toBe(false)
  })
})
