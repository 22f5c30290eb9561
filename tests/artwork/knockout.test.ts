import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { deltaE2000, labOf, parseHex, type Rgb } from '@/lib/artwork/colour'
import { fadeFor, GarmentFade } from '@/lib/artwork/fade'
import { type KnockoutSettings, knockOut } from '@/lib/artwork/knockout'
import { measure } from '@/lib/artwork/measure'
import { pixelWords, type Raster } from '@/lib/artwork/raster'
import { asArtwork, painted, pixel, wordAt } from './pictures'

const BLACK: Rgb = [16, 16, 16]
const knocked = (raster: Raster, settings: Partial<KnockoutSettings> = {}, garment: Rgb = BLACK) =>
  knockOut(raster, garment, {
    tolerance: 6,
    soft: 6,
    reach: 'everywhere',
    specks: 'keep',
    speckPx: 0,
    ...settings,
  })
const channel = fc.integer({ min: 0, max: 255 })
const anyColour = fc.tuple(channel, channel, channel)

describe('what stays of a colour', () => {
  // The table of cells is a short cut: it must give what the formula gives, for every colour and cloth.
  it('is decided by CIEDE2000 alone: gone within the tolerance, whole beyond the soft edge', () => {
    fc.assert(
      fc.property(
        anyColour,
        fc.array(anyColour, { minLength: 1, maxLength: 60 }),
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 0, max: 15 }),
        (cloth, others, tolerance, soft) => {
          const fade = new GarmentFade(cloth, { tolerance, soft })
          const near = cloth.map(c => Math.min(255, c + 6)) as unknown as [number, number, number]
          for (const [r, g, b] of [...others, near, cloth]) {
            const d = deltaE2000(...labOf(...cloth), ...labOf(r, g, b))
            const stays = fade.stays((b << 16) | (g << 8) | r)
            if (d <= tolerance) expect(stays).toBe(0)
            else if (d >= tolerance + soft) expect(stays).toBe(255)
            else expect(stays).toBeGreaterThan(0)
          }
        },
      ),
      { numRuns: 60 },
    )
  })
  it('never grows as the tolerance does', () => {
    fc.assert(
      fc.property(anyColour, anyColour, fc.integer({ min: 0, max: 30 }), (cloth, [r, g, b], t) => {
        const word = (b << 16) | (g << 8) | r
        const tight = new GarmentFade(cloth, { tolerance: t, soft: 6 }).stays(word)
        expect(new GarmentFade(cloth, { tolerance: t + 2, soft: 6 }).stays(word)).toBeLessThanOrEqual(tight)
      }),
      { numRuns: 80 },
    )
  })
  it('is the same whatever cloths were looked at before', () => {
    const cloths: Rgb[] = [BLACK, [250, 250, 250], BLACK, [200, 30, 30]]
    fc.assert(
      fc.property(
        fc.array(anyColour, { minLength: 40, maxLength: 40 }),
        fc.integer({ min: 2, max: 30 }),
        (colours, soft) => {
          for (const cloth of cloths) {
            const kept = fadeFor(cloth, { tolerance: 6, soft })
            const fresh = new GarmentFade(cloth, { tolerance: 6, soft })
            for (const [r, g, b] of [...colours, cloth]) {
              const word = (b << 16) | (g << 8) | r
              expect(kept.stays(word)).toBe(fresh.stays(word))
            }
            expect(fadeFor([...cloth], { tolerance: 6, soft })).toBe(kept)
          }
        },
      ),
      { numRuns: 20 },
    )
  })
})

