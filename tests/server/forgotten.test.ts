import { mkdtempSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { afterEach, beforeEach, describe, expect, inject, test, vi } from 'vitest'
import { auth } from '@/lib/server/auth'
import { db } from '@/lib/server/database'
import { faults } from '@/lib/server/fault-book'
import { askForReset, resetByMail } from '@/lib/server/forgotten'
import { saveMailServer } from '@/lib/server/mail'
import {
  beginSecondFactor,
  confirmSecondFactor,
  endSecondFactor,
  signInByCode,
} from '@/lib/server/own-sign-in'
import { signIn } from '@/lib/server/sign-in'
import { changeMailAddress, invite, resetPassword, setActive } from '@/lib/server/sign-ins'
import { freshDatabase } from '../support/database'
import { type Inbox, openInbox } from '../support/inbox'
import { timeCode } from '../support/time-code'

const OWNER = { id: null, name: 'Ines' }
const OLD = 'four quiet presses'
const NEW = 'five loud presses'
const ADDRESS = 'https://print.example.com'
const none = () => new Headers()

let box: Inbox
let last: () => Promise<void>
/** Every test asks under a name of its own: tries are counted by name, and outlive a test. */
let turn = 0
let name: string
let id: string

beforeEach(async () => {
  vi.spyOn(console, 'error').mockImplementation(() => {})
  process.env.SHIRTWRIGHT_DATA = mkdtempSync(join(inject('scratch'), 'forgotten-'))
  last = await freshDatabase()
  box = await openInbox({})
  await db().shop.create({
    data: {
      id: 1,
      name: 'Tidewater Print',
      currency: 'EUR',
      timeZone: 'Europe/Lisbon',
      measures: 'metric',
      publicAddress: ADDRESS,
    },
  })
  const server = { host: '127.0.0.1', security: 'none' as const, user: '', password: '', version: 0 }
  await saveMailServer({ ...server, port: box.port, from: 'shop@tidewater.example' }, OWNER, new Date())
  name = `Ana ${turn++}`
  const made = await invite({ name, password: OLD, role: 'counter', email: 'Ana@Example.com' }, OWNER)
  if (!made.ok) throw new Error(made.message)
  id = made.value.id
})
afterEach(async () => {
  await box.close()
  await last()
})

/** Waits for so many mails: they go out after the answer. */
async function mails(count: number) {
  for (let i = 0; i < 300 && box.mails.length < count; i++) await sleep(10)
  expect(box.mails).toHaveLength(count)
  return box.mails
}
const keyIn = (text: string | undefined) => /new-password\?key=(\S+)/.exec(text ?? '')?.[1] ?? ''
async function key(): Promise<string> {
  const before = box.mails.length
  expect(await askForReset(name, none())).toMatchObject({ ok: true })
  return keyIn((await mails(before + 1)).at(-1)?.text)
}

describe('a forgotten password', () => {
  test('is replaced by the key of a mail, once; whoever was signed in is out; and a mail tells it', async () => {
    await auth().api.signInUsername({ body: { username: name, password: OLD } })
    const sent = await key()
    const [mail] = box.mails
    expect(mail?.to).toEqual(['ana@example.com'])
    expect(mail?.subject).toBe('A new password for Tidewater Print')
    expect(mail?.text).toContain(`${ADDRESS}/sign-in/new-password?key=`)
    // What is kept in the database opens nothing: not even the owner of a backup can use it.
    const kept = await db().verification.findMany()
    expect(kept).toHaveLength(1)
    expect(JSON.stringify(kept)).not.toContain(sent)

    expect(await resetByMail(sent, NEW, none())).toMatchObject({ ok: true, value: name })
    expect(await db().session.count()).toBe(0)
    expect(await signIn(name, OLD, none())).toMatchObject({ code: 'wrong-name-or-password' })
    expect(await signIn(name, NEW, none())).toMatchObject({ ok: true })
    expect(await resetByMail(sent, 'six more presses', none())).toMatchObject({ code: 'stale-key' })
    expect((await mails(2))[1]?.subject).toBe('Your password for Tidewater Print was changed')
    expect((await db().history.findMany({ where: { ref: id } })).map(l => l.what)).toEqual(
      expect.arrayContaining(['asked for a new password by mail', 'set a new password by mail']),
    )
  })

  test('two that use one key at the same moment: one of them counts', async () => {
    const sent = await key()
    const both = await Promise.all([NEW, 'six more presses'].map(word => resetByMail(sent, word, none())))
    expect(both.filter(b => b.ok)).toHaveLength(1)
    expect(both.find(b => !b.ok)).toMatchObject({ code: 'stale-key' })
  })

  test('a password that will not do is refused, and the key stays good', async () => {
    const sent = await key()
    expect(await resetByMail(sent, 'short', none())).toMatchObject({ ok: false, field: 'password' })
    expect(await resetByMail(sent, name, none())).toMatchObject({ ok: false, field: 'password' })
    expect(await resetByMail(sent, NEW, none())).toMatchObject({ ok: true })
  })

  test('a key ends after an hour', async () => {
    const sent = await key()
    await db().verification.updateMany({ data: { expiresAt: new Date(Date.now() - 1) } })
    expect(await resetByMail(sent, NEW, none())).toMatchObject({ code: 'stale-key' })
    const again = await key()
    const [row] = await db().verification.findMany({ orderBy: { createdAt: 'desc' } })
    const minutes = ((row?.expiresAt.getTime() ?? 0) - Date.now()) / 60_000
    expect(minutes).toBeGreaterThan(58)
    expect(minutes).toBeLessThanOrEqual(60)
    expect(again).not.toBe(sent)
  })

  test.each([
    ['the address is another', () => changeMailAddress(id, 'other@example.com', OWNER)],
    ['the owner gives a password', () => resetPassword(id, 'seven calm presses', OWNER)],
    ['they are let in no more', () => setActive(id, false, OWNER)],
  ])('a key ends when %s', async (_, change) => {
    const sent = await key()
    expect(await change()).toMatchObject({ ok: true })
    expect(await resetByMail(sent, NEW, none())).toMatchObject({ code: 'stale-key' })
  })

  test('a second factor is asked for afterwards all the same', async () => {
    await db().person.update({ where: { id }, data: { twoFactorEnabled: true } })
    await db().twoFactor.create({ data: { id: 'one', secret: 'sealed', backupCodes: '', userId: id } })
    expect(await resetByMail(await key(), NEW, none())).toMatchObject({ ok: true })
    expect(await db().twoFactor.count()).toBe(1)
    expect(await signIn(name, NEW, none())).toMatchObject({ ok: true, value: 'code' })
  })
})

describe('asking for a mail', () => {
  test('answers the same for nobody, for somebody without an address, and for somebody who left; none of them gets one', async () => {
    await invite({ name: `Rui ${turn}`, password: OLD, role: 'press' }, OWNER)
    await setActive(id, false, OWNER)
    const said = [
      await askForReset(`Nobody ${turn}`, none()),
      await askForReset(`Rui ${turn}`, none()),
      await askForReset(name, none()),
    ]
    expect(said).toEqual([said[0], said[0], said[0]])
    expect(said[0]).toMatchObject({ ok: true })
    await sleep(150)
    expect(box.mails).toHaveLength(0)
    expect(await db().verification.count()).toBe(0)
  })

  test('fills nobody’s mailbox: the fourth within a quarter of an hour is refused, known or not', async () => {
    for (const who of [name, `Nobody else ${turn}`]) {
      for (let i = 0; i < 3; i++) expect(await askForReset(who, none())).toMatchObject({ ok: true })
      expect(await askForReset(who, none())).toMatchObject({ code: 'too-many-tries' })
    }
    await mails(3)
  })

  test('writes the shop’s own address into the mail, whatever host the browser names', async () => {
    const forged = new Headers({
      host: 'evil.example',
      'x-forwarded-host': 'evil.example',
      origin: 'http://evil.example',
    })
    expect(await askForReset(name, forged)).toMatchObject({ ok: true })
    const [mail] = await mails(1)
    expect(mail?.text).toContain(`${ADDRESS}/sign-in/new-password`)
    expect(mail?.raw).not.toContain('evil.example')
  })

  test('leads to the owner where the shop has not said its address', async () => {
    await db().shop.updateMany({ data: { publicAddress: '' } })
    expect(await askForReset(name, none())).toMatchObject({ ok: false, code: 'not-by-mail' })
  })

  test('a mail server that is away stands in the book of faults, without the address', async () => {
    await box.close()
    expect(await askForReset(name, none())).toMatchObject({ ok: true })
    for (let i = 0; i < 200 && faults(1).length === 0; i++) await sleep(10)
    expect(faults(1)).toMatchObject([{ code: 'mail', doing: 'a mail about a password' }])
    expect(JSON.stringify(faults(9))).not.toContain('ana@')
    box = await openInbox({})
  })
})

test('two people cannot have one address, and what is none is refused', async () => {
  const made = await invite({ name: 'Rui', password: OLD, role: 'press', email: 'ana@example.com' }, OWNER)
  expect(made).toMatchObject({ ok: false, field: 'email' })
  expect(await db().person.count()).toBe(1)
  expect(await changeMailAddress(id, 'no address', OWNER)).toMatchObject({ ok: false, field: 'email' })
  expect(await changeMailAddress(id, '', OWNER)).toMatchObject({ ok: true })
  expect((await db().person.findFirstOrThrow()).email).toMatch(/@people\.invalid$/)
})

test('whatever changes how somebody signs in, and a code that is used twice, is told to the address they have left, or had', async () => {
  const ana = { id, name }
  const sends = (answer: Headers) =>
    new Headers({
      cookie: answer
        .getSetCookie()
        .map(line => line.split(';')[0])
        .join('; '),
    })
  const come = async () =>
    (await auth().api.signInUsername({ body: { username: name, password: OLD }, returnHeaders: true }))
      .headers
  const begun = await beginSecondFactor(OLD, ana, sends(await come()))
  if (!begun.ok) throw new Error(begun.message)
  const first = sends(await come())
  const code = (away: number) => timeCode(begun.value.secret, Date.now() / 1000 + away * 30)
  expect(await confirmSecondFactor(code(-1), ana, first)).toMatchObject({ ok: true })
  await mails(1)
  const used = code(0)
  expect(await signInByCode(used, sends(await come()))).toMatchObject({ ok: true })
  expect(await signInByCode(used, sends(await come()))).toMatchObject({ code: 'used-code' })
  await mails(2)
  const { headers } = await auth().api.verifyTOTP({
    body: { code: code(0) },
    headers: sends(await come()),
    returnHeaders: true,
  })
  expect(await endSecondFactor(OLD, ana, sends(headers))).toMatchObject({ ok: true })
  await mails(3)
  expect(await changeMailAddress(id, 'new@example.com', OWNER)).toMatchObject({ ok: true })
  await mails(4)
  expect(await resetPassword(id, NEW, OWNER)).toMatchObject({ ok: true })
  expect((await mails(5)).map(mail => [mail.to.join(), mail.subject])).toEqual([
    ['ana@example.com', 'Signing in at Tidewater Print asks for a code now'],
    ['ana@example.com', 'A code was used twice at Tidewater Print'],
    ['ana@example.com', 'Signing in at Tidewater Print asks for no code any more'],
    ['ana@example.com', 'Mails about your password for Tidewater Print come here no more'],
    ['new@example.com', 'Your password for Tidewater Print was changed'],
  ])
  for (const mail of box.mails) expect(mail.text).not.toMatch(new RegExp(`${OLD}|${NEW}|${used}`))
})
