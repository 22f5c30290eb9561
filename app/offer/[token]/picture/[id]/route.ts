import { pictureResponse } from '@/app/picture-response'
import { isReadable } from '@/lib/orders/offer'
import { findOffer } from '@/lib/orders/store'
import { hasDatabase } from '@/lib/server/health'
import { instantOf } from '@/lib/units/time'

/** The picture of an artwork that is on the offer of this address; of no other artwork. */
export async function GET(request: Request, { params }: { params: Promise<{ token: string; id: string }> }) {
  const { token, id } = await params
  const found = hasDatabase() ? await findOffer(token) : null
  const shown =
    found &&
    isReadable(found.offer, instantOf(new Date())) &&
    found.offer.snapshot.page.lines.some(l => l.prints.some(p => p.artworkId === id))
  return shown
    ? pictureResponse(id, request)
    : new Response('There is no such picture on this offer.', { status: 404 })
}
