/**
 * The passes over pixels and masks that every artwork waits for, written in AssemblyScript: four pixels, or 128 of a mask, at
 * a step. `npm run passes` compiles it to made.ts; lib/artwork/passes.ts calls it. What the words mean stands with scan.ts
 * (pixels), mask.ts (masks) and morphology.ts (pens). Addresses are in bytes; nothing here asks for memory of its own.
 */

/** What fade.ts says of a colour cell, and of one colour. */
declare function stateOf(cell: i32): i32
declare function stays(word: i32): i32
/** Takes a patch that is complete; see PatchEmit in run.ts. */
declare function patch(area: i32, x0: i32, y0: i32, x1: i32, y1: i32, seedX: i32, seedY: i32): void

// As in fade.ts and scan.ts.
const UNKNOWN: i32 = 0
const FAR: i32 = 1
const NEAR: i32 = 2
const SOLID_ALPHA: i32 = 128
const FAINT_ALPHA: i32 = 8
const LONG_RUN: usize = 9

/** Per colour cell: what the fade says of it (a byte); and single colours as they were last asked. */
const STATES: usize = 0x10000
const EXACT: usize = 0x20000
/** Per cell four whole numbers: opaque pixels in runs, votes, the face that they are for, and one spare. */
export const TALLY: usize = 0x60000
/** Per cell: single opaque pixels of the sampled rows, and the first of them. */
export const GRAIN: usize = 0xe0000
export const GRAIN_FACE: usize = 0x100000
/** Per cell, as doubles: alpha of the pixels that are not opaque. Then: pixels at each alpha. */
export const SOFT: usize = 0x120000
export const ALPHA: usize = 0x160000
/** Left, right (exclusive), top and bottom of what can be seen. */
export const EDGES: usize = 0x160800
/** From here on a caller lays what is to be looked at. */
export const ROOM: usize = 0x161000

/** Begins a picture of a width. */
export function beginScan(width: i32): void {
  memory.fill(STATES, 0, ROOM - STATES)
  // Empty places hold colour 0, whose own place is the first: that one holds a colour which belongs elsewhere.
  store<i32>(EXACT, 1 << 8)
  store<i32>(EDGES, width)
  store<i32>(EDGES + 4, -1)
  store<i32>(EDGES + 8, -1)
  store<i32>(EDGES + 12, -1)
}

/**
 * One row, run by run of equal pixels; gives its ink after the knock-out × 255. Neighbouring runs are set in the masks as one.
 * @param pixels where the row begins; `solid` and `breathing`: its rows in the two masks, empty so far
 */
