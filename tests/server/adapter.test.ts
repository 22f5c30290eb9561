import { execFile } from 'node:child_process'
import { promisify } from 'node:util'
import Database from 'better-sqlite3'
import { beforeEach, describe, expect, test } from 'vitest'
import { closeDatabase, database, openDatabase } from '@/lib/server/database'
import { freshDatabase, freshFile } from '../support/database'

beforeEach(freshDatabase)

const numbers = async () =>
  (await database().counter.findMany({ orderBy: { name: 'asc' } })).map(row => row.name)

/** A promise with its handle outside. */
function signal() {
  let give = () => {}
  const given = new Promise<void>(resolve => {
    give = resolve
  })
  return { give, given }
}

describe('a transaction', () => {
  test('that rolls back leaves a write of somebody else, acknowledged meanwhile, where it is', async () => {
    const begun = signal()
    const mayFail = signal()
    const failing = database().$transaction(async tx => {
      await tx.counter.create({ data: { name: 'inside', next: 1 } })
      begun.give()
      await mayFail.given
      throw new Error('changed my mind')
    })
    await begun.given
    // `then` sends it off: Prisma waits until somebody asks for the answer.
    const beside = database()
      .counter.create({ data: { name: 'beside', next: 1 } })
      .then(row => row.name)
    await new Promise(resolve => setTimeout(resolve, 50))
    mayFail.give()
    await expect(failing).rejects.toThrow('changed my mind')
    await beside
    expect(await numbers()).toEqual(['beside'])
  })

  test('is not seen by others before it is committed', async () => {
    await database().$transaction(async tx => {
      await tx.counter.create({ data: { name: 'half done', next: 1 } })
      expect(await numbers()).toEqual([])
      expect(await tx.counter.count()).toBe(1)
    })
    expect(await numbers()).toEqual(['half done'])
  })

  test('whose commit fails leaves nothing, and the next one works', async () => {
    const failing = database().$transaction(async tx => {
      await tx.$executeRaw`PRAGMA defer_foreign_keys = ON`
      await tx.$executeRaw`INSERT INTO "Session" ("id", "token", "expiresAt", "userId", "updatedAt")
        VALUES ('s', 't', '2026-01-01T00:00:00.000+00:00', 'nobody', '2026-01-01T00:00:00.000+00:00')`
    })
    await expect(failing).rejects.toThrow(/ForeignKey/)
    await database().$transaction(tx => tx.counter.create({ data: { name: 'next', next: 1 } }))
    expect(await database().session.count()).toBe(0)
    expect(await numbers()).toEqual(['next'])
  })

  test('of three processes, reading then writing, loses none of the others', async () => {
    const file = await freshFile()
    const client = openDatabase(`file:${file}`)
    await client.counter.create({ data: { name: 'order', next: 0 } })
    const run = () =>
      promisify(execFile)(
        process.execPath,
        ['--conditions=react-server', '--import', 'tsx', 'tests/server/count-up.ts', '60'],
        { env: { ...process.env, DATABASE_URL: `file:${file}` } },
      )
    await Promise.all([run(), run(), run()])
    expect(await client.counter.findUnique({ where: { name: 'order' } })).toEqual({
      name: 'order',
      next: 180,
    })
    await client.$disconnect()
  }, 60_000)
})

describe('a write', () => {
  test('waits for another process that holds the file, without stopping this one', async () => {
    const file = await freshFile()
    const client = openDatabase(`file:${file}`)
    await client.$connect()
    const other = new Database(file)
    other.exec('BEGIN IMMEDIATE')
    let ticks = 0
    // The file is let go by a clock of this very thread: a write that stopped it would wait for ever.
    const clock = setInterval(() => {
      if (++ticks === 20) other.exec('COMMIT')
    }, 10)
    await client.counter.create({ data: { name: 'patient', next: 1 } })
    clearInterval(clock)
    other.close()
    expect(ticks).toBeGreaterThanOrEqual(20)
    expect(await client.counter.count()).toBe(1)
    await client.$disconnect()
  })

  test('to a closed database opens it again', async () => {
    await database().counter.create({ data: { name: 'kept', next: 1 } })
    process.env.DATABASE_URL = `file:${await freshFile()}`
    await closeDatabase()
    expect(await numbers()).toEqual([])
    delete process.env.DATABASE_URL
  })
})

test('a loop of awaited writes lets timers run', async () => {
  let ticks = 0
  const clock = setInterval(() => ticks++, 1)
  for (let i = 0; i < 300; i++) await database().counter.create({ data: { name: `n${i}`, next: i } })
  clearInterval(clock)
  // None at all if the writes followed one another without a pause.
  expect(ticks).toBeGreaterThan(3)
})
