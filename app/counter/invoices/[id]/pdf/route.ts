import { layOutAside } from '@/app/offer/paper/aside'
import { pdfResponse } from '@/app/offer/paper/offer-pdf'
import { findInvoice } from '@/lib/books/invoices/store'
import { personWith } from '@/lib/server/session'
import { readPaper } from '@/lib/shop/paper'
import { shop } from '@/lib/shop/store'

/** An invoice or a credit note as a PDF: `?paper=a4` or `letter`, else on the shop's own paper. */
export async function GET(request: Request, { params }: { params: Promise<{ id: string }> }) {
  const person = await personWith('prices.see')
  if (!person.ok)
    return new Response(`${person.message}\n`, { status: person.code === 'signed-out' ? 401 : 403 })
  const found = await findInvoice((await params).id)
  if (!found) return new Response('There is no such invoice: open it from its order.\n', { status: 404 })
  const { name, paper: own } = await shop()
  const paper = readPaper(new URL(request.url).searchParams.get('paper'), own)
  const made = await layOutAside({ invoice: found.page, shopName: name, paper })
  const file = `${found.page.kind === 'credit' ? 'credit-note' : 'invoice'}-${found.page.name.replace(/[^\w-]/g, '-')}.pdf`
  return made.ok ? pdfResponse(made.value, file) : new Response(made.message, { status: 503 })
}
