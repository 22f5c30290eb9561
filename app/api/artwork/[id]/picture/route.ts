import { pictureResponse } from '@/app/picture-response'
import { personWith } from '@/lib/server/session'

/** The picture of an artwork for people of the shop. */
export async function GET(request: Request, { params }: { params: Promise<{ id: string }> }) {
  const person = await personWith('artwork.pictures')
  if (!person.ok) return new Response(person.message, { status: person.code === 'signed-out' ? 401 : 403 })
  return pictureResponse((await params).id, request)
}
