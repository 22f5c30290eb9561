import * as z from 'zod'
import { misprintPhoto } from '@/lib/floor/views/store'
import { photoBytes } from '@/lib/server/photo'
import { personWith } from '@/lib/server/session'

/** The photo of a misprint, for people of the shop. */
export async function GET(_request: Request, { params }: { params: Promise<{ id: string }> }) {
  const person = await personWith('floor.see')
  if (!person.ok) return new Response(person.message, { status: person.code === 'signed-out' ? 401 : 403 })
  const id = z.uuid().safeParse((await params).id)
  const kept = id.success ? await misprintPhoto(id.data) : null
  const bytes = kept && (await photoBytes(kept))
  if (!bytes) return new Response('There is no photo of this misprint.', { status: 404 })
  return new Response(new Uint8Array(bytes), {
    headers: {
      'Content-Type': 'image/jpeg',
      'Cache-Control': 'private, max-age=31536000, immutable',
      'Content-Security-Policy': "default-src 'none'",
    },
  })
}
