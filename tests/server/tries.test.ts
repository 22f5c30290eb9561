import { mkdtempSync } from 'node:fs'
import { join } from 'node:path'
import { Client } from 'pg'
import { beforeEach, describe, expect, inject, test, vi } from 'vitest'
import { postgresAddress } from '@/lib/server/database'
import { setMailAddress } from '@/lib/server/people'
import { invite } from '@/lib/server/sign-ins'
import { setPin, shareThisBrowser } from '@/lib/server/tablets'
import { Tries } from '@/lib/server/tries'
import { freshDatabase } from '../support/database'

const jar = new Map<string, { value: string }>()
vi.mock('next/headers', () => ({
  cookies: async () => ({
    get: (name: string) => jar.get(name),
    set: (name: string, value: string) => jar.set(name, { value }),
  }),
  headers: async () => new Headers(),
}))
vi.mock('@/lib/server/reset-mail', async original => ({
  ...(await original<typeof import('@/lib/server/reset-mail')>()),
  resetByMailWorks: async () => true,
}))

const PASSWORD = 'four quiet presses'
const INES = { id: null, name: 'Ines' }
const none = () => new Headers()
/** Tries are counted by name, and outlive a test in a shop on SQLite. */
let turn = 0

beforeEach(() => {
  jar.clear()
  turn++
  process.env.SHIRTWRIGHT_DATA = mkdtempSync(join(inject('scratch'), 'tries-'))
  return () => void vi.useRealTimers()
})
beforeEach(freshDatabase)

async function somebody() {
  const name = `Ana ${turn}`
  const made = await invite({ name, password: PASSWORD, role: 'press' }, INES)
  if (!made.ok) throw new Error(made.message)
  return { id: made.value.id, name }
}

describe('tries of one name', () => {
  test('are counted until one is right, or the wait is over; those of another name are not among them', async () => {
    vi.useFakeTimers({ now: new Date('2026-05-14T08:00:00Z'), toFake: ['Date'] })
    const tries = new Tries({ keyPrefix: `door ${turn}`, points: 3, duration: 900, blockDuration: 300 })
    const take = async (times: number, name = 'ana') => {
      const waits: (number | null)[] = []
      for (let i = 0; i < times; i++) waits.push(await tries.take(name))
      return waits
    }
    expect(await take(3)).toEqual([null, null, null])
    await tries.forget('ana')
    expect(await take(5)).toEqual([null, null, null, 300_000, 300_000])
    expect(await take(1, 'rui')).toEqual([null])
    vi.setSystemTime(new Date('2026-05-14T08:04:00Z'))
    expect(await take(1)).toEqual([60_000])
    vi.setSystemTime(new Date('2026-05-14T08:05:01Z'))
    expect(await take(1)).toEqual([null])
  })

  test('at one moment are each counted', async () => {
    const tries = new Tries({ keyPrefix: `moment ${turn}`, points: 5, duration: 900 })
    const waits = await Promise.all(Array.from({ length: 20 }, () => tries.take('ana')))
    expect(waits.filter(wait => wait === null)).toHaveLength(5)
  })
})

/** What one more app server of this shop has loaded: nothing of its memory is shared with the others. */
async function anotherServer() {
  vi.resetModules()
  const [door, tablets, own, reset] = await Promise.all([
    import('@/lib/server/sign-in'),
    import('@/lib/server/tablets'),
    import('@/lib/server/own-sign-in'),
    import('@/lib/server/forgotten'),
  ])
  return { ...door, ...tablets, ...own, ...reset }
}
const codes = (answers: ({ ok: true } | { ok: false; code: string })[]) =>
  answers.map(answer => (answer.ok ? 'in' : answer.code))

describe.runIf(inject('postgres'))('tries at two app servers on one database', () => {
  test('of a password are five together, in turn or at one moment; the right one waits at both', async () => {
    const ana = await somebody()
    const servers = [await anotherServer(), await anotherServer()]
    const all = await Promise.all(
      Array.from({ length: 20 }, (_, i) => servers[i % 2]?.signIn(ana.name, `a guess, number ${i}`, none())),
    )
    expect(all.filter(one => one && !one.ok && one.code === 'wrong-name-or-password')).toHaveLength(5)
    for (const server of servers)
      expect(await server.signIn(ana.name, PASSWORD, none())).toMatchObject({ code: 'too-many-tries' })
    // What was typed is not to be read in the table.
    const client = new Client({ connectionString: postgresAddress() })
    await client.connect()
    const { rows } = await client.query('SELECT * FROM "_tries"')
    await client.end()
    expect(rows).toHaveLength(1)
    expect(JSON.stringify(rows)).not.toMatch(/ana/i)
  })

  test('of a right password are forgotten at both', async () => {
    const ana = await somebody()
    const [one, other] = [await anotherServer(), await anotherServer()]
    for (let i = 0; i < 4; i++) await one.signIn(ana.name, 'a wrong guess here', none())
    expect(await other.signIn(ana.name, PASSWORD, none())).toMatchObject({ ok: true })
    const more = []
    for (let i = 0; i < 5; i++) more.push(await one.signIn(ana.name, 'a wrong guess here', none()))
    expect(new Set(codes(more))).toEqual(new Set(['wrong-name-or-password']))
  })

  test('of a PIN are five together', async () => {
    const ana = await somebody()
    await setPin(ana.id, '402913', ana)
    await shareThisBrowser(`Press ${turn}`, INES)
    const [one, other] = [await anotherServer(), await anotherServer()]
    const answers = []
    for (const server of [one, other, one, other, one, other])
      answers.push(await server.signInByPin(ana.id, '111222', none()))
    expect(codes(answers)).toEqual([...Array(5).fill('wrong-pin'), 'too-many-tries'])
    expect(await one.signInByPin(ana.id, '402913', none())).toMatchObject({ code: 'too-many-tries' })
  })

  test('of a mail for a forgotten password are three together', async () => {
    const ana = await somebody()
    await setMailAddress(ana.id, 'ana@example.com')
    const [one, other] = [await anotherServer(), await anotherServer()]
    const answers = []
    for (const server of [one, other, one, other]) answers.push(await server.askForReset(ana.name, none()))
    expect(codes(answers)).toEqual(['in', 'in', 'in', 'too-many-tries'])
  })
})
