/** Files into pixels, by the image library; what is done with the pixels is decided in the plain files beside it. */
import { createHash } from 'node:crypto'
import sharp, { type Metadata } from 'sharp'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { Artwork, FileFacts } from './artwork'
import { bytesOf } from './files'
import { drawFirstPage } from './pdf-pages'
import { declaredPpi, pngChunks } from './png'
import { isCutShort, sniff } from './sniff'
import { inspectSvg } from './svg'

/** Most pixels that are taken in: 9,000 × 12,000 and a little more. Decoded they are four bytes each. */
export const MOST_PIXELS = 120_000_000
/** Largest file that is read into memory. */
export const MOST_BYTES = 200_000_000

// One artwork after the other, each far larger than the library's cache is meant for.
sharp.cache(false)

/** Reads an artwork file. Every file that cannot be used is refused in one sentence, before it is decoded if possible. */
export async function readArtwork(
  path: string,
  options: { vectorWidthPx?: number } = {},
): Promise<Result<Artwork>> {
  const bytes = await bytesOf(path, MOST_BYTES)
  return bytes.ok ? decodeArtwork(bytes.value, options) : bytes
}

/**
 * Decodes the bytes of a PNG, JPEG, WebP, TIFF, SVG or PDF into straight sRGB RGBA of 8 bits.
 * @param options.vectorWidthPx width to draw an SVG or PDF at, in pixels; raster files keep their own
 */
export async function decodeArtwork(
  bytes: Buffer,
  options: { vectorWidthPx?: number } = {},
): Promise<Result<Artwork>> {
  if (bytes.length === 0)
    return refuse('empty', 'The file is empty (0 bytes): export it again and choose the new file.')
  if (bytes.length > MOST_BYTES) return refuse('too-heavy', tooHeavy(bytes.length))
  const header = sniff(bytes)
  if (!header)
    return refuse(
      'not-a-picture',
      'The file is not a PNG, JPEG, WebP, TIFF, SVG or PDF: export the art as PNG.',
    )
  const sha256 = createHash('sha256').update(bytes).digest('hex')
  if (header.format === 'svg') return drawSvg(bytes, sha256, options.vectorWidthPx ?? 3000)
  if (header.format === 'pdf') return drawPdf(bytes, sha256, options.vectorWidthPx ?? 3000)
  const size = declaredSize(header.width, header.height)
  if (!size.ok) return size
  if (isCutShort(bytes)) return refuse('cut-short', CUT_SHORT)
  return decodeRaster(bytes, sha256, header.format)
}

async function decodeRaster(
  bytes: Buffer,
  sha256: string,
  format: FileFacts['format'],
): Promise<Result<Artwork>> {
  try {
    const image = sharp(bytes, { limitInputPixels: MOST_PIXELS, failOn: 'error' })
    const meta = await image.metadata()
    const size = declaredSize(meta.width, meta.height)
    if (!size.ok) return size
    const { data, info } = await image
      .autoOrient()
      .toColourspace('srgb')
      .ensureAlpha()
      .raw({ depth: 'uchar' })
      .toBuffer({ resolveWithObject: true })
    if (info.channels !== 4) return refuse('damaged', DAMAGED)
    const ppi =
      format === 'png'
        ? declaredPpi(pngChunks(bytes).chunks)
        : meta.density && meta.density > 1
          ? meta.density
          : null
    return ok({
      raster: { width: info.width, height: info.height, data },
      file: {
        sha256,
        format,
        widthPx: info.width,
        heightPx: info.height,
        alpha: meta.hasAlpha === true,
        declaredPpi: ppi,
        convertedFrom: convertedFrom(meta),
        pages: meta.pages ?? 1,
        drawnText: false,
        vector: false,
      },
    })
  } catch (error) {
    return refuse(...reason(error, format))
  }
}

