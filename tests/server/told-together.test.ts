import { mkdtempSync } from 'node:fs'
import { join } from 'node:path'
import { beforeEach, expect, inject, test, vi } from 'vitest'
import { auth } from '@/lib/server/auth'
import { db } from '@/lib/server/database'
import { askForReset, resetByMail } from '@/lib/server/forgotten'
import {
  beginSecondFactor,
  changeOwnPassword,
  confirmSecondFactor,
  endSecondFactor,
} from '@/lib/server/own-sign-in'
import { setMailAddress } from '@/lib/server/people'
import { invite } from '@/lib/server/sign-ins'
import { freshDatabase } from '../support/database'
import { timeCode } from '../support/time-code'

/** As if the server were killed at the moment at which the line of history is to be written. */
const killed = vi.hoisted(() => ({ now: false }))
vi.mock('@/lib/server/history', async original => {
  const real = await original<typeof import('@/lib/server/history')>()
  return {
    ...real,
    record: (line: Parameters<typeof real.record>[0]) => {
      if (killed.now) throw new Error('killed')
      return real.record(line)
    },
  }
})
const sent = vi.hoisted(() => ({ key: '' }))
vi.mock('@/lib/server/reset-mail', () => ({
  resetByMailWorks: async () => true,
  mailChanged: async () => {},
  mailReset: async (_: unknown, key: string) => {
    sent.key = key
  },
}))
vi.mock('next/headers', () => ({
  cookies: async () => ({ set: () => {} }),
  headers: async () => new Headers(),
}))

const PASSWORD = 'four quiet presses'
const NEXT = 'five loud presses'
const INES = { id: null, name: 'Ines' }
let turn = 0
let ana: { id: string; name: string }

beforeEach(() => {
  killed.now = false
  process.env.SHIRTWRIGHT_DATA = mkdtempSync(join(inject('scratch'), 'together-'))
})
beforeEach(freshDatabase)
beforeEach(async () => {
  const name = `Ana ${turn++}`
  const made = await invite({ name, password: PASSWORD, role: 'press' }, INES)
  if (!made.ok) throw new Error(made.message)
  ana = { id: made.value.id, name }
})

/** What a browser sends from now on. */
const sends = (answer: Headers) =>
  new Headers({
    cookie: answer
      .getSetCookie()
      .map(line => line.split(';')[0])
      .join('; '),
  })
async function browser(): Promise<Headers> {
  const { headers } = await auth().api.signInUsername({
    body: { username: ana.name, password: PASSWORD, rememberMe: true },
    returnHeaders: true,
  })
  return sends(headers)
}
/** All that signing in goes by. */
const doors = async () => ({
  accounts: await db().account.findMany(),
  factors: await db().twoFactor.findMany(),
  people: await db().person.findMany({ select: { id: true, twoFactorEnabled: true } }),
  sessions: (await db().session.findMany({ orderBy: { id: 'asc' } })).map(one => one.token),
  keys: await db().verification.findMany(),
})
/** Does it once while its line cannot be written, which must leave nothing, and once in earnest. */
async function together(change: () => Promise<unknown>, told: string) {
  const before = await doors()
  killed.now = true
  await expect(change()).rejects.toThrow('killed')
  killed.now = false
  expect(await doors()).toEqual(before)
  expect(await change()).toMatchObject({ ok: true })
  expect(await doors()).not.toEqual(before)
  expect((await db().history.findMany({ where: { ref: ana.id } })).map(line => line.what)).toContain(told)
}

test('a changed password, the sessions that end with it and its line of history are saved together, or nothing of them', async () => {
  const hers = await browser()
  await browser()
  await together(
    () => changeOwnPassword({ password: PASSWORD, next: NEXT }, ana, hers),
    'changed the password',
  )
  expect(await db().session.count()).toBe(1)
})

test('so are a second factor that begins or ends, and its line', async () => {
  const hers = await browser()
  const begun = await beginSecondFactor(PASSWORD, ana, hers)
  if (!begun.ok) throw new Error(begun.message)
  const { secret } = begun.value
  let code = ''
  await together(() => {
    code ||= timeCode(secret, Date.now() / 1000)
    return confirmSecondFactor(code, ana, hers)
  }, 'signs in with a second factor from now on')
  expect(await db().person.count({ where: { twoFactorEnabled: true } })).toBe(1)
  const { headers } = await auth().api.verifyTOTP({
    body: { code },
    headers: await browser(),
    returnHeaders: true,
  })
  await together(
    () => endSecondFactor(PASSWORD, ana, sends(headers)),
    'signs in without a second factor again',
  )
  expect(await db().person.count({ where: { twoFactorEnabled: true } })).toBe(0)
})

test('so are a password that is replaced by mail, and its line; and whoever asks for the mail is told of first', async () => {
  await setMailAddress(ana.id, 'ana@example.com')
  await browser()
  killed.now = true
  await expect(askForReset(ana.name, new Headers())).rejects.toThrow('killed')
  expect(sent.key).toBe('')
  killed.now = false
  await askForReset(ana.name, new Headers())
  await together(() => resetByMail(sent.key, NEXT, new Headers()), 'set a new password by mail')
  expect(await db().session.count()).toBe(0)
})
