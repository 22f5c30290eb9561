import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import type { Instant } from '@/lib/units/time'
import { offerName, standingOf, unclearedOf } from './offer'
import type { OfferRecord, OrderView } from './order'
import { canMove, refuseMove } from './states'

/** What the customer sends with an agreement. */
export type Consent = {
  /** As typed, 2 … 120 characters. */
  name: string
  /** Whether the customer declares to hold the rights in the artwork of the order, or the owner's permission. */
  declares: boolean
}

/** What an agreement changes. All of it is saved, or nothing. */
export type Agreement = {
  offer: Pick<OfferRecord, 'agreedAt' | 'agreedName'>
  order: Pick<
    OrderView,
    | 'state'
    | 'agreedAt'
    | 'agreedBy'
    | 'method'
    | 'agreed'
    | 'net'
    | 'tax'
    | 'gross'
    | 'deposit'
    | 'promiseAt'
    | 'promiseHard'
    | 'asked'
  >
  /** Artworks whose basis becomes this customer's declaration. */
  declarations: { artworkId: string; evidence: string }[]
  /** Blanks to promise to the order. */
  blanks: { itemId: string; quantity: number }[]
  /** In words, for the history. */
  what: string
}

/** Why an offer can no longer be answered, or null. One sentence that its customer reads. */
export function refuseAnswer(
  order: Pick<OrderView, 'number'>,
  offer: OfferRecord,
  now: Instant,
): Refusal | null {
  const name = offerName(order.number, offer.version)
  switch (standingOf(offer, now)) {
    case 'open':
      return null
    case 'agreed':
      return refuse(
        'agreed',
        `Offer ${name} was already agreed by ${offer.agreedName}: nothing more is needed.`,
      )
    case 'declined':
      return refuse('declined', `Offer ${name} was declined: ask the shop for a new one.`)
    case 'ended':
      return refuse(
        'ended',
        `Offer ${name} no longer holds, since a newer one replaced it or it was taken back: ask the shop.`,
      )
    case 'expired':
      return refuse(
        'expired',
        `Offer ${name} was valid until an earlier day and has ended: ask the shop for a new one.`,
      )
  }
}

/**
 * Decides an agreement. No offer is agreed while any artwork on it has no recorded basis: the customer may declare one here, with
 * name and date, unless the shop has taken a basis back. The order's own lines decide the rights, the snapshot all else.
 */
export function decideAgreement(
  order: OrderView,
  offer: OfferRecord,
  consent: Consent,
  now: Instant,
): Result<Agreement> {
  const no = refuseAnswer(order, offer, now)
  if (no) return no
  if (!canMove(order.state, 'agreed')) return refuseMove(order.number, order.state, 'agreed') as Refusal
  const uncleared = unclearedOf(order)
  const stopped = uncleared.find(a => a.rights.takenBack)
  if (stopped)
    return refuse(
      'takenBack',
      `The shop may not print “${stopped.name}” as things stand: ask the shop about the rights in it.`,
    )
  if (uncleared.length && !consent.declares)
    return refuse(
      'uncleared',
      `Nobody has recorded that “${uncleared[0]?.name}” may be printed: tick the declaration if the rights are yours or you have the owner’s permission, or ask the shop.`,
      'declares',
    )
  const name = offerName(order.number, offer.version)
  const { page } = offer.snapshot
  const blanks = new Map<string, number>()
  for (const line of page.lines)
    for (const { itemId, quantity } of line.sizes)
      if (quantity > 0) blanks.set(itemId, (blanks.get(itemId) ?? 0) + quantity)
  return ok({
    offer: { agreedAt: now, agreedName: consent.name },
    order: {
      state: 'agreed',
      agreedAt: now,
      agreedBy: consent.name,
      method: offer.method,
      agreed: offer.snapshot,
      net: offer.net,
      tax: offer.tax,
      gross: offer.gross,
      deposit: page.deposit,
      promiseAt: page.promise.at,
      promiseHard: page.promise.hard,
      asked: '',
    },
    declarations: uncleared.map(a => ({
      artworkId: a.id,
      evidence: `Declared by ${consent.name} when agreeing to offer ${name}`,
    })),
    blanks: [...blanks].map(([itemId, quantity]) => ({ itemId, quantity })),
    what: `${consent.name} agreed to offer ${name}`,
  })
}
