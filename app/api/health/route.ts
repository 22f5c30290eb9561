import { health } from '@/lib/server/health'

export const dynamic = 'force-dynamic'

/** Whether this server works, which kind of shop it has, and how far the opening of one is. */
export async function GET() {
  const now = await health()
  return Response.json(now, { status: now.ok ? 200 : 503, headers: { 'Cache-Control': 'no-store' } })
}
