import { readFile } from 'node:fs/promises'
import { PICTURE_SIZES, pictureFile } from '@/lib/artwork/store'

/** An artwork's picture for the screen as a response: `?size=` 160, 480 (when left out) or 1200 pixels on its longest side. */
export async function pictureResponse(artworkId: string, request: Request): Promise<Response> {
  const asked = Number(new URL(request.url).searchParams.get('size') ?? 480)
  const size = PICTURE_SIZES.find(s => s === asked)
  if (!size) return new Response(`A picture comes at ${PICTURE_SIZES.join(', ')} pixels.`, { status: 400 })
  const file = await pictureFile(artworkId, size)
  if (!file) return new Response('There is no such artwork.', { status: 404 })
  return new Response(new Uint8Array(await readFile(file)), {
    headers: {
      'Content-Type': 'image/webp',
      // The content under an id never changes; only signed-in people and holders of an offer's address may keep it.
      'Cache-Control': 'private, max-age=31536000, immutable',
      'Content-Security-Policy': "default-src 'none'",
    },
  })
}
