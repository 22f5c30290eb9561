import { execFile } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { promisify } from 'node:util'
import { Client } from 'pg'
import { afterEach, beforeEach, describe, expect, inject, test, vi } from 'vitest'
import { SerialPostgres } from '@/lib/server/adapter-postgres'
import { type Db, openDatabase } from '@/lib/server/database'
import {
  applyMigrations,
  missingSql,
  postgresGuardsFile,
  postgresMigrationsFolder,
  readGuards,
  readMigrations,
  stepsToSchema,
} from '@/lib/server/migrations'
import { emptied, freshOnServer } from '../support/database'

/** Where these tests run: a server that is there for the whole run. */
const server = inject('postgres') ?? ''

let url = ''
let one: Db
let other: Db
beforeEach(async () => {
  const fresh = await freshOnServer(server)
  url = fresh.url
  one = openDatabase(url)
  other = openDatabase(url)
  return async () => {
    await one.$disconnect()
    await other.$disconnect()
    await fresh.drop()
  }
})

async function ask<R>(sql: string): Promise<R[]> {
  const client = new Client({ connectionString: url })
  await client.connect()
  try {
    return (await client.query(sql)).rows as R[]
  } finally {
    await client.end()
  }
}

afterEach(() => vi.restoreAllMocks())

const until = async (what: () => boolean) => {
  for (let i = 0; i < 400 && !what(); i++) await new Promise(done => setTimeout(done, 25))
  expect(what()).toBe(true)
}

describe('the tables', () => {
  test('are built by the migrations as the schema says', async () => {
    expect(await missingSql(undefined, undefined, server)).toBeNull()
    expect(await stepsToSchema(url)).toBe(0)
  })

  test('have the guards of SQLite, by the same names on the same tables', async () => {
    const here = await ask<{ name: string; table: string }>(
      `SELECT t.tgname AS name, c.relname AS table FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid WHERE NOT t.tgisinternal`,
    )
    const byName = (a: { name: string }, b: { name: string }) => (a.name < b.name ? -1 : 1)
    expect(here.sort(byName)).toEqual(
      readGuards()
        .map(({ name, table }) => ({ name, table }))
        .sort(byName),
    )
  })

  test('have them as prisma/postgres/guards.sql says, word for word', async () => {
    const guards = () =>
      ask<{
        words: string
      }>(`SELECT pg_get_triggerdef(t.oid) AS words FROM pg_trigger t WHERE NOT t.tgisinternal
        UNION ALL SELECT pg_get_functiondef(p.oid) FROM pg_proc p WHERE p.pronamespace = 'public'::regnamespace ORDER BY 1`)
    const built = await guards()
    await ask(`DO $$ DECLARE f RECORD; BEGIN
      FOR f IN SELECT p.oid::regprocedure AS name FROM pg_proc p WHERE p.pronamespace = 'public'::regnamespace
      LOOP EXECUTE 'DROP FUNCTION ' || f.name || ' CASCADE'; END LOOP; END $$`)
    expect(await guards()).toEqual([])
    await ask(readFileSync(postgresGuardsFile, 'utf8'))
    expect(await guards()).toEqual(built)
  })

  test('that tests have used are as new ones once they are emptied, with guarded rows and rows that hang on others', async () => {
    const client = new Client({ connectionString: url })
    await client.connect()
    try {
      const { rows } = await client.query<{ name: string }>(
        `SELECT tablename AS name FROM pg_tables WHERE schemaname = 'public' ORDER BY 1`,
      )
      const counts = async () => {
        const each = rows.map(({ name }) => `SELECT '${name}' AS name, COUNT(*)::int AS n FROM "${name}"`)
        return (await client.query(`${each.join(' UNION ALL ')} ORDER BY 1`)).rows
      }
      const fresh = await counts()
      const line = { id: 'h', what: 'came', entity: 'person', ref: 'p', byName: 'Ada' }
      await one.person.create({ data: { id: 'p', name: 'Ada', email: 'ada@example.com' } })
      await one.session.create({
        data: { id: 's', token: 't', userId: 'p', expiresAt: new Date(9) },
      })
      await one.history.create({ data: line })
      expect(await counts()).not.toEqual(fresh)
      await expect(ask('DELETE FROM "History"')).rejects.toThrow()
      await emptied(client)
      expect(await counts()).toEqual(fresh)
      // The guards are awake again.
      await one.history.create({ data: line })
      await expect(ask('DELETE FROM "History"')).rejects.toThrow()
    } finally {
      await client.end()
    }
  })

  test('are laid out once by servers that start at the same time, and applying again does nothing', async () => {
    await ask('DROP SCHEMA public CASCADE')
    await ask('CREATE SCHEMA public')
    const names = readMigrations(postgresMigrationsFolder).migrationDirectories.map(m => m.path)
    const both = await Promise.all([applyMigrations(url), applyMigrations(url)])
    expect(both.flat()).toEqual(names)
    expect(await applyMigrations(url)).toEqual([])
  })

  test('are as they were when the second step of an upgrade fails: the first is taken back with it', async () => {
    const list = readMigrations(postgresMigrationsFolder)
    const step = (path: string, value: string) => ({
      path,
      migrationFile: { path: 'migration.sql', content: { tag: 'ok' as const, value } },
    })
    const next = {
      ...list,
      migrationDirectories: [
        ...list.migrationDirectories,
        step('9001_works', 'CREATE TABLE "Shelf" ("id" TEXT NOT NULL);'),
        step(
          '9002_fails',
          'ALTER TABLE "Shelf" ADD COLUMN "a" TEXT; ALTER TABLE "Nowhere" ADD COLUMN "b" TEXT;',
        ),
      ],
    }
    const noted = 'SELECT migration_name, finished_at, rolled_back_at FROM _prisma_migrations ORDER BY 1'
    const before = await ask(noted)
    await expect(applyMigrations(url, next)).rejects.toThrow(/Nowhere/)
    expect(await ask(noted)).toEqual(before)
    expect(await ask(`SELECT to_regclass('"Shelf"') AS "is"`)).toEqual([{ is: null }])
    // The version before works on, and the next try of the new one begins anew.
    await one.counter.create({ data: { name: 'order', next: 1 } })
    next.migrationDirectories.pop()
    expect(await applyMigrations(url, next)).toEqual(['9001_works'])
  })

  test('sort texts byte by byte, as SQLite does, whatever language the server speaks', async () => {
    for (const name of ['b', 'Ä', 'a', 'B']) await one.counter.create({ data: { name, next: 1 } })
    const names = (await one.counter.findMany({ orderBy: { name: 'asc' } })).map(r => r.name)
    expect(names).toEqual(['B', 'a', 'b', 'Ä'])
    const kept = await ask<{ n: string }>(
      `SELECT COUNT(*) AS n FROM information_schema.columns WHERE table_schema = 'public' AND data_type = 'text'
        AND table_name NOT LIKE '\\_%' AND collation_name IS DISTINCT FROM 'C'`,
    )
    expect(kept).toEqual([{ n: '0' }])
  })
})