export function scanRow(
  pixels: usize,
  width: i32,
  y: i32,
  sampled: bool,
  solid: usize,
  breathing: usize,
): f64 {
  const end = pixels + ((<usize>width) << 2)
  let ink: i64 = 0
  let opaque: i32 = 0
  let clear: i32 = 0
  let first: usize = 0
  let last: usize = 0
  let solidFrom: usize = 0
  let solidTo: usize = 0
  let breathingFrom: usize = 0
  let breathingTo: usize = 0
  let at = pixels
  while (at < end) {
    const word = load<u32>(at)
    const a = <i32>(word >>> 24)
    let next = at + 4
    if (a === 0) {
      if (next < end && load<u32>(next) === word) next = runEnd(next + 4, end, word)
      clear += <i32>((next - at) >> 2)
      at = next
      continue
    }
    const cell = cellOf(word)
    const tally = TALLY + ((<usize>cell) << 4)
    let state = <i32>load<u8>(STATES + cell)
    if (next < end && load<u32>(next) === word) {
      next = runEnd(next + 4, end, word)
      const length = <i32>((next - at) >> 2)
      if (a === 255) {
        opaque += length
        store<i32>(tally, load<i32>(tally) + length)
      } else addSoft(cell, a, length)
      vote(tally, word & 0xffffff, length)
    } else if (a !== 255) {
      addSoft(cell, a, 1)
      if (load<i32>(tally, 4) === 0) store<u32>(tally, word & 0xffffff, 8)
    } else if (state === FAR && next < end) {
      // Grain that stays: a stretch of it is inked as one, and counted where the row is in the sample.
      next = stretchEnd(next, end)
      if (sampled) countGrain(at, next)
      opaque += <i32>((next - at) >> 2)
    } else {
      opaque++
      if (sampled) addGrain(cell, word)
      if (load<i32>(tally, 4) === 0) store<u32>(tally, word & 0xffffff, 8)
    }
    if (state === UNKNOWN) {
      state = stateOf(cell)
      store<u8>(STATES + cell, <u8>state)
    }
    let after = a
    if (state !== FAR) after = state === NEAR ? 0 : (a * staysExactly(word) + 127) / 255
    if (a >= FAINT_ALPHA) {
      if (first === 0) first = at
      last = next
    }
    ink += <i64>((next - at) >> 2) * <i64>after
    if (a >= SOLID_ALPHA) {
      if (at !== solidTo) {
        if (solidTo > solidFrom) setRun(solid, (solidFrom - pixels) >> 2, (solidTo - pixels) >> 2)
        solidFrom = at
      }
      solidTo = next
      if (after >= SOLID_ALPHA) {
        if (at !== breathingTo) {
          if (breathingTo > breathingFrom)
            setRun(breathing, (breathingFrom - pixels) >> 2, (breathingTo - pixels) >> 2)
          breathingFrom = at
        }
        breathingTo = next
      }
    }
    at = next
  }
  if (solidTo > solidFrom) setRun(solid, (solidFrom - pixels) >> 2, (solidTo - pixels) >> 2)
  if (breathingTo > breathingFrom)
    setRun(breathing, (breathingFrom - pixels) >> 2, (breathingTo - pixels) >> 2)
  store<f64>(ALPHA, load<f64>(ALPHA) + <f64>clear)
  store<f64>(ALPHA + 8 * 255, load<f64>(ALPHA + 8 * 255) + <f64>opaque)
  if (first !== 0) {
    const from = <i32>((first - pixels) >> 2)
    const to = <i32>((last - pixels) >> 2)
    if (from < load<i32>(EDGES)) store<i32>(EDGES, from)
    if (to > load<i32>(EDGES + 4)) store<i32>(EDGES + 4, to)
    if (load<i32>(EDGES + 8) < 0) store<i32>(EDGES + 8, y)
    store<i32>(EDGES + 12, y)
  }
  return <f64>ink
}

function cellOf(word: u32): u32 {
  return ((word >>> 3) & 31) | ((word >>> 6) & 0x3e0) | ((word >>> 9) & 0x7c00)
}

/** Where a run of one colour ends. Most are short: the first eight pixels are looked at without a question between. */
function runEnd(from: usize, end: usize, word: u32): usize {
  let at = from
  const same = i32x4.splat(<i32>word)
  if (at + 32 <= end) {
    const alike = likeAt(at, same) | (likeAt(at + 16, same) << 4)
    if (alike !== 255) return at + ((<usize>ctz(~alike)) << 2)
    at += 32
  }
  while (at + 64 <= end) {
    const low = v128.or(v128.xor(v128.load(at), same), v128.xor(v128.load(at, 16), same))
    const high = v128.or(v128.xor(v128.load(at, 32), same), v128.xor(v128.load(at, 48), same))
    if (v128.any_true(v128.or(low, high))) break
    at += 64
  }
  while (at + 16 <= end) {
    const alike = likeAt(at, same)
    if (alike !== 15) return at + ((<usize>ctz(~alike)) << 2)
    at += 16
  }
  while (at < end && load<u32>(at) === word) at += 4
  return at
}

/** Which of four pixels are of a colour, a bit each. */
function likeAt(at: usize, same: v128): i32 {
  return i32x4.bitmask(i32x4.eq(v128.load(at), same))
}

/** The same within a few pixels. */
function nearRunEnd(from: usize, end: usize, word: u32): usize {
  let at = from
  while (at < end && load<u32>(at) === word) at += 4
  return at
}

/**
 * Where a stretch of opaque pixels in colours that the knock-out leaves alone ends: before a run of one colour that is long
 * enough to be worth a look of its own (LONG_RUN or so).
 */
