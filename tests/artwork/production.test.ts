import { execFile } from 'node:child_process'
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { inflateSync } from 'node:zlib'
import { PDFDocument, PDFName, PDFRawStream } from '@cantoo/pdf-lib'
import { PNG } from 'pngjs'
import { beforeAll, describe, expect, inject, it, vi } from 'vitest'
import { measureFile, produceFile } from '@/lib/artwork/desk'
import { pngOf } from '@/lib/artwork/encode'
import { screenAngles } from '@/lib/artwork/halftone'
import { readNestSheet } from '@/lib/artwork/nest-sheet'
import { drawFirstPage } from '@/lib/artwork/pdf-pages'
import { declaredPpi, pngChunks } from '@/lib/artwork/png'
import {
  DEFAULT_LAYERS,
  DEFAULT_MEND,
  DEFAULT_OPENINGS,
  type LayerSettings,
  mendAsked,
  mendTask,
  type Openings,
  printTasks,
} from '@/lib/artwork/print-files'
import { fileWord, type ProductionTask, produce, productionName } from '@/lib/artwork/production'
import type { Raster } from '@/lib/artwork/raster'
import { painted, pixel, wordAt } from './pictures'

// Shared machines are slow at times; no test here waits for anything.
vi.setConfig({ testTimeout: 60_000 })

const folder = join(inject('scratch'), 'production')
const at = (name: string): string => join(folder, name)
/** 300 × 200: a red half, a teal quarter, a cloth-coloured quarter, and a clear rim of 10. */
const art = painted(300, 200, (x, y) =>
  x < 10 || y < 10 || x >= 290 || y >= 190
    ? null
    : pixel(x < 150 ? '#e4572e' : y < 100 ? '#17bebb' : '#101010'),
)
const made = async (task: ProductionTask) => {
  const result = await produce(task)
  if (!result.ok) throw new Error(result.message)
  return result.value
}
const read = (path: string): Raster & { ppi: number | null; types: string[] } => {
  const bytes = readFileSync(path)
  const { width, height, data } = PNG.sync.read(bytes)
  const { chunks } = pngChunks(bytes)
  return {
    width,
    height,
    data: new Uint8Array(data),
    ppi: declaredPpi(chunks),
    types: chunks.map(c => c.type),
  }
}

beforeAll(async () => {
  mkdirSync(folder, { recursive: true })
  writeFileSync(at('art.png'), await pngOf(art, 72))
})

