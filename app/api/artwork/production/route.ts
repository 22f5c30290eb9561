import { z } from 'zod'
import { printToMake } from '@/app/artdesk/desk'
import { artworkOfPrint, getArtworkWithUses, makeProduction } from '@/lib/artwork/store'
import { fromOwnPage } from '@/lib/server/origin'
import { personWith } from '@/lib/server/session'
import { ratesAt } from '@/lib/shop/store'
import { type Refusal, refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'

const wanted = z.object({ print: z.uuid() })

const refusal = (status: number, { message }: Pick<Refusal, 'message'>) =>
  Response.json({ ok: false, message }, { status })

/**
 * Makes the production files of a print: { "print": id } as the body. Answers JSON, a line for each word of progress
 * ({ "progress": "waiting" | "making" }) and a last one: { "ok": true } or { "ok": false, "message" }. Leaving ends the work.
 */
export async function POST(request: Request) {
  const person = await personWith('artwork.see')
  if (!person.ok) return refusal(person.code === 'signed-out' ? 401 : 403, person)
  if (!fromOwnPage(request)) return refusal(403, { message: 'Files are made from the art desk’s own pages.' })
  const asked = wanted.safeParse(await request.json().catch(() => null))
  const artworkId = asked.success ? await artworkOfPrint(asked.data.print) : null
  const artwork = artworkId ? await getArtworkWithUses(artworkId) : null
  const use = artwork?.uses.find(u => u.printId === asked.data?.print)
  if (!artwork || !use)
    return refusal(404, refuse('unknown', 'This print is on no order any more: open the artwork again.'))
  const print = await printToMake(artwork, use, await ratesAt(instantOf(new Date())))
  if (!print.ok) return refusal(422, print)
  const { value } = print
  const stop = new AbortController()
  const lines = new TextEncoder()
  const body = new ReadableStream<Uint8Array>({
    async start(out) {
      const say = (line: object): void => {
        if (!stop.signal.aborted) out.enqueue(lines.encode(`${JSON.stringify(line)}\n`))
      }
      try {
        const made = await makeProduction(artwork.sha256, value, stop.signal, {
          onProgress: progress => say({ progress }),
        })
        say(made.ok ? { ok: true } : { ok: false, message: made.message })
      } catch {
        say({ ok: false, message: 'The files could not be made: try again, and look at the shop’s disk.' })
      }
      if (!stop.signal.aborted) out.close()
    },
    cancel: () => stop.abort(),
  })
  return new Response(body, {
    headers: { 'Content-Type': 'application/x-ndjson', 'Cache-Control': 'no-store' },
  })
}
