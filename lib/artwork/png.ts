/** The eight bytes every PNG begins with (PNG, third edition, 5.2). */
export const PNG_SIGNATURE = Uint8Array.of(137, 80, 78, 71, 13, 10, 26, 10)
const METRES_PER_INCH = 0.0254

/** One chunk: where its length field begins, its four-letter type and its data. */
export type PngChunk = { offset: number; type: string; data: Uint8Array }

/** Whether a file begins with the eight bytes of PNG (W3C PNG, 5.2). */
export const isPng = (bytes: Uint8Array): boolean =>
  bytes.length >= 8 && PNG_SIGNATURE.every((byte, i) => bytes[i] === byte)

const view = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)

/** The chunks that are wholly there, in order. `whole` is false when the file ends before IEND does. */
export function pngChunks(bytes: Uint8Array): { chunks: PngChunk[]; whole: boolean } {
  const chunks: PngChunk[] = []
  const look = view(bytes)
  let offset = 8
  while (offset + 12 <= bytes.length) {
    const length = look.getUint32(offset)
    if (offset + 12 + length > bytes.length) break
    const type = String.fromCharCode(...bytes.subarray(offset + 4, offset + 8))
    chunks.push({ offset, type, data: bytes.subarray(offset + 8, offset + 8 + length) })
    if (type === 'IEND') return { chunks, whole: true }
    offset += 12 + length
  }
  return { chunks, whole: false }
}

/** What a PNG says of itself, gathered while its bytes pass piece by piece in their order: a large one is never held whole. */
export class PngLook {
  /** Whether the chunks go on to the end of IEND. */
  whole = false
  /** See declaredPpi(). */
  ppi: number | null = null
  private readonly header = new Uint8Array(8)
  private filled = 0
  private left = 8
  private type = ''
  private phys: number[] | null = null

  /** The next piece of the file. */
  take(piece: Uint8Array): void {
    let at = 0
    while (at < piece.length && !this.whole) {
      if (this.left > 0) {
        const step = Math.min(this.left, piece.length - at)
        this.phys?.push(...piece.subarray(at, at + step))
        at += step
        this.left -= step
        if (this.left === 0) this.endOfChunk()
        continue
      }
      this.header[this.filled++] = piece[at++]!
      if (this.filled === 8) this.startOfChunk()
    }
  }

  private startOfChunk(): void {
    this.filled = 0
    const length = view(this.header).getUint32(0)
    this.type = String.fromCharCode(...this.header.subarray(4))
    this.phys = this.type === 'pHYs' && length === PHYS_BYTES && this.ppi === null ? [] : null
    // Data and checksum.
    this.left = length + 4
  }

  private endOfChunk(): void {
    if (this.phys) this.ppi = ppiOf(Uint8Array.from(this.phys.slice(0, PHYS_BYTES)))
    this.phys = null
    this.whole = this.type === 'IEND'
  }
}

const PHYS_BYTES = 9

/** Pixels per metre of a resolution, rounded to whole ones as pHYs keeps them: 300 → 11811. */
export const pixelsPerMetre = (ppi: number): number => Math.round(ppi / METRES_PER_INCH)

/**
 * Pixels per inch that a pHYs chunk declares, or null: no such chunk, or only a ratio (unit 0), or unlike
 * resolutions across and down. A claim of the program that wrote the file, not a measure of its quality.
 */
export function declaredPpi(chunks: readonly PngChunk[]): number | null {
  const phys = chunks.find(c => c.type === 'pHYs' && c.data.length === PHYS_BYTES)
  return phys ? ppiOf(phys.data) : null
}

function ppiOf(phys: Uint8Array): number | null {
  const look = view(phys)
  const x = look.getUint32(0)
  return phys[8] !== 1 || x === 0 || x !== look.getUint32(4) ? null : x * METRES_PER_INCH
}

// CRC-32 as the standard's annex D gives it, one table entry per byte value.
const CRC = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1
  return c
})

/** CRC-32 of bytes (ISO 3309, as PNG uses it). */
export function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff
  for (let i = 0; i < bytes.length; i++) c = CRC[(c ^ bytes[i]!) & 255]! ^ (c >>> 8)
  return (c ^ 0xffffffff) >>> 0
}

/** A whole chunk: length, type, data, CRC over type and data. */
export function pngChunk(type: string, data: Uint8Array): Uint8Array {
  const out = new Uint8Array(12 + data.length)
  const look = view(out)
  look.setUint32(0, data.length)
  for (let i = 0; i < 4; i++) out[4 + i] = type.charCodeAt(i)
  out.set(data, 8)
  look.setUint32(8 + data.length, crc32(out.subarray(4, 8 + data.length)))
  return out
}

/** The pHYs chunk of a resolution in pixels per inch, the same across and down. */
export function physChunk(ppi: number): Uint8Array {
  const data = new Uint8Array(9)
  const look = view(data)
  look.setUint32(0, pixelsPerMetre(ppi))
  look.setUint32(4, pixelsPerMetre(ppi))
  data[8] = 1
  return pngChunk('pHYs', data)
}

/**
 * The same PNG declaring a resolution: any pHYs chunk is taken out and one is put right after IHDR, as the standard
 * wants it before the first IDAT. @throws RangeError when the bytes are not a whole PNG.
 */
export function withPhys(bytes: Uint8Array, ppi: number): Uint8Array {
  const { chunks, whole } = pngChunks(bytes)
  if (!isPng(bytes) || !whole || chunks[0]?.type !== 'IHDR')
    throw new RangeError('These bytes are not a whole PNG.')
  const parts: Uint8Array[] = [PNG_SIGNATURE]
  for (const chunk of chunks) {
    if (chunk.type === 'pHYs') continue
    parts.push(bytes.subarray(chunk.offset, chunk.offset + 12 + chunk.data.length))
    if (chunk.type === 'IHDR') parts.push(physChunk(ppi))
  }
  const out = new Uint8Array(parts.reduce((n, p) => n + p.length, 0))
  let at = 0
  for (const part of parts) {
    out.set(part, at)
    at += part.length
  }
  return out
}
