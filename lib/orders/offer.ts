import type { SizeRule } from '@/lib/artwork/print-sizes'
import type { Price } from '@/lib/costing/price'
import { type BlankKind, formatFibres, type Size } from '@/lib/shop/blanks'
import { METHOD_WORDS, type MethodId } from '@/lib/shop/methods'
import { PLACEMENT, type PlacementId } from '@/lib/shop/placements'
import type { Minor } from '@/lib/units/money'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { type Instant, instant } from '@/lib/units/time'
import { artworksOf, type OfferRecord, type OrderView, orderPieces } from './order'
import { canMove, refuseMove } from './states'

/** A print as the customer reads it. */
export type OfferPrint = {
  placement: PlacementId
  placementWords: string
  widthMm: number
  heightMm: number
  dropMm: number
  offsetMm: number
  /** Other widths by garment size; left out: one size for all. */
  bySize?: SizeRule[]
  artworkId: string
  artworkName: string
}

/** A line as the customer reads it. Amounts as people are shown them: tax in them where the shop's prices hold tax. */
export type OfferLine = {
  styleName: string
  kind: BlankKind
  colour: string
  colourHex: string
  fibreWords: string
  sizes: { itemId: string; size: Size; quantity: number }[]
  pieces: number
  prints: OfferPrint[]
  each: Minor
  amount: Minor
}

/** The tax as the shop's rates said: its name, its rate in basis points (2300 = 23%), and whether people are shown prices with it. */
export type TaxTerms = { name: string; rateBp: number; inclusive: boolean }

/** Everything on the customer's page. It is kept word for word: editing the order, the shop or the rates changes nothing here. */
export type OfferPage = {
  shop: { name: string; currency: string; timeZone: string; measures: 'metric' | 'imperial' }
  number: number
  version: number
  customer: { name: string; contact: string }
  madeAt: Instant
  validUntil: Instant
  title: string
  methodWords: string
  feel: string
  lines: OfferLine[]
  /** Rush, discount, what is missing to the least order: may be below zero. Lines and extras add up to `shown`. */
  extras: { words: string; amount: Minor }[]
  shown: Minor
  net: Minor
  tax: Minor
  gross: Minor
  taxTerms: TaxTerms
  taxExempt: boolean
  /** Asked for before the work begins; 0 for none. */
  deposit: Minor
  promise: { at: Instant; hard: boolean }
  message: string
  care: string[]
  cautions: string[]
}

/** What an offer keeps: the customer's page, and what the shop needs to do the work as it was priced. */
export type OfferSnapshot = {
  page: OfferPage
  /** For the shop only: the estimate and recipe of the chosen method, as the comparison gave them. */
  work: unknown
  /** Why it was offered below its cost, where it was. */
  belowCostWhy: string
}

/** What an offer is at a moment. */
export type OfferStanding = 'open' | 'agreed' | 'declined' | 'ended' | 'expired'
type Dates = Pick<OfferRecord, 'agreedAt' | 'declinedAt' | 'endedAt' | 'validUntil'>

/** Where an offer stands. Valid until and including the instant it names. */
export function standingOf(offer: Dates, now: Instant): OfferStanding {
  if (offer.agreedAt !== null) return 'agreed'
  if (offer.declinedAt !== null) return 'declined'
  if (offer.endedAt !== null) return 'ended'
  return now > offer.validUntil ? 'expired' : 'open'
}

const DAY_MS = 86_400_000
/** How long the address of an offer can still be read: after an end without agreement, and after an agreement. */
export const READABLE_DAYS = { ended: 60, agreed: 730 } as const

/** When the address of an offer shows nothing any more; null while it can still be agreed. */
export function addressEnds(offer: Dates, now: Instant): Instant | null {
  if (standingOf(offer, now) === 'open') return null
  return offer.agreedAt === null
    ? instant((offer.declinedAt ?? offer.endedAt ?? offer.validUntil) + READABLE_DAYS.ended * DAY_MS)
    : instant(offer.agreedAt + READABLE_DAYS.agreed * DAY_MS)
}

