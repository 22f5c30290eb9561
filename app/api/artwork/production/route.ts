import { z } from 'zod'
import { printsToMake } from '@/app/artdesk/desk'
import { inLines } from '@/app/progress-lines'
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
 * Makes the production files of a print, for each of its sizes: { "print": id } as the body. Answers JSON, a line for each word of progress
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
  const prints = await printsToMake(artwork, use, await ratesAt(instantOf(new Date())))
  if (!prints.ok) return refusal(422, prints)
  return inLines(request, async (signal, progress) => {
    for (const print of prints.value) {
      const made = await makeProduction(artwork.sha256, print, signal, { onProgress: progress })
      if (!made.ok) return { ok: false, message: made.message }
    }
    return { ok: true }
  })
}
