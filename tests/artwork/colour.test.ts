import { readFileSync } from 'node:fs'
import { differenceCiede2000, lab65 } from 'culori'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { deltaE2000, LINEAR, labOf, parseHex, type Rgb, rgbOfLab, toHex } from '@/lib/artwork/colour'
import { table } from './pictures'

const vectors = (name: string) => table(readFileSync(new URL(`../vectors/${name}`, import.meta.url), 'utf8'))
const channel = fc.integer({ min: 0, max: 255 })
const anyColour = fc.tuple(channel, channel, channel)

describe('CIEDE2000', () => {
  // Sharma, Wu, Dalal, Color Research & Application 30(1), 2005, table 1: all 34 pairs.
  const pairs = vectors('ciede2000.csv')
  it('has all 34 published pairs', () => expect(pairs).toHaveLength(34))
  it.each(pairs)('gives the published $deltaE00 for pair $pair, both ways round', row => {
    const n = (key: string): number => Number(row[key])
    const there = deltaE2000(n('L1'), n('a1'), n('b1'), n('L2'), n('a2'), n('b2'))
    const back = deltaE2000(n('L2'), n('a2'), n('b2'), n('L1'), n('a1'), n('b1'))
    expect(there.toFixed(4)).toBe(n('deltaE00').toFixed(4))
    expect(back).toBeCloseTo(there, 10)
  })
  it('agrees with a reference library on any two sRGB colours', () => {
    const reference = differenceCiede2000()
    const named = ([L, a, b]: readonly number[]) => ({ mode: 'lab65' as const, l: L!, a: a!, b: b! })
    fc.assert(
      fc.property(anyColour, anyColour, (p, q) => {
        const [x, y] = [labOf(...p), labOf(...q)]
        expect(deltaE2000(...x, ...y)).toBeCloseTo(reference(named(x), named(y)), 8)
      }),
      { numRuns: 300 },
    )
  })
})

describe('sRGB and CIELAB', () => {
  // IEC 61966-2-1 and CSS Color 4, computed apart from this code (see the vectors' own note); #ff0000 as published.
  it.each(vectors('srgb-lab.csv'))('$hex is at the published linear light and Lab (D65)', row => {
    const [r, g, b] = parseHex(row.hex!) as Rgb
    expect(LINEAR[r]).toBeCloseTo(Number(row.R_linear), 6)
    expect(LINEAR[g]).toBeCloseTo(Number(row.G_linear), 6)
    expect(LINEAR[b]).toBeCloseTo(Number(row.B_linear), 6)
    const lab = labOf(r, g, b)
    expect(Math.abs(lab[0] - Number(row.L_D65))).toBeLessThan(2e-4)
    expect(Math.abs(lab[1] - Number(row.a_D65))).toBeLessThan(2e-4)
    expect(Math.abs(lab[2] - Number(row.b_D65))).toBeLessThan(2e-4)
  })
  it('agrees with a reference library', () => {
    fc.assert(
      fc.property(anyColour, ([r, g, b]) => {
        const reference = lab65({ mode: 'rgb', r: r / 255, g: g / 255, b: b / 255 })
        const lab = labOf(r, g, b)
        expect(lab[0]).toBeCloseTo(reference.l, 4)
        expect(lab[1]).toBeCloseTo(reference.a, 4)
        expect(lab[2]).toBeCloseTo(reference.b, 4)
      }),
      { numRuns: 200 },
    )
  })
  it('comes back from Lab to the same code', () => {
    fc.assert(
      fc.property(anyColour, rgb => {
        expect(rgbOfLab(labOf(...rgb))).toEqual(rgb)
      }),
      { numRuns: 300 },
    )
  })
})

describe('a colour as typed', () => {
  it.each([
    ['#101010', [16, 16, 16]],
    ['FFF', [255, 255, 255]],
    [' #e4572E ', [228, 87, 46]],
    ['#12345', null],
    ['red', null],
    ['', null],
  ])('reads “%s”', (text, rgb) => expect(parseHex(text)).toEqual(rgb))
  it('is written in small letters and held within the gamut', () =>
    expect(toHex([300, 15.6, -3])).toBe('#ff1000'))
})
