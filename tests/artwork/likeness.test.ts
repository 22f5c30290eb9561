import sharp from 'sharp'
import { describe, expect, it } from 'vitest'
import { decodeArtwork } from '@/lib/artwork/decode'
import { resized } from '@/lib/artwork/encode'
import { solidOf } from '@/lib/artwork/knockout'
import { likenessGap, likenessOf, recognise } from '@/lib/artwork/likeness'
import { boundsOf } from '@/lib/artwork/mask'
import { mirrored } from '@/lib/artwork/mirror'
import { type Raster, rasterBytes } from '@/lib/artwork/raster'
import { painted, pixel } from './pictures'

const art = (seed: number): Raster =>
  painted(240, 200, (x, y) => {
    const at = (k: number): number => 20 + ((seed * (k + 3) * 7919) % 170)
    for (let k = 0; k < 6; k++)
      if (Math.hypot(x - at(k), y - at(k + 9)) < 12 + 5 * k)
        return pixel(['#e4572e', '#17bebb', '#ffc914', '#2e282a', '#76b041', '#ffffff'][k]!)
    return null
  })
const likeness = (raster: Raster): string => likenessOf(raster, boundsOf(solidOf(raster)))

describe('the same artwork coming back', () => {
  const first = art(5)
  const print = { sha256: 'a', likeness: likeness(first) }
  it('is known in another size', async () => {
    for (const width of [120, 480, 900]) {
      const other = await resized(first, width, Math.round((width * 200) / 240))
      expect(recognise(print, { sha256: 'b', likeness: likeness(other) })).toBe('same-art')
    }
  })
  it('is known after a lossy save, and with an empty margin around it', async () => {
    const { width, height } = first
    const image = sharp(rasterBytes(first), { raw: { width, height, channels: 4 } })
    const lossy = await decodeArtwork(await image.clone().webp({ quality: 40 }).toBuffer())
    if (!lossy.ok) throw new Error(lossy.message)
    expect(likenessGap(print.likeness, likeness(lossy.value.raster))).toBeLessThanOrEqual(8)
    const wider = painted(400, 400, (x, y) =>
      x >= 60 && x < 300 && y >= 90 && y < 290
        ? new Uint32Array(first.data.buffer)[(y - 90) * 240 + x - 60]!
        : null,
    )
    expect(recognise(print, { sha256: 'c', likeness: likeness(wider) })).toBe('same-art')
  })
  it('is the same file when its bytes are', () => expect(recognise(print, { ...print })).toBe('same-file'))
  it('is not taken for other art, nor for its mirror', () => {
    for (const seed of [1, 2, 3, 4, 6, 7, 8, 9])
      expect(recognise(print, { sha256: 'd', likeness: likeness(art(seed)) })).toBeNull()
    expect(recognise(print, { sha256: 'e', likeness: likeness(mirrored(first)) })).toBeNull()
  })
})
