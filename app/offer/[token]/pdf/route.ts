import { offerAddress } from '@/app/counter/offer-address'
import { isReadable } from '@/lib/orders/offer'
import { findOffer } from '@/lib/orders/store'
import { hasDatabase } from '@/lib/server/health'
import { oftenDrawn } from '@/lib/server/paper-limit'
import { readPaper } from '@/lib/shop/paper'
import { shop } from '@/lib/shop/store'
import { instantOf } from '@/lib/units/time'
import { offerPdf, pdfName, pdfResponse } from '../../paper/offer-pdf'

/** The offer of this address as a PDF: `?paper=a4` or `letter`, else on the shop's own paper. */
export async function GET(request: Request, { params }: { params: Promise<{ token: string }> }) {
  const { token } = await params
  const found = hasDatabase() ? await findOffer(token) : null
  const now = instantOf(new Date())
  if (!found || !isReadable(found.offer, now))
    return new Response('There is no offer at this address: ask the shop that sent it.', { status: 404 })
  const often = await oftenDrawn(found.offer.token)
  if (often)
    return new Response(often.refusal.message, {
      status: 429,
      headers: { 'Retry-After': String(often.seconds), 'Cache-Control': 'no-store' },
    })
  const paper = readPaper(new URL(request.url).searchParams.get('paper'), (await shop()).paper)
  const made = await offerPdf(found.order, found.offer, { paper, address: await offerAddress(token), now })
  return made.ok
    ? pdfResponse(made.value, pdfName(found.order, found.offer))
    : new Response(made.message, { status: 503 })
}
