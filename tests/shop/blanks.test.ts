import { describe, expect, it } from 'vitest'
import {
  compareSizes,
  fibreClass,
  fibreContentSchema,
  formatFibres,
  groundOf,
  luminance,
  outlineOf,
  polyesterShare,
  SIZES,
} from '@/lib/shop/blanks'

describe('fibre content', () => {
  it.each([
    [{ cotton: 100 }, 'cotton'],
    [{ cotton: 85, polyester: 15 }, 'cotton'],
    [{ cotton: 84, polyester: 16 }, 'blend'],
    [{ cotton: 50, polyester: 50 }, 'blend'],
    [{ polyester: 50, cotton: 25, viscose: 25 }, 'tri-blend'],
    [{ polyester: 84, cotton: 16 }, 'blend'],
    [{ polyester: 85, cotton: 15 }, 'polyester'],
    [{ polyester: 90, nylon: 10 }, 'nylon'],
    [{ coating: 100 }, 'hard'],
    [{ linen: 100 }, 'cotton'],
  ] as const)('%j is for heat: %s', (content, expected) => expect(fibreClass(content)).toBe(expected))
  it('must add up to 100 %', () => {
    expect(fibreContentSchema.safeParse({ cotton: 60, polyester: 40 }).success).toBe(true)
    expect(fibreContentSchema.safeParse({ cotton: 60, polyester: 30 }).success).toBe(false)
    expect(fibreContentSchema.safeParse({ cotton: 120, polyester: -20 }).success).toBe(false)
    expect(fibreContentSchema.safeParse({ plutonium: 100 }).success).toBe(false)
  })
  it('reads largest first', () =>
    expect(formatFibres({ cotton: 35, polyester: 65 })).toBe('65 % polyester, 35 % cotton'))
  it('a coating takes sublimation dye like polyester', () =>
    expect(polyesterShare({ coating: 100 })).toBe(100))
})

describe('grounds', () => {
  // IEC 61966-2-1 primaries: the luminances of full red, green and blue are the three weights.
  it.each([
    ['#ffffff', 1],
    ['#000000', 0],
    ['#ff0000', 0.2126],
    ['#00ff00', 0.7152],
    ['#0000ff', 0.0722],
  ])('luminance of %s is %f', (hex, y) => expect(luminance(hex)).toBeCloseTo(y, 6))
  it.each([
    ['#ffffff', 'white'],
    ['#f5f2e8', 'white'],
    ['#f2d16b', 'light'],
    ['#c9c9c9', 'light'],
    ['#c1272d', 'dark'],
    ['#1d1d1f', 'dark'],
  ])('%s is %s', (hex, ground) => expect(groundOf(hex)).toBe(ground))
  it('refuses what is not a colour', () => expect(() => luminance('red')).toThrow(/not a colour/))
})

describe('sizes and outlines', () => {
  it('sort as people read them', () =>
    expect((['2XL', 'M', 'YL', 'S'] as const).toSorted(compareSizes)).toEqual(['YL', 'S', 'M', '2XL']))
  it('a tee never shrinks from size to size', () => {
    for (const group of [SIZES.slice(0, 5), SIZES.slice(5, 14)])
      group.reduce((a, b) => {
        expect(outlineOf('tee', b).widthMm).toBeGreaterThan(outlineOf('tee', a).widthMm)
        expect(outlineOf('tee', b).collarToHemMm).toBeGreaterThan(outlineOf('tee', a).collarToHemMm)
        return b
      })
  })
  // Common shop practice: a unisex M lies about 20 in wide.
  it('a tee of size M is 508 mm wide', () => expect(outlineOf('tee', 'M').widthMm).toBe(508))
})
