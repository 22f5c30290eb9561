import { pictureFile } from '@/lib/artwork/store'
import { refuseAnswer } from '@/lib/orders/agree'
import { offerName, standingOf } from '@/lib/orders/offer'
import type { OfferRecord, OrderView } from '@/lib/orders/order'
import type { Paper } from '@/lib/shop/paper'
import type { Result } from '@/lib/units/result'
import { formatMoment, type Instant } from '@/lib/units/time'
import { layOutAside } from './aside'

/** What has become of an offer, as its paper says it. */
function standingWords(order: OrderView, offer: OfferRecord, now: Instant): string {
  if (offer.agreedAt !== null)
    return `Agreed by ${offer.agreedName}, ${formatMoment(offer.agreedAt, offer.snapshot.page.shop.timeZone)}.`
  return refuseAnswer(order, offer, now)?.message ?? ''
}

/**
 * An offer as a PDF, from the words it kept.
 * @param address of the customer's page, whole
 */
export async function offerPdf(
  order: OrderView,
  offer: OfferRecord,
  { paper, address, now }: { paper: Paper; address: string; now: Instant },
): Promise<Result<Uint8Array>> {
  const { page } = offer.snapshot
  const ids = [...new Set(page.lines.flatMap(l => l.prints.map(p => p.artworkId)))]
  const files = await Promise.all(
    ids.map(async artworkId => ({ artworkId, file: await pictureFile(artworkId, 480).catch(() => null) })),
  )
  const open = standingOf(offer, now) === 'open' && order.state === 'offered'
  return layOutAside({
    page,
    paper,
    standing: standingWords(order, offer, now),
    address: open ? address : '',
    pictures: files.flatMap(({ artworkId, file }) => (file ? [{ artworkId, file }] : [])),
  })
}

/** What the file is called: letters that every file system takes. */
export const pdfName = (order: Pick<OrderView, 'number'>, offer: Pick<OfferRecord, 'version'>): string =>
  `offer-${offerName(order.number, offer.version)}.pdf`

/** The PDF as an answer to a browser. */
export const pdfResponse = (pdf: Uint8Array, name: string): Response =>
  new Response(new Uint8Array(pdf), {
    headers: {
      'Content-Type': 'application/pdf',
      'Content-Disposition': `inline; filename="${name}"`,
      'Cache-Control': 'private, no-store',
    },
  })