async function drawSvg(bytes: Buffer, sha256: string, widthPx: number): Promise<Result<Artwork>> {
  const text = new TextDecoder('utf-8').decode(bytes)
  const svg = inspectSvg(text)
  if (!svg.ok) return svg
  const { width, height } = svg.value
  const size = declaredSize(widthPx, Math.max(1, Math.round((widthPx * height) / width)))
  if (!size.ok) return size
  try {
    // From bytes, not from a path: so the renderer has no folder to resolve a reference against.
    const { data, info } = await sharp(bytes, {
      density: Math.max(1, Math.min(100_000, (72 * widthPx) / width)),
      limitInputPixels: MOST_PIXELS,
      failOn: 'error',
    })
      .resize(widthPx, size.value.height, { fit: 'fill' })
      .toColourspace('srgb')
      .ensureAlpha()
      .raw({ depth: 'uchar' })
      .toBuffer({ resolveWithObject: true })
    return ok({
      raster: { width: info.width, height: info.height, data },
      file: {
        sha256,
        format: 'svg',
        widthPx: info.width,
        heightPx: info.height,
        alpha: true,
        declaredPpi: null,
        convertedFrom: null,
        pages: 1,
        drawnText: svg.value.text,
        vector: true,
      },
    })
  } catch (error) {
    return refuse(...reason(error, 'svg'))
  }
}

async function drawPdf(bytes: Buffer, sha256: string, widthPx: number): Promise<Result<Artwork>> {
  const drawn = await drawFirstPage(bytes, widthPx, MOST_PIXELS)
  if (!drawn.ok) return drawn
  const { raster, pages } = drawn.value
  return ok({
    raster,
    file: {
      sha256,
      format: 'pdf',
      widthPx: raster.width,
      heightPx: raster.height,
      alpha: true,
      declaredPpi: null,
      convertedFrom: null,
      pages,
      drawnText: false,
      vector: true,
    },
  })
}

const CUT_SHORT = 'The file is cut short: part of it is missing, so export or upload it again.'
const DAMAGED =
  'The file is damaged and cannot be read to its end: export it again from the program it was drawn in.'
const tooHeavy = (bytes: number): string =>
  `The file is ${Math.round(bytes / 1e6)} MB and at most ${MOST_BYTES / 1e6} MB are taken: export it at 300 ppi for its printed size.`

function declaredSize(
  width: number | null | undefined,
  height: number | null | undefined,
): Result<{ width: number; height: number }> {
  if (!width || !height) return refuse('cut-short', CUT_SHORT)
  if (width * height > MOST_PIXELS)
    return refuse(
      'too-large',
      `The picture is ${width} × ${height} pixels and at most ${MOST_PIXELS / 1e6} million are taken: export it at 300 ppi for its printed size.`,
    )
  return ok({ width, height })
}

function convertedFrom(meta: Metadata): FileFacts['convertedFrom'] {
  if (meta.space === 'cmyk') return 'CMYK'
  if (meta.space === 'b-w' || meta.space === 'grey16') return 'greyscale'
  if (meta.depth === 'ushort' || meta.space === 'rgb16') return '16 bits a channel'
  if (meta.icc && !/sRGB/i.test(meta.icc.toString('latin1').replaceAll('\0', '')))
    return 'another RGB profile'
  return null
}

/** The image library's own words, turned into one sentence for the person at the counter. */
function reason(error: unknown, format: FileFacts['format']): [code: string, message: string] {
  const said = error instanceof Error ? error.message : String(error)
  if (/pixel limit/i.test(said))
    return [
      'too-large',
      `The picture has more than ${MOST_PIXELS / 1e6} million pixels: export it at 300 ppi for its printed size.`,
    ]
  // A PNG's chunks were counted before: one that stops early inside them is damaged, not cut short.
  if (
    format !== 'png' &&
    /premature end|truncated|cut short|end of (stream|file)|unexpected end|not enough data|read error/i.test(
      said,
    )
  )
    return ['cut-short', CUT_SHORT]
  return ['damaged', DAMAGED]
}
