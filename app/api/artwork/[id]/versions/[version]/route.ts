import { readFile } from 'node:fs/promises'
import { z } from 'zod'
import { fileWord } from '@/lib/artwork/production'
import { getArtworkWithUses } from '@/lib/artwork/store'
import { keptPath } from '@/lib/server/files'
import { personWith } from '@/lib/server/session'

const address = z.object({ id: z.uuid(), version: z.uuid() })

/** The file of a mended version that somebody kept, to be saved. */
export async function GET(
  _request: Request,
  { params }: { params: Promise<{ id: string; version: string }> },
) {
  const person = await personWith('artwork.see')
  if (!person.ok) return new Response(person.message, { status: person.code === 'signed-out' ? 401 : 403 })
  const asked = address.safeParse(await params)
  const artwork = asked.success ? await getArtworkWithUses(asked.data.id) : null
  const version = artwork?.versions.find(v => v.id === asked.data?.version)
  if (!artwork || !version?.mend) return new Response('There is no such version.', { status: 404 })
  const name = `${fileWord(artwork.name.replace(/\.\w+$/, ''))}-on-${version.cloth.slice(1)}.png`
  return new Response(new Uint8Array(await readFile(keptPath(version.sha256))), {
    headers: {
      'Content-Type': 'image/png',
      'Content-Disposition': `attachment; filename="${name}"`,
      'Cache-Control': 'private, max-age=31536000, immutable',
      'Content-Security-Policy': "default-src 'none'",
    },
  })
}
