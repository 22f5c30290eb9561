import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import sharp from 'sharp'
import { describe, expect, it } from 'vitest'
import { checkOf, type MeasureOptions, measure } from '@/lib/artwork/measure'
import type { Raster } from '@/lib/artwork/raster'
import { asArtwork, painted, pixel, table } from './pictures'

const look = (raster: Raster, options: Partial<MeasureOptions> = {}) =>
  measure(asArtwork(raster), { widthMm: 100, garmentHex: '#101010', method: 'transfer', ...options })
const codes = (m: ReturnType<typeof look>): string[] => m.findings.map(f => f.code)

const disc = (size: number, radius: number, hex = '#e4572e'): Raster =>
  painted(size, size, (x, y) =>
    Math.hypot(x - size / 2 + 0.5, y - size / 2 + 0.5) <= radius ? pixel(hex) : null,
  )

describe('resolution', () => {
  // By definition: pixels over printed inches; an inch is 25.4 mm.
  it('of 3600 pixels at the widths of the published table', () => {
    for (const row of table(readFileSync(new URL('../vectors/png-phys.csv', import.meta.url), 'utf8'))) {
      const m = look(
        painted(3600, 2, () => pixel('#e4572e')),
        { widthMm: Number(row.print_width_mm_at_3600px) },
      )
      expect(m.print.ppi).toBeCloseTo(Number(row.dpi), 0)
    }
  })
  it('of an A3 sheet of 3508 × 4961 pixels is 300', () => {
    // ISO 216: A3 is 297 × 420 mm.
    const m = look(
      painted(351, 496, () => pixel('#e4572e')),
      { widthMm: 297 / 10 },
    )
    expect(m.print.ppi).toBeCloseTo(300, 0)
    expect(m.print.heightMm).toBeCloseTo(42, 1)
  })
  it.each([
    [99, 'too-few-pixels'],
    [101, 'low-resolution'],
    [149, 'low-resolution'],
    [151, 'below-house-rule'],
    [299, 'below-house-rule'],
  ])('at %i ppi says %s', (ppi, code) => {
    const m = look(disc(400, 180), { widthMm: (400 / ppi) * 25.4 })
    expect(
      codes(m).filter(c => ['too-few-pixels', 'low-resolution', 'below-house-rule'].includes(c)),
    ).toEqual([code])
  })
  it('at 300 ppi says nothing, and the worst stands first', () => {
    expect(codes(look(disc(400, 180), { widthMm: (400 / 300) * 25.4 }))).not.toContain('below-house-rule')
    expect(look(disc(400, 180), { widthMm: 400 }).findings[0]?.severity).toBe('stop')
  })
  it('follows the shop’s own rules', () => {
    const rules = { house: 200, warnBelow: 120, stopBelow: 60 }
    expect(codes(look(disc(400, 180), { widthMm: (400 / 99) * 25.4, ppiRules: rules }))).toContain(
      'low-resolution',
    )
    expect(codes(look(disc(400, 180), { widthMm: (400 / 201) * 25.4, ppiRules: rules }))).not.toContain(
      'below-house-rule',
    )
  })
  it('counts the worse side when the size stretches the art, and says so', () => {
    const m = look(disc(400, 180), { widthMm: 100, heightMm: 200 })
    expect(m.print.ppi).toBeCloseTo((400 / 200) * 25.4, 6)
    expect(codes(m)).toContain('stretched')
  })
})