describe('a production file', () => {
  // 25.4 mm are an inch: 300 pixels. 101.6 mm are four.
  it('has the print’s exact size at 300 ppi, whatever the art’s own', async () => {
    const { files } = await made({
      kind: 'mirror',
      from: at('art.png'),
      to: at('mirror.png'),
      widthMm: 101.6,
    })
    const png = read(at('mirror.png'))
    expect([png.width, png.height]).toEqual([1200, 800])
    expect(png.ppi).toBeCloseTo(300, 2)
    expect(files[0]).toMatchObject({ widthPx: 1200, heightPx: 800, widthMm: 101.6 })
    expect(wordAt(png, 1000, 400)).toBe(pixel('#e4572e'))
    expect(wordAt(png, 200, 200)).toBe(pixel('#17bebb'))
  })
  it('without a size keeps the art’s pixels', async () => {
    const { patches } = await made({
      kind: 'knockout',
      from: at('art.png'),
      to: at('knockout.png'),
      garmentHex: '#101010',
    })
    const png = read(at('knockout.png'))
    expect([png.width, png.height]).toEqual([300, 200])
    expect(wordAt(png, 200, 150) >>> 24).toBe(0)
    expect(wordAt(png, 200, 50)).toBe(pixel('#17bebb'))
    // 280 × 180 pixels at 300 ppi, and that less the cloth's 140 × 90.
    expect(patches?.areaBeforeCm2).toBeCloseTo((280 * 180 * 0.254 ** 2) / 900, 9)
    expect(patches?.areaAfterCm2).toBeCloseTo((280 * 180 - 140 * 90) * (0.254 ** 2 / 900), 9)
  })
  it('of the underbase is white, choked, with none under the cloth’s colour', async () => {
    await made({
      kind: 'underbase',
      from: at('art.png'),
      to: at('base.png'),
      garmentHex: '#101010',
      chokeMm: 25.4 / 60,
    })
    const png = read(at('base.png'))
    expect(wordAt(png, 100, 100)).toBe(0xffffffff)
    expect(wordAt(png, 14, 100)).toBe(0)
    expect(wordAt(png, 15, 100)).toBe(0xffffffff)
    expect(wordAt(png, 200, 150)).toBe(0)
  })
  it('with its solids opened tells the figures again', async () => {
    const settings = {
      screen: { lpi: 25, angle: 22.5, shape: 'round' },
      share: 0.2,
      fromPx: 5000,
      rimPx: 6,
    } as const
    const { patches } = await made({ kind: 'openings', from: at('art.png'), to: at('open.png'), settings })
    expect(patches!.areaAfterCm2).toBeLessThan(0.9 * patches!.areaBeforeCm2)
    expect(patches!.areaAfterCm2).toBeGreaterThan(0.79 * patches!.areaBeforeCm2)
    const task = { kind: 'openings', from: at('art.png'), to: at('open.png') } as const
    expect(await produce({ ...task, settings: { ...settings, share: 0.9 } })).toMatchObject({
      ok: false,
      code: 'openings',
    })
    expect(
      await produce({ ...task, settings: { ...settings, screen: { ...settings.screen, lpi: 0 } } }),
    ).toMatchObject({
      ok: false,
      code: 'openings',
    })
  })
  it('is knocked out and broken up in one mend, with the widest stretch falling though all hangs together', async () => {
    writeFileSync(
      at('solid.png'),
      await pngOf(
        painted(600, 600, (x, y) => (x > 20 && y > 20 && x < 580 && y < 580 ? pixel('#e4572e') : null)),
      ),
    )
    const mend = (openings?: Openings) =>
      mendTask({ from: at('solid.png'), to: at('mended.png'), widthMm: 50.8, heightMm: 50.8 }, '#101010', {
        ...DEFAULT_MEND,
        ...(openings ? { openings } : {}),
      })
    const whole = (await made(mend())).patches!
    expect(whole.widestSolidAfterMm).toBeCloseTo((559 / 300) * 25.4, 0)
    const dots = (await made(mend({ ...DEFAULT_OPENINGS, share: 0.3 }))).patches!
    const inside = ((559 - 24) / 559) ** 2
    expect(dots.areaAfterCm2 / dots.areaBeforeCm2).toBeCloseTo(1 - 0.3 * inside, 2)
    expect(dots.widestSolidBeforeMm).toBe(whole.widestSolidBeforeMm)
    // A cell of 12 openings an inch is 2.1 mm across.
    expect(dots.widestSolidAfterMm).toBeLessThan(3)
    const lines = (await made(mend({ ...DEFAULT_OPENINGS, shape: 'lines', share: 0.3 }))).patches!
    // At most a strip of ink and the rim of 1 mm beside it.
    expect(lines.widestSolidAfterMm).toBeLessThan((0.7 * 25.4) / 12 + 1)
    const spared = (await made(mend({ ...DEFAULT_OPENINGS, fromCm2: 25 }))).patches!
    expect(spared.areaAfterCm2).toBe(spared.areaBeforeCm2)
  })
  it('is made in each size of a range from the one artwork', async () => {
    for (const [widthMm, px] of [
      [25.4, 300],
      [50.8, 600],
    ] as const) {
      await made({ kind: 'size', from: at('art.png'), to: at('sized.png'), widthMm })
      expect(read(at('sized.png')).width).toBe(px)
    }
  })
  it('is refused, and nothing is left behind, when it cannot be made', async () => {
    const before = readdirSync(folder)
    const huge = await produce({ kind: 'size', from: at('art.png'), to: at('huge.png'), widthMm: 2900 })
    expect(huge).toMatchObject({ ok: false, code: 'too-large' })
    const nowhere = await produce({
      kind: 'size',
      from: at('art.png'),
      to: at('none/where.png'),
      widthMm: 20,
    })
    expect(nowhere).toMatchObject({ ok: false, code: 'not-written' })
    expect(
      await produce({ kind: 'underbase', from: at('art.png'), to: at('x.png'), garmentHex: 'black' }),
    ).toMatchObject({
      ok: false,
      code: 'garment',
    })
    expect(readdirSync(folder)).toEqual(before)
  })
  it('is named by order, print and size', () => {
    expect(productionName('1042', 'Full front', 254, 304.8, 'mirror')).toBe(
      '1042-full-front-254x305mm-mirror.png',
    )
    expect(fileWord('../../etc Ünïcode')).toBe('etc-unicode')
    expect(fileWord('***')).toBe('ink')
  })
})

