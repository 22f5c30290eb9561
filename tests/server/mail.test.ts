import { execFile } from 'node:child_process'
import { mkdtempSync } from 'node:fs'
import { createServer, type Server } from 'node:net'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { afterEach, beforeEach, describe, expect, inject, test, vi } from 'vitest'
import { db } from '@/lib/server/database'
import {
  dropMailServer,
  type MailServer,
  mailServer,
  type Security,
  saveMailServer,
  sendMail,
} from '@/lib/server/mail'
import { seal, unseal } from '@/lib/server/sealed'
import { freshDatabase } from '../support/database'
import { AUTHORITY, type Inbox, openInbox } from '../support/inbox'

const INES = { id: null, name: 'Ines' }
const NOW = new Date('2026-05-14T10:00:00Z')

const open: { close: () => Promise<unknown> | unknown }[] = []
beforeEach(async () => {
  // The mail server of the tests says on each start that its certificate is a public one.
  vi.spyOn(console, 'error').mockImplementation(() => {})
  process.env.SHIRTWRIGHT_DATA = mkdtempSync(join(inject('scratch'), 'mail-'))
  return freshDatabase()
})
afterEach(async () => {
  await Promise.all(open.splice(0).map(one => one.close()))
})
const inbox = async (options: Parameters<typeof openInbox>[0] = {}): Promise<Inbox> => {
  const made = await openInbox(options)
  open.push(made)
  return made
}
const at = (port: number, more: Partial<MailServer> = {}): MailServer => ({
  host: '127.0.0.1',
  port,
  security: 'none',
  user: '',
  password: '',
  from: 'shop@tidewater.example',
  version: 1,
  ...more,
})
const MAIL = {
  fromName: 'Tidewater Print',
  to: 'marta@choir.example',
  subject: 'Offer 1042-1',
  text: 'Hello Marta',
}

describe('a mail', () => {
  test('arrives whole at a real mail server: names in other alphabets, text, and the PDF byte for byte', async () => {
    const box = await inbox()
    const pdf = new Uint8Array([37, 80, 68, 70, 0, 255, 10, 13])
    const sent = await sendMail(at(box.port), {
      ...MAIL,
      fromName: 'Tidewater Prínt, Łódź',
      subject: 'Offer 1042-1: Chór Ćma',
      text: 'Dzień dobry,\n\nhttp://shop.example/offer/abc\n',
      attachments: [{ filename: 'offer-1042-1.pdf', content: pdf, contentType: 'application/pdf' }],
    })
    expect(sent).toMatchObject({ ok: true })
    const [mail] = box.mails
    expect(mail?.to).toEqual(['marta@choir.example'])
    expect(mail?.from).toBe('shop@tidewater.example')
    // Encoded words as RFC 2047 writes them, quoted-printable or base64 as RFC 2045 does.
    expect(mail?.subject).toBe('Offer 1042-1: Chór Ćma')
    expect(mail?.text).toContain('Dzień dobry')
    expect(mail?.text).toContain('http://shop.example/offer/abc')
    expect(mail?.attachment).toEqual(Buffer.from(pdf))
  })
  test('a subject or name that would begin a header of its own stays one line', async () => {
    const box = await inbox()
    await sendMail(at(box.port), { ...MAIL, subject: 'Offer\r\nBcc: thief@evil.example' })
    expect(box.mails[0]?.to).toEqual(['marta@choir.example'])
    expect(box.mails[0]?.raw).not.toMatch(/^Bcc:/im)
  })
  test('does not go, nor does the password, where a secured line shows a certificate that nobody trusts', async () => {
    for (const security of ['tls', 'starttls'] as const) {
      const box = await inbox({ secure: security === 'tls', user: 'shop', password: 'sea' })
      const sent = await sendMail(at(box.port, { security, user: 'shop', password: 'sea' }), MAIL)
      expect(sent).toMatchObject({ ok: false })
      expect(sent.ok || sent.message).toContain('certificate that can be trusted')
      expect(box.mails).toHaveLength(0)
      expect(box.signedIn).toEqual([])
    }
  })
  test.each(['tls', 'starttls'] as const)(
    'goes by a secured line (%s), with name and password, where the certificate can be trusted',
    async security => {
      const box = await inbox({ secure: security === 'tls', trusted: true, user: 'shop', password: 'sea' })
      const server = at(box.port, { security, user: 'shop', password: 'sea' })
      const { stdout } = await promisify(execFile)(
        process.execPath,
        [
          '--conditions=react-server',
          '--import',
          'tsx',
          'tests/support/send-mail.ts',
          JSON.stringify(server),
          JSON.stringify(MAIL),
        ],
        { env: { ...process.env, NODE_EXTRA_CA_CERTS: AUTHORITY } },
      )
      expect(JSON.parse(stdout)).toMatchObject({ ok: true })
      expect(box.signedIn).toEqual(['shop'])
      expect(box.mails).toMatchObject([{ to: [MAIL.to], subject: MAIL.subject }])
    },
  )
  test('goes with name and password', async () => {
    const box = await inbox({ user: 'shop', password: 'sea' })
    expect(await sendMail(at(box.port, { user: 'shop', password: 'sea' }), MAIL)).toMatchObject({ ok: true })
    expect(box.signedIn).toEqual(['shop'])
  })
})

