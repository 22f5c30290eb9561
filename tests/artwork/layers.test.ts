import fc from 'fast-check'
import { describe, expect, it, vi } from 'vitest'
import type { Rgb } from '@/lib/artwork/colour'
import { GarmentFade } from '@/lib/artwork/fade'
import { filmOf } from '@/lib/artwork/film'
import { type DotShape, halftoned, rulingForMesh } from '@/lib/artwork/halftone'
import { inksFor } from '@/lib/artwork/inks'
import { solidOf } from '@/lib/artwork/knockout'
import { letter, plain, textWidth } from '@/lib/artwork/lettering'
import {
  clearRun,
  countSet,
  emptyMask,
  inverse,
  type Mask,
  maskFromRows,
  minus,
  padded,
  setRun,
} from '@/lib/artwork/mask'
import { mirrored } from '@/lib/artwork/mirror'
import { mixable, pairMix } from '@/lib/artwork/mix'
import { dilated, eroded, opened, tooThinFor, window } from '@/lib/artwork/morphology'
import { brokenUp } from '@/lib/artwork/openings'
import type { Raster } from '@/lib/artwork/raster'
import { scan } from '@/lib/artwork/scan'
import { separated } from '@/lib/artwork/separate'
import { turnedLeft } from '@/lib/artwork/sheet-picture'
import { underbaseOf, underbaseTone } from '@/lib/artwork/underbase'
import { painted, pixel, wordAt } from './pictures'

// Shared machines are slow at times; no test here waits for anything.
vi.setConfig({ testTimeout: 60_000 })

const anyRaster = fc
  .tuple(fc.integer({ min: 1, max: 40 }), fc.integer({ min: 1, max: 30 }))
  .chain(([width, height]) =>
    fc
      .uint8Array({ minLength: width * height * 4, maxLength: width * height * 4 })
      .map((data): Raster => ({ width, height, data: new Uint8Array(data) })),
  )

describe('mirrored', () => {
  it('left is right', () => {
    const art = painted(3, 1, x => pixel('#e4572e', 10 + x))
    expect([0, 1, 2].map(x => wordAt(mirrored(art), x, 0) >>> 24)).toEqual([12, 11, 10])
  })
  it('twice is the original', () => {
    fc.assert(
      fc.property(anyRaster, art => {
        expect(mirrored(mirrored(art)).data).toEqual(art.data)
      }),
      { numRuns: 50 },
    )
  })
  it('a quarter turn four times is the original, too', () => {
    fc.assert(
      fc.property(anyRaster, art => {
        const once = turnedLeft(art)
        expect([once.width, once.height]).toEqual([art.height, art.width])
        expect(turnedLeft(turnedLeft(turnedLeft(once))).data).toEqual(art.data)
      }),
      { numRuns: 50 },
    )
  })
  it('a turn to the left brings the right-hand side up', () => {
    const art = painted(4, 2, x => (x === 3 ? pixel('#e4572e') : null))
    expect([0, 1].map(x => wordAt(turnedLeft(art), x, 0))).toEqual([pixel('#e4572e'), pixel('#e4572e')])
  })
})

