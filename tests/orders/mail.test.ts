import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, test } from 'vitest'
import { offerMailInput } from '@/lib/orders/input'
import { LONGEST_SENDING_MS, offerMail } from '@/lib/orders/mail/offer-mail'
import { offerMails, sendOffer } from '@/lib/orders/mail/store'
import type { OrderView } from '@/lib/orders/order'
import { declineOffer, findOffer, getOrder, renewOffer } from '@/lib/orders/store'
import { db } from '@/lib/server/database'
import { ok, type Result, refuse } from '@/lib/units/result'
import { instant } from '@/lib/units/time'
import { freshDatabase } from '../support/database'
import { INES, offer, type Stocked, stockUp } from './books'
import { at, NOW } from './builders'

let s: Stocked
beforeEach(async () => {
  const close = await freshDatabase()
  s = await stockUp()
  return close
})
const mail = (more: object = {}) => ({
  to: 'marta@choir.example',
  subject: 'Offer',
  text: 'Hello Marta',
  offer: 1,
  formKey: randomUUID(),
  ...more,
})
/** A server that takes what it is given, after a moment, and counts. */
function server(answer: Result<string> = ok('250 taken')) {
  const took = { count: 0 }
  const send = async () => {
    await new Promise(done => setTimeout(done, 20))
    took.count++
    return answer
  }
  return { took, send }
}

describe('sending an offer', () => {
  test('keeps what was written, to whom, and what the server said', async () => {
    const { number } = await offer(s)
    const { send } = server()
    expect(await sendOffer(number, mail(), send, INES, NOW)).toEqual(
      ok({ to: 'marta@choir.example', again: false }),
    )
    const order = (await getOrder(number)) as OrderView
    expect(await offerMails(order.id)).toMatchObject([
      { offer: 1, to: 'marta@choir.example', state: 'sent', answer: '250 taken', byName: 'Ines' },
    ])
    expect(await db().offerMail.findFirst()).toMatchObject({ text: 'Hello Marta' })
    expect((await db().history.findMany({ where: { what: { contains: 'sent offer' } } })).length).toBe(1)
  })
  test('the same form sent twice at once sends one mail, and later says so', async () => {
    const { number } = await offer(s)
    const { took, send } = server()
    const form = mail()
    const both = await Promise.all([1, 2].map(() => sendOffer(number, form, send, INES, NOW)))
    expect(both.filter(b => b.ok)).toHaveLength(1)
    expect(both.find(b => !b.ok)).toMatchObject({ code: 'sending' })
    expect(await sendOffer(number, form, send, INES, NOW)).toMatchObject({ ok: true, value: { again: true } })
    expect(took.count).toBe(1)
  })
  test('a server that is away loses nothing: what was written is kept, and the same form can be sent again', async () => {
    const { number, token } = await offer(s)
    const away = server(refuse('mail', 'The mail server cannot be reached now.'))
    const form = mail()
    expect(await sendOffer(number, form, away.send, INES, NOW)).toMatchObject({
      ok: false,
      message: 'The mail server cannot be reached now.',
    })
    expect(await db().offerMail.findFirst()).toMatchObject({ state: 'failed', text: 'Hello Marta' })
    expect((await findOffer(token))?.order.state).toBe('offered')
    expect(await sendOffer(number, form, server().send, INES, NOW)).toMatchObject({ ok: true })
    expect(await db().offerMail.findMany()).toMatchObject([{ state: 'sent' }])
  })
  test('one that was cut off by a power cut can be sent again once it is surely not on its way', async () => {
    const { number } = await offer(s)
    const form = mail()
    const never = sendOffer(number, form, () => new Promise(() => {}), INES, NOW)
    await new Promise(done => setTimeout(done, 100))
    const later = (ms: number) => sendOffer(number, form, server().send, INES, instant(NOW + ms))
    expect(await later(LONGEST_SENDING_MS - 1)).toMatchObject({ code: 'sending' })
    expect(await later(LONGEST_SENDING_MS)).toMatchObject({ ok: true })
    void never
  })
  test('an offer that can no longer be answered is not sent', async () => {
    const { number, token } = await offer(s)
    await declineOffer({ token, name: 'Marta', why: '', now: NOW })
    const { took, send } = server()
    expect(await sendOffer(number, mail(), send, INES, NOW)).toMatchObject({ code: 'ended' })
    expect(took.count).toBe(0)
    expect(await db().offerMail.count()).toBe(0)
  })
  test('the mail that is suggested greets its customer and holds the address and the last day', async () => {
    const { token } = await offer(s)
    const found = await findOffer(token)
    if (!found) throw new Error('no offer')
    const { subject, text } = offerMail(found.offer.snapshot.page, 'Ines', 'https://shop.example/offer/abc')
    expect(subject).toBe('Offer 1001-1 from Tidewater Print: Spring concert')
    expect(text).toContain('Hello Gull Row Choir,')
    expect(text).toContain('\nhttps://shop.example/offer/abc\n')
    expect(text).toContain('28 May 2026')
    expect(text).toContain('Ines, Tidewater Print')
  })
  test.each([
    ['to', '', 'The address is empty'],
    ['to', 'marta', 'not an e-mail address'],
    ['to', 'marta@choir.example, other@choir.example', 'not an e-mail address'],
    ['subject', ' ', 'The subject is empty'],
    ['text', '', 'The text is empty'],
  ])('%s “%s” is refused', (field, value, said) => {
    const read = offerMailInput.safeParse({ ...mail(), offer: '1', [field]: value })
    expect(read.error?.issues.map(i => i.message).join()).toContain(said)
  })
})

