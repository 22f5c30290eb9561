import { createReadStream } from 'node:fs'
import { stat } from 'node:fs/promises'
import { Readable } from 'node:stream'
import { productionFile, productionPicture } from '@/lib/artwork/store'
import { personWith } from '@/lib/server/session'

const TYPES = [
  ['.png', 'image/png'],
  ['.pdf', 'application/pdf'],
] as const

/** One production file, to be saved under its own name; with ?picture a small picture of it for the screen. */
export async function GET(request: Request, { params }: { params: Promise<{ key: string; file: string }> }) {
  const person = await personWith('artwork.see')
  if (!person.ok) return new Response(person.message, { status: person.code === 'signed-out' ? 401 : 403 })
  const { key, file: name } = await params
  if (new URL(request.url).searchParams.has('picture')) {
    const picture = await productionPicture(key, name)
    if (!picture) return new Response('There is no such picture.', { status: 404 })
    return new Response(new Uint8Array(picture), {
      headers: {
        'Content-Type': 'image/webp',
        'Cache-Control': 'private, max-age=31536000, immutable',
        'Content-Security-Policy': "default-src 'none'",
      },
    })
  }
  const file = await productionFile(key, name)
  const type = TYPES.find(([ending]) => name.endsWith(ending))?.[1]
  if (!file || !type)
    return new Response('There is no such file: make it again on the artwork’s page.', { status: 404 })
  return new Response(Readable.toWeb(createReadStream(file)) as ReadableStream, {
    headers: {
      'Content-Type': type,
      'Content-Length': String((await stat(file)).size),
      // Names are small letters, figures and dashes: nothing in them needs quoting.
      'Content-Disposition': `attachment; filename="${name}"`,
      'Cache-Control': 'private, max-age=31536000, immutable',
      'Content-Security-Policy': "default-src 'none'",
    },
  })
}
