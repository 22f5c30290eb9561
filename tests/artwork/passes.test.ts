import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { expect, it } from 'vitest'
import { DEFAULT_FADE, GarmentFade } from '@/lib/artwork/fade'
import { emptyMask } from '@/lib/artwork/mask'
import { MADE_FROM } from '@/lib/artwork/passes/made'
import { scan } from '@/lib/artwork/scan'

it('the compiled passes are those of their source (else: npm run passes)', () => {
  const source = readFileSync('lib/artwork/passes/passes.as.ts')
  expect(createHash('sha256').update(source).digest('hex')).toBe(MADE_FROM)
})

/** Runs of pixels: clear, faint, soft and opaque ones, near the cloth's colour and far from it. */
const pictures = fc
  .record({
    width: fc.integer({ min: 1, max: 150 }),
    height: fc.integer({ min: 1, max: 12 }),
    runs: fc.array(
      fc.record({
        rgb: fc.oneof(
          fc.constantFrom(0x101010, 0x16120f, 0x201a18, 0x302820, 0xe4572e, 0xffffff),
          fc.nat(0xffffff),
        ),
        alpha: fc.oneof(
          fc.constant(255),
          fc.constantFrom(0, 1, 7, 8, 127, 128, 254),
          fc.integer({ min: 0, max: 255 }),
        ),
        length: fc.oneof(fc.constant(1), fc.integer({ min: 1, max: 12 }), fc.integer({ min: 1, max: 90 })),
      }),
      { minLength: 1, maxLength: 60 },
    ),
  })
  .map(({ width, height, runs }) => {
    const words = new Uint32Array(width * height)
    for (let at = 0, i = 0; at < words.length; i++) {
      const { rgb, alpha, length } = runs[i % runs.length]!
      words.fill((rgb | (alpha << 24)) >>> 0, at, Math.min(words.length, at + length))
      at += length
    }
    return { width, height, words }
  })

it('one pass over the pixels finds what looking at each by itself finds', () => {
  const fade = new GarmentFade([16, 16, 16], DEFAULT_FADE)
  fc.assert(
    fc.property(pictures, ({ width, height, words }) => {
      const seen = scan({ width, height, data: new Uint8Array(words.buffer) }, fade)
      const alpha = new Float64Array(256)
      const cells = new Float64Array(1 << 15)
      const colours = new Map<number, Map<number, number>>()
      const box = { left: width, right: -1, top: height, bottom: -1 }
      const [solid, breathing] = [emptyMask(width, height), emptyMask(width, height)]
      let ink = 0
      words.forEach((word, i) => {
        const a = word >>> 24
        const [x, y] = [i % width, Math.floor(i / width)]
        const after = Math.floor((a * fade.stays(word) + 127) / 255)
        alpha[a]! += 1
        ink += after
        if (a >= 8) {
          box.left = Math.min(box.left, x)
          box.right = Math.max(box.right, x)
          box.top = Math.min(box.top, y)
          box.bottom = Math.max(box.bottom, y)
        }
        const at = y * solid.stride + (x >> 5)
        if (a >= 128) solid.bits[at]! |= 1 << (x & 31)
        if (after >= 128) breathing.bits[at]! |= 1 << (x & 31)
        if (a === 0) return
        const [r, g, b] = [word & 255, (word >>> 8) & 255, (word >>> 16) & 255]
        const cell = (r >> 3) | ((g >> 3) << 5) | ((b >> 3) << 10)
        cells[cell]! += a
        const here = colours.get(cell) ?? new Map<number, number>()
        here.set(word & 0xffffff, (here.get(word & 0xffffff) ?? 0) + 1)
        colours.set(cell, here)
      })
      // As bytes: the runner's own comparison takes a hundred times as long.
      const same = (a: Uint32Array | Float64Array, b: typeof a): boolean =>
        Buffer.from(a.buffer).equals(Buffer.from(b.buffer))
      expect(same(seen.alpha, alpha)).toBe(true)
      expect(same(seen.cells, cells)).toBe(true)
      // Right of the picture nothing is set: other passes count on it.
      expect(same(seen.solid.bits, solid.bits)).toBe(true)
      expect(same(seen.breathing.bits, breathing.bits)).toBe(true)
      expect(seen.inkAfter).toBeCloseTo(ink / 255, 9)
      expect(seen.bounds).toEqual(
        box.right < 0
          ? null
          : { x: box.left, y: box.top, width: box.right - box.left + 1, height: box.bottom - box.top + 1 },
      )
      // The face of a cell is a colour that is in it.
      for (const [cell, here] of colours) expect([...here.keys()]).toContain(seen.faces[cell])
    }),
    { numRuns: 200 },
  )
})