/** Whether an address still shows its offer: it ends some time after the offer does, so that a link that went astray goes blind. */
export function isReadable(offer: Dates, now: Instant): boolean {
  const ends = addressEnds(offer, now)
  return ends === null || now <= ends
}

/** The newest offer that can still be agreed, or null. */
export const openOffer = (offers: readonly OfferRecord[], now: Instant): OfferRecord | null =>
  offers.find(o => standingOf(o, now) === 'open') ?? null

/** What an offer is made of, beyond the order itself. */
export type OfferTerms = {
  method: MethodId
  /** Key of the way in the comparison, where it is not the usual recipe of the method. */
  way?: string | null
  /** How the print feels, in words of the customer. */
  feel: string
  /** Of the order as it stands, its lines in the order's own order. */
  price: Price
  taxTerms: TaxTerms
  promise: { at: Instant; hard: boolean }
  validUntil: Instant
  message: string
  care: string[]
  cautions: string[]
  belowCostWhy: string
  work: unknown
}

/** The offer as it will be saved. */
export type OfferDraft = Pick<
  OfferRecord,
  'version' | 'method' | 'snapshot' | 'net' | 'tax' | 'gross' | 'cost' | 'validUntil'
>

/** Why an order cannot be offered as it stands, or null: no pieces, no print, a print without artwork, a wrong state. */
export function refuseOffering(order: OrderView): Refusal | null {
  // A newer offer may replace one that the customer has not answered.
  if (order.state !== 'offered' && !canMove(order.state, 'offered'))
    return refuseMove(order.number, order.state, 'offered')
  if (orderPieces(order) === 0)
    return refuse('noPieces', `Order ${order.number} has no pieces: give at least one size a quantity.`)
  for (const line of order.lines) {
    if (line.prints.length === 0)
      return refuse(
        'noPrint',
        `Nothing is printed on the ${line.colour} ${line.style.name}: add a print first.`,
      )
    for (const print of line.prints)
      if (!print.artwork)
        return refuse(
          'noArtwork',
          `A print on the ${line.colour} ${line.style.name} has no artwork: the price comes from its picture, so add it first.`,
        )
  }
  return null
}

/** The lines of an order as the customer reads them, with what each costs. */
function linesOf(order: OrderView, price: Price): OfferLine[] {
  return order.lines.map((line, i) => {
    const priced = price.lines[i]
    const pieces = line.sizes.reduce((sum, s) => sum + s.quantity, 0)
    if (!priced || priced.pieces !== pieces)
      throw new RangeError(`Line ${i + 1} has ${pieces} pieces, its price has ${priced?.pieces ?? 'none'}.`)
    return {
      styleName: line.style.name,
      kind: line.style.kind,
      colour: line.colour,
      colourHex: line.colourHex,
      fibreWords: formatFibres(line.style.fibres),
      sizes: line.sizes,
      pieces,
      prints: line.prints.flatMap(({ artwork, id: _, position: __, ...print }) =>
        artwork
          ? [
              {
                ...print,
                placementWords: PLACEMENT[print.placement].name,
                artworkId: artwork.id,
                artworkName: artwork.name,
              },
            ]
          : [],
      ),
      each: priced.each,
      amount: priced.amount,
    }
  })
}

const extrasOf = ({ rush, discount, topUp }: Price): OfferPage['extras'] =>
  [
    { words: 'Rush', amount: rush },
    { words: 'Discount', amount: discount },
    { words: 'Up to the least order', amount: topUp },
  ].filter(e => e.amount !== 0)

/**
 * Decides an offer: what is kept, word for word.
 * @param shop as it is called today
 * @param nextVersion one above the newest offer of this order
 * @throws RangeError when price and order do not fit: that is a fault of the caller, not of the person
 */