describe('covered area', () => {
  it('of a disc is π r²', () => {
    const m = look(disc(1000, 400), { widthMm: 100 })
    expect(m.ink.areaCm2 / (Math.PI * 4 * 4)).toBeCloseTo(1, 3)
    expect(m.knockout.largestSolidBeforeCm2 / (Math.PI * 4 * 4)).toBeCloseTo(1, 3)
  })
  it('of a triangle is half its rectangle', () => {
    const m = look(
      painted(1000, 500, (x, y) => (x < 2 * y ? pixel('#17bebb') : null)),
      { widthMm: 200 },
    )
    expect(m.ink.areaCm2).toBeCloseTo(100, 0)
  })
  it('counts half transparent ink as a half, and says how much of it there is', () => {
    const m = look(
      painted(100, 100, x => (x < 50 ? pixel('#17bebb', 51) : null)),
      { widthMm: 100 },
    )
    expect(m.ink.coverage).toBeCloseTo(0.5 * 0.2, 9)
    expect(m.ink.areaCm2).toBeCloseTo(10, 6)
    expect(m.ink.partlyTransparent).toBe(0.5)
    expect(codes(m)).toContain('partly-transparent')
  })
  it('is the mean alpha that the image library counts, on any picture', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc
          .tuple(fc.integer({ min: 1, max: 70 }), fc.integer({ min: 1, max: 9 }))
          .chain(([width, height]) =>
            fc
              .uint8Array({ minLength: 4 * width * height, maxLength: 4 * width * height })
              .map(bytes => ({ width, height, data: new Uint8Array(bytes) })),
          ),
        async raster => {
          const { width, height, data } = raster
          const { channels } = await sharp(data, { raw: { width, height, channels: 4 } }).stats()
          expect(look(raster).ink.coverage).toBeCloseTo(channels[3]!.mean / 255, 9)
        },
      ),
      { numRuns: 25 },
    )
  })
  it('of nothing is nothing, and stops', () => {
    const m = look(painted(50, 50, () => null))
    expect(m.ink.areaCm2).toBe(0)
    expect(m.colours).toEqual([])
    expect(m.findings.map(f => [f.code, f.severity])).toEqual([['empty', 'stop']])
  })
  it('of a single pixel is the whole print', () => {
    expect(
      look(
        painted(1, 1, () => pixel('#e4572e')),
        { widthMm: 10 },
      ).ink.areaCm2,
    ).toBeCloseTo(1, 9)
  })
})

describe('the garment’s colour', () => {
  // A cloth-coloured square of 60 mm around a red one of 30 mm.
  const art = painted(200, 200, (x, y) => {
    const d = Math.max(Math.abs(x - 99.5), Math.abs(y - 99.5))
    return d < 30 ? pixel('#e4572e') : d < 60 ? pixel('#101010') : null
  })
  it('is knocked out of area and patch alike', () => {
    const { knockout } = look(art)
    expect(knockout.areaBeforeCm2).toBeCloseTo(36, 6)
    expect(knockout.areaAfterCm2).toBeCloseTo(9, 6)
    expect(knockout.largestSolidBeforeCm2).toBeCloseTo(36, 6)
    expect(knockout.largestSolidAfterCm2).toBeCloseTo(9, 6)
  })
  it('is found and offered', () => {
    const said = look(art).findings.find(f => f.code === 'garment-colour')
    expect(said?.message).toContain('27 cm²')
  })
  it('stays on another cloth', () => {
    const m = look(art, { garmentHex: '#ffffff' })
    expect(m.knockout.areaAfterCm2).toBeCloseTo(36, 6)
    expect(codes(m)).not.toContain('garment-colour')
  })
  it('as the whole art is said to be unseen', () =>
    expect(codes(look(disc(100, 40, '#111111')))).toContain('unseen'))
})

describe('colours', () => {
  it('of flat art are exact, with their shares', () => {
    const m = look(
      painted(100, 100, x => (x < 50 ? pixel('#e4572e') : x < 80 ? pixel('#17bebb') : pixel('#ffc914'))),
    )
    expect(m.colours.map(c => c.hex)).toEqual(['#e4572e', '#17bebb', '#ffc914'])
    expect(m.colours.map(c => c.share)).toEqual([0.5, expect.closeTo(0.3, 9), expect.closeTo(0.2, 9)])
    expect(m.detail.palette.residual).toBeCloseTo(0, 9)
  })
  it('add up to the whole ink, and leave a residual where there are tones', () => {
    const m = look(
      painted(256, 64, x =>
        pixel(`#${x.toString(16).padStart(2, '0')}40${(255 - x).toString(16).padStart(2, '0')}`),
      ),
    )
    expect(m.colours.reduce((n, c) => n + c.share, 0)).toBeCloseTo(1, 9)
    expect(m.detail.palette.residual).toBeGreaterThan(1)
    expect(m.detail.palette.worst).toBeGreaterThan(m.detail.palette.residual)
  })
})

