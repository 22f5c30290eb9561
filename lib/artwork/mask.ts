import type { PixelBox } from './raster'

/**
 * One bit a pixel. Word `row × stride + (x >> 5)`, bit `x & 31` counted from the lowest. Bits right of the width
 * are always 0. Thirty-two pixels a word keep the morphology of a large print within milliseconds.
 */
export type Mask = {
  readonly width: number
  readonly height: number
  readonly stride: number
  readonly bits: Uint32Array
}

/** An empty mask. */
export function emptyMask(width: number, height: number): Mask {
  const stride = Math.max(1, Math.ceil(width / 32))
  return { width, height, stride, bits: new Uint32Array(stride * height) }
}

/** A mask from rows of "1" and other characters. */
export function maskFromRows(rows: readonly string[]): Mask {
  const mask = emptyMask(rows[0]?.length ?? 0, rows.length)
  rows.forEach((row, y) => {
    for (let x = 0; x < row.length; x++) if (row[x] === '1') setRun(mask, y, x, x + 1)
  })
  return mask
}

/** Whether a pixel is set; outside the mask nothing is. */
export const isSet = (mask: Mask, x: number, y: number): boolean =>
  x >= 0 &&
  y >= 0 &&
  x < mask.width &&
  y < mask.height &&
  ((mask.bits[y * mask.stride + (x >> 5)]! >>> (x & 31)) & 1) === 1

/** Sets the pixels from `from` up to but not including `to` in a row. */
export function setRun(mask: Mask, y: number, from: number, to: number): void {
  const { bits } = mask
  const row = y * mask.stride
  const first = row + (from >> 5)
  const last = row + ((to - 1) >> 5)
  const head = -1 << (from & 31)
  const tail = -1 >>> (31 - ((to - 1) & 31))
  if (first === last) {
    bits[first]! |= head & tail
    return
  }
  bits[first]! |= head
  for (let i = first + 1; i < last; i++) bits[i] = 0xffffffff
  bits[last]! |= tail
}

/** Clears the pixels from `from` up to but not including `to` in a row. */
export function clearRun(mask: Mask, y: number, from: number, to: number): void {
  const { bits } = mask
  const row = y * mask.stride
  const first = row + (from >> 5)
  const last = row + ((to - 1) >> 5)
  const head = -1 << (from & 31)
  const tail = -1 >>> (31 - ((to - 1) & 31))
  if (first === last) {
    bits[first]! &= ~(head & tail)
    return
  }
  bits[first]! &= ~head
  for (let i = first + 1; i < last; i++) bits[i] = 0
  bits[last]! &= ~tail
}

const bitCount = (word: number): number => {
  let v = word - ((word >>> 1) & 0x55555555)
  v = (v & 0x33333333) + ((v >>> 2) & 0x33333333)
  return Math.imul((v + (v >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24
}

/** Number of set pixels. */
export function countSet(mask: Mask): number {
  let n = 0
  for (let i = 0; i < mask.bits.length; i++) n += bitCount(mask.bits[i]!)
  return n
}

/** A copy. */
export const copyMask = (mask: Mask): Mask => ({ ...mask, bits: mask.bits.slice() })

/** Pixels of `a` that are not in `b`; both have the same size. */
export function minus(a: Mask, b: Mask): Mask {
  const bits = new Uint32Array(a.bits.length)
  for (let i = 0; i < bits.length; i++) bits[i] = a.bits[i]! & ~b.bits[i]!
  return { ...a, bits }
}

/** Everything that is not set. */
export function inverse(mask: Mask): Mask {
  const { width, height, stride } = mask
  const bits = new Uint32Array(mask.bits.length)
  const spare = width & 31
  const last = spare === 0 ? 0xffffffff : (1 << spare) - 1
  for (let y = 0; y < height; y++) invertRow(mask.bits, bits, y * stride, (y + 1) * stride, last)
  return { width, height, stride, bits }
}

function invertRow(from: Uint32Array, to: Uint32Array, start: number, end: number, last: number): void {
  for (let i = start; i < end; i++) to[i] = ~from[i]!
  to[end - 1]! &= last
}

/**
 * Copies `words` words of each of `rows` rows; `from` and `to` say where the first row begins and how far on the next is. By
 * hand: a view of a row costs more than its words.
 */
export function copyRows(
  source: Uint32Array,
  from: { at: number; stride: number },
  target: Uint32Array,
  to: { at: number; stride: number },
  rows: number,
  words: number,
): void {
  for (let y = 0; y < rows; y++)
    copyRow(source, from.at + y * from.stride, target, to.at + y * to.stride, words)
}

function copyRow(source: Uint32Array, from: number, target: Uint32Array, to: number, words: number): void {
  for (let w = 0; w < words; w++) target[to + w] = source[from + w]!
}

/** A copy with `by` or more empty pixels on every side, and where the old top left corner is in it. */
export function padded(mask: Mask, by: number): { mask: Mask; x: number; y: number } {
  const words = Math.ceil(by / 32)
  const out = emptyMask((mask.stride + 2 * words) * 32, mask.height + 2 * by)
  const to = { at: by * out.stride + words, stride: out.stride }
  copyRows(mask.bits, { at: 0, stride: mask.stride }, out.bits, to, mask.height, mask.stride)
  return { mask: out, x: words * 32, y: by }
}

/** The smallest box around the set pixels; null when nothing is set. */
export function boundsOf(mask: Mask): PixelBox | null {
  let top = -1
  let bottom = -1
  const columns = new Uint32Array(mask.stride)
  for (let y = 0; y < mask.height; y++) {
    let any = 0
    for (let w = 0; w < mask.stride; w++) {
      const v = mask.bits[y * mask.stride + w]!
      any |= v
      columns[w]! |= v
    }
    if (any !== 0) {
      if (top < 0) top = y
      bottom = y
    }
  }
  if (top < 0) return null
  const firstWord = columns.findIndex(v => v !== 0)
  const lastWord = columns.findLastIndex(v => v !== 0)
  const low = columns[firstWord]!
  const x = firstWord * 32 + (31 - Math.clz32(low & -low))
  const right = lastWord * 32 + (31 - Math.clz32(columns[lastWord]!))
  return { x, y: top, width: right - x + 1, height: bottom - top + 1 }
}

/** Calls `each(y, from, to)` for every run of set pixels, top to bottom, left to right; `to` is exclusive. */
export function eachRun(mask: Mask, each: (y: number, from: number, to: number) => void): void {
  const out = new Int32Array(mask.width + 2)
  for (let y = 0; y < mask.height; y++) {
    const n = rowRuns(mask, y, out)
    for (let i = 0; i < n; i += 2) each(y, out[i]!, out[i + 1]!)
  }
}

/** Writes the runs of a row as from, to pairs into `out` (room for width + 2 numbers) and gives how many numbers. */
export function rowRuns(mask: Mask, y: number, out: Int32Array): number {
  const { bits, stride, width } = mask
  const row = y * stride
  let n = 0
  let carry = 0
  for (let w = 0; w < stride; w++) {
    const v = bits[row + w]!
    // Set where a pixel differs from the one on its left: the borders of the runs.
    let edges = v ^ ((v << 1) | carry)
    carry = v >>> 31
    while (edges !== 0) {
      const low = edges & -edges
      out[n++] = (w << 5) + 31 - Math.clz32(low)
      edges ^= low
    }
  }
  if (n & 1) out[n++] = width
  return n
}