export function decideOffer(
  order: OrderView,
  terms: OfferTerms,
  shop: OfferPage['shop'],
  nextVersion: number,
  now: Instant,
): Result<OfferDraft> {
  const no = refuseOffering(order)
  if (no) return no
  const { price, promise, validUntil } = terms
  const { net, tax, gross, cost, shown, deposit } = price
  if (validUntil <= now)
    return refuse('validUntil', 'An offer must be valid for some time: choose a later day.', 'validUntil')
  if (promise.at <= now)
    return refuse('promise', 'The promise is in the past: choose a later day or hour.', 'promiseDay')
  if (net < 0) return refuse('price', 'A price below zero cannot be offered.', 'discount')
  if (net < cost && !terms.belowCostWhy)
    return refuse(
      'belowCost',
      'This price is below what the order costs: say why, or raise it.',
      'belowCostWhy',
    )
  const lines = linesOf(order, price)
  const extras = extrasOf(price)
  const parts = [...lines, ...extras].reduce((sum, part) => sum + part.amount, 0)
  if (parts !== shown || net + tax !== gross)
    throw new RangeError(
      `The offer's parts (${parts}) do not add up to ${shown}, or ${net} + ${tax} to ${gross}.`,
    )
  if (order.customer.taxExempt && tax !== 0)
    throw new RangeError(`The customer is exempt, and the price holds ${tax} of tax.`)
  const page: OfferPage = {
    shop,
    number: order.number,
    version: nextVersion,
    customer: { name: order.customer.name, contact: order.customer.contact },
    madeAt: now,
    validUntil,
    title: order.title,
    methodWords: METHOD_WORDS[terms.method].name,
    feel: terms.feel,
    lines,
    extras,
    shown,
    net,
    tax,
    gross,
    taxTerms: terms.taxTerms,
    taxExempt: order.customer.taxExempt,
    deposit,
    promise,
    message: terms.message,
    care: terms.care,
    cautions: terms.cautions,
  }
  return ok({
    version: nextVersion,
    method: terms.method,
    snapshot: { page, work: terms.work, belowCostWhy: net < cost ? terms.belowCostWhy : '' },
    net,
    tax,
    gross,
    cost,
    validUntil,
  })
}

/**
 * The same offer with a later last day, as a version of its own: what a customer has read stays as it was read.
 * @param offer the newest of the order
 */
export function decideRenewal(
  order: Pick<OrderView, 'number' | 'state' | 'version'>,
  offer: OfferRecord,
  validUntil: Instant,
  now: Instant,
): Result<OfferDraft> {
  if (order.state !== 'offered')
    return refuseMove(order.number, order.state, 'offered') ?? refuseStale(order.number)
  if (validUntil <= now)
    return refuse('validUntil', 'An offer must be valid for some time: choose a later day.', 'validUntil')
  if (validUntil <= offer.validUntil)
    return refuse('validUntil', 'It holds that long already: choose a later day.', 'validUntil')
  const { page } = offer.snapshot
  if (page.promise.at <= now)
    return refuse(
      'promise',
      'The day that it promises has passed: compare the methods again, and offer a new day.',
    )
  const version = offer.version + 1
  return ok({
    version,
    method: offer.method,
    snapshot: { ...offer.snapshot, page: { ...page, version, madeAt: now, validUntil } },
    net: offer.net,
    tax: offer.tax,
    gross: offer.gross,
    cost: offer.cost,
    validUntil,
  })
}
const refuseStale = (number: number): Refusal =>
  refuse('state', `Order ${number} is not offered: compare the methods, and make an offer.`)

/** The artworks of an order that nobody has recorded a basis for. */
export const unclearedOf = (order: Pick<OrderView, 'lines'>) =>
  artworksOf(order.lines).filter(a => a.rights.basis === null)

/** "An offer 1042-2" as people and papers call it. */
export const offerName = (number: number, version: number): string => `${number}-${version}`