function stretchEnd(from: usize, end: usize): usize {
  const stop = end - 4
  const red = i32x4.splat(31)
  const green = i32x4.splat(0x3e0)
  const blue = i32x4.splat(0x7c00)
  const opaque = i32x4.splat(-1)
  let at = from
  while (at + 16 <= stop) {
    const four = v128.load(at)
    if (!i32x4.all_true(i32x4.eq(i32x4.shr_s(four, 24), opaque))) break
    const cells = v128.or(
      v128.or(v128.and(i32x4.shr_u(four, 3), red), v128.and(i32x4.shr_u(four, 6), green)),
      v128.and(i32x4.shr_u(four, 9), blue),
    )
    const states =
      load<u8>(STATES + i32x4.extract_lane(cells, 0)) &
      load<u8>(STATES + i32x4.extract_lane(cells, 1)) &
      load<u8>(STATES + i32x4.extract_lane(cells, 2)) &
      load<u8>(STATES + i32x4.extract_lane(cells, 3))
    if (states !== FAR) break
    const word = load<u32>(at)
    if (i32x4.all_true(i32x4.eq(four, i32x4.splat(<i32>word)))) {
      const long = at + 4 * LONG_RUN
      if (long <= stop && nearRunEnd(at + 16, long, word) >= long) return at
    }
    at += 16
  }
  while (at < stop) {
    const word = load<u32>(at)
    if (word === load<u32>(at, 4) || word >>> 24 !== 255 || <i32>load<u8>(STATES + cellOf(word)) !== FAR)
      break
    at += 4
  }
  return at
}

function addSoft(cell: u32, a: i32, pixels: i32): void {
  const alpha = ALPHA + ((<usize>a) << 3)
  store<f64>(alpha, load<f64>(alpha) + <f64>pixels)
  const soft = SOFT + ((<usize>cell) << 3)
  store<f64>(soft, load<f64>(soft) + <f64>pixels * <f64>a)
}

function addGrain(cell: u32, word: u32): void {
  const grain = GRAIN + ((<usize>cell) << 2)
  const count = load<i32>(grain)
  store<i32>(grain, count + 1)
  if (count === 0) store<u32>(GRAIN_FACE + ((<usize>cell) << 2), word & 0xffffff)
}

/** Counts pixels; of each colour cell the first is kept, and those like their neighbour have a vote. */
function countGrain(from: usize, to: usize): void {
  let word = load<u32>(from)
  for (let at = from + 4; at <= to; at += 4) {
    const cell = cellOf(word)
    addGrain(cell, word)
    const next = at < to ? load<u32>(at) : 0
    if (next === word) vote(TALLY + ((<usize>cell) << 4), word & 0xffffff, 1)
    word = next
  }
}

/**
 * A run votes for its colour as the face of its cell (Boyer and Moore's majority count); single pixels have no vote: they are
 * seldom a flat colour. Without a branch, since nobody could guess which way it goes.
 */
function vote(tally: usize, rgb: u32, length: i32): void {
  const face = load<u32>(tally, 8)
  const votes = load<i32>(tally, 4) + select<i32>(length, -length, face === rgb)
  store<u32>(tally, select<u32>(rgb, face, votes < 0), 8)
  store<i32>(tally, select<i32>(-votes, votes, votes < 0), 4)
}

/** What stays of a colour near the garment's, 0–255. */
function staysExactly(word: u32): i32 {
  const rgb = word & 0xffffff
  const at = EXACT + ((<usize>((rgb * 0x9e3779b1) >>> 16)) << 2)
  const known = load<u32>(at)
  if (known >>> 8 === rgb) return known & 255
  const value = stays(word)
  store<u32>(at, (rgb << 8) | value)
  return value
}

/** Sets the bits from `from` up to but not including `to` of a row of a mask. */
function setRun(row: usize, from: usize, to: usize): void {
  const first = row + ((from >> 5) << 2)
  const last = row + (((to - 1) >> 5) << 2)
  const head: u32 = 0xffffffff << (<u32>from & 31)
  const tail: u32 = 0xffffffff >>> (31 - (<u32>(to - 1) & 31))
  if (first === last) {
    store<u32>(first, load<u32>(first) | (head & tail))
    return
  }
  store<u32>(first, load<u32>(first) | head)
  for (let at = first + 4; at < last; at += 4) store<u32>(at, 0xffffffff)
  store<u32>(last, load<u32>(last) | tail)
}

