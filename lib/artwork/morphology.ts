import { copyMask, copyRows, emptyMask, inverse, type Mask, padded } from './mask'
import { takenByPen } from './passes/run'

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
  const out = withGutter(mask, diameter)
  const lines = octagon(diameter)
  for (const line of lines) along(out, line, keepWhereBoth)
  for (const line of lines) along(out, line, addFrom)
  return withoutGutter(out, mask.width)
}

/**
 * What an opening takes away: ink where no pen `diameter` pixels wide fits, or with `gaps` the same of the space between
 * ink, which goes on around the picture. `busy` holds 1 for each row in which anything is.
 *
 * Only where ink and space meet can a pen fail to fit, so band by band only the words near such a place are looked at, in
 * a small mask of their own that stays within the processor's memory.
 */
export function tooThinFor(mask: Mask, diameter: number, gaps: boolean): { mask: Mask; busy: Uint8Array } {
  const out = emptyMask(mask.width, mask.height)
  const busy = new Uint8Array(mask.height)
  takenByPen(mask, diameter, gaps, (y, words) => {
    out.bits.set(words, y * out.stride)
    busy[y] = 1
  })
  return { mask: out, busy }
}

/** Pixels up to which the widest pen is sought in the mask itself. */
const PEN_PX = 1 << 20

/**
 * Diameter in pixels of the widest octagon that fits into the set pixels, found by halving; 0 when nothing is set. Large
 * masks are looked at in squares of 2, 4 or 8 pixels that are wholly set, so it may come out up to two squares too small.
 */
export function widestPen(mask: Mask): number {
  let small = mask
  let scale = 1
  while (scale < 8 && small.width * small.height > PEN_PX) {
    small = halved(small)
    scale *= 2
  }
  const fits = (diameter: number): boolean => {
    const out = withGutter(small, diameter)
    for (const line of octagon(diameter)) along(out, line, keepWhereBoth)
    return out.bits.some(word => word !== 0)
  }
  let known = 0
  let over = Math.min(small.width, small.height) + 1
  while (over - known > 1) {
    const middle = (known + over) >> 1
    if (fits(middle)) known = middle
    else over = middle
  }
  return known * scale
}

/** A mask of half the size: a pixel is set where all four are. */
function halved(mask: Mask): Mask {
  const out = emptyMask(mask.width >> 1, mask.height >> 1)
  const { bits, stride } = mask
  for (let y = 0; y < out.height; y++)
    for (let w = 0; w < out.stride; w++) {
      const at = 2 * y * stride + 2 * w
      const low = evenBits(bits[at]! & bits[at + stride]!)
      const high = 2 * w + 1 < stride ? evenBits(bits[at + 1]! & bits[at + stride + 1]!) : 0
      out.bits[y * out.stride + w] = low | (high << 16)
    }
  return out
}

/** The pairs of bits that are both set, as 16 bits. */
function evenBits(word: number): number {
  let v = word & (word >>> 1) & 0x55555555
  v = (v | (v >>> 1)) & 0x33333333
  v = (v | (v >>> 2)) & 0x0f0f0f0f
  v = (v | (v >>> 4)) & 0x00ff00ff
  return (v | (v >>> 8)) & 0xffff
}

/** Takes `by` pixels off every edge, at every angle alike; outside the picture counts as empty. */
export function eroded(mask: Mask, by: number): Mask {
  if (by <= 0) return copyMask(mask)
  const out = withGutter(mask, 2 * by + 1)
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
  const first = Math.max(0, -y)
  const end = Math.min(height, mask.height - y)
  for (let row = first; row < end; row++) {
    windowRow(mask, (row + y) * mask.stride, x, out.bits, row * out.stride, out.stride)
    out.bits[(row + 1) * out.stride - 1]! &= last
  }
  return out
}

function windowRow(
  { bits, stride }: Mask,
  from: number,
  x: number,
  out: Uint32Array,
  to: number,
  words: number,
): void {
  const by = x & 31
  let at = x >> 5
  let low = at >= 0 && at < stride ? bits[from + at]! : 0
  for (let w = 0; w < words; w++) {
    at++
    const high = at >= 0 && at < stride ? bits[from + at]! : 0
    out[to + w] = by === 0 ? low : (low >>> by) | (high << (32 - by))
    low = high
  }
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

/**
 * A copy with empty words after each row, at least `reach` pixels of them. So a mask can be shifted as one long row: what
 * runs over a row's end meets nothing there.
 */
function withGutter(mask: Mask, reach: number): Mask {
  const stride = mask.stride + Math.ceil(reach / 32)
  const bits = new Uint32Array(stride * mask.height)
  copyRows(mask.bits, { at: 0, stride: mask.stride }, bits, { at: 0, stride }, mask.height, mask.stride)
  return { width: stride * 32, height: mask.height, stride, bits }
}

function withoutGutter(mask: Mask, width: number): Mask {
  const out = emptyMask(width, mask.height)
  const to = { at: 0, stride: out.stride }
  copyRows(mask.bits, { at: 0, stride: mask.stride }, out.bits, to, mask.height, out.stride)
  return out
}

/** Words handled in one call: the engine's fast code is taken up at the next, however late it is ready. */
const BLOCK = 4096

/** Keeps a pixel where the one (x, y) further on is set too. Goes down, so what is read is still untouched. */
function keepWhereBoth({ bits, stride }: Mask, x: number, y: number): void {
  const shift = y * stride * 32 + x
  const jump = shift >> 5
  const end = Math.max(0, bits.length - jump - 1)
  for (let at = 0; at < end; at += BLOCK) keepBlock(bits, at, Math.min(at + BLOCK, end), jump, shift & 31)
  if (jump < bits.length) bits[end]! &= bits[end + jump]! >>> (shift & 31)
  bits.fill(0, end + 1)
}

function keepBlock(bits: Uint32Array, from: number, to: number, jump: number, by: number): void {
  if (by === 0) {
    for (let i = from; i < to; i++) bits[i]! &= bits[i + jump]!
    return
  }
  const up = 32 - by
  let low = bits[from + jump]!
  for (let i = from; i < to; i++) {
    const high = bits[i + jump + 1]!
    bits[i]! &= (low >>> by) | (high << up)
    low = high
  }
}

/** Sets a pixel where the one (x, y) before it is set. Goes up, so what is read is still untouched. */
function addFrom({ bits, stride }: Mask, x: number, y: number): void {
  const shift = y * stride * 32 + x
  const jump = shift >> 5
  const start = jump + 1
  for (let at = bits.length; at > start; at -= BLOCK)
    addBlock(bits, Math.max(start, at - BLOCK), at, jump, shift & 31)
  if (jump < bits.length) bits[jump]! |= bits[0]! << (shift & 31)
}

function addBlock(bits: Uint32Array, from: number, to: number, jump: number, by: number): void {
  if (by === 0) {
    for (let i = to - 1; i >= from; i--) bits[i]! |= bits[i - jump]!
    return
  }
  const down = 32 - by
  let high = bits[to - 1 - jump]!
  for (let i = to - 1; i >= from; i--) {
    const low = bits[i - jump - 1]!
    bits[i]! |= (high << by) | (low >>> down)
    high = low
  }
}