describe('films', () => {
  it('are one an ink, the white layer first on dark cloth, as PNG and as PDF in true size', async () => {
    const report = await made({
      kind: 'separate',
      from: at('art.png'),
      to: at('films'),
      garmentHex: '#101010',
      inks: 4,
      widthMm: 25.4,
      label: 'Order 1042 · front',
      shelf: [{ name: 'Brick', rgb: [226, 88, 48] }],
    })
    expect(report.films?.map(f => f.ink)).toEqual(['White underbase', 'Brick', 'Ink 2 #17bebb'])
    expect(readdirSync(at('films')).sort()).toEqual([
      '01-white-underbase.png',
      '02-brick.png',
      '03-ink-2-17bebb.png',
      'films.pdf',
    ])
    const film = report.files[1]!
    const png = read(film.path)
    expect(png.ppi).toBeCloseTo(300, 2)
    const pdf = await PDFDocument.load(readFileSync(at('films/films.pdf')))
    expect(pdf.getPageCount()).toBe(3)
    // A PDF's unit is 1/72 inch.
    expect(pdf.getPage(1).getWidth()).toBeCloseTo((film.widthPx / 300) * 72, 6)
    // Each page's picture is the film's own pixels, one bit each.
    const images = pdf.context
      .enumerateIndirectObjects()
      .map(([, object]) => object)
      .filter(object => object instanceof PDFRawStream)
      .filter(stream => stream.dict.get(PDFName.of('Subtype')) === PDFName.of('Image'))
    expect(images).toHaveLength(3)
    for (const [n, image] of images.entries()) {
      const bits = inflateSync(image.contents)
      const own = read(report.files[n]!.path)
      const stride = Math.ceil(own.width / 8)
      let differs = 0
      for (let y = 0; y < own.height; y++)
        for (let x = 0; x < own.width; x++) {
          const clear = (bits[y * stride + (x >> 3)]! >> (7 - (x & 7))) & 1
          if (clear !== (own.data[4 * (y * own.width + x)]! >= 128 ? 1 : 0)) differs++
        }
      expect(differs).toBe(0)
    }
  })
  it('of one size register: every film is as large as the first', async () => {
    const report = await made({
      kind: 'separate',
      from: at('art.png'),
      to: at('films2'),
      garmentHex: '#ffffff',
      inks: 3,
      widthMm: 25.4,
    })
    const sizes = report.files.map(f => `${f.widthPx} × ${f.heightPx}`)
    expect(new Set(sizes).size).toBe(1)
    expect(report.films?.map(f => f.hex).sort()).toEqual(['#101010', '#17bebb', '#e4572e'])
  })
  it('take mesh, choke, ruling and angle as chosen; the ruling follows the mesh where none is', async () => {
    const fade = painted(300, 300, (_, y) => (((255 - (y * 255) / 300) << 24) | 0xd06020) >>> 0)
    writeFileSync(at('fade.png'), await pngOf(fade))
    const films = async (layers: Partial<LayerSettings>) => {
      const [task] = printTasks(
        {
          order: 7,
          placement: 'full-front',
          widthMm: 25.4,
          heightMm: 25.4,
          method: 'screen',
          cloth: '#101010',
          mend: null,
          inks: 1,
          shelf: [],
          layers: { ...DEFAULT_LAYERS, ...layers },
        },
        at('fade.png'),
        at('layers'),
      )
      return (await made(task!)).films!
    }
    expect((await films({ mesh: 225 }))[1]).toMatchObject({ lpi: 50, angle: 22.5 })
    expect((await films({ mesh: 225, lpi: 35, angle: 70 }))[1]).toMatchObject({ lpi: 35, angle: 70 })
    const area = async (chokeMm: number) => {
      const { files } = await made({
        kind: 'underbase',
        from: at('art.png'),
        to: at('white.png'),
        garmentHex: '#101010',
        chokeMm,
        widthMm: 25.4,
      })
      return files.length && read(at('white.png')).data.filter((v, i) => i % 4 === 3 && v > 0).length
    }
    expect(await area(1)).toBeLessThan((await area(0.1)) * 0.95)
    expect(screenAngles(80)).toEqual([80, 20, 50, 5, 35, 65])
    expect(new Set(screenAngles()).size).toBe(6)
  })
  it('are not made of art that is only the cloth’s colour, nor of no inks', async () => {
    writeFileSync(at('cloth.png'), await pngOf(painted(20, 20, () => pixel('#101010'))))
    const task = {
      kind: 'separate',
      from: at('cloth.png'),
      to: at('none'),
      garmentHex: '#101010',
      inks: 2,
      widthMm: 10,
    } as const
    expect(await produce(task)).toMatchObject({ ok: false, code: 'no-ink' })
    expect(await produce({ ...task, inks: 0 })).toMatchObject({ ok: false, code: 'inks' })
    expect(existsSync(at('none'))).toBe(false)
  })
})