/** Kinds of a column of words within a band: nothing set, all set, or both. */
const EMPTY: u8 = 0
const FULL: u8 = 1
const BOTH: u8 = 2

// The band that is opened; see thinBand.
let stride: usize = 0
let flip: u32 = 0
let pen: usize = 0
let reach: usize = 0
let rows: usize = 0
let band: usize = 0
let missing: usize = 0
let held: usize = 0
let kinds: usize = 0
let bits: usize = 0
let out: usize = 0
let busy: usize = 0

/**
 * What an opening takes away from `height` rows of ink, or with `turned` = −1 of the space: see tooThinFor in morphology.ts.
 * @param words words a row of the mask has; `width` its pixels
 * @param ink where those rows begin, with up to `diameter` more above and below: `above` of these are missing at the top (they
 *   would lie outside the picture), `given` are there in all
 * @param to room for the rows of the outcome, then for a byte each that says whether anything is in them
 * @param desk room for the work: deskBytes()
 */
export function thinBand(
  words: usize,
  width: i32,
  height: usize,
  diameter: usize,
  turned: i32,
  ink: usize,
  above: usize,
  given: usize,
  to: usize,
  desk: usize,
): void {
  stride = words
  flip = <u32>turned
  pen = diameter
  reach = (diameter + 31) >> 5
  rows = height
  band = ink
  missing = above
  held = given
  out = to
  busy = to + ((words * height) << 2)
  kinds = desk + (words << 3)
  bits = desk + (words << 4)
  memory.fill(out, 0, ((words * height) << 2) + height)
  kindsOf(desk, desk + (words << 2), width)
  openBand(width)
}

/** Bytes of work room that thinBand takes. */
export function deskBytes(words: usize, height: usize, diameter: usize): usize {
  return (words << 4) + (((words + 3 * ((diameter + 31) >> 5)) * (height + 2 * diameter)) << 2)
}

function kindsOf(any: usize, all: usize, width: i32): void {
  memory.fill(any, 0, stride << 2)
  memory.fill(all, held < rows + 2 * pen ? 0 : 255, stride << 2)
  for (let j: usize = 0; j < held; j++) {
    const row = band + ((j * stride) << 2)
    let w: usize = 0
    for (; w + 4 <= stride; w += 4) {
      const at = w << 2
      const four = v128.load(row + at)
      v128.store(any + at, v128.or(v128.load(any + at), four))
      v128.store(all + at, v128.and(v128.load(all + at), four))
    }
    for (; w < stride; w++) {
      const at = w << 2
      const word = load<u32>(row + at)
      store<u32>(any + at, load<u32>(any + at) | word)
      store<u32>(all + at, load<u32>(all + at) & word)
    }
  }
  for (let w: usize = 0; w < stride; w++)
    store<u8>(
      kinds + w,
      load<u32>(any + (w << 2)) === 0 ? EMPTY : load<u32>(all + (w << 2)) === 0xffffffff ? FULL : BOTH,
    )
  // Right of the picture there is space, which the last word may hold a piece of.
  const final = kinds + stride - 1
  if ((width & 31) !== 0 && load<u8>(final) === FULL) store<u8>(final, BOTH)
  if (flip !== 0)
    for (let w: usize = 0; w < stride; w++) {
      const kind = load<u8>(kinds + w)
      if (kind !== BOTH) store<u8>(kinds + w, FULL - kind)
    }
}

function fullAt(w: isize): bool {
  return w < 0 || w >= <isize>stride ? flip !== 0 : load<u8>(kinds + w) === FULL
}

/** Opens the stretches of a band in which something may be taken away. */
function openBand(width: i32): void {
  let first: isize = -1
  let last: isize = -1
  for (let w: isize = 0; w < <isize>stride; w++) {
    const kind = load<u8>(kinds + w)
    if (kind === EMPTY) continue
    let alike = kind === FULL
    for (let k: isize = 1; alike && k <= <isize>reach; k++) alike = fullAt(w - k) && fullAt(w + k)
    if (alike) continue
    if (first >= 0 && w - last > 2 * <isize>reach) {
      openStretch(first, last, width)
      first = -1
    }
    if (first < 0) first = w
    last = w
  }
  if (first >= 0) openStretch(first, last, width)
}