describe('a printed box', () => {
  const onBox = (box: string) =>
    painted(200, 200, (x, y) => (Math.hypot(x - 100, y - 100) < 60 ? pixel('#e4572e') : pixel(box)))
  const box = (hex: string, options: Partial<MeasureOptions>) =>
    look(onBox(hex), options).findings.find(f => f.code === 'printed-box')
  it('around art for sublimation is found and named', () => {
    const found = box('#f2ead9', { method: 'sublimation', garmentHex: '#ffffff' })
    expect(found?.severity).toBe('warn')
    expect(found?.message).toContain('#f2ead9')
    expect(found?.where).toEqual([{ x: 0, y: 0, width: 200, height: 200 }])
  })
  it('of pure white is only a note in sublimation, which prints no white', () =>
    expect(box('#ffffff', { method: 'sublimation', garmentHex: '#ffffff' })?.severity).toBe('note'))
  it('is found with room around it, too', () => {
    const art = painted(300, 300, (x, y) =>
      x < 50 || y < 50 || x >= 250 || y >= 250
        ? null
        : Math.hypot(x - 150, y - 150) < 60
          ? pixel('#e4572e')
          : pixel('#f2ead9'),
    )
    const m = look(art, { method: 'sublimation', garmentHex: '#ffffff' })
    expect(codes(m)).toContain('printed-box')
    expect(m.detail.bounds).toEqual({ x: 50, y: 50, width: 200, height: 200 })
    expect(codes(m)).toContain('empty-margin')
  })
  it('is not seen around art that stands free, nor is a plain rectangle one', () => {
    expect(codes(look(disc(200, 90), { method: 'sublimation', garmentHex: '#ffffff' }))).not.toContain(
      'printed-box',
    )
    expect(codes(look(painted(100, 100, () => pixel('#e4572e'))))).not.toContain('printed-box')
  })
  it('is not a photograph: that fills its rectangle', () => {
    const photo = painted(200, 200, (x, y) =>
      pixel(
        `#${((x * 7 + y * 13) % 256).toString(16).padStart(2, '0')}${(y % 256).toString(16).padStart(2, '0')}60`,
      ),
    )
    expect(codes(look(photo))).toContain('full-rectangle')
    expect(codes(look(photo))).not.toContain('printed-box')
  })
})

