import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { eachPatch, largestPatch, smallPatches, takePatch } from '@/lib/artwork/components'
import { boundsOf, copyMask, countSet, eachRun, inverse, isSet, maskFromRows } from '@/lib/artwork/mask'

type Case = {
  name: string
  rows: string[]
  components_4: number
  components_8: number
  areas_8_sorted: number[]
  holes_when_ink_is_8_connected: number
  holes_when_ink_is_4_connected: number
  ink_pixels: number
  coverage: number
  bbox_x0_y0_x1_y1_inclusive: [number, number, number, number] | null
}
// scipy.ndimage.label and skimage.measure.label, which agree on each of these.
const { cases } = JSON.parse(
  readFileSync(new URL('../vectors/connected-components.json', import.meta.url), 'utf8'),
) as { cases: Case[] }

const areas = (rows: string[], connected: 4 | 8): number[] => {
  const out: number[] = []
  eachPatch(maskFromRows(rows), connected, area => out.push(area))
  return out.sort((a, b) => a - b)
}
/** Empty regions that do not reach the edge. */
const holes = (rows: string[], background: 4 | 8): number => {
  const mask = inverse(maskFromRows(rows))
  let n = 0
  eachPatch(mask, background, (_a, x0, y0, x1, y1) => {
    if (x0 > 0 && y0 > 0 && x1 < mask.width - 1 && y1 < mask.height - 1) n++
  })
  return n
}

describe.each(cases)('connected patches of “$name”', c => {
  it('are as many and as large as two reference libraries count', () => {
    expect(areas(c.rows, 8)).toEqual(c.areas_8_sorted)
    expect(areas(c.rows, 8)).toHaveLength(c.components_8)
    expect(areas(c.rows, 4)).toHaveLength(c.components_4)
  })
  it('leave as many holes', () => {
    expect(holes(c.rows, 4)).toBe(c.holes_when_ink_is_8_connected)
    expect(holes(c.rows, 8)).toBe(c.holes_when_ink_is_4_connected)
  })
  it('cover as much, within the same bounds', () => {
    const mask = maskFromRows(c.rows)
    expect(countSet(mask)).toBe(c.ink_pixels)
    expect(countSet(mask) / (mask.width * mask.height)).toBeCloseTo(c.coverage, 5)
    const b = boundsOf(mask)
    expect(b && [b.x, b.y, b.x + b.width - 1, b.y + b.height - 1]).toEqual(c.bbox_x0_y0_x1_y1_inclusive)
  })
})

/** A second way of counting, pixel by pixel. */
function flooded(rows: string[], connected: 4 | 8): number[] {
  const grid = rows.map(r => [...r])
  const out: number[] = []
  const near = [-1, 0, 1].flatMap(dy => [-1, 0, 1].map(dx => [dx, dy] as const))
  for (let y = 0; y < grid.length; y++)
    for (let x = 0; x < grid[y]!.length; x++) {
      if (grid[y]![x] !== '1') continue
      let area = 0
      const stack = [[x, y] as const]
      grid[y]![x] = '0'
      while (stack.length > 0) {
        const [px, py] = stack.pop()!
        area++
        for (const [dx, dy] of near) {
          if (connected === 4 && dx !== 0 && dy !== 0) continue
          if (grid[py + dy]?.[px + dx] !== '1') continue
          grid[py + dy]![px + dx] = '0'
          stack.push([px + dx, py + dy])
        }
      }
      out.push(area)
    }
  return out.sort((a, b) => a - b)
}

/** Random masks up to a few words wide, so that runs cross the borders of words. */
const anyRows = fc
  .tuple(fc.integer({ min: 1, max: 100 }), fc.integer({ min: 1, max: 24 }), fc.integer({ min: 1, max: 9 }))
  .chain(([w, h, density]) =>
    fc.array(
      fc
        .array(fc.integer({ min: 0, max: 9 }), { minLength: w, maxLength: w })
        .map(row => row.map(n => (n < density ? '1' : '0')).join('')),
      { minLength: h, maxLength: h },
    ),
  )

describe('connected patches of any mask', () => {
  it.each([4, 8] as const)('are those a pixel by pixel count finds (%i-connected)', connected => {
    fc.assert(
      fc.property(anyRows, rows => {
        expect(areas(rows, connected)).toEqual(flooded(rows, connected))
      }),
      { numRuns: 150 },
    )
  })
  it('can each be taken out whole, and nothing else with it', () => {
    fc.assert(
      fc.property(anyRows, rows => {
        const mask = maskFromRows(rows)
        const { largest } = largestPatch(mask)
        if (!largest) return
        const rest = copyMask(mask)
        let taken = 0
        takePatch(rest, largest.seed, 8, (_y, from, to) => {
          taken += to - from
        })
        expect(taken).toBe(largest.area)
        expect(countSet(rest)).toBe(countSet(mask) - largest.area)
      }),
      { numRuns: 150 },
    )
  })
  it('under a size are the specks, and only they go when cleared', () => {
    const mask = maskFromRows(['1100000', '1100010', '0000000', '1000111'])
    expect(smallPatches(mask, 3, true).map(p => p.area)).toEqual([1, 1])
    expect(countSet(mask)).toBe(7)
    expect(isSet(mask, 5, 1)).toBe(false)
  })
  it('are found in runs that end where the row does', () => {
    const runs: number[][] = []
    eachRun(maskFromRows([`${'0'.repeat(31)}1`, '1'.repeat(32)]), (y, from, to) => runs.push([y, from, to]))
    expect(runs).toEqual([
      [0, 31, 32],
      [1, 0, 32],
    ])
  })
})
