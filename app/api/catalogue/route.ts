import type { CatalogueAnswer } from '@/lib/orders/outside/order-in'
import type { Size } from '@/lib/shop/blanks'
import { styles } from '@/lib/shop/store'
import { programWith } from '../program'

/** The blanks that can be ordered: code, name, kind, and each colour with the sizes it comes in. */
export async function GET(request: Request) {
  const program = await programWith(request, 'catalogue.read')
  if (program instanceof Response) return program
  const answer: CatalogueAnswer = {
    styles: (await styles()).map(({ code, name, kind, colours }) => ({
      code,
      name,
      kind,
      colours: colours.map(c => ({ name: c.name, hex: c.hex, sizes: c.sizes.map(s => s.size as Size) })),
    })),
  }
  return Response.json(answer, { headers: { 'Cache-Control': 'no-store' } })
}