describe('offering the same for longer', () => {
  const last = at('2026-06-15', '23:59')
  test('makes a new version with the same words and price; the one before ends as it was read', async () => {
    const { number, token } = await offer(s, { promise: { at: at('2026-07-01', '17:00'), hard: false } })
    const before = await findOffer(token)
    // After its last day, too: nobody had answered.
    const now = at('2026-06-01', '09:00')
    const made = await renewOffer(number, { version: 1, validUntil: last }, INES, now)
    if (!made.ok) throw new Error(made.message)
    const after = await findOffer(made.value.token)
    expect(after?.offer).toMatchObject({ version: 2, validUntil: last, gross: before?.offer.gross })
    expect(after?.offer.snapshot.page).toEqual({
      ...before?.offer.snapshot.page,
      version: 2,
      madeAt: now,
      validUntil: last,
    })
    const old = await findOffer(token)
    expect(old?.offer.snapshot).toEqual(before?.offer.snapshot)
    expect(old?.offer.endedAt).toBe(now)
    expect(made.value.token).not.toBe(token)
  })
  test('twice at once makes one version', async () => {
    const { number } = await offer(s, { promise: { at: at('2026-07-01', '17:00'), hard: false } })
    const both = await Promise.all(
      [1, 2].map(() => renewOffer(number, { version: 1, validUntil: last }, INES, NOW)),
    )
    expect(both.filter(b => b.ok)).toHaveLength(1)
    expect(both.find(b => !b.ok)).toMatchObject({ code: 'conflict' })
  })
  test('an earlier day, a promise that has passed, and an order that is not offered are refused', async () => {
    const { number, token } = await offer(s)
    const renew = (validUntil = last, now = NOW) => renewOffer(number, { version: 1, validUntil }, INES, now)
    expect(await renew(at('2026-05-20', '23:59'))).toMatchObject({ ok: false, field: 'validUntil' })
    expect(await renew(last, at('2026-06-01', '09:00'))).toMatchObject({ ok: false, code: 'promise' })
    await declineOffer({ token, name: 'Marta', why: '', now: NOW })
    expect(await renew()).toMatchObject({ ok: false, code: 'state' })
    expect(await db().offer.count()).toBe(1)
  })
})