describe('what the method cannot hold', () => {
  // At 300 ppi 0.4 mm are 4.7 pixels: a line of 3 is too thin for a transfer, one of 8 is not.
  const line = (thick: number, slope: number) =>
    painted(600, 600, (x, y) =>
      Math.abs(y - 300 - slope * (x - 300)) / Math.hypot(1, slope) < thick / 2 ? pixel('#e4572e') : null,
    )
  const at300 = { widthMm: 50.8 }
  it.each([0, 0.3, 1, 2])('a thin line is found at slope %f, a thick one is not', slope => {
    expect(codes(look(line(3, slope), at300))).toContain('thin-lines')
    expect(codes(look(line(8, slope), at300))).not.toContain('thin-lines')
  })
  it('the place of the thin line is given', () => {
    const art = painted(600, 600, (x, y) =>
      x > 100 && x < 300 && y >= 200 && y < 203 ? pixel('#e4572e') : null,
    )
    expect(look(art, at300).findings.find(f => f.code === 'thin-lines')?.where).toEqual([
      { x: 101, y: 200, width: 199, height: 3 },
    ])
  })
  it('a narrow gap is found, a wide one and the space around the art are not', () => {
    const gap = (px: number) =>
      painted(600, 600, (x, y) =>
        x > 60 && x < 540 && y > 60 && y < 540 && Math.abs(x - 300) > px / 2 ? pixel('#e4572e') : null,
      )
    expect(codes(look(gap(4), at300))).toContain('thin-gaps')
    expect(codes(look(gap(12), at300))).not.toContain('thin-gaps')
  })
  it('where shapes meet at an angle no gap is reported, though it tapers', () => {
    const wedge = (degrees: number) =>
      painted(600, 600, (x, y) =>
        y > 40 &&
        y < 560 &&
        Math.abs(x - 300) > (560 - y) * Math.tan((degrees * Math.PI) / 360) &&
        x > 20 &&
        x < 580
          ? pixel('#e4572e')
          : null,
      )
    expect(codes(look(wedge(40), at300))).not.toContain('thin-gaps')
    expect(codes(look(wedge(25), at300))).not.toContain('thin-gaps')
    expect(codes(look(wedge(4), at300))).toContain('thin-gaps')
  })
  it('corners and round edges are not thin lines', () => {
    expect(codes(look(disc(600, 200), at300))).not.toContain('thin-lines')
    expect(
      codes(
        look(
          painted(600, 600, (x, y) => (x > 100 && x < 500 && y > 100 && y < 500 ? pixel('#e4572e') : null)),
          at300,
        ),
      ),
    ).not.toContain('thin-lines')
  })
  it('specks are counted', () => {
    const crumbs = painted(600, 600, (x, y) =>
      (x > 100 && x < 500 && y > 100 && y < 500) || (x % 50 < 3 && y === 20) ? pixel('#e4572e') : null,
    )
    const said = look(crumbs, at300).findings.find(f => f.code === 'specks')
    expect(said?.message).toMatch(/^12 specks are no larger than 0.4 mm/)
    expect(codes(look(disc(600, 200), at300))).not.toContain('specks')
  })
  it('on screens a thin line of one ink is found inside another, as each is a stencil of its own', () => {
    const inside = (px: number) =>
      painted(600, 600, (x, y) =>
        x < 50 || y < 50 || x >= 550 || y >= 550
          ? null
          : x > 100 && x < 500 && Math.abs(y - 300) < px / 2
            ? pixel('#ffffff')
            : pixel('#e4572e'),
      )
    const screen = { ...at300, method: 'screen' } as const
    expect(codes(look(inside(3), screen))).toContain('thin-lines')
    expect(codes(look(inside(9), screen))).not.toContain('thin-lines')
    expect(codes(look(inside(3), at300))).not.toContain('thin-lines')
  })
  it.each(['transfer', 'sublimation', 'dtg', 'screen'] as const)(
    'in opaque art, thin lines and gaps on its ground are found (%s)',
    method => {
      const on = (px: number) =>
        painted(600, 600, (x, y) =>
          x > 100 && x < 500 && Math.abs(y - 300) < px / 2 ? pixel('#e4572e') : pixel('#ffffff'),
        )
      const cut = (px: number) =>
        painted(600, 600, (x, y) =>
          x > 100 && x < 500 && y > 200 && y < 400 && Math.abs(y - 300) > px / 2
            ? pixel('#e4572e')
            : pixel('#ffffff'),
        )
      const how = { widthMm: 25.4, method, garmentHex: '#ffc914' }
      expect(codes(look(on(3), how))).toContain('thin-lines')
      expect(codes(look(on(12), how))).not.toContain('thin-lines')
      expect(codes(look(cut(3), how))).toContain('thin-gaps')
      expect(codes(look(cut(18), how))).not.toContain('thin-gaps')
    },
  )
  it.each(['sublimation', 'dtg', 'screen'] as const)(
    'in opaque art without a ground, thin lines of one ink within another are found (%s)',
    method => {
      const striped = (px: number) =>
        painted(600, 600, (x, y) =>
          Math.abs(y - 300) < px / 2 ? pixel('#17bebb') : x < 300 ? pixel('#e4572e') : pixel('#2e282a'),
        )
      expect(codes(look(striped(3), { widthMm: 25.4, method, garmentHex: '#ffffff' }))).toContain(
        'thin-lines',
      )
      expect(codes(look(striped(14), { widthMm: 25.4, method, garmentHex: '#ffffff' }))).not.toContain(
        'thin-lines',
      )
    },
  )
  it('the soft edge between two inks is no line of a third', () => {
    const edge = painted(600, 600, (x, y) =>
      x < 20 || y < 20
        ? null
        : x < 300
          ? pixel('#000000')
          : x === 300
            ? pixel('#808080')
            : x < 560
              ? pixel('#ffffff')
              : pixel('#7c7c7c'),
    )
    expect(codes(look(edge, { ...at300, method: 'screen', garmentHex: '#e4572e' }))).not.toContain(
      'thin-lines',
    )
  })
  it('a large unbroken patch is stiff as a transfer, not in sublimation', () => {
    const patch = painted(100, 100, () => pixel('#e4572e'))
    expect(codes(look(patch, { widthMm: 200 }))).toContain('stiff-patch')
    expect(codes(look(patch, { widthMm: 200, method: 'sublimation', garmentHex: '#ffffff' }))).not.toContain(
      'stiff-patch',
    )
  })
  it('sublimation on dark cloth, and its missing white, are said', () => {
    const art = painted(100, 100, x => (x < 50 ? pixel('#ffffff') : pixel('#e4572e')))
    expect(codes(look(art, { method: 'sublimation' }))).toEqual(
      expect.arrayContaining(['dark-ground', 'white-prints-nothing']),
    )
  })
})

