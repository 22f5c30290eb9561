import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  celsius,
  formatLength,
  formatTemperature,
  fromFahrenheit,
  fromInches,
  MM_PER_POINT,
  mm,
  parseLength,
  parseOffset,
  pixelsFor,
  ppi,
  rectangle,
  toFahrenheit,
} from '@/lib/units/measure'

const rows = (file: string) =>
  readFileSync(new URL(`../vectors/${file}`, import.meta.url), 'utf8')
    .split('\n')
    .filter(l => l && !l.startsWith('#'))
    .map(l => l.split(','))

describe('lengths', () => {
  it('agrees with the table of points (1 pt = 1/72 in, desktop publishing point)', () => {
    const table = rows('points-mm.csv').filter(r => r[0] && !Number.isNaN(Number(r[0])))
    expect(table.length).toBeGreaterThan(3)
    for (const [pt, length] of table) expect(Number(pt) * MM_PER_POINT).toBeCloseTo(Number(length), 3)
  })
  it('gives A4 at 300 ppi 2480 × 3508 pixels (ISO 216 size, rounded to whole pixels)', () => {
    expect([pixelsFor(mm(210), 300), pixelsFor(mm(297), 300)]).toEqual([2480, 3508])
  })
  it('halves the resolution when the print doubles', () => {
    expect(ppi(3000, fromInches(10))).toBeCloseTo(300, 9)
    expect(ppi(3000, fromInches(20))).toBeCloseTo(150, 9)
  })
  it('refuses what is not a length', () => {
    expect(() => mm(-1)).toThrow('negative')
    expect(() => ppi(10, mm(0))).toThrow()
  })
  it('knows areas', () => expect(rectangle(mm(100), mm(50))).toBe(50))
})

describe('a place beside a middle line', () => {
  it.each([
    ['0', 0],
    ['40', 40],
    ['40 left', 40],
    ['40 right', -40],
    ['-40', -40],
    ['−4 cm', -40],
    ['+1.5in', 38.1],
    ['100 Right', -100],
    ['0 right', 0],
  ])('%s', (text, value) => expect(parseOffset(text, 'metric')).toEqual({ ok: true, value }))
  it('in the shop’s unit', () =>
    expect(parseOffset('1.5 right', 'imperial')).toEqual({ ok: true, value: -38.1 }))
  it.each(['', 'left', 'a bit left', '40 up', '--4', 'right 40'])(
    '“%s” is refused with a way to write it',
    text =>
      expect(parseOffset(text, 'metric')).toMatchObject({
        ok: false,
        message: expect.stringMatching(/40 right/),
      }),
  )
})

describe('temperatures', () => {
  it.each([
    [300, 149],
    [320, 160],
    [400, 204],
    [212, 100],
  ])('%d °F is %d °C', (f, c) => expect(Math.round(fromFahrenheit(f))).toBe(c))
  it('goes there and back', () => {
    fc.assert(
      fc.property(fc.double({ min: -200, max: 500, noNaN: true }), c => {
        expect(fromFahrenheit(toFahrenheit(celsius(c)))).toBeCloseTo(c, 9)
      }),
    )
  })
  it('shows the shop’s choice', () => {
    expect(formatTemperature(celsius(148.9), 'metric')).toBe('149 °C')
    expect(formatTemperature(celsius(148.9), 'imperial')).toBe('300 °F')
  })
})

describe('reading a length', () => {
  it.each([
    ['254', 'metric', 254],
    ['25.4 cm', 'metric', 254],
    ['10', 'imperial', 254],
    ['10″', 'metric', 254],
    ['2,5 in', 'metric', 63.5],
    ['254 mm', 'imperial', 254],
  ] as const)('%s in a %s shop is %d mm', (text, system, value) =>
    expect(parseLength(text, system)).toEqual({ ok: true, value }),
  )
  it.each(['', '-4', 'wide', '1e9', '12 ft', '20000'])('refuses “%s”', text =>
    expect(parseLength(text, 'metric').ok).toBe(false),
  )
  it('writes in the shop’s choice', () => {
    expect(formatLength(mm(254), 'imperial')).toBe('10 in')
    expect(formatLength(mm(254), 'metric')).toBe('254 mm')
  })
})
