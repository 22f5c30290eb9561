import { openApi } from '@/lib/orders/outside/openapi'
import { hasDatabase } from '@/lib/server/health'
import { shop } from '@/lib/shop/store'
import { problem } from '../program'

/** What programs may ask of the shop, as an OpenAPI document. It tells nothing of the shop but its name, which its offers tell too. */
export async function GET() {
  if (!hasDatabase()) return problem(503, 'There is no shop here yet.')
  return Response.json(openApi((await shop()).name), { headers: { 'Cache-Control': 'no-store' } })
}