describe('a halftone', () => {
  const shapes: DotShape[] = ['round', 'ellipse', 'line']
  it.each(shapes.flatMap(shape => [22.5, 45, 15, 75, 0].map(angle => [shape, angle] as const)))(
    'of %s dots at %f° covers what the tone asks for',
    (shape, angle) => {
      const size = 600
      for (const percent of [3, 10, 25, 50, 75, 90, 97]) {
        const tone = new Uint8Array(size * size).fill(Math.round((255 * percent) / 100))
        const dots = halftoned(tone, size, size, 300, { lpi: 43, angle, shape })
        const covered = dots.reduce((n, d) => n + (d === 255 ? 1 : 0), 0) / dots.length
        expect(Math.abs(100 * covered - percent)).toBeLessThan(1)
      }
    },
  )
  it('of nothing is nothing, of solid is solid, and it holds ink or none', () => {
    const tone = Uint8Array.from({ length: 256 * 64 }, (_, i) => i & 255)
    const dots = halftoned(tone, 256, 64, 300, { lpi: 45, angle: 22.5, shape: 'round' })
    expect(new Set(dots)).toEqual(new Set([0, 255]))
    for (let y = 0; y < 64; y++) {
      expect(dots[y * 256]).toBe(0)
      expect(dots[y * 256 + 255]).toBe(255)
    }
  })
  it('has as many dots an inch as its ruling', () => {
    const tone = new Uint8Array(300 * 300).fill(80)
    const dots = halftoned(tone, 300, 300, 300, { lpi: 30, angle: 0, shape: 'round' })
    let starts = 0
    // The rows through the dots' middles: every tenth; count where ink begins.
    const row = Array.from({ length: 300 }, (_, y) => y).find(y =>
      dots.subarray(y * 300, y * 300 + 300).includes(255),
    )!
    for (let x = 0; x < 300; x++)
      if (dots[row * 300 + x] === 255 && (x === 0 || dots[row * 300 + x - 1] === 0)) starts++
    expect(Math.abs(starts - 30)).toBeLessThanOrEqual(1)
  })
  it('finer than the film can hold is refused', () =>
    expect(() => halftoned(new Uint8Array(4), 2, 2, 300, { lpi: 200, angle: 0, shape: 'round' })).toThrow(
      RangeError,
    ))
  // "All Things Are Not as They Appear" (Screen Printing): 65 lines on 227.5 and 260 mesh are ratios of 3.5 and 4.
  it.each([
    [227.5, 3.5, 65],
    [260, 4, 65],
  ])('mesh %f at a ratio of %f holds %f lines', (mesh, ratio, lpi) =>
    expect(rulingForMesh(mesh, ratio)).toBe(lpi),
  )
})

describe('openings through a solid', () => {
  const patch = painted(400, 400, (x, y) =>
    x >= 40 && y >= 40 && x < 360 && y < 360 ? pixel('#e4572e') : x < 20 && y < 20 ? pixel('#17bebb') : null,
  )
  const screen = { lpi: 25, angle: 22.5, shape: 'round' } as const
  const open = brokenUp(patch, 300, { screen, share: 0.2, fromPx: 10_000, rimPx: 10 })
  it('take out the share that was asked for, inside the rim', () => {
    const inside = 300 * 300
    const gone = countSet(solidOf(patch)) - countSet(solidOf(open))
    expect(gone / inside).toBeGreaterThan(0.19)
    expect(gone / inside).toBeLessThan(0.21)
  })
  it('leave the outline and small patches whole', () => {
    for (let i = 40; i < 360; i++) for (const d of [40, 45]) expect(wordAt(open, i, d)).toBe(pixel('#e4572e'))
    for (let i = 0; i < 20; i++) expect(wordAt(open, i, i)).toBe(pixel('#17bebb'))
  })
  it('add no ink anywhere', () => expect(countSet(minus(solidOf(open), solidOf(patch)))).toBe(0))
  it('are refused where the film would fall apart', () =>
    expect(() => brokenUp(patch, 300, { screen, share: 0.7, fromPx: 1, rimPx: 1 })).toThrow(RangeError))
})

describe('the white underbase', () => {
  const black: Rgb = [16, 16, 16]
  const art = painted(100, 100, (x, y) => {
    if (x < 20 || y < 20 || x >= 80 || y >= 80) return null
    return x < 50 ? pixel('#e4572e') : x < 70 ? pixel('#101010') : pixel('#17bebb', 128)
  })
  it('is drawn in from every edge by the choke', () => {
    const square = painted(100, 100, (x, y) =>
      x >= 20 && y >= 20 && x < 80 && y < 80 ? pixel('#e4572e') : null,
    )
    const white = underbaseOf(square, { chokePx: 4, garment: null })
    expect(countSet(solidOf(white))).toBe(52 * 52)
    expect(wordAt(white, 24, 24)).toBe(0xffffffff)
    expect(wordAt(white, 23, 50)).toBe(0)
  })
  it('is half as strong under half transparent ink, and missing under the cloth’s own colour', () => {
    const tone = underbaseTone(art, { chokePx: 0, garment: { rgb: black, fade: { tolerance: 6, soft: 6 } } })
    expect(tone[50 * 100 + 30]).toBe(255)
    expect(tone[50 * 100 + 60]).toBe(0)
    expect(tone[50 * 100 + 75]).toBe(128)
    expect(tone[10 * 100 + 10]).toBe(0)
  })
  it('never reaches where there is no colour', () => {
    fc.assert(
      fc.property(anyRaster, fc.integer({ min: 0, max: 3 }), (raster, chokePx) => {
        const tone = underbaseTone(raster, { chokePx, garment: null })
        tone.forEach((t, i) => {
          expect(t).toBeLessThanOrEqual(raster.data[4 * i + 3]!)
        })
      }),
      { numRuns: 30 },
    )
  })
})