describe('several servers', () => {
  test('that read and then write lose nothing of each other', async () => {
    await one.counter.create({ data: { name: 'order', next: 0 } })
    const run = () =>
      promisify(execFile)(
        process.execPath,
        ['--conditions=react-server', '--import', 'tsx', 'tests/server/count-up.ts', '40'],
        { env: { ...process.env, DATABASE_URL: url } },
      )
    await Promise.all([run(), run(), run()])
    expect(await other.counter.findUnique({ where: { name: 'order' } })).toEqual({ name: 'order', next: 120 })
  }, 60_000)

  test('hear of what another has committed, and of nothing else', async () => {
    const heard: (string[] | null)[] = []
    const adapter = new SerialPostgres({ url, onElsewhere: t => heard.push(t && [...t].sort()) })
    const listening = await adapter.connect()
    try {
      await expect(
        one.$transaction(async tx => {
          await tx.counter.create({ data: { name: 'taken back', next: 1 } })
          throw new Error('no')
        }),
      ).rejects.toThrow('no')
      await one.$transaction(async tx => {
        await tx.counter.create({ data: { name: 'order', next: 1 } })
        await tx.customer.create({ data: { name: "O'Neill" } })
      })
      await other.counter.update({ where: { name: 'order' }, data: { next: 2 } })
      await until(() => heard.length >= 2)
      expect(heard).toEqual([['Counter', 'Customer'], ['Counter']])
      // What it writes itself it is told by its own commit.
      await listening.executeRaw({ sql: `DELETE FROM "Customer"`, args: [], argTypes: [] })
      await one.counter.update({ where: { name: 'order' }, data: { next: 3 } })
      await until(() => heard.length >= 3)
      expect(heard.slice(2)).toEqual([['Counter']])
    } finally {
      await listening.dispose()
    }
  })

  test('whose line is cut look at everything anew, and hear again', async () => {
    const heard: (string[] | null)[] = []
    const listening = await new SerialPostgres({
      url,
      onElsewhere: t => heard.push(t && [...t]),
    }).connect()
    try {
      await ask(
        `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query = 'LISTEN shirtwright' AND datname = current_database()`,
      )
      // Once when it breaks, once when it stands again.
      await until(() => heard.filter(h => h === null).length >= 2)
      await one.counter.create({ data: { name: 'order', next: 1 } })
      await until(() => heard.some(h => h?.includes('Counter')))
    } finally {
      await listening.dispose()
    }
  })

  test('wait for one that writes, and say so when it takes too long; reading waits for nobody', async () => {
    const impatient = await new SerialPostgres({ url, patience: 200 }).connect()
    const write = () =>
      impatient.executeRaw({ sql: `INSERT INTO "Counter" VALUES ('late', 1)`, args: [], argTypes: [] })
    try {
      await one.$transaction(async tx => {
        await tx.counter.create({ data: { name: 'order', next: 1 } })
        expect(await other.counter.count()).toBe(0)
        await expect(write()).rejects.toThrow()
      })
      await write()
      expect((await other.counter.findMany({ orderBy: { name: 'asc' } })).map(r => r.name)).toEqual([
        'late',
        'order',
      ])
    } finally {
      await impatient.dispose()
    }
  })
})

