import { readNumber } from '@/app/number-in-address'
import { layOutAside } from '@/app/offer/paper/aside'
import { pdfResponse } from '@/app/offer/paper/offer-pdf'
import { personWith } from '@/lib/server/session'
import { findPurchase } from '@/lib/stock/purchases/store'
import { paperOf } from '../../purchase-paper'

/** A purchase as the PDF that its supplier gets. */
export async function GET(_request: Request, { params }: { params: Promise<{ number: string }> }) {
  const person = await personWith('stock.buy')
  if (!person.ok) return new Response(person.message, { status: 403 })
  const number = readNumber((await params).number)
  const purchase = number !== null ? await findPurchase(number) : null
  if (!purchase) return new Response('There is no such purchase: choose one from the list.', { status: 404 })
  const made = await layOutAside({ purchase: await paperOf(purchase) })
  return made.ok
    ? pdfResponse(made.value, `order-${purchase.number}.pdf`)
    : new Response(made.message, { status: 503 })
}
