import { pixelWords, type Raster } from './raster'

/** The picture as in a mirror, left for right: how sublimation paper is printed. Twice gives the original. */
export function mirrored(raster: Raster): Raster {
  const { width, height } = raster
  const words = pixelWords(raster).slice()
  for (let y = 0; y < height; y++) words.subarray(y * width, (y + 1) * width).reverse()
  return { width, height, data: new Uint8Array(words.buffer) }
}