describe('a mail server that does not take it is told in a sentence:', () => {
  test('away', async () => {
    const sent = await sendMail(at(1), MAIL)
    expect(sent).toMatchObject({
      ok: false,
      message: expect.stringMatching(/127\.0\.0\.1, port 1, cannot be reached now: try again/),
    })
  })
  test('no such name', async () => {
    const sent = await sendMail(at(25, { host: 'mail.invalid' }), MAIL)
    expect(sent.ok || sent.message).toMatch(/mail\.invalid, port 25, cannot be reached now/)
  })
  test('breaks off in the middle', async () => {
    const rude: Server = createServer(s => s.end())
    await new Promise<void>(done => rude.listen(0, '127.0.0.1', done))
    open.push({ close: () => new Promise(done => rude.close(done)) })
    const sent = await sendMail(at((rude.address() as { port: number }).port), MAIL)
    expect(sent.ok || sent.message).toMatch(/cannot be reached now|broke off/)
  })
  test('a wrong password', async () => {
    const box = await inbox({ user: 'shop', password: 'sea' })
    const sent = await sendMail(at(box.port, { user: 'shop', password: 'land' }), MAIL)
    expect(sent.ok || sent.message).toMatch(/did not take the user name and password of shop/)
    expect(sent.ok || sent.message).not.toContain('land')
  })
  test('an address it does not take', async () => {
    const box = await inbox({ refuses: 'marta@choir.example' })
    const sent = await sendMail(at(box.port), MAIL)
    expect(sent.ok || sent.message).toMatch(/to marta@choir\.example: check the address\. It said: “550/)
  })
  test('a full mailbox, after the mail was read', async () => {
    const box = await inbox({ full: true })
    const sent = await sendMail(at(box.port), MAIL)
    expect(sent.ok || sent.message).toMatch(/did not take the mail\. It said: “452/)
  })
  test('a password that another computer sealed', async () =>
    expect(await sendMail(at(1, { password: null }), MAIL)).toMatchObject({ code: 'mail-password' }))
})

describe('the mail server that is set', () => {
  const typed = (more: object = {}) => ({
    host: 'smtp.example.com',
    port: 465,
    security: 'tls' as Security,
    user: 'shop',
    password: 'sea' as string | null,
    from: 'shop@tidewater.example',
    version: 0,
    ...more,
  })
  test('is kept with its password sealed; an empty one keeps it; taken away it is gone', async () => {
    expect(await mailServer()).toBeNull()
    expect(await saveMailServer(typed(), INES, NOW)).toMatchObject({ ok: true })
    expect(await mailServer()).toMatchObject({ password: 'sea', version: 1 })
    const row = await db().mailServer.findUnique({ where: { id: 1 } })
    expect(JSON.stringify(row)).not.toContain('sea"')
    expect(JSON.stringify(await db().history.findMany())).not.toContain('"sea"')
    await saveMailServer(typed({ password: null, port: 587, version: 1 }), INES, NOW)
    expect(await mailServer()).toMatchObject({ password: 'sea', port: 587, version: 2 })
    await dropMailServer(INES, NOW)
    expect(await mailServer()).toBeNull()
  })
  test('two people: the second is told', async () => {
    await saveMailServer(typed(), INES, NOW)
    expect(await saveMailServer(typed({ host: 'other' }), INES, NOW)).toMatchObject({ code: 'conflict' })
    expect((await mailServer())?.host).toBe('smtp.example.com')
  })
  test('what is sealed opens with the same secret alone, and not once it was changed', () => {
    const sealed = seal('sea')
    expect(sealed).not.toBe(seal('sea'))
    expect(unseal(sealed)).toBe('sea')
    const bytes = Buffer.from(sealed, 'base64url')
    bytes[bytes.length - 1] = (bytes.at(-1) ?? 0) ^ 1
    expect(unseal(bytes.toString('base64url'))).toBeNull()
    process.env.SHIRTWRIGHT_DATA = mkdtempSync(join(inject('scratch'), 'mail-'))
    expect(unseal(sealed)).toBeNull()
    expect(unseal('')).toBe('')
  })
})
