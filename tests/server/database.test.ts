import { beforeEach, expect, test } from 'vitest'
import { database, db, openDatabase, transaction } from '@/lib/server/database'
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

test('an address that is no file is refused', () => {
  expect(() => openDatabase('mysql://somewhere')).toThrow(/DATABASE_URL must begin with "file:"/)
})
