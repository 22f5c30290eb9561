import { eventStream, live } from '@/lib/server/live'
import { personWith } from '@/lib/server/session'

export const dynamic = 'force-dynamic'

/**
 * What changes in the shop, as server-sent events: `change` { topics }, `gap` where it is not known what was missed, and `beat` with
 * the server's time. A page that comes back sends the last id that it heard, as Last-Event-ID or `?after=`.
 */
export async function GET(request: Request) {
  const person = await personWith('floor.see')
  if (!person.ok) return new Response(person.message, { status: person.code === 'signed-out' ? 401 : 403 })
  const heard = request.headers.get('last-event-id') ?? new URL(request.url).searchParams.get('after')
  return new Response(eventStream(live(), heard, request.signal), {
    headers: {
      'Content-Type': 'text/event-stream; charset=utf-8',
      // No-transform: packing would hold events back.
      'Cache-Control': 'no-store, no-transform',
      'X-Accel-Buffering': 'no',
    },
  })
}

/** Whether the browser may listen: how a page learns why its line was refused. */
export async function HEAD() {
  const person = await personWith('floor.see')
  return new Response(null, { status: person.ok ? 204 : 401 })
}
