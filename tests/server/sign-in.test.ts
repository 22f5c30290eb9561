import { mkdtempSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { beforeEach, describe, expect, inject, test } from 'vitest'
import { A_DAYS_WORK_MS, auth } from '@/lib/server/auth'
import { secretKey } from '@/lib/server/data-folder'
import { db } from '@/lib/server/database'
import { changeOwnPassword } from '@/lib/server/own-sign-in'
import { hashPassword } from '@/lib/server/passwords'
import { addPerson, signInName } from '@/lib/server/people'
import { signIn } from '@/lib/server/sign-in'
import { freshDatabase } from '../support/database'

beforeEach(() => {
  process.env.SHIRTWRIGHT_DATA = mkdtempSync(join(inject('scratch'), 'data-'))
})
beforeEach(freshDatabase)

const none = () => new Headers()
const password = 'four quiet presses'

describe('a new person', () => {
  test('signs in by the name as it is said, whatever its case and spaces', async () => {
    const added = await addPerson({ name: ' Ana  Duarte ', password, role: 'owner' })
    expect(added).toMatchObject({ ok: true, value: { name: 'Ana Duarte', role: 'owner' } })
    expect(await signIn('ana duarte', password, none())).toMatchObject({ ok: true })
    expect(await signIn('ANA   DUARTE ', password, none())).toMatchObject({ ok: true })
  })

  test('is refused with a name that somebody has', async () => {
    await addPerson({ name: 'Ana', password, role: 'owner' })
    expect(await addPerson({ name: 'ANA', password, role: 'press' })).toMatchObject({
      ok: false,
      field: 'name',
    })
    expect(await db().person.count()).toBe(1)
    expect(await db().account.count()).toBe(1)
  })

  test.each([
    ['', password, 'name'],
    ['x'.repeat(61), password, 'name'],
    ['Ana', 'eleven char', 'password'],
    ['Ana', 'x'.repeat(201), 'password'],
    ['Ana Duarte', 'ana duarte', 'password'],
  ])('is refused as %j with password %j: about the %s', async (name, word, field) => {
    expect(await addPerson({ name, password: word, role: 'press' })).toMatchObject({ ok: false, field })
    expect(await db().person.count()).toBe(0)
  })

  test('has the password kept as an argon2id hash with 19 MiB and two passes', async () => {
    // OWASP Password Storage Cheat Sheet (2024): "Argon2id … minimum … 19 MiB of memory, an iteration count of 2".
    await addPerson({ name: 'Ana', password, role: 'owner' })
    const { password: kept } = await db().account.findFirstOrThrow()
    expect(kept).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/)
  })
})