describe('knocked out', () => {
  const face = painted(60, 60, (x, y) => {
    const d = Math.hypot(x - 29.5, y - 29.5)
    if (Math.hypot(x - 20, y - 22) < 5) return pixel('#101010')
    return d < 20 ? pixel('#e4572e') : d < 28 ? pixel('#101010') : null
  })
  it('the cloth shows, the art stays, the original is untouched', () => {
    const original = pixelWords(face).slice()
    const { raster, before, after } = knocked(face)
    expect(wordAt(raster, 29, 4)).toBe(0)
    expect(wordAt(raster, 29, 29)).toBe(pixel('#e4572e'))
    expect(wordAt(raster, 20, 22)).toBe(0)
    expect(after.inkPx).toBeLessThan(before.inkPx)
    expect([...pixelWords(face)]).toEqual([...original])
  })
  it('from outside only, an eye in the cloth’s colour stays printed', () => {
    const { raster } = knocked(face, { reach: 'from-outside' })
    expect(wordAt(raster, 29, 4)).toBe(0)
    expect(wordAt(raster, 20, 22)).toBe(pixel('#101010'))
  })
  it('art laid on the cloth looks as it did, to two codes, wherever ink is left', () => {
    const ramp = painted(256, 1, x =>
      pixel(`#${[x, 16 + (x >> 2), 16].map(c => Math.min(255, c).toString(16).padStart(2, '0')).join('')}`),
    )
    const { raster } = knocked(ramp)
    for (let x = 0; x < 256; x++) {
      const after = wordAt(raster, x, 0)
      const a = (after >>> 24) / 255
      if (a === 0) continue
      for (let c = 0; c < 3; c++) {
        const seen = (wordAt(ramp, x, 0) >>> (8 * c)) & 255
        const laid = a * ((after >>> (8 * c)) & 255) + (1 - a) * BLACK[c]!
        expect(Math.abs(laid - seen)).toBeLessThanOrEqual(2)
      }
    }
  })
  it('agrees with what the check foretells', () => {
    const cloth = parseHex('#2b3a55') as Rgb
    const art = painted(120, 120, (x, y) =>
      (x * y) % 7 === 0
        ? null
        : pixel(
            `#${(x % 80).toString(16).padStart(2, '0')}${(y % 90).toString(16).padStart(2, '0')}55`,
            100 + x,
          ),
    )
    const foretold = measure(asArtwork(art), {
      widthMm: 120,
      garmentHex: '#2b3a55',
      method: 'transfer',
    }).knockout
    const done = knocked(art, {}, cloth)
    expect(done.after.inkPx / 100).toBeCloseTo(foretold.areaAfterCm2, 6)
    expect(done.after.largestPx / 100).toBeCloseTo(foretold.largestSolidAfterCm2, 6)
    expect(done.before.inkPx / 100).toBeCloseTo(foretold.areaBeforeCm2, 6)
  })
  it('areas and patches only fall as the slider moves', () => {
    const art = painted(64, 64, (x, y) =>
      pixel(`#${(4 * x).toString(16).padStart(2, '0')}${(4 * y).toString(16).padStart(2, '0')}30`),
    )
    const steps = [0, 4, 8, 16, 32].map(tolerance => knocked(art, { tolerance }))
    for (let i = 1; i < steps.length; i++) {
      expect(steps[i]!.after.inkPx).toBeLessThanOrEqual(steps[i - 1]!.after.inkPx)
      expect(steps[i]!.after.largestPx).toBeLessThanOrEqual(steps[i - 1]!.after.largestPx)
    }
    expect(steps.at(-1)!.after.inkPx).toBeLessThan(0.9 * steps[0]!.after.inkPx)
  })
})

describe('specks', () => {
  // Red art with pinholes in the cloth's colour, and crumbs of red in a cloth-coloured field.
  const art = painted(80, 40, (x, y) => {
    const speck = x % 10 === 5 && y % 10 === 5
    return x < 40 === speck ? pixel('#101010') : pixel('#e4572e')
  })
  it('are left as they are when kept', () => {
    const { raster } = knocked(art)
    expect(wordAt(raster, 5, 5)).toBe(0)
    expect(wordAt(raster, 45, 5)).toBe(pixel('#e4572e'))
  })
  it('are cleared, and pinholes closed, when asked', () => {
    const field = painted(80, 40, (x, y) => {
      const speck = x % 10 === 5 && y % 10 === 5
      return x < 40 !== speck ? pixel('#e4572e') : pixel('#101010')
    })
    const done = knocked(field, { specks: 'clear', speckPx: 4 })
    expect(done.openingsClosed).toBe(16)
    expect(done.specksCleared).toBe(16)
    expect(wordAt(done.raster, 5, 5)).toBe(pixel('#101010'))
    expect(wordAt(done.raster, 45, 5)).toBe(0)
  })
  it('at or over the size stay', () => {
    const done = knocked(
      painted(20, 20, (x, y) => (x < 2 && y < 2 ? pixel('#e4572e') : null)),
      { specks: 'clear', speckPx: 4 },
    )
    expect(done.specksCleared).toBe(0)
    expect(done.after.inkPx).toBe(4)
  })
})
