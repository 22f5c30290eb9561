import 'server-only'
import { createHash, randomUUID } from 'node:crypto'
import { mkdir, readFile, rename, writeFile } from 'node:fs/promises'
import path from 'node:path'
import sharp from 'sharp'
import { ok, type Result, refuse } from '@/lib/units/result'
import { filesFolder } from './data-folder'
import { keptPath } from './files'

/** Largest photo that a station takes in, bytes. The page makes a larger one smaller before it sends it. */
export const MOST_PHOTO_BYTES = 8 * 1024 * 1024
/** Longest side of a photo as it is kept, px. */
const LONGEST_SIDE = 1600

/**
 * Keeps a photo: upright, at most 1600 px, as JPEG, and without what the camera wrote beside it (place, time, device).
 * @returns its content's hash, under which it is kept once
 */
export async function keepPhoto(photo: Blob): Promise<Result<string>> {
  if (photo.size > MOST_PHOTO_BYTES)
    return refuse('too-big', 'The photo is over 8 MB: take it smaller, or report without it.', 'photo')
  let picture: Buffer
  try {
    picture = await sharp(Buffer.from(await photo.arrayBuffer()), { limitInputPixels: 100_000_000 })
      .rotate()
      .resize(LONGEST_SIDE, LONGEST_SIDE, { fit: 'inside', withoutEnlargement: true })
      .jpeg({ quality: 80, mozjpeg: true })
      .toBuffer()
  } catch {
    return refuse(
      'no-picture',
      'This file is no photo that can be read: take a JPEG or PNG, or report without it.',
      'photo',
    )
  }
  const sha256 = createHash('sha256').update(picture).digest('hex')
  const scratch = path.join(filesFolder(), 'incoming', randomUUID())
  await mkdir(path.dirname(scratch), { recursive: true })
  await writeFile(scratch, picture)
  await mkdir(path.dirname(keptPath(sha256)), { recursive: true })
  await rename(scratch, keptPath(sha256))
  return ok(sha256)
}

/** The bytes of a kept photo; null where it is not there any more. */
export const photoBytes = (sha256: string): Promise<Buffer | null> =>
  readFile(keptPath(sha256)).catch(() => null)
