import { copyMask, emptyMask, inverse, type Mask, padded } from './mask'

/** A straight line of `length` pixels from (0, 0) in steps of (dx, dy); dy is 0 or 1. */
type Line = readonly [dx: number, dy: number, length: number]

/**
 * The lines whose Minkowski sum is an octagon `diameter` pixels across: near enough to a round pen, and a handful
 * of word operations a row however wide it is.
 */
function octagon(diameter: number): Line[] {
  const e = diameter - 1
  const slant = Math.floor(e / (2 + Math.SQRT2))
  const straight = e - 2 * slant
  return [
    [1, 0, straight + 1],
    [0, 1, straight + 1],
    [1, 1, slant + 1],
    [-1, 1, slant + 1],
  ]
}

/** The opening by an octagon: what is left when a pen `diameter` pixels wide must fit inside the ink. */
export function opened(mask: Mask, diameter: number): Mask {
  const out = copyMask(mask)
  const lines = octagon(diameter)
  for (const line of lines) along(out, line, keepWhereBoth)
  for (const line of lines) along(out, line, addFrom)
  return out
}

/** Takes `by` pixels off every edge, at every angle alike; outside the picture counts as empty. */
export function eroded(mask: Mask, by: number): Mask {
  if (by <= 0) return copyMask(mask)
  const out = copyMask(mask)
  const lines = octagon(2 * by + 1)
  for (const line of lines) along(out, line, keepWhereBoth)
  const straight = lines[0]![2] - 1
  // The octagon hangs from its corner: bring its middle back to the pixel it stands for.
  return window(out, -straight / 2, -by, mask.width, mask.height)
}

/** Adds `by` pixels around every edge, within the picture. */
export function dilated(mask: Mask, by: number): Mask {
  if (by <= 0) return copyMask(mask)
  const room = padded(mask, 2 * by + 1)
  return window(inverse(eroded(inverse(room.mask), by)), room.x, room.y, mask.width, mask.height)
}

/** The part of a mask from (x, y) on, `width` × `height`; what lies outside the mask is empty. */
export function window(mask: Mask, x: number, y: number, width: number, height: number): Mask {
  const out = emptyMask(width, height)
  const spare = width & 31
  const last = spare === 0 ? 0xffffffff : (1 << spare) - 1
  for (let row = 0; row < height; row++) {
    if (row + y < 0 || row + y >= mask.height) continue
    const to = row * out.stride
    for (let w = 0; w < out.stride; w++) out.bits[to + w] = wordAt(mask, row + y, w, x)
    out.bits[to + out.stride - 1]! &= last
  }
  return out
}

/** Runs a shift-and-combine along a line in doubling steps: a line of n pixels takes about log2 n of them. */
function along(mask: Mask, [dx, dy, length]: Line, combine: (m: Mask, x: number, y: number) => void): void {
  let covered = 1
  while (covered < length) {
    const step = Math.min(covered, length - covered)
    combine(mask, dx * step, dy * step)
    covered += step
  }
}

/** The 32 pixels from `32 w + shift` on in a row, as a word. */
function wordAt({ bits, stride }: Mask, y: number, w: number, shift: number): number {
  const at = w + (shift >> 5)
  const by = shift & 31
  const row = y * stride
  const low = at >= 0 && at < stride ? bits[row + at]! : 0
  if (by === 0) return low
  const high = at + 1 >= 0 && at + 1 < stride ? bits[row + at + 1]! : 0
  return (low >>> by) | (high << (32 - by))
}

/** Keeps a pixel where the one (x, y) further on is set too. Rows go down, so what is read is still untouched. */
function keepWhereBoth({ bits, stride, height }: Mask, x: number, y: number): void {
  for (let r = 0; r < height; r++) {
    if (r + y >= height) bits.fill(0, r * stride, (r + 1) * stride)
    else keepRow(bits, stride, r * stride, (r + y) * stride, x)
  }
}

/** Sets a pixel where the one (x, y) before it is set. Rows go up, so what is read is still untouched. */
function addFrom({ bits, stride, height }: Mask, x: number, y: number): void {
  for (let r = height - 1; r >= y; r--) addRow(bits, stride, r * stride, (r - y) * stride, -x)
}

// In both: the word at `w` is made of the words at `w + jump` and the next, apart from those beyond the row's ends.

function keepRow(bits: Uint32Array, stride: number, row: number, from: number, x: number): void {
  const by = x & 31
  const jump = x >> 5
  const start = Math.max(0, -jump)
  const end = Math.min(stride, stride - jump - 1)
  for (let w = 0; w < start; w++) bits[row + w]! &= by !== 0 && w + jump === -1 ? bits[from]! << (32 - by) : 0
  if (by === 0) for (let w = start; w < end; w++) bits[row + w]! &= bits[from + w + jump]!
  else
    for (let w = start, at = from + start + jump; w < end; w++, at++)
      bits[row + w]! &= (bits[at]! >>> by) | (bits[at + 1]! << (32 - by))
  for (let w = Math.max(start, end); w < stride; w++)
    bits[row + w]! &= w + jump === stride - 1 ? bits[from + stride - 1]! >>> by : 0
}

function addRow(bits: Uint32Array, stride: number, row: number, from: number, x: number): void {
  const by = x & 31
  const jump = x >> 5
  const start = Math.max(0, -jump)
  const end = Math.min(stride, stride - jump - 1)
  if (end >= 0 && end < stride && end + jump === stride - 1)
    bits[row + end]! |= bits[from + stride - 1]! >>> by
  if (by === 0) for (let w = end - 1; w >= start; w--) bits[row + w]! |= bits[from + w + jump]!
  else
    for (let w = end - 1, at = from + end - 1 + jump; w >= start; w--, at--)
      bits[row + w]! |= (bits[at]! >>> by) | (bits[at + 1]! << (32 - by))
  if (by !== 0 && start > 0 && start <= stride) bits[row + start - 1]! |= bits[from]! << (32 - by)
}
