import { clearRun, isSet, type Mask } from './mask'
import { type PatchEmit, sweepMask } from './passes/run'
import type { PixelBox } from './raster'

/** One connected patch: its area in pixels, its box, and one of its pixels. */
export type Patch = { area: number; box: PixelBox; seed: { x: number; y: number } }

/**
 * Connected patches of a mask, 8- or 4-connected, each given once when it is complete. Union-find over the runs of
 * two neighbouring rows, so memory grows with the width alone, whatever a hostile picture holds.
 * @param emit must not look for patches by itself
 * @param busy 0 for each row that is known to be empty
 */
export const eachPatch = (mask: Mask, connected: 4 | 8, emit: PatchEmit, busy?: Uint8Array): void =>
  sweepMask(mask, connected === 8, emit, busy)

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