describe('a transaction', () => {
  test('with a statement that failed is not taken for saved', async () => {
    const work = one.$transaction(async tx => {
      await tx.counter.create({ data: { name: 'order', next: 1 } })
      await tx.$executeRaw`INSERT INTO "Counter" VALUES ('order', 2)`.catch(() => undefined)
    })
    await expect(work).rejects.toThrow()
    expect(await one.counter.count()).toBe(0)
    await one.counter.create({ data: { name: 'next', next: 1 } })
  })

  test('sends one statement after the other, however many are sent at once, and none after its end', async () => {
    const connection = await new SerialPostgres({ url }).connect()
    const plain = Client.prototype.query as (...asked: unknown[]) => unknown
    let [open, most] = [0, 0]
    vi.spyOn(Client.prototype, 'query').mockImplementation(function (this: Client, ...asked: unknown[]) {
      const answer = plain.apply(this, asked)
      if (answer instanceof Promise) {
        most = Math.max(most, ++open)
        answer.finally(() => open--).catch(() => undefined)
      }
      return answer
    })
    const write = (name: string) => ({
      sql: `INSERT INTO "Counter" VALUES ('${name}', 1)`,
      args: [],
      argTypes: [],
    })
    try {
      const tx = await connection.startTransaction()
      const sent = ['a', 'b', 'c', 'd'].map(name => tx.executeRaw(write(name)))
      // Sent off with the others, and not waited for by itself.
      await tx.commit()
      expect(await Promise.all(sent)).toEqual([1, 1, 1, 1])
      expect(most).toBe(1)
      await expect(tx.executeRaw(write('late'))).rejects.toThrow('This transaction is over')
      expect((await other.counter.findMany()).map(r => r.name).sort()).toEqual(['a', 'b', 'c', 'd'])
    } finally {
      await connection.dispose()
    }
  })

  test('that loses its connection leaves nothing, and the next one works', async () => {
    const work = one.$transaction(async tx => {
      await tx.counter.create({ data: { name: 'order', next: 1 } })
      await ask(
        `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE state = 'idle in transaction' AND datname = current_database()`,
      )
      await tx.counter.create({ data: { name: 'second', next: 1 } })
    })
    await expect(work).rejects.toThrow()
    await one.counter.create({ data: { name: 'next', next: 1 } })
    expect((await other.counter.findMany()).map(r => r.name)).toEqual(['next'])
  })

  test('keeps what was written down word for word: JSON in its own order, whole numbers beyond 2^53, the character 0 as a sign', async () => {
    const before = { z: 1, a: [1.5, 'x'], m: null }
    const row = await one.history.create({
      data: { byName: 'A\0B', what: 'w', entity: 'e', ref: 'r', before },
    })
    expect(row.byName).toBe('A\uFFFDB')
    expect(JSON.stringify((await other.history.findUniqueOrThrow({ where: { id: row.id } })).before)).toBe(
      JSON.stringify(before),
    )
    await one.supplier.create({ data: { name: 'S', leastMicro: 9_007_199_254_740_993n } })
    expect(await one.$queryRaw`SELECT SUM("leastMicro") AS "sum" FROM "Supplier"`).toEqual([
      { sum: 9_007_199_254_740_993n },
    ])
  })
})
