import { clearRun, isSet, type Mask, rowRuns } from './mask'
import type { PixelBox } from './raster'

/** One connected patch: its area in pixels, its box, and one of its pixels. */
export type Patch = { area: number; box: PixelBox; seed: { x: number; y: number } }

type Emit = (
  area: number,
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  seedX: number,
  seedY: number,
) => void

/** Numbers kept per open patch: area, x0, y0, x1, y1 (inclusive), seed x, seed y. */
const FIELDS = 7

/** What is known between two rows. Whole numbers throughout: a picture has fewer than 2³¹ pixels. */
type Sweep = {
  mask: Mask
  /** How near runs must be to touch: 0 where corners count, 1 where they do not. */
  reach: number
  runs: Int32Array
  above: Int32Array
  aboveCount: number
  /** The open patch of each run above, and of each run of this row. */
  aboveSlot: Int32Array
  slot: Int32Array
  open: number
  /** Of the open patches, then of this row's runs. */
  stats: Int32Array
  next: Int32Array
  parent: Int32Array
  renamed: Int32Array
}

/**
 * Connected patches of a mask, 8- or 4-connected, each given once when it is complete. Union-find over the runs of
 * two neighbouring rows, so memory grows with the width alone, whatever a hostile picture holds.
 * @param busy 0 for each row that is known to be empty
 */
export function eachPatch(mask: Mask, connected: 4 | 8, emit: Emit, busy?: Uint8Array): void {
  const { width, height } = mask
  const most = (width >> 1) + 2
  const sweep: Sweep = {
    mask,
    reach: connected === 8 ? 0 : 1,
    runs: new Int32Array(width + 4),
    above: new Int32Array(width + 4),
    aboveCount: 0,
    aboveSlot: new Int32Array(most),
    slot: new Int32Array(most),
    open: 0,
    stats: new Int32Array(most * FIELDS * 2),
    next: new Int32Array(most * FIELDS * 2),
    parent: new Int32Array(most * 2),
    renamed: new Int32Array(most * 2),
  }
  // A call a row and a step: the engine's fast code is taken up at the next one.
  for (let y = 0; y < height; y++) {
    const count = busy?.[y] === 0 ? 0 : rowRuns(mask, y, sweep.runs) >> 1
    if (count === 0 && sweep.open === 0) {
      sweep.aboveCount = 0
      continue
    }
    beginRow(sweep, y, count)
    joinRow(sweep, count)
    const open = keepOpen(sweep, count)
    for (let i = 0; i < sweep.open; i++)
      if (sweep.parent[i] === i && sweep.renamed[i]! < 0) finish(sweep.stats, i, emit)
    ;[sweep.runs, sweep.above] = [sweep.above, sweep.runs]
    ;[sweep.slot, sweep.aboveSlot] = [sweep.aboveSlot, sweep.slot]
    ;[sweep.stats, sweep.next] = [sweep.next, sweep.stats]
    sweep.aboveCount = count
    sweep.open = open
  }
  for (let i = 0; i < sweep.open; i++) finish(sweep.stats, i, emit)
}

function find(parent: Int32Array, i: number): number {
  let at = i
  while (parent[at] !== at) {
    parent[at] = parent[parent[at]!]!
    at = parent[at]!
  }
  return at
}

/** Every open patch and every run of the row begins as a patch of its own. */
function beginRow({ runs, open, stats, parent, renamed }: Sweep, y: number, count: number): void {
  for (let i = 0; i < open + count; i++) {
    parent[i] = i
    renamed[i] = -1
  }
  for (let j = 0, at = open * FIELDS; j < count; j++, at += FIELDS) {
    const from = runs[2 * j]!
    const to = runs[2 * j + 1]!
    stats[at] = to - from
    stats[at + 1] = from
    stats[at + 2] = y
    stats[at + 3] = to - 1
    stats[at + 4] = y
    stats[at + 5] = from
    stats[at + 6] = y
  }
}

/** Joins each run with those above that it touches. */
function joinRow(
  { runs, above, aboveCount, aboveSlot, open, reach, stats, parent }: Sweep,
  count: number,
): void {
  let a = 0
  for (let j = 0; j < count; j++) {
    const from = runs[2 * j]! + reach
    const to = runs[2 * j + 1]! - reach
    while (a < aboveCount && above[2 * a + 1]! < from) a++
    for (let k = a; k < aboveCount && above[2 * k]! <= to; k++) {
      const p = find(parent, aboveSlot[k]!)
      const q = find(parent, open + j)
      if (p < q) join(stats, parent, p, q)
      else if (q < p) join(stats, parent, q, p)
    }
  }
}