/** Opens the words `first` to `last` of the rows, with what the pen reaches around them. */
function openStretch(first: isize, last: isize, width: i32): void {
  const within = <usize>(last - first + 1)
  const words = within + 2 * reach
  // Empty words behind each row: what is shifted over its end meets nothing there.
  const step = words + reach
  const height = rows + 2 * pen
  const left = first - <isize>reach
  for (let j: usize = 0; j < height; j++) takeRow(j, left, words, step)
  octagon(step, height, true)
  octagon(step, height, false)
  // Bits beyond the picture's width are no place in it.
  const spare = width & 31
  const trim: u32 = spare !== 0 && last === <isize>stride - 1 ? (1 << spare) - 1 : 0xffffffff
  for (let j: usize = 0; j < rows; j++) restRow(j, first, within, step, trim)
}

/** `words` words of a row of the ink, or of the space, from word `left` on; beyond the picture there is space. */
function takeRow(j: usize, left: isize, words: usize, step: usize): void {
  const inside = j >= missing && j - missing < held
  const row = band + (((j - missing) * stride) << 2)
  const to = bits + ((j * step) << 2)
  for (let k: usize = 0; k < words; k++) {
    const w = left + <isize>k
    const word = inside && w >= 0 && w < <isize>stride ? load<u32>(row + (w << 2)) ^ flip : flip
    store<u32>(to + (k << 2), word)
  }
  for (let k = words; k < step; k++) store<u32>(to + (k << 2), 0)
}

/** Of one row, what was there before (turned over by `flip`) and is no more. */
function restRow(j: usize, first: isize, within: usize, step: usize, trim: u32): void {
  const row = band + (((pen - missing + j) * stride + first) << 2)
  const kept = bits + (((pen + j) * step + reach) << 2)
  const to = out + ((j * stride + first) << 2)
  let any: u32 = 0
  for (let k: usize = 0; k < within; k++) {
    const at = k << 2
    let rest = (load<u32>(row + at) ^ flip) & ~load<u32>(kept + at)
    any |= rest
    if (k === within - 1) rest &= trim
    store<u32>(to + at, rest)
  }
  if (any !== 0) store<u8>(busy + j, 1)
}

/** The four lines of a pen, one after the other: wears the ink away by them, or lays it on again. */
function octagon(step: usize, height: usize, wear: bool): void {
  const e = pen - 1
  const slant = <usize>(<f64>e / (2 + Math.SQRT2))
  const straight = e - 2 * slant
  const row = <isize>(step << 5)
  const size = step * height
  along(size, 1, straight + 1, wear)
  along(size, row, straight + 1, wear)
  along(size, row + 1, slant + 1, wear)
  along(size, row - 1, slant + 1, wear)
}

/** Shifts and combines along a line of n pixels in doubling steps: about log2 n of them. */
function along(size: usize, shift: isize, length: usize, wear: bool): void {
  for (let covered: usize = 1; covered < length; ) {
    const step = min(covered, length - covered)
    if (wear) keepWhereBoth(size, shift * <isize>step)
    else addFrom(size, shift * <isize>step)
    covered += step
  }
}

/** Keeps a bit where the one `shift` further on is set too. Goes up, so what is read is still untouched. */
function keepWhereBoth(size: usize, shift: isize): void {
  const jump = (<usize>(shift >> 5)) << 2
  const by = <i32>(shift & 31)
  const final = bits + (size << 2) - jump - 4
  let at = bits
  if (by === 0) {
    for (; at + 16 <= final; at += 16) v128.store(at, v128.and(v128.load(at), v128.load(at + jump)))
    for (; at < final; at += 4) store<u32>(at, load<u32>(at) & load<u32>(at + jump))
  } else {
    const up = 32 - by
    for (; at + 16 <= final; at += 16) {
      const from = at + jump
      const moved = v128.or(i32x4.shr_u(v128.load(from), by), i32x4.shl(v128.load(from, 4), up))
      v128.store(at, v128.and(v128.load(at), moved))
    }
    for (; at < final; at += 4) {
      const from = at + jump
      store<u32>(at, load<u32>(at) & ((load<u32>(from) >>> by) | (load<u32>(from, 4) << up)))
    }
  }
  store<u32>(final, load<u32>(final) & (load<u32>(final + jump) >>> by))
  memory.fill(final + 4, 0, jump)
}