describe('an octagonal pen', () => {
  const rows = (w: number, h: number, set: (x: number, y: number) => boolean): string[] =>
    Array.from({ length: h }, (_, y) => Array.from({ length: w }, (_, x) => (set(x, y) ? '1' : '0')).join(''))
  const disc = (r: number) => maskFromRows(rows(120, 120, (x, y) => Math.hypot(x - 60, y - 60) <= r))
  it('draws a disc in by its radius', () => {
    // Geometry: the disc left over is r − by; an octagon is within 8 % of round.
    const left = countSet(eroded(disc(40), 10))
    expect(Math.sqrt(left / Math.PI)).toBeGreaterThan(29)
    expect(Math.sqrt(left / Math.PI)).toBeLessThan(31)
  })
  it('draws it out again', () => {
    const grown = countSet(dilated(disc(30), 10))
    expect(Math.sqrt(grown / Math.PI)).toBeGreaterThan(39)
    expect(Math.sqrt(grown / Math.PI)).toBeLessThan(41.5)
  })
  it('takes ink away when it opens, keeps what it fits into, and changes nothing the second time', () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(fc.boolean(), { minLength: 70, maxLength: 70 }), { minLength: 12, maxLength: 12 }),
        fc.integer({ min: 2, max: 6 }),
        (grid, d) => {
          const mask = maskFromRows(grid.map(r => r.map(b => (b ? '1' : '0')).join('')))
          const once = opened(mask, d)
          expect(countSet(minus(once, mask))).toBe(0)
          expect(opened(once, d).bits).toEqual(once.bits)
        },
      ),
      { numRuns: 60 },
    )
    const square = maskFromRows(rows(70, 70, (x, y) => x > 9 && x < 50 && y > 9 && y < 50))
    expect(countSet(minus(square, opened(square, 9)))).toBeLessThan(4 * 9 * 9)
    expect(countSet(opened(maskFromRows(rows(70, 8, () => true)), 9))).toBe(0)
    expect(countSet(opened(maskFromRows(rows(70, 9, () => true)), 9))).toBeGreaterThan(600)
  })
})

