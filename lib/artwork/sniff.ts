import { isPng } from './png'

/** Kinds of artwork file the desk reads. */
export type ArtFormat = 'png' | 'jpeg' | 'webp' | 'tiff' | 'svg' | 'pdf'

/** What the first bytes of a file say. Sizes in pixels; null where the header holds none (SVG, PDF, cut short). */
export type Header = { format: ArtFormat; width: number | null; height: number | null }

const ascii = (bytes: Uint8Array, from: number, to: number): string =>
  String.fromCharCode(...bytes.subarray(from, to))

/**
 * What kind of file the bytes (its beginning is enough) begin and how many pixels its header declares, without decoding any of them. Null when
 * it is none of the kinds that are read.
 */
export function sniff(bytes: Uint8Array): Header | null {
  const look = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  if (isPng(bytes)) {
    const header = bytes.length >= 26 && ascii(bytes, 12, 16) === 'IHDR'
    return {
      format: 'png',
      width: header ? look.getUint32(16) : null,
      height: header ? look.getUint32(20) : null,
    }
  }
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return jpegHeader(bytes, look)
  if (bytes.length >= 12 && ascii(bytes, 0, 4) === 'RIFF' && ascii(bytes, 8, 12) === 'WEBP')
    return webpHeader(bytes, look)
  const order = ascii(bytes, 0, 2)
  if (bytes.length >= 8 && (order === 'II' || order === 'MM') && look.getUint16(2, order === 'II') === 42)
    return tiffHeader(look, order === 'II')
  if (ascii(bytes, 0, Math.min(1024, bytes.length)).includes('%PDF-'))
    return { format: 'pdf', width: null, height: null }
  return isSvg(bytes) ? { format: 'svg', width: null, height: null } : null
}

function jpegHeader(bytes: Uint8Array, look: DataView): Header {
  let at = 2
  while (at + 9 < bytes.length) {
    if (bytes[at] !== 0xff) {
      at++
      continue
    }
    const marker = bytes[at + 1]!
    // Start-of-frame markers, without DHT (C4), JPG (C8) and DAC (CC) which share their range.
    if (marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc)
      return { format: 'jpeg', height: look.getUint16(at + 5), width: look.getUint16(at + 7) }
    const alone = marker === 0xff || marker === 0x01 || (marker >= 0xd0 && marker <= 0xd8)
    at += marker === 0xff ? 1 : alone ? 2 : 2 + look.getUint16(at + 2)
  }
  return { format: 'jpeg', width: null, height: null }
}

function webpHeader(bytes: Uint8Array, look: DataView): Header {
  const kind = bytes.length >= 30 ? ascii(bytes, 12, 16) : ''
  const u24 = (at: number): number => look.getUint16(at, true) | (bytes[at + 2]! << 16)
  if (kind === 'VP8X') return { format: 'webp', width: u24(24) + 1, height: u24(27) + 1 }
  if (kind === 'VP8L') {
    const v = look.getUint32(21, true)
    return { format: 'webp', width: (v & 0x3fff) + 1, height: ((v >>> 14) & 0x3fff) + 1 }
  }
  if (kind === 'VP8 ')
    return {
      format: 'webp',
      width: look.getUint16(26, true) & 0x3fff,
      height: look.getUint16(28, true) & 0x3fff,
    }
  return { format: 'webp', width: null, height: null }
}

function tiffHeader(look: DataView, little: boolean): Header {
  const none: Header = { format: 'tiff', width: null, height: null }
  const ifd = look.getUint32(4, little)
  if (ifd + 2 > look.byteLength) return none
  const count = look.getUint16(ifd, little)
  const size: { [tag: number]: number } = {}
  for (let i = 0; i < count; i++) {
    const at = ifd + 2 + 12 * i
    if (at + 12 > look.byteLength) break
    const tag = look.getUint16(at, little)
    // ImageWidth 256, ImageLength 257: one SHORT (3) or LONG (4).
    if (tag === 256 || tag === 257)
      size[tag] =
        look.getUint16(at + 2, little) === 3 ? look.getUint16(at + 8, little) : look.getUint32(at + 8, little)
  }
  return { format: 'tiff', width: size[256] ?? null, height: size[257] ?? null }
}

function isSvg(bytes: Uint8Array): boolean {
  const head = new TextDecoder('utf-8').decode(bytes.subarray(0, 4096))
  return /^\uFEFF?\s*(?:<\?xml[^>]*>\s*)?(?:<!--[\s\S]*?-->\s*|<!DOCTYPE[^[>]*(?:\[[\s\S]*?\]\s*)?>\s*)*<(?:\w+:)?svg[\s>]/i.test(
    head,
  )
}