describe('what the file says of itself', () => {
  const said = (file: Parameters<typeof asArtwork>[1]) =>
    measure(asArtwork(disc(400, 180), file), { widthMm: 33.87, garmentHex: '#ffffff', method: 'dtg' })
      .findings
  it('is compared with the order, converted colours are named, other pages and letters are mentioned', () => {
    expect(said({ declaredPpi: 72 }).map(f => f.code)).toContain('declared-size')
    expect(said({ declaredPpi: 300 }).map(f => f.code)).not.toContain('declared-size')
    expect(said({ convertedFrom: 'CMYK' }).find(f => f.code === 'converted-colour')?.message).toContain(
      'CMYK',
    )
    expect(said({ pages: 3 }).map(f => f.code)).toContain('first-page-only')
    // The page renderer cannot tell what colours a PDF held: that is said of each.
    expect(said({ format: 'pdf' }).map(f => f.code)).toContain('converted-colour')
    expect(said({ format: 'svg' }).map(f => f.code)).not.toContain('converted-colour')
    expect(said({ drawnText: true }).map(f => f.code)).toContain('drawn-text')
  })
})

describe('the check that is printed', () => {
  it('has the contract’s keys and no others', () => {
    const check = checkOf(look(disc(100, 40)))
    expect(Object.keys(check)).toEqual(['file', 'print', 'ink', 'knockout', 'colours', 'findings'])
    expect(Object.keys(check.file)).toEqual(['sha256', 'widthPx', 'heightPx', 'alpha', 'declaredPpi'])
    expect(Object.keys(check.print)).toEqual(['widthMm', 'heightMm', 'ppi'])
    expect(Object.keys(check.ink)).toEqual(['coverage', 'areaCm2', 'partlyTransparent'])
    expect(Object.keys(check.knockout)).toEqual([
      'areaBeforeCm2',
      'areaAfterCm2',
      'largestSolidBeforeCm2',
      'largestSolidAfterCm2',
    ])
    for (const c of check.colours) expect(Object.keys(c)).toEqual(['hex', 'share'])
    for (const f of check.findings) expect(Object.keys(f)).toEqual(['code', 'severity', 'message'])
  })
  it('says each finding in one sentence for the shop, in its own units', () => {
    const findings = look(disc(100, 40), { widthMm: 254, system: 'imperial' }).findings
    for (const f of findings) expect(f.message).toMatch(/^[^\n]{20,320}\.$/)
    expect(findings.map(f => f.message).join(' ')).toContain('10 in')
  })
  it('refuses what is no size and no colour', () => {
    expect(() => look(disc(10, 4), { widthMm: 0 })).toThrow(RangeError)
    expect(() => look(disc(10, 4), { garmentHex: 'black' })).toThrow(RangeError)
  })
})