describe('what is too thin for a pen', () => {
  /** What an opening of the whole takes from the ink, and from the space around and in it. */
  const holds = (mask: Mask, d: number): void => {
    const { width, height } = mask
    const rowsWith = (m: Mask): number[] =>
      Array.from({ length: m.height }, (_, y) =>
        m.bits.subarray(y * m.stride, (y + 1) * m.stride).some(w => w !== 0) ? 1 : 0,
      )
    const thin = tooThinFor(mask, d, false)
    expect(thin.mask.bits).toEqual(minus(mask, opened(mask, d)).bits)
    expect([...thin.busy]).toEqual(rowsWith(thin.mask))
    const room = padded(mask, d + 1)
    const space = inverse(room.mask)
    const gaps = tooThinFor(mask, d, true)
    const expected = window(minus(space, opened(space, d)), room.x, room.y, width, height)
    expect(gaps.mask.bits).toEqual(expected.bits)
    expect([...gaps.busy]).toEqual(rowsWith(gaps.mask))
  }

  it('is what an opening takes from grain', () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(fc.boolean(), { minLength: 70, maxLength: 70 }), { minLength: 12, maxLength: 12 }),
        fc.integer({ min: 2, max: 6 }),
        (grid, d) => holds(maskFromRows(grid.map(r => r.map(b => (b ? '1' : '0')).join(''))), d),
      ),
      { numRuns: 60 },
    )
  })

  it('is what an opening takes from patches as large as many words and bands', () => {
    const rectangle = fc.record({
      x: fc.integer({ min: -40, max: 300 }),
      y: fc.integer({ min: -40, max: 170 }),
      w: fc.integer({ min: 1, max: 260 }),
      h: fc.integer({ min: 1, max: 160 }),
      ink: fc.boolean(),
    })
    fc.assert(
      fc.property(
        fc.array(rectangle, { minLength: 1, maxLength: 12 }),
        fc.constantFrom(288, 300, 319),
        fc.integer({ min: 2, max: 70 }),
        (patches, width, d) => {
          const mask = emptyMask(width, 170)
          for (const { x, y, w, h, ink } of patches) {
            const from = Math.max(0, x)
            const to = Math.min(width, x + w)
            for (let j = Math.max(0, y); from < to && j < Math.min(170, y + h); j++)
              (ink ? setRun : clearRun)(mask, j, from, to)
          }
          holds(mask, d)
        },
      ),
      { numRuns: 60 },
    )
  })
})

describe('spot separation', () => {
  const white: Rgb = [255, 255, 255]
  const black: Rgb = [16, 16, 16]
  const choose = (art: Raster, garment: Rgb, most: number, shelf: { name: string; rgb: Rgb }[] = []) => {
    const seen = scan(art, new GarmentFade(garment, { tolerance: 6, soft: 6 }))
    return inksFor(seen.cells, seen.faces, garment, shelf, most)
  }
  const flat = painted(90, 30, x =>
    x < 40 ? pixel('#e4572e') : x < 70 ? pixel('#17bebb') : pixel('#101010'),
  )
  it('gives flat art one film a colour, none for the cloth, and misses nothing', () => {
    const { inks, mode } = choose(flat, black, 6)
    expect(mode).toBe('flat')
    expect(inks.map(i => i.rgb)).toEqual([
      [228, 87, 46],
      [23, 190, 187],
    ])
    const { separations, residual } = separated(flat, inks, black, mode)
    expect(separations.map(s => s.inkPx)).toEqual([40 * 30, 30 * 30])
    expect(separations.every(s => !s.tonal)).toBe(true)
    expect(residual).toBeCloseTo(0, 6)
  })
  it('names an ink as it stands on the shelf when that is a visible match, else by its colour', () => {
    const shelf = [
      { name: 'Brick', rgb: [226, 88, 48] as Rgb },
      { name: 'Navy', rgb: [20, 30, 80] as Rgb },
    ]
    expect(choose(flat, black, 6, shelf).inks.map(i => i.name)).toEqual(['Brick', 'Ink 2 #17bebb'])
  })
  it('prints a grey ramp with one black ink: its dots are the tone in linear light', () => {
    // Murray–Davies: mid grey of 50 % linear light on white is half covered.
    const ramp = painted(256, 20, x => pixel(`#${x.toString(16).padStart(2, '0').repeat(3)}`))
    const { inks, mode } = choose(ramp, white, 1)
    expect(mode).toBe('tonal')
    const { separations, residual } = separated(ramp, [{ name: 'Black', rgb: [0, 0, 0] }], white, 'tonal')
    expect(inks).toHaveLength(1)
    expect(separations[0]!.tonal).toBe(true)
    expect(residual).toBeLessThan(0.7)
    // sRGB 188 is 50.3 % of linear light.
    expect(separations[0]!.tone[188]! / 255).toBeCloseTo(0.497, 1)
    expect(separations[0]!.tone[0]).toBe(255)
    expect(separations[0]!.tone[255]).toBe(0)
  })
  it('finds the ends of a blend and a small colour of its own', () => {
    const blend = painted(256, 60, (x, y) => {
      if (Math.hypot(x - 128, y - 30) < 6) return pixel('#2040c0')
      const g = Math.round(87 + ((201 - 87) * x) / 255)
      return pixel(`#f0${g.toString(16).padStart(2, '0')}20`)
    })
    const { inks, mode } = choose(blend, white, 3)
    expect(mode).toBe('tonal')
    expect(inks.some(i => i.rgb[2] > 150)).toBe(true)
    expect(separated(blend, inks, white, mode).residual).toBeLessThan(1.5)
  })
  it('lays no more than one full layer of ink anywhere', () => {
    fc.assert(
      fc.property(anyRaster, art => {
        const { inks, mode } = choose(art, white, 4)
        if (inks.length === 0) return
        const { separations } = separated(art, inks, white, mode)
        for (let i = 0; i < art.width * art.height; i++) {
          const sum = separations.reduce((n, s) => n + s.tone[i]!, 0)
          expect(sum).toBeLessThanOrEqual(art.data[4 * i + 3]! + 1)
        }
      }),
      { numRuns: 15 },
    )
  })
  it('takes 1 to 14 inks', () => expect(() => separated(flat, [], white, 'flat')).toThrow(RangeError))
})

