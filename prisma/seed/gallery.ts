import { createHash, randomUUID } from 'node:crypto'
import { mkdir, writeFile } from 'node:fs/promises'
import path from 'node:path'
import { addArtwork, keepInkColour } from '@/lib/artwork/store'
import { filesFolder } from '@/lib/server/data-folder'
import type { Actor } from '@/lib/server/history'
import type { Instant } from '@/lib/units/time'
import { DRAWINGS, type Drawing } from './drawings'
import { pngOf } from './png'

/** Key of a drawing of the demo. */
export type DrawingKey = keyof typeof DRAWINGS

/** Spot inks that the demo shop prints with, by their names on the pots. */
const INKS: readonly [name: string, hex: string][] = [
  ['Oat white', '#f4f1de'],
  ['Harbour teal', '#3d8b8b'],
  ['Coral', '#ee6c4d'],
  ['Marigold', '#ffb703'],
  ['Ink navy', '#264653'],
  ['Post red', '#c1121f'],
]

/** Names the demo shop's inks. */
export async function nameInks(by: Actor, now: Instant): Promise<void> {
  for (const [name, hex] of INKS) await keepInkColour({ name, hex }, by, new Date(now))
}

/** Draws every artwork of the demo and takes it in the way an upload is. @returns artwork ids by drawing */
export async function hangGallery(by: Actor, now: Instant): Promise<Record<DrawingKey, string>> {
  const folder = path.join(filesFolder(), 'incoming')
  await mkdir(folder, { recursive: true })
  const ids = {} as Record<DrawingKey, string>
  for (const [key, drawing] of Object.entries(DRAWINGS) as [DrawingKey, Drawing][]) {
    const png = await pngOf(drawing)
    const file = path.join(folder, randomUUID())
    await writeFile(file, png)
    const sha256 = createHash('sha256').update(png).digest('hex')
    const added = await addArtwork({ path: file, sha256, bytes: png.length }, drawing.name, by, new Date(now))
    if (!added.ok) throw new Error(`${drawing.name}: ${added.message}`)
    ids[key] = added.value.artwork.id
  }
  return ids
}