describe('a mend as a form or an address asks for it', () => {
  const form = {
    cloth: '#101010',
    widthMm: '254',
    heightMm: '300',
    tolerance: '6',
    soft: '6',
    specks: 'clear',
  }
  it('without openings leaves solids whole', () => {
    expect(mendAsked.parse(form).mend).toEqual(DEFAULT_MEND)
    expect(mendAsked.parse({ ...form, openings: '' }).mend).toEqual(DEFAULT_MEND)
  })
  it('with openings: what is left out is the usual', () => {
    expect(mendAsked.parse({ ...form, openings: 'dots' }).mend.openings).toEqual(DEFAULT_OPENINGS)
    expect(
      mendAsked.parse({
        ...form,
        openings: 'lines',
        openLpi: '8',
        openAngle: '45',
        openShare: '35',
        openFromCm2: '60',
      }).mend.openings,
    ).toEqual({ shape: 'lines', lpi: 8, angle: 45, share: 0.35, fromCm2: 60 })
  })
  it.each([
    ['openLpi', '2'],
    ['openShare', '70'],
    ['openAngle', 'steep'],
    ['openFromCm2', '-1'],
  ])('refuses %s of %s', (field, value) =>
    expect(mendAsked.safeParse({ ...form, openings: 'dots', [field]: value }).success).toBe(false),
  )
})

describe('a nested sheet', () => {
  const sheet = { width: 101.6, height: 101.6, gap: 5, margin: 2 }
  const pieces = [
    { id: 'front', order: '1042', file: '', width: 50.8, count: 2, turn: true },
    { id: 'sleeve', order: '1043', file: '', width: 20, height: 20, count: 2, turn: false },
  ]
  const task = (to: string): ProductionTask => ({
    kind: 'nest',
    pieces: pieces.map(p => ({ ...p, file: at('art.png') })),
    sheet,
    to,
  })
  it('is one PDF in true size, each piece where the nesting says', async () => {
    const { nesting } = await made(task(at('sheet.pdf')))
    expect(nesting?.sheets).toBe(1)
    const bytes = readFileSync(at('sheet.pdf'))
    const pdf = await PDFDocument.load(bytes)
    expect(pdf.getPage(0).getWidth()).toBeCloseTo(288, 6)
    const drawn = await drawFirstPage(bytes, 1200, 1e7)
    if (!drawn.ok) throw new Error(drawn.message)
    for (const p of nesting!.placed) {
      // The middle of the red half: a quarter in from the left, or, turned to the left, from below.
      const x = p.turned ? p.x + p.width / 2 : p.x + p.width / 4
      const y = p.turned ? p.y + (3 * p.height) / 4 : p.y + p.height / 2
      expect(wordAt(drawn.value.raster, Math.round((x * 300) / 25.4), Math.round((y * 300) / 25.4))).toBe(
        pixel('#e4572e'),
      )
    }
  })
  it('is the same as one PNG', async () => {
    const { nesting } = await made(task(at('sheet.png')))
    const png = read(at('sheet.png'))
    expect([png.width, png.height]).toEqual([1200, 1200])
    for (const p of nesting!.placed) {
      const x = p.turned ? p.x + p.width / 2 : p.x + p.width / 4
      const y = p.turned ? p.y + (3 * p.height) / 4 : p.y + p.height / 2
      expect(wordAt(png, Math.round((x * 300) / 25.4), Math.round((y * 300) / 25.4))).toBe(pixel('#e4572e'))
    }
  })
  it('is read from its file, with the paths beside it', async () => {
    writeFileSync(
      at('sheet.json'),
      JSON.stringify({ sheet: { widthMm: 300 }, pieces: [{ file: 'art.png', widthMm: 40, count: 3 }] }),
    )
    const sheetFile = await readNestSheet(at('sheet.json'))
    expect(sheetFile).toMatchObject({
      ok: true,
      value: {
        sheet: { width: 300, height: null, gap: 5, margin: 5 },
        pieces: [{ id: '1', file: at('art.png'), width: 40, count: 3, turn: true }],
      },
    })
  })
  it.each([
    ['not there', null, 'no-file'],
    ['not JSON', '{ sheet', 'not-json'],
    ['without pieces', '{"sheet":{"widthMm":300},"pieces":[]}', 'bad-sheet'],
    ['of a negative width', '{"sheet":{"widthMm":-3},"pieces":[{"file":"a","widthMm":1}]}', 'bad-sheet'],
    [
      'with an unknown word',
      '{"sheet":{"widthMm":300,"gab":1},"pieces":[{"file":"a","widthMm":1}]}',
      'bad-sheet',
    ],
  ])('whose file is %s is refused', async (_what, text, code) => {
    if (text !== null) writeFileSync(at('bad.json'), text)
    const result = await readNestSheet(text === null ? at('missing.json') : at('bad.json'))
    expect(result).toMatchObject({ ok: false, code })
    if (!result.ok) expect(result.message).not.toContain('\n')
  })
  it('names the piece whose file is at fault', async () => {
    writeFileSync(at('broken.png'), 'not a picture')
    const result = await produce({
      kind: 'nest',
      pieces: [{ id: 'a', order: '', file: at('broken.png'), width: 20, count: 1, turn: true }],
      sheet,
      to: at('never.pdf'),
    })
    expect(result).toMatchObject({ ok: false, message: expect.stringContaining('broken.png') })
    expect(existsSync(at('never.pdf'))).toBe(false)
  })
})

