/** A picture in plain values: straight (not premultiplied) sRGB RGBA, 8 bits a channel, rows from the top. */
export type Raster = {
  readonly width: number
  readonly height: number
  readonly data: Uint8Array | Uint8ClampedArray
}

/** A rectangle of pixels: `x`, `y` inclusive from the top left; `width`, `height` in pixels. */
export type PixelBox = { x: number; y: number; width: number; height: number }

/** An empty (fully transparent) picture. */
export const blankRaster = (width: number, height: number): Raster => ({
  width,
  height,
  data: new Uint8Array(width * height * 4),
})

/**
 * The pixels as one 32-bit word each: alpha in the top byte, then blue, green, red (little-endian, as every
 * machine that Node 20 is built for here). A view of the same memory where it is aligned, else a copy.
 */
export function pixelWords(raster: Raster): Uint32Array {
  const { data, width, height } = raster
  if (data.byteOffset % 4 === 0) return new Uint32Array(data.buffer, data.byteOffset, width * height)
  return new Uint32Array(data.slice().buffer, 0, width * height)
}

/** The same words as signed numbers. */
export function signedWords(raster: Raster): Int32Array {
  const words = pixelWords(raster)
  return new Int32Array(words.buffer, words.byteOffset, words.length)
}

/** The raster as bytes over the same memory. */
export const rasterBytes = (raster: Raster): Uint8Array =>
  new Uint8Array(raster.data.buffer, raster.data.byteOffset, raster.data.byteLength)
