import { ok, type Result, refuse } from '@/lib/units/result'

/** Longest side that is sent, px: enough to see a crooked print, little enough for bad reception. */
const LONGEST_SIDE = 1600
/** Beyond this a phone may run out of memory by opening it, bytes. */
const MOST_BYTES = 80e6

/**
 * Makes a photo small before it is kept or sent: at most 1600 px, as JPEG, without what the camera wrote beside it. One that this
 * browser cannot open is refused with a way on.
 */
export async function smallPhoto(file: Blob): Promise<Result<Blob>> {
  if (file.size > MOST_BYTES)
    return refuse(
      'too-big',
      `The photo has ${Math.round(file.size / 1e6)} MB, and ${MOST_BYTES / 1e6} MB is the most that can be made smaller here: take it again at a smaller size, or report without it.`,
      'photo',
    )
  try {
    const whole = await createImageBitmap(file, { imageOrientation: 'from-image' })
    const scale = Math.min(1, LONGEST_SIDE / Math.max(whole.width, whole.height))
    const canvas = document.createElement('canvas')
    canvas.width = Math.max(1, Math.round(whole.width * scale))
    canvas.height = Math.max(1, Math.round(whole.height * scale))
    canvas.getContext('2d')?.drawImage(whole, 0, 0, canvas.width, canvas.height)
    whole.close()
    const small = await new Promise<Blob | null>(done => canvas.toBlob(done, 'image/jpeg', 0.82))
    if (small) return ok(small)
  } catch {
    // Said below.
  }
  return refuse(
    'no-picture',
    'This file is no photo that can be opened here: take a JPEG or PNG, or report without it.',
    'photo',
  )
}
