import Database from 'better-sqlite3'
import { beforeEach, describe, expect, inject, test } from 'vitest'
import { database, db, kept, openDatabase, transaction } from '@/lib/server/database'
import { freshDatabase } from '../support/database'

beforeEach(freshDatabase)

const add = (name: string) => db().counter.create({ data: { name, next: 1 } })

test('statements by db() inside a transaction belong to it', async () => {
  const work = transaction(async () => {
    await add('order')
    expect(await db().counter.count()).toBe(1)
    throw new Error('no')
  })
  await expect(work).rejects.toThrow('no')
  expect(await database().counter.count()).toBe(0)
})

test('a transaction inside a transaction is part of the outer one', async () => {
  const work = transaction(async () => {
    await transaction(() => add('inner'))
    throw new Error('no')
  })
  await expect(work).rejects.toThrow('no')
  expect(await database().counter.count()).toBe(0)
})

test('what two transactions do at the same time does not mix', async () => {
  const works = ['a', 'b', 'c', 'd'].map(name =>
    transaction(async () => {
      await add(`${name}1`)
      await new Promise(resolve => setTimeout(resolve, 5))
      await add(`${name}2`)
      if (name === 'b') throw new Error('no')
    }),
  )
  const done = await Promise.allSettled(works)
  expect(done.map(result => result.status)).toEqual(['fulfilled', 'rejected', 'fulfilled', 'fulfilled'])
  const names = (await db().counter.findMany({ orderBy: { name: 'asc' } })).map(row => row.name)
  expect(names).toEqual(['a1', 'a2', 'c1', 'c2', 'd1', 'd2'])
})

describe('what is sent beside a transaction by the task that stands in it', () => {
  test('is refused at once, since it would wait for itself, and takes the transaction back', async () => {
    for (const beside of [
      () => database().counter.create({ data: { name: 'beside', next: 1 } }),
      () => database().$executeRaw`DELETE FROM "Counter"`,
      () => database().$transaction(tx => tx.counter.count()),
    ]) {
      const work = transaction(async () => {
        await add('inside')
        await beside()
      })
      await expect(work).rejects.toThrow(/would wait for its end, and so for itself/)
    }
    expect(await db().counter.count()).toBe(0)
    await add('afterwards')
  })

  test('may be a question, which sees what is saved; and who goes on after its end may write', async () => {
    let late: Promise<unknown> | undefined
    await transaction(async () => {
      await add('inside')
      expect(await database().counter.count()).toBe(0)
      late = new Promise(done => setTimeout(done, 30)).then(() =>
        database().counter.create({ data: { name: 'late', next: 1 } }),
      )
    })
    await late
    expect(await db().counter.count()).toBe(2)
  })

  test('is no matter of other tasks: they wait for their turn', async () => {
    let go = () => {}
    const begun = new Promise<void>(done => {
      go = done
    })
    const other = begun.then(() => database().counter.create({ data: { name: 'other', next: 1 } }))
    await transaction(async () => {
      await add('inside')
      go()
      await new Promise(done => setTimeout(done, 20))
    })
    await other
    expect(await db().counter.count()).toBe(2)
  })
})

test('an address that is no file is refused', () => {
  expect(() => openDatabase('mysql://somewhere')).toThrow(/DATABASE_URL must begin with "file:"/)
})

const onFile = test.skipIf(inject('postgres'))

describe('what is kept', () => {
  let reads = 0
  beforeEach(() => {
    reads = 0
  })
  const names = () =>
    kept(['Counter'], 'names', async () => {
      reads++
      return (await db().counter.findMany({ orderBy: { name: 'asc' } })).map(c => ({ name: c.name }))
    })
  const told = async () => (await names()).map(c => c.name).join()

  onFile('is read once until one of its tables is written, and others may be', async () => {
    expect(await told()).toBe('')
    await db().customer.create({ data: { id: 'a', name: 'A', contact: '' } as never })
    expect([await told(), reads]).toEqual(['', 1])
    await add('x')
    expect([await told(), await told(), reads]).toEqual(['x', 'x', 2])
    await db().$executeRaw`UPDATE "Counter" SET "name" = 'y'`
    expect([await told(), reads]).toEqual(['y', 3])
  })

  test('never hides what was written: not inside the transaction, not after it, not when it was taken back', async () => {
    await add('a')
    expect(await told()).toBe('a')
    await transaction(async () => {
      expect(await told()).toBe('a')
      await add('b')
      expect(await told()).toBe('a,b')
    })
    expect(await told()).toBe('a,b')
    const broken = transaction(async () => {
      await add('c')
      expect(await told()).toBe('a,b,c')
      throw new Error('no')
    })
    await expect(broken).rejects.toThrow('no')
    expect(await told()).toBe('a,b')
  })

  test('is not what a transaction read that is taken back', async () => {
    const broken = transaction(async tx => {
      await tx.customer.create({ data: { id: 'a', name: 'A', contact: '' } as never })
      const customers = () => kept(['Customer'], 'customers', () => db().customer.count())
      expect(await customers()).toBe(1)
      throw new Error('no')
    })
    await expect(broken).rejects.toThrow('no')
    expect(await kept(['Customer'], 'customers', () => db().customer.count())).toBe(0)
  })

  onFile('is read anew after another program has written the file', async () => {
    expect(await told()).toBe('')
    const { file } =
      (await db().$queryRaw<{ file: string }[]>`SELECT file FROM pragma_database_list`)[0] ?? {}
    const other = new Database(file)
    other.exec(`INSERT INTO "Counter" ("name", "next") VALUES ('there', 1)`)
    other.close()
    expect(await told()).toBe('there')
  })

  test('is not a reading that failed', async () => {
    const fails = () => kept(['Counter'], 'fails', () => Promise.reject(new Error('no')))
    await expect(fails()).rejects.toThrow('no')
    expect(await kept(['Counter'], 'fails', async () => 1)).toBe(1)
  })

  onFile('can be changed by nobody who was given it', async () => {
    await add('a')
    const [first] = await names()
    expect(() => Object.assign(first ?? {}, { name: 'b' })).toThrow(TypeError)
    await expect(names().then(list => list.push({ name: 'c' }))).rejects.toThrow(TypeError)
    expect(await told()).toBe('a')
  })
})
