import type { SizeRule } from '@/lib/artwork/print-sizes'
import type { BlankKind, FibreContent, Size } from '@/lib/shop/blanks'
import type { MethodId } from '@/lib/shop/methods'
import type { PlacementId } from '@/lib/shop/placements'
import type { Minor } from '@/lib/units/money'
import type { Instant } from '@/lib/units/time'
import type { OfferSnapshot } from './offer'
import type { OrderState } from './states'

/** Who orders. Texts are as typed; markup in them is text. */
export type Customer = {
  id: string
  name: string
  contact: string
  email: string
  phone: string
  address: string
  note: string
  taxExempt: boolean
  version: number
}

/** The basis on which an artwork may be sold, as it stands now: null where nobody has recorded one, or it was taken back. */
export type ArtworkRights = {
  basis: string | null
  /** True where the shop has taken a recorded basis back: then a customer's word alone does not bring it back. */
  takenBack: boolean
  evidence: string
  byName: string
  at: Instant | null
}

/** A picture on an order. */
export type OrderArtwork = {
  id: string
  name: string
  widthPx: number
  heightPx: number
  alpha: boolean
  rights: ArtworkRights
}

/** One artwork at one placement, at a physical size. Lengths in mm; drop from the collar seam, offset from the middle. */
export type OrderPrint = {
  id: string
  position: number
  placement: PlacementId
  widthMm: number
  heightMm: number
  dropMm: number
  offsetMm: number
  /** Other widths by garment size; left out: one size for all. */
  bySize?: SizeRule[]
  artwork: OrderArtwork | null
}

/** One blank style in one colour with its sizes, smallest first. */
export type OrderLine = {
  id: string
  position: number
  style: { id: string; code: string; name: string; kind: BlankKind; fibres: FibreContent }
  colour: string
  colourHex: string
  sizes: { itemId: string; size: Size; quantity: number }[]
  prints: OrderPrint[]
}

/** An offer as it is kept. What the customer reads is in the snapshot, word for word. */
export type OfferRecord = {
  id: string
  version: number
  token: string
  method: MethodId
  snapshot: OfferSnapshot
  net: Minor
  tax: Minor
  gross: Minor
  /** The estimated cost behind it: for the shop only. */
  cost: Minor
  validUntil: Instant
  createdAt: Instant
  byName: string
  openedAt: Instant | null
  agreedAt: Instant | null
  agreedName: string | null
  declinedAt: Instant | null
  endedAt: Instant | null
}

export const PAYMENT_KINDS = ['deposit', 'rest', 'refund'] as const
export type PaymentKind = (typeof PAYMENT_KINDS)[number]
export const PAYMENT_MEANS = ['cash', 'card', 'transfer'] as const
export type PaymentMeans = (typeof PAYMENT_MEANS)[number]

/** Money that changed hands: + received, − given back. */
export type Payment = {
  id: string
  kind: PaymentKind
  amount: Minor
  means: PaymentMeans
  note: string
  at: Instant
  byName: string
}

/** An order with all that belongs to it, as every room reads it. */
export type OrderView = {
  id: string
  number: number
  customer: Customer
  state: OrderState
  title: string
  note: string
  /** What the customer asks to be changed, until the next offer answers it. */
  asked: string
  promiseAt: Instant | null
  promiseHard: boolean
  rush: boolean
  method: MethodId | null
  /** The recipe or the other printer chosen, where it is not the usual recipe of the method. */
  way: string | null
  enquiredAt: Instant
  offeredAt: Instant | null
  agreedAt: Instant | null
  agreedBy: string | null
  readyAt: Instant | null
  handedOverAt: Instant | null
  endedAt: Instant | null
  endedWhy: string
  /** What was agreed, whatever is edited later. */
  agreed: OfferSnapshot | null
  net: Minor | null
  tax: Minor | null
  gross: Minor | null
  /** Of the gross, asked for before the work begins. */
  deposit: Minor | null
  /** Of the gross, given up since by credit notes. */
  credit: Minor
  version: number
  lines: OrderLine[]
  /** Newest first. */
  offers: OfferRecord[]
  /** Oldest first. */
  payments: Payment[]
}

/** Pieces of an order in all. */
export const orderPieces = (order: Pick<OrderView, 'lines'>): number =>
  order.lines.reduce((sum, line) => sum + line.sizes.reduce((s, z) => s + z.quantity, 0), 0)

/** Each artwork of an order once, in the order of its prints. */
export function artworksOf(lines: readonly OrderLine[]): OrderArtwork[] {
  const seen = new Map<string, OrderArtwork>()
  for (const line of lines)
    for (const print of line.prints) if (print.artwork) seen.set(print.artwork.id, print.artwork)
  return [...seen.values()]
}

/** What a person calls the order: its title, else what is printed on what. */
export function orderTitle(order: {
  title: string
  lines: readonly { colour: string; style: { name: string } }[]
}): string {
  if (order.title) return order.title
  const first = order.lines[0]
  if (!first) return 'nothing on it yet'
  const more = order.lines.length - 1
  return `${first.colour} ${first.style.name}${more ? ` and ${more} more` : ''}`
}