/** Sets a bit where the one `shift` before it is set. Goes down, so what is read is still untouched. */
function addFrom(size: usize, shift: isize): void {
  const jump = (<usize>(shift >> 5)) << 2
  const by = <i32>(shift & 31)
  const start = bits + jump
  let at = bits + (size << 2)
  if (by === 0) {
    for (; at >= start + 20; at -= 16)
      v128.store(at - 16, v128.or(v128.load(at - 16), v128.load(at - 16 - jump)))
    for (; at > start + 4; at -= 4) store<u32>(at - 4, load<u32>(at - 4) | load<u32>(at - 4 - jump))
  } else {
    const down = 32 - by
    for (; at >= start + 20; at -= 16) {
      const from = at - 16 - jump
      const moved = v128.or(i32x4.shl(v128.load(from), by), i32x4.shr_u(v128.load(from - 4), down))
      v128.store(at - 16, v128.or(v128.load(at - 16), moved))
    }
    for (; at > start + 4; at -= 4) {
      const from = at - 4 - jump
      store<u32>(at - 4, load<u32>(at - 4) | (load<u32>(from) << by) | (load<u32>(from - 4) >>> down))
    }
  }
  store<u32>(start, load<u32>(start) | (load<u32>(bits) << by))
}

/** Whole numbers kept per open patch: area, x0, y0, x1, y1 (inclusive), seed x, seed y, and one spare: two steps to copy. */
const PATCH: usize = 32

/** What is known between two rows: addresses of arrays of whole numbers. */
let line: usize = 0
/** How near runs must be to touch: 0 where corners count, 1 where they do not. */
let nearness: i32 = 0
/** Runs as from, to pairs, of this row and the one above. */
let runs: usize = 0
let aboveRuns: usize = 0
let aboveCount: usize = 0
/** The open patch of each run of this row and of the one above. */
let slots: usize = 0
let aboveSlots: usize = 0
let openCount: usize = 0
/** Of the open patches, then of this row's runs. */
let stats: usize = 0
let nextStats: usize = 0
let parents: usize = 0
let renamed: usize = 0

/** Bytes of work room that looking for the patches of a mask takes. */
export function sweepBytes(width: usize): usize {
  const most = (width >> 1) + 2
  return ((width + 4) << 3) + (most << 3) + most * PATCH * 4 + (most << 4) + 16
}

/** Begins a mask; see eachPatch in components.ts. */
export function beginSweep(width: usize, words: usize, corners: bool, desk: usize): void {
  const most = (width >> 1) + 2
  line = words
  nearness = corners ? 0 : 1
  stats = desk
  nextStats = stats + most * PATCH * 2
  parents = nextStats + most * PATCH * 2
  renamed = parents + (most << 3)
  slots = renamed + (most << 3)
  aboveSlots = slots + (most << 2)
  runs = aboveSlots + (most << 2)
  aboveRuns = runs + ((width + 4) << 2)
  aboveCount = 0
  openCount = 0
}

/** The next row, whose bits begin at `row`; 0 where it is known to be empty. */
export function sweepRow(row: usize, y: i32, width: i32): void {
  const count = row === 0 ? 0 : runsOf(row, width)
  if (count === 0 && openCount === 0) {
    aboveCount = 0
    return
  }
  beginRow(y, count)
  joinRow(count)
  const open = keepOpen(count)
  for (let i: usize = 0; i < openCount; i++)
    if (load<u32>(parents + (i << 2)) === i && load<i32>(renamed + (i << 2)) < 0) finish(i)
  let swap = runs
  runs = aboveRuns
  aboveRuns = swap
  swap = slots
  slots = aboveSlots
  aboveSlots = swap
  swap = stats
  stats = nextStats
  nextStats = swap
  aboveCount = count
  openCount = open
}

/** After the last row: what is still open ends. */
export function endSweep(): void {
  for (let i: usize = 0; i < openCount; i++) finish(i)
}