/** Takes patch q into p, which began before it. */
function join(stats: Int32Array, parent: Int32Array, p: number, q: number): void {
  parent[q] = p
  const r = p * FIELDS
  const s = q * FIELDS
  stats[r]! += stats[s]!
  if (stats[s + 1]! < stats[r + 1]!) stats[r + 1] = stats[s + 1]!
  if (stats[s + 2]! < stats[r + 2]!) stats[r + 2] = stats[s + 2]!
  if (stats[s + 3]! > stats[r + 3]!) stats[r + 3] = stats[s + 3]!
  if (stats[s + 4]! > stats[r + 4]!) stats[r + 4] = stats[s + 4]!
}

/** Gives the patches that reach into this row their slots for the next; gives how many they are. */
function keepOpen({ open, slot, stats, next, parent, renamed }: Sweep, count: number): number {
  let kept = 0
  for (let j = 0; j < count; j++) {
    const root = find(parent, open + j)
    if (renamed[root]! < 0) {
      renamed[root] = kept
      for (let f = 0; f < FIELDS; f++) next[kept * FIELDS + f] = stats[root * FIELDS + f]!
      kept++
    }
    slot[j] = renamed[root]!
  }
  return kept
}

function finish(stats: Int32Array, i: number, emit: Emit): void {
  const s = i * FIELDS
  emit(stats[s]!, stats[s + 1]!, stats[s + 2]!, stats[s + 3]!, stats[s + 4]!, stats[s + 5]!, stats[s + 6]!)
}

/**
 * How many patches a mask has, the largest of them (the first of equals from the top; null when empty), and how many
 * are specks: no more than `speckSide` pixels across and down.
 */
export function largestPatch(
  mask: Mask,
  connected: 4 | 8 = 8,
  speckSide = 0,
): { count: number; specks: number; largest: Patch | null } {
  let count = 0
  let specks = 0
  let largest: Patch | null = null
  eachPatch(mask, connected, (area, x0, y0, x1, y1, seedX, seedY) => {
    count++
    if (x1 - x0 < speckSide && y1 - y0 < speckSide) specks++
    if (largest === null || area > largest.area)
      largest = {
        area,
        box: { x: x0, y: y0, width: x1 - x0 + 1, height: y1 - y0 + 1 },
        seed: { x: seedX, y: seedY },
      }
  })
  return { count, specks, largest }
}

/** Patches under `area` pixels; taken out of the mask when `clear` is set. */
export function smallPatches(mask: Mask, area: number, clear = false): Patch[] {
  const small: Patch[] = []
  eachPatch(mask, 8, (n, x0, y0, x1, y1, seedX, seedY) => {
    if (n < area)
      small.push({
        area: n,
        box: { x: x0, y: y0, width: x1 - x0 + 1, height: y1 - y0 + 1 },
        seed: { x: seedX, y: seedY },
      })
  })
  if (clear) for (const patch of small) takePatch(mask, patch.seed, 8, () => {})
  return small
}

/**
 * Takes the patch of a pixel out of the mask, giving each of its runs: `visit(y, from, to)`, `to` exclusive. Memory
 * grows with the number of runs.
 */
export function takePatch(
  mask: Mask,
  seed: { x: number; y: number },
  connected: 4 | 8,
  visit: (y: number, from: number, to: number) => void,
): void {
  const reach = connected === 8 ? 1 : 0
  const stack = [seed.x, seed.y]
  while (stack.length > 0) {
    const y = stack.pop()!
    const x = stack.pop()!
    if (!isSet(mask, x, y)) continue
    let from = x
    let to = x + 1
    while (isSet(mask, from - 1, y)) from--
    while (isSet(mask, to, y)) to++
    clearRun(mask, y, from, to)
    visit(y, from, to)
    for (const row of [y - 1, y + 1])
      for (let at = from - reach; at < to + reach; at++)
        if (isSet(mask, at, row) && !(at > from - reach && isSet(mask, at - 1, row))) stack.push(at, row)
  }
}
