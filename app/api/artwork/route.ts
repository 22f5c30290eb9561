import { revalidatePath } from 'next/cache'
import { NextResponse } from 'next/server'
import { addArtwork } from '@/lib/artwork/store'
import { receive } from '@/lib/server/files'
import { personWith } from '@/lib/server/session'

/** Largest artwork file that the counter and the art desk take in. */
const MOST_BYTES = 50 * 1024 * 1024

const refusal = (status: number, message: string) => NextResponse.json({ message }, { status })

/**
 * Takes one artwork in: the raw file as the body, its name as `?name=`. Answers { id, name, widthPx, heightPx, alpha, known } or
 * { message } with one clear sentence.
 */
export async function PUT(request: Request) {
  const person = await personWith('artwork.change')
  if (!person.ok) return refusal(person.code === 'signed-out' ? 401 : 403, person.message)
  const declared = request.headers.get('content-length')
  const bytes = declared && /^\d+$/.test(declared) ? Number(declared) : null
  const received = await receive(request.body, MOST_BYTES, bytes)
  if (!received.ok) return refusal(received.code === 'too-big' ? 413 : 400, received.message)
  const name = (new URL(request.url).searchParams.get('name') ?? '').replace(/[\p{C}/\\]/gu, ' ').trim()
  const added = await addArtwork(received.value, name, person.value)
  if (!added.ok) return refusal(422, added.message)
  const { artwork, known } = added.value
  revalidatePath('/artdesk')
  return NextResponse.json({
    id: artwork.id,
    name: artwork.name,
    widthPx: artwork.widthPx,
    heightPx: artwork.heightPx,
    alpha: artwork.alpha,
    known,
  })
}
