/** Files into pixels, by the image library; what is done with the pixels is decided in the plain files beside it. */
import { createHash } from 'node:crypto'
import sharp, { type Metadata } from 'sharp'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { Artwork, FileFacts } from './artwork'
import { bytesOf, passThrough } from './files'
import { drawFirstPage } from './pdf-pages'
import { isPng, PngLook } from './png'
import { type Header, sniff } from './sniff'
import { inspectSvg } from './svg'

/** Most pixels that are taken in: 9,000 × 12,000 and a little more. Decoded they are four bytes each. */
export const MOST_PIXELS = 120_000_000
/** Largest file that is read into memory. */
export const MOST_BYTES = 200_000_000

// One artwork after the other, each far larger than the library's cache is meant for.
sharp.cache(false)

type Options = {
  /** Width to draw an SVG or PDF at, in pixels; raster files keep their own. */
  vectorWidthPx?: number
}

/**
 * Reads an artwork file into straight sRGB RGBA of 8 bits: PNG, JPEG, WebP, TIFF, SVG or PDF. Every file that cannot be used is
 * refused in one sentence, before it is decoded if possible.
 */
export async function readArtwork(path: string, options: Options = {}): Promise<Result<Artwork>> {
  const look = new FileLook()
  const length = await passThrough(path, MOST_BYTES, piece => look.take(piece))
  if (!length.ok) return length
  // The image library takes what follows a bracket for options of its own.
  const whole = look.vector || /[[\]]/.test(path) ? await bytesOf(path, MOST_BYTES) : ok(path)
  return whole.ok ? decoded(whole.value, look, options) : whole
}

/** The same from bytes in memory. */
export async function decodeArtwork(bytes: Buffer, options: Options = {}): Promise<Result<Artwork>> {
  if (bytes.length > MOST_BYTES) return refuse('too-heavy', tooHeavy(bytes.length))
  const look = new FileLook()
  look.take(bytes)
  return decoded(bytes, look, options)
}

/** So much of a file's beginning is looked at for its kind and size. */
const HEAD_BYTES = 1 << 20

/** What is learnt of a file while it passes piece by piece. */
class FileLook {
  length = 0
  readonly png = new PngLook()
  private readonly hash = createHash('sha256')
  private head: Uint8Array = new Uint8Array()

  take(piece: Uint8Array): void {
    if (this.head.length < HEAD_BYTES)
      this.head = Buffer.concat([this.head, piece.subarray(0, HEAD_BYTES - this.head.length)])
    this.length += piece.length
    this.hash.update(piece)
    if (isPng(this.head)) this.png.take(piece)
  }

  /** In hexadecimal; asked once, at the end. */
  sha256 = (): string => this.hash.digest('hex')
  header = (): Header | null => sniff(this.head)
  get vector(): boolean {
    const format = this.header()?.format
    return format === 'svg' || format === 'pdf'
  }
}

/** @param source the bytes, or the path of a picture that the image library reads by itself */
async function decoded(source: Buffer | string, look: FileLook, options: Options): Promise<Result<Artwork>> {
  if (look.length === 0)
    return refuse('empty', 'The file is empty (0 bytes): export it again and choose the new file.')
  const header = look.header()
  if (!header)
    return refuse(
      'not-a-picture',
      'The file is not a PNG, JPEG, WebP, TIFF, SVG or PDF: export the art as PNG.',
    )
  const sha256 = look.sha256()
  if (typeof source !== 'string') {
    if (header.format === 'svg') return drawSvg(source, sha256, options.vectorWidthPx ?? 3000)
    if (header.format === 'pdf') return drawPdf(source, sha256, options.vectorWidthPx ?? 3000)
  }
  // The size of a long file may stand behind what was looked at: the image library finds it.
  if (header.width || look.length <= HEAD_BYTES) {
    const size = declaredSize(header.width, header.height)
    if (!size.ok) return size
  }
  if (header.format === 'png' && !look.png.whole) return refuse('cut-short', CUT_SHORT)
  return decodeRaster(source, sha256, header.format, look.png.ppi)
}

async function decodeRaster(
  source: Buffer | string,
  sha256: string,
  format: FileFacts['format'],
  pngPpi: number | null,
): Promise<Result<Artwork>> {
  try {
    const image = sharp(source, { limitInputPixels: MOST_PIXELS, failOn: 'error' })
    const meta = await image.metadata()
    const size = declaredSize(meta.width, meta.height)
    if (!size.ok) return size
    const upright = (meta.orientation ?? 1) > 1 ? image.autoOrient() : image
    const { data, info } = await upright
      .toColourspace('srgb')
      .ensureAlpha()
      .raw({ depth: 'uchar' })
      .toBuffer({ resolveWithObject: true })
    if (info.channels !== 4) return refuse('damaged', DAMAGED)
    const ppi = format === 'png' ? pngPpi : meta.density && meta.density > 1 ? meta.density : null
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
