import { beforeEach, describe, expect, test } from 'vitest'
import { Prisma } from '@/lib/server/client/client'
import { database, transaction } from '@/lib/server/database'
import { type Change, Hub, live, TOPICS, topicsOf, untilChanged } from '@/lib/server/live'
import { freshDatabase } from '../support/database'

beforeEach(freshDatabase)

const rows = {
  customer: (id: string) => ({ id, name: `Customer ${id}`, contact: '' }),
}
const addCustomer = (id: string) => database().customer.create({ data: rows.customer(id) as never })

/** What is told while `work` runs. */
async function heardDuring(work: () => Promise<unknown>): Promise<Change[]> {
  const heard: Change[] = []
  const stop = live().listen(c => heard.push(c))
  await work().catch(() => {})
  stop()
  return heard
}

describe('changes', () => {
  test('every table belongs to a topic, or is known to interest nobody', () => {
    const quiet = ['Session', 'Account', 'Verification', 'TwoFactor', 'History', 'Counter']
    const silent = Object.values(Prisma.ModelName).filter(m => topicsOf([m]).length === 0)
    expect(silent.sort()).toEqual(quiet.sort())
    expect(new Set(topicsOf(Object.values(Prisma.ModelName)))).toEqual(new Set(TOPICS))
  })

  test('are told once for each transaction, after it is safe, with all that it wrote', async () => {
    let seen = -1
    const stop = live().listen(async () => {
      seen = await database().customer.count()
    })
    const heard = await heardDuring(() =>
      transaction(async tx => {
        await tx.customer.create({ data: rows.customer('a') as never })
        await tx.customer.update({ where: { id: 'a' }, data: { name: 'Other' } })
        await tx.counter.create({ data: { name: 'x', next: 1 } })
        await tx.blankStyle.deleteMany({})
      }),
    )
    expect(heard.map(h => [...h.topics].sort())).toEqual([['orders', 'stock']])
    await expect.poll(() => seen).toBe(1)
    stop()
  })

  test('of a transaction that is rolled back are told to nobody', async () => {
    const heard = await heardDuring(() =>
      transaction(async tx => {
        await tx.customer.create({ data: rows.customer('a') as never })
        throw new Error('no')
      }),
    )
    expect(heard).toEqual([])
  })

  test('outside a transaction are told too; reading and sign-ins are not', async () => {
    const heard = await heardDuring(async () => {
      await addCustomer('a')
      await database().customer.findMany()
      await database().session.deleteMany({})
    })
    expect(heard.map(h => h.topics)).toEqual([['orders']])
  })
})

describe('the hub', () => {
  test('tells who comes back what was missed, each topic once', () => {
    const hub = new Hub('run')
    hub.publish(['floor'])
    const at = hub.at
    hub.publish(['plan'])
    hub.publish(['plan', 'stock'])
    expect(hub.since(at)).toEqual({ id: 'run.3', topics: ['plan', 'stock'] })
    expect(hub.since(hub.at)).toEqual({ id: 'run.3', topics: [] })
    expect(hub.since(null)).toEqual({ id: 'run.3', topics: [] })
  })

  test.each(['other.2', 'run.9', 'run.x', 'nonsense', ''])('has a gap for %s', id => {
    const hub = new Hub('run')
    hub.publish(['floor'])
    expect(hub.since(id)).toEqual({ id: 'run.1', gap: true })
  })

  test('remembers a thousand changes, and says so of older ones', () => {
    const hub = new Hub('run')
    for (let i = 0; i < 1500; i++) hub.publish(['plan'])
    expect(hub.since('run.500')).toEqual({ id: 'run.1500', topics: ['plan'] })
    expect(hub.since('run.499')).toEqual({ id: 'run.1500', gap: true })
  })

  test('lets a listener go that fails, and tells the others', () => {
    const hub = new Hub('run')
    const heard: string[] = []
    hub.listen(() => {
      throw new Error('gone')
    })
    hub.listen(c => heard.push(c.id))
    hub.publish(['floor'])
    hub.publish(['floor'])
    expect(heard).toEqual(['run.1', 'run.2'])
    expect(hub.listeners).toBe(1)
  })
})

describe('a view made until something changes', () => {
  test('is made once for all who ask, and anew after a change', async () => {
    let made = 0
    const view = () => untilChanged('orders', async () => ++made)
    expect(await Promise.all([view(), view(), view()])).toEqual([1, 1, 1])
    await addCustomer('b')
    expect(await view()).toBe(2)
    expect(await view()).toBe(2)
  })

  test('that could not be made is tried again', async () => {
    await expect(untilChanged('bad', () => Promise.reject(new Error('no')))).rejects.toThrow('no')
    expect(await untilChanged('bad', async () => 'good')).toBe('good')
  })
})