describe('the desk', () => {
  it('measures and makes one after the other, and tells refusals as values', async () => {
    const options = { widthMm: 25.4, garmentHex: '#101010', method: 'transfer' } as const
    const [good, bad, file] = await Promise.all([
      measureFile(at('art.png'), options),
      measureFile(at('missing.png'), options),
      produceFile({ kind: 'mirror', from: at('art.png'), to: at('desk.png'), widthMm: 25.4 }),
    ])
    expect(good.ok && good.value.print.ppi).toBeCloseTo(300, 6)
    expect(bad).toMatchObject({ ok: false, code: 'no-file' })
    expect(file.ok).toBe(true)
  })
})

describe('the art command', () => {
  const run = async (...args: string[]) => {
    const command = ['--import', 'tsx', 'scripts/art.ts', ...args]
    try {
      const { stdout, stderr } = await promisify(execFile)(process.execPath, command)
      return { code: 0, stdout, stderr }
    } catch (error) {
      return error as { code: number; stdout: string; stderr: string }
    }
  }
  it('prints the check of a file as JSON', async () => {
    const { code, stdout } = await run(
      'check',
      at('art.png'),
      '--width-mm',
      '25.4',
      '--garment',
      '#101010',
      '--method',
      'dtg',
    )
    expect(code).toBe(0)
    const check = JSON.parse(stdout)
    expect(check.file).toMatchObject({
      widthPx: 300,
      heightPx: 200,
      alpha: true,
      declaredPpi: expect.closeTo(72, 1),
    })
    expect(check.print).toEqual({ widthMm: 25.4, heightMm: expect.closeTo(16.933, 2), ppi: 300 })
    expect(check.ink.coverage).toBeCloseTo((280 * 180) / 60000, 6)
  })
  it.each([
    [['check', 'broken.png', '--width-mm', '25', '--garment', '#101010', '--method', 'dtg']],
    [['knockout', 'art.png', 'out.png', '--garment', 'beige']],
  ])('%j ends with 2 and one line', async args => {
    const { code, stdout, stderr } = await run(...args.map(a => (a.endsWith('.png') ? at(a) : a)))
    expect(code).toBe(2)
    expect(stdout).toBe('')
    expect(stderr).toMatch(/^[^\n]{10,240}\n$/)
  })
})