describe('signing in', () => {
  test('says the same for a wrong password and an unknown name', async () => {
    await addPerson({ name: 'Ana', password, role: 'owner' })
    const wrong = await signIn('Ana', 'something else', none())
    const unknown = await signIn('Nobody', 'something else', none())
    expect(wrong).toMatchObject({ ok: false })
    expect(unknown).toEqual(wrong)
    expect(await db().session.count()).toBe(0)
  })

  test('is refused to somebody who left, and leaves no session', async () => {
    await addPerson({ name: 'Ana', password, role: 'press' })
    await db().person.updateMany({ data: { active: false } })
    expect(await signIn('Ana', password, none())).toMatchObject({ ok: false, code: 'left' })
    expect(await db().session.count()).toBe(0)
  })

  test('stops the sixth guess at one name, even with the right password, and no other name', async () => {
    await addPerson({ name: 'Guessed', password, role: 'press' })
    await addPerson({ name: 'Other', password, role: 'press' })
    for (let i = 0; i < 5; i++) {
      const headers = new Headers({ 'x-forwarded-for': `10.0.0.${i}` })
      expect(await signIn('guessed', `guess number ${i}`, headers)).toMatchObject({
        code: 'wrong-name-or-password',
      })
    }
    expect(await signIn('Guessed', password, none())).toMatchObject({ ok: false, code: 'too-many-tries' })
    expect(await signIn('Other', password, none())).toMatchObject({ ok: true })
  })

  test.each(['', ' ', "' OR 1=1 --", '<b>x</b>', '\u0000', '𝕏', 'x'.repeat(10_000)])(
    'as %j is refused, not a fault',
    async name => {
      expect(await signIn(name, password, none())).toMatchObject({ ok: false })
    },
  )

  test('gives a cookie that scripts cannot read and other sites cannot send, and that is worth nothing when altered', async () => {
    await addPerson({ name: 'Ana', password, role: 'counter' })
    const { headers } = await auth().api.signInUsername({
      body: { username: 'Ana', password },
      returnHeaders: true,
    })
    const cookie = headers.get('set-cookie') ?? ''
    expect(cookie).toMatch(/HttpOnly/)
    expect(cookie).toMatch(/SameSite=Lax/)
    const pair = cookie.split(';')[0] as string
    const session = (cookiePair: string) =>
      auth().api.getSession({ headers: new Headers({ cookie: cookiePair }) })
    expect(await session(pair)).toMatchObject({ user: { name: 'Ana', role: 'counter', active: true } })
    expect(await session(`${pair.slice(0, -8)}AAAAAAAA`)).toBeNull()
  })

  test('behind https gives a cookie that travels by https alone and that no other host can set', async () => {
    process.env.SHIRTWRIGHT_HTTPS = '1'
    try {
      await addPerson({ name: 'Ana', password, role: 'counter' })
      const { headers } = await auth().api.signInUsername({
        body: { username: 'Ana', password, rememberMe: false },
        returnHeaders: true,
      })
      // RFC 6265bis, 4.1.3.2: such a name is kept only with Secure, Path=/ and no Domain.
      for (const cookie of headers.getSetCookie().filter(line => !/Max-Age=0/.test(line))) {
        expect(cookie).toMatch(/^__Host-shirtwright\./)
        expect(cookie).toMatch(/; Path=\/(;|$)/)
        expect(cookie).toMatch(/; Secure/)
        expect(cookie).not.toMatch(/Domain=/)
      }
      const cookie = headers
        .getSetCookie()
        .map(line => line.split(';')[0])
        .join('; ')
      expect(cookie).toContain('__Host-shirtwright.session_token=')
      expect(await auth().api.getSession({ headers: new Headers({ cookie }) })).not.toBeNull()
      const ana = { ...(await db().person.findFirstOrThrow()) }
      const changed = { password, next: 'another twelve' }
      expect(await changeOwnPassword(changed, ana, new Headers({ cookie }))).toMatchObject({ ok: true })
      // The short session stays short, by the mark that the same browser holds.
      const [kept] = await db().session.findMany()
      expect(kept?.expiresAt.getTime()).toBeLessThanOrEqual(Date.now() + A_DAYS_WORK_MS)
    } finally {
      delete process.env.SHIRTWRIGHT_HTTPS
    }
  })

  test('passwords have 12 to 128 characters, whatever they are; a longer one from before still opens', async () => {
    const ana = (chosen: string) => addPerson({ name: 'Ana', password: chosen, role: 'press' })
    expect(await ana('x'.repeat(129))).toMatchObject({ field: 'password', code: 'password-long' })
    const longest = `${' 🖨️ねこ'.repeat(20)}${'x'.repeat(200)}`.slice(0, 128)
    expect(await ana(longest)).toMatchObject({ ok: true })
    expect(await signIn('Ana', longest, none())).toMatchObject({ ok: true })
    // Nothing of it is cut off.
    expect(await signIn('Ana', longest.slice(0, -1), none())).toMatchObject({ ok: false })
    const old = 'y'.repeat(200)
    await db().account.updateMany({ data: { password: await hashPassword(old) } })
    expect(await signIn('Ana', old, none())).toMatchObject({ ok: true })
  })

  test('begins a session of its own each time, by a number that nobody guesses', async () => {
    await addPerson({ name: 'Ana', password, role: 'press' })
    for (let i = 0; i < 5; i++) await signIn('Ana', password, none())
    const tokens = (await db().session.findMany()).map(one => one.token)
    expect(new Set(tokens).size).toBe(5)
    // 32 of 62 signs are 190 bits; OWASP ASVS 4.0.3, 3.2.2 asks for 64.
    for (const token of tokens) expect(token).toMatch(/^[A-Za-z0-9]{32,}$/)
  })
})

test('names that look alike are one: composed and decomposed letters, full-width letters', () => {
  expect(signInName('Ze\u0301')).toBe(signInName('Zé'))
  expect(signInName('Ａna')).toBe('ana')
})

test('the key that signs cookies is made once and readable by its owner only', () => {
  const key = secretKey()
  expect(secretKey()).toBe(key)
  expect(key.length).toBeGreaterThanOrEqual(43)
  const mode = statSync(join(process.env.SHIRTWRIGHT_DATA as string, 'secret')).mode & 0o777
  expect(mode).toBe(0o600)
})
