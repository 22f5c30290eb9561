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

/**
 * Connected patches of a mask, 8- or 4-connected, each given once when it is complete. Union-find over the runs of
 * two neighbouring rows, so memory grows with the width alone, whatever a hostile picture holds.
 */
export function eachPatch(mask: Mask, connected: 4 | 8, emit: Emit): void {
  const { width, height } = mask
  const most = (width >> 1) + 2
  const reach = connected === 8 ? 0 : 1
  let runs = new Int32Array(width + 4)
  let above = new Int32Array(width + 4)
  let aboveCount = 0
  let aboveSlot = new Int32Array(most)
  let slot = new Int32Array(most)
  let open = 0
  let stats = new Float64Array(most * FIELDS * 2)
  let next = new Float64Array(most * FIELDS * 2)
  const parent = new Int32Array(most * 2)
  const renamed = new Int32Array(most * 2)

  const find = (i: number): number => {
    let at = i
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]!]!
      at = parent[at]!
    }
    return at
  }

  for (let y = 0; y < height; y++) {
    const count = rowRuns(mask, y, runs) >> 1
    const total = open + count
    for (let i = 0; i < total; i++) {
      parent[i] = i
      renamed[i] = -1
    }
    let a = 0
    for (let j = 0; j < count; j++) {
      const from = runs[2 * j]!
      const to = runs[2 * j + 1]!
      while (a < aboveCount && above[2 * a + 1]! < from + reach) a++
      for (let k = a; k < aboveCount && above[2 * k]! <= to - reach; k++) {
        const p = find(aboveSlot[k]!)
        const q = find(open + j)
        if (p < q) parent[q] = p
        else parent[p] = q
      }
      const at = (open + j) * FIELDS
      stats[at] = to - from
      stats[at + 1] = from
      stats[at + 2] = y
      stats[at + 3] = to - 1
      stats[at + 4] = y
      stats[at + 5] = from
      stats[at + 6] = y
    }
    for (let i = 0; i < total; i++) {
      const root = find(i)
      if (root === i) continue
      const s = i * FIELDS
      const r = root * FIELDS
      stats[r]! += stats[s]!
      if (stats[s + 1]! < stats[r + 1]!) stats[r + 1] = stats[s + 1]!
      if (stats[s + 2]! < stats[r + 2]!) stats[r + 2] = stats[s + 2]!
      if (stats[s + 3]! > stats[r + 3]!) stats[r + 3] = stats[s + 3]!
      if (stats[s + 4]! > stats[r + 4]!) stats[r + 4] = stats[s + 4]!
    }
    let nextOpen = 0
    for (let j = 0; j < count; j++) {
      const root = find(open + j)
      if (renamed[root]! < 0) {
        renamed[root] = nextOpen
        for (let f = 0; f < FIELDS; f++) next[nextOpen * FIELDS + f] = stats[root * FIELDS + f]!
        nextOpen++
      }
      slot[j] = renamed[root]!
    }
    for (let i = 0; i < open; i++) if (parent[i] === i && renamed[i]! < 0) finish(stats, i, emit)
    ;[runs, above] = [above, runs]
    ;[slot, aboveSlot] = [aboveSlot, slot]
    ;[stats, next] = [next, stats]
    aboveCount = count
    open = nextOpen
  }
  for (let i = 0; i < open; i++) finish(stats, i, emit)
}

function finish(stats: Float64Array, i: number, emit: Emit): void {
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
