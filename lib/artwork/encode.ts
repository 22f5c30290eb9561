/** Pixels into files, by the image library: the other way of decode.ts. */
import sharp from 'sharp'
import { withPhys } from './png'
import { type Raster, rasterBytes } from './raster'
import { PRODUCTION_PPI } from './size'

/** A PNG of the picture, RGBA of 8 bits, that declares its resolution in pHYs. */
export async function pngOf(raster: Raster, ppi: number = PRODUCTION_PPI): Promise<Uint8Array> {
  const { width, height } = raster
  const bytes = await sharp(rasterBytes(raster), {
    raw: { width, height, channels: 4 },
    limitInputPixels: false,
  })
    .png({ compressionLevel: 6 })
    .toBuffer()
  return withPhys(bytes, ppi)
}

/** A greyscale PNG of 8 bits from one byte a pixel (0 black), that declares its resolution. */
export async function greyPngOf(
  grey: Uint8Array,
  width: number,
  height: number,
  ppi: number = PRODUCTION_PPI,
): Promise<Uint8Array> {
  const bytes = await sharp(grey, { raw: { width, height, channels: 1 }, limitInputPixels: false })
    .toColourspace('b-w')
    .png({ compressionLevel: 6 })
    .toBuffer()
  return withPhys(bytes, ppi)
}

/** The picture at another number of pixels, by Lanczos (never ringing across transparency: the library premultiplies). */
export async function resized(raster: Raster, width: number, height: number): Promise<Raster> {
  if (width === raster.width && height === raster.height) return raster
  const { data } = await sharp(rasterBytes(raster), {
    raw: { width: raster.width, height: raster.height, channels: 4 },
    limitInputPixels: false,
  })
    .resize(width, height, { fit: 'fill', kernel: 'lanczos3' })
    .raw({ depth: 'uchar' })
    .toBuffer({ resolveWithObject: true })
  return { width, height, data }
}
