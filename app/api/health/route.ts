import { database, hasDatabase } from '@/lib/server/database'
import { isDemo } from '@/lib/server/demo'
import { opening } from '@/lib/server/supervisor'

export const dynamic = 'force-dynamic'

/** Whether this server works, which kind of shop it has, and how far the opening of one is. */
export async function GET() {
  const noStore = { 'Cache-Control': 'no-store' }
  if (!hasDatabase())
    return Response.json({ ok: true, shop: null, opening: opening() ?? null }, { headers: noStore })
  const shop = isDemo() ? 'demo' : 'own'
  try {
    await database().$queryRaw`SELECT 1`
    return Response.json({ ok: true, shop, opening: opening() ?? null }, { headers: noStore })
  } catch {
    return Response.json({ ok: false, shop }, { status: 503, headers: noStore })
  }
}