/** Writes the runs of a row; gives how many. */
function runsOf(row: usize, width: i32): usize {
  let at = runs
  let carry: u32 = 0
  for (let w: usize = 0; w < line; w++) {
    const word = load<u32>(row + (w << 2))
    // Set where a pixel differs from the one on its left: the borders of the runs.
    let edges = word ^ ((word << 1) | carry)
    carry = word >>> 31
    while (edges !== 0) {
      store<u32>(at, <u32>(w << 5) + ctz(edges))
      at += 4
      edges &= edges - 1
    }
  }
  if (((at - runs) & 4) !== 0) {
    store<i32>(at, width)
    at += 4
  }
  return (at - runs) >> 3
}

/** Every open patch and every run of the row begins as a patch of its own. */
function beginRow(y: i32, count: usize): void {
  for (let i: usize = 0; i < openCount + count; i++) {
    store<u32>(parents + (i << 2), <u32>i)
    store<i32>(renamed + (i << 2), -1)
  }
  let at = stats + openCount * PATCH
  for (let j: usize = 0; j < count; j++, at += PATCH) {
    const from = load<i32>(runs + (j << 3))
    const to = load<i32>(runs + (j << 3), 4)
    store<i32>(at, to - from)
    store<i32>(at, from, 4)
    store<i32>(at, y, 8)
    store<i32>(at, to - 1, 12)
    store<i32>(at, y, 16)
    store<i32>(at, from, 20)
    store<i32>(at, y, 24)
  }
}

function find(patch: u32): u32 {
  let at = patch
  let up = load<u32>(parents + (at << 2))
  while (up !== at) {
    const next = load<u32>(parents + (up << 2))
    store<u32>(parents + (at << 2), next)
    at = next
    up = load<u32>(parents + (at << 2))
  }
  return at
}

/** Joins each run with those above that it touches. */
function joinRow(count: usize): void {
  let a: usize = 0
  for (let j: usize = 0; j < count; j++) {
    const from = load<i32>(runs + (j << 3)) + nearness
    const to = load<i32>(runs + (j << 3), 4) - nearness
    while (a < aboveCount && load<i32>(aboveRuns + (a << 3), 4) < from) a++
    for (let k = a; k < aboveCount && load<i32>(aboveRuns + (k << 3)) <= to; k++) {
      const p = find(load<u32>(aboveSlots + (k << 2)))
      const q = find(<u32>(openCount + j))
      if (p < q) join(p, q)
      else if (q < p) join(q, p)
    }
  }
}

/** Takes patch q into p, which began before it. */
function join(p: u32, q: u32): void {
  store<u32>(parents + (q << 2), p)
  const r = stats + p * PATCH
  const s = stats + q * PATCH
  store<i32>(r, load<i32>(r) + load<i32>(s))
  store<i32>(r, min(load<i32>(r, 4), load<i32>(s, 4)), 4)
  store<i32>(r, min(load<i32>(r, 8), load<i32>(s, 8)), 8)
  store<i32>(r, max(load<i32>(r, 12), load<i32>(s, 12)), 12)
  store<i32>(r, max(load<i32>(r, 16), load<i32>(s, 16)), 16)
}

/** Gives the patches that reach into this row their slots for the next; gives how many they are. */
function keepOpen(count: usize): usize {
  let kept: usize = 0
  for (let j: usize = 0; j < count; j++) {
    const root = <usize>find(<u32>(openCount + j))
    let slot = load<i32>(renamed + (root << 2))
    if (slot < 0) {
      slot = <i32>kept
      store<i32>(renamed + (root << 2), slot)
      const from = stats + root * PATCH
      const to = nextStats + kept * PATCH
      v128.store(to, v128.load(from))
      v128.store(to, v128.load(from, 16), 16)
      kept++
    }
    store<i32>(slots + (j << 2), slot)
  }
  return kept
}

function finish(i: usize): void {
  const s = stats + i * PATCH
  patch(
    load<i32>(s),
    load<i32>(s, 4),
    load<i32>(s, 8),
    load<i32>(s, 12),
    load<i32>(s, 16),
    load<i32>(s, 20),
    load<i32>(s, 24),
  )
}