it('a pair of inks is given up by its lightness only where it is no better than what is known', () => {
  const code = fc.integer({ min: 0, max: 255 })
  const colour = fc.tuple(code, code, code).map(mixable)
  fc.assert(
    fc.property(colour, colour, colour, fc.double({ min: 0, max: 60, noNaN: true }), (wanted, p, q, most) => {
      const full = pairMix(wanted, p, q)
      const short = pairMix(wanted, p, q, most)
      expect(short.share).toBe(full.share)
      if (full.miss < most) expect(short.miss).toBe(full.miss)
      else expect(short.miss).toBeGreaterThanOrEqual(most)
    }),
    { numRuns: 400 },
  )
})

describe('a film', () => {
  const tone = new Uint8Array(300 * 200).fill(255)
  const film = filmOf({ tone }, 300, 200, { label: ['Order 1042', 'Brick'], screen: null })
  it('holds the art in its place, at its size', () => {
    const { x, y } = film.offset
    expect(film.grey[y * film.width + x]).toBe(0)
    expect(film.grey[(y + 199) * film.width + x + 299]).toBe(0)
    expect(film.grey[(y - 1) * film.width + x]).toBe(255)
    expect([film.width - 300, film.height - 200]).toEqual([2 * x, 2 * y])
  })
  it('has a mark in the middle of each margin, the same on every film of that size', () => {
    const other = filmOf({ tone: new Uint8Array(300 * 200) }, 300, 200, { label: ['other'], screen: null })
    const [w, h, m] = [film.width, film.height, film.offset.x >> 1]
    for (const [x, y] of [
      [w >> 1, m],
      [w >> 1, h - m],
      [m, h >> 1],
      [w - m, h >> 1],
    ] as const) {
      expect(film.grey[y * w + x]).toBe(0)
      expect(other.grey[y * w + x]).toBe(0)
    }
  })
  it('has its label in the lower margin and nowhere else', () => {
    const bare = filmOf({ tone }, 300, 200, { label: [''], screen: null })
    const differs = [...film.grey.keys()]
      .filter(i => film.grey[i] !== bare.grey[i])
      .map(i => Math.floor(i / film.width))
    expect(differs.length).toBeGreaterThan(200)
    expect(Math.min(...differs)).toBeGreaterThanOrEqual(film.height - film.offset.y)
  })
})

describe('lettering', () => {
  it('knows every letter and figure, and no two alike', () => {
    const shapes = [...'ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,:-+/#%()&?'].map(c => {
      const squares: string[] = []
      letter(c, (x, y) => squares.push(`${x},${y}`))
      return squares.join(' ')
    })
    expect(new Set(shapes).size).toBe(shapes.length)
  })
  it('writes any name in what it knows', () => {
    expect(plain('Żółć – 22.5° · ñ')).toBe('ZO?C ? 22.5 DEG - N')
    expect(textWidth('AB')).toBe(11)
    expect(textWidth('')).toBe(0)
  })
})
