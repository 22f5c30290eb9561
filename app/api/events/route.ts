import { live, type Missed } from '@/lib/server/live'
import { personWith } from '@/lib/server/session'

export const dynamic = 'force-dynamic'

/** Between two signs of life; a page that hears none for twice as long connects anew. */
const BEAT_MS = 15_000
/** How long a line stays: then the browser comes back, and it is asked again who is there. */
const LINE_MS = 10 * 60_000
/** Events that a page has not taken in before its line is cut: it comes back and is told in one what it has missed. */
const MOST_WAITING = 200

/**
 * What changes in the shop, as server-sent events: `change` { topics }, `gap` where it is not known what was missed, and `beat` with
 * the server's time. A page that comes back sends the last id that it heard, as Last-Event-ID or `?after=`.
 */
export async function GET(request: Request) {
  const person = await personWith('floor.see')
  if (!person.ok) return new Response(person.message, { status: person.code === 'signed-out' ? 401 : 403 })
  const hub = live()
  const heard = request.headers.get('last-event-id') ?? new URL(request.url).searchParams.get('after')
  const bytes = new TextEncoder()
  let end = () => {}
  const body = new ReadableStream<Uint8Array>(
    {
      start(out) {
        const say = (text: string) => {
          if (out.desiredSize !== null && out.desiredSize < -MOST_WAITING) return end()
          out.enqueue(bytes.encode(text))
        }
        const tell = (m: Missed) =>
          say(
            `id: ${m.id}\n${'gap' in m ? 'event: gap\ndata: {}' : `event: change\ndata: ${JSON.stringify({ topics: m.topics })}`}\n\n`,
          )
        const beat = () => say(`id: ${hub.at}\nevent: beat\ndata: ${JSON.stringify({ now: Date.now() })}\n\n`)
        const stop = hub.listen(tell)
        const timer = setInterval(beat, BEAT_MS)
        const last = setTimeout(() => end(), LINE_MS)
        end = () => {
          end = () => {}
          stop()
          clearInterval(timer)
          clearTimeout(last)
          try {
            out.close()
          } catch {
            // The browser has gone before.
          }
        }
        request.signal.addEventListener('abort', () => end())
        say('retry: 1500\n\n')
        const missed = hub.since(heard)
        if ('gap' in missed || missed.topics.length) tell(missed)
        beat()
      },
      cancel: () => end(),
    },
    new CountQueuingStrategy({ highWaterMark: 1 }),
  )
  return new Response(body, {
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
