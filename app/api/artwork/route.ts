import { revalidatePath } from 'next/cache'
import { NextResponse } from 'next/server'
import { inLines, wantsLines } from '@/app/progress-lines'
import { addArtwork } from '@/lib/artwork/store'
import { receive } from '@/lib/server/files'
import { fromElsewhere } from '@/lib/server/origin'
import { personWith } from '@/lib/server/session'

/** Largest artwork file that the counter and the art desk take in. */
const MOST_BYTES = 50 * 1024 * 1024

const refusal = (status: number, message: string) => NextResponse.json({ ok: false, message }, { status })

/** The file's name: from the address, or percent-encoded in a header as the file drop sends it. */
function nameOf(request: Request): string {
  const header = request.headers.get('x-file-name') ?? ''
  let sent = header
  try {
    sent = decodeURIComponent(header)
  } catch {
    // Not percent-encoded: taken as it is.
  }
  const name = new URL(request.url).searchParams.get('name') ?? sent
  return name.replace(/[\p{C}/\\]/gu, ' ').trim()
}

/**
 * Takes one artwork in: the raw file as the body, its name as `?name=` or in X-File-Name. Answers { ok: true, id, name, widthPx,
 * heightPx, alpha, known } or { ok: false, message } with one clear sentence. To whom accepts lines of JSON, each word of progress
 * ({ progress }) comes as a line before. Whoever leaves ends the check, and no file stays.
 */
export async function PUT(request: Request) {
  const person = await personWith('artwork.change')
  if (!person.ok) return refusal(person.code === 'signed-out' ? 401 : 403, person.message)
  if (fromElsewhere(request))
    return refusal(403, 'This came from another site: open the art desk and send it from there.')
  const declared = request.headers.get('content-length')
  const bytes = declared && /^\d+$/.test(declared) ? Number(declared) : null
  const received = await receive(request.body, MOST_BYTES, bytes)
  if (!received.ok) return refusal(received.code === 'too-big' ? 413 : 400, received.message)
  const name = nameOf(request)
  const take = async (signal: AbortSignal, onProgress?: (progress: string) => void) => {
    const added = await addArtwork(
      received.value,
      name,
      person.value,
      new Date(),
      signal,
      onProgress ? { onProgress } : {},
    )
    if (!added.ok) return { ok: false as const, message: added.message }
    const { artwork, known } = added.value
    revalidatePath('/artdesk')
    return {
      ok: true as const,
      id: artwork.id,
      name: artwork.name,
      widthPx: artwork.widthPx,
      heightPx: artwork.heightPx,
      alpha: artwork.alpha,
      known,
    }
  }
  if (wantsLines(request)) return inLines(request, take)
  const answer = await take(request.signal)
  return answer.ok ? NextResponse.json(answer) : refusal(422, answer.message)
}
