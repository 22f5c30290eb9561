import 'server-only'
import { db, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { ok, type Result, refuse } from '@/lib/units/result'
import { type Instant, instantOf } from '@/lib/units/time'
import type { OfferMailInput } from '../input'
import { offerName, standingOf } from '../offer'
import { getOrder } from '../store'
import { LONGEST_SENDING_MS, MAIL_STATES, type MailState } from './offer-mail'

/** A mail that took an offer to its customer. */
export type OfferMailRow = {
  id: string
  /** Version of the offer. */
  offer: number
  to: string
  subject: string
  state: MailState
  /** What the mail server said, or why it was not sent. */
  answer: string
  at: Instant
  byName: string
}

/** Every mail with an offer of an order, newest first. */
export async function offerMails(orderId: string): Promise<OfferMailRow[]> {
  const rows = await db().offerMail.findMany({
    where: { offer: { orderId } },
    orderBy: { at: 'desc' },
    include: { offer: { select: { version: true } } },
  })
  return rows.map(({ offer, at, state, id, to, subject, answer, byName }) => ({
    id,
    offer: offer.version,
    to,
    subject,
    state: MAIL_STATES.find(s => s === state) ?? 'failed',
    answer,
    at: instantOf(at),
    byName,
  }))
}

/**
 * Sends an offer by mail and keeps what was sent. The same form sent twice, even at once, sends one mail; one that failed can be sent
 * again. What was written is kept before anything is sent, so a server that is away loses nothing.
 * @param send hands the mail over, outside any transaction
 */
export async function sendOffer(
  number: number,
  input: OfferMailInput,
  send: () => Promise<Result<string>>,
  by: Actor,
  now: Instant,
): Promise<Result<{ to: string; again: boolean }>> {
  const begun = await begin(number, input, by, now)
  if (!begun.ok) return begun
  const { id, orderId, again } = begun.value
  if (again) return ok({ to: input.to, again })
  const sent = await send()
  await transaction(async tx => {
    await tx.offerMail.update({
      where: { id },
      data: sent.ok ? { state: 'sent', answer: sent.value } : { state: 'failed', answer: sent.message },
    })
    const name = offerName(number, input.offer)
    await record({
      by,
      what: sent.ok ? `sent offer ${name} to ${input.to}` : `could not send offer ${name} to ${input.to}`,
      entity: 'order',
      ref: orderId,
      after: { answer: sent.ok ? sent.value : sent.message },
      at: new Date(now),
    })
  })
  return sent.ok ? ok({ to: input.to, again: false }) : sent
}

function begin(
  number: number,
  input: OfferMailInput,
  by: Actor,
  now: Instant,
): Promise<Result<{ id: string; orderId: string; again: boolean }>> {
  return transaction(async tx => {
    const order = await getOrder(number)
    const offer = order?.offers.find(o => o.version === input.offer)
    if (!order || !offer)
      return refuse('unknown', `There is no such offer of order ${number}: look it up again.`)
    const known = await tx.offerMail.findUnique({ where: { formKey: input.formKey } })
    if (known?.state === 'sent') return ok({ id: known.id, orderId: order.id, again: true })
    if (known?.state === 'sending' && now - known.at.getTime() < LONGEST_SENDING_MS)
      return refuse('sending', 'This mail is on its way already: look again in a minute.')
    if (order.state !== 'offered' || standingOf(offer, now) !== 'open')
      return refuse(
        'ended',
        `Offer ${offerName(number, offer.version)} can no longer be answered: nothing was sent.`,
      )
    const { to, subject, text, formKey } = input
    const data = { to, subject, text, state: 'sending', answer: '', at: new Date(now), byName: by.name }
    const row = await tx.offerMail.upsert({
      where: { formKey },
      create: { ...data, formKey, offerId: offer.id },
      update: data,
    })
    return ok({ id: row.id, orderId: order.id, again: false })
  })
}
