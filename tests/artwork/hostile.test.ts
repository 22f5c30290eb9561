import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { deflateSync } from 'node:zlib'
import { PDFDocument, rgb } from '@cantoo/pdf-lib'
import sharp from 'sharp'
import { beforeAll, describe, expect, inject, it, vi } from 'vitest'
import { decodeArtwork, MOST_PIXELS, readArtwork } from '@/lib/artwork/decode'
import { drawFirstPage } from '@/lib/artwork/pdf-pages'
import { PNG_SIGNATURE, pngChunk } from '@/lib/artwork/png'
import { type Raster, rasterBytes } from '@/lib/artwork/raster'
import { painted, pixel, wordAt } from './pictures'

// Shared machines are slow at times; no test here waits for anything.
vi.setConfig({ testTimeout: 60_000 })

const SIZE = 64
/** Opaque at the left, half transparent in the middle, nothing at the right; no two rows alike. */
const art: Raster = painted(SIZE, SIZE, (x, y) =>
  x < 24
    ? pixel('#e4572e')
    : x < 48
      ? pixel(`#10${(3 * y + 40).toString(16).padStart(2, '0')}c0`, 128)
      : null,
)
const source = () => sharp(rasterBytes(art), { raw: { width: SIZE, height: SIZE, channels: 4 } })

const ihdr = (width: number, height: number, depth = 8, type = 6): Uint8Array => {
  const data = new Uint8Array(13)
  const view = new DataView(data.buffer)
  view.setUint32(0, width)
  view.setUint32(4, height)
  data[8] = depth
  data[9] = type
  return pngChunk('IHDR', data)
}
const png = (...chunks: Uint8Array[]): Buffer =>
  Buffer.concat([PNG_SIGNATURE, ...chunks, pngChunk('IEND', new Uint8Array())])
const idat = (bytes: Uint8Array): Uint8Array => pngChunk('IDAT', deflateSync(bytes))
const svg = (body: string, head = 'width="100" height="80"'): Buffer =>
  Buffer.from(
    `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" ${head}>${body}</svg>`,
  )

async function pdf(pages: number): Promise<Buffer> {
  const doc = await PDFDocument.create({ updateMetadata: false })
  for (let i = 0; i < pages; i++)
    doc.addPage([100, 50]).drawRectangle({ x: 0, y: 25, width: 50, height: 25, color: rgb(1, 0, 0) })
  return Buffer.from(await doc.save())
}

/** Refused, and in one clear sentence. */
async function refusal(bytes: Buffer): Promise<string> {
  const result = await decodeArtwork(bytes)
  expect(await fromFile(bytes)).toEqual(result)
  expect(result.ok).toBe(false)
  if (result.ok) return ''
  expect(result.message).toMatch(/^[A-Z][^\n]{20,220}\.$/)
  return result.message
}
/** As a file on disk, which is read piece by piece. */
let files = 0
async function fromFile(bytes: Buffer) {
  const path = join(inject('scratch'), `hostile-${files++}`)
  writeFileSync(path, bytes)
  return readArtwork(path)
}
async function used(bytes: Buffer, vectorWidthPx?: number) {
  const result = await decodeArtwork(bytes, vectorWidthPx === undefined ? {} : { vectorWidthPx })
  if (!result.ok) throw new Error(result.message)
  if (vectorWidthPx === undefined) expect(await fromFile(bytes)).toEqual(result)
  return result.value
}

const whole: Record<string, Buffer> = {}
beforeAll(async () => {
  whole.png = await source().png().toBuffer()
  whole.interlaced = await source().png({ progressive: true }).toBuffer()
  whole.jpeg = await source().flatten().jpeg().toBuffer()
  whole.progressive = await source().flatten().jpeg({ progressive: true }).toBuffer()
  whole.webp = await source().webp({ lossless: true }).toBuffer()
  whole.lossyWebp = await source().webp().toBuffer()
  whole.tiff = await source().tiff({ compression: 'lzw' }).toBuffer()
  whole.pdf = await pdf(1)
})

describe('cut short', () => {
  // Small, and with nothing at its end that pixels do not need: so every cut takes something away.
  const TINY = 24
  const tiny = painted(TINY, TINY, (x, y) =>
    x < 18 ? pixel(x < y ? '#e4572e' : '#17bebb', 255 - 3 * x) : null,
  )
  const drawn = () => sharp(rasterBytes(tiny), { raw: { width: TINY, height: TINY, channels: 4 } })
  const kinds: [kind: string, make: () => Promise<Buffer>][] = [
    ['png', () => drawn().png().toBuffer()],
    ['interlaced png', () => drawn().png({ progressive: true }).toBuffer()],
    ['16-bit png', () => drawn().toColourspace('rgb16').png().toBuffer()],
    ['palette png', () => drawn().png({ palette: true }).toBuffer()],
    ['jpeg', () => drawn().flatten().jpeg().toBuffer()],
    ['progressive jpeg', () => drawn().flatten().jpeg({ progressive: true }).toBuffer()],
    ['cmyk jpeg', () => drawn().flatten().toColourspace('cmyk').jpeg().toBuffer()],
    ['lossless webp', () => drawn().webp({ lossless: true }).toBuffer()],
    ['webp', () => drawn().webp().toBuffer()],
    ['tiff', () => drawn().tiff({ compression: 'lzw' }).toBuffer()],
    ['svg', async () => svg('<rect width="50" height="80" fill="#e4572e"/><circle cx="60" cy="40" r="20"/>')],
    ['pdf', () => pdf(1)],
  ]
  it.each(kinds)(
    'at every tenth byte a %s is refused in one sentence, or gives every pixel',
    async (kind, make) => {
      const bytes = await make()
      const whole = await decodeArtwork(bytes, { vectorWidthPx: 40 })
      if (!whole.ok) throw new Error(whole.message)
      let refused = 0
      // Profiles make some of these long, and a PDF wants a renderer each time: then the cuts are spread evenly.
      const step = Math.max(10, 10 * Math.ceil(bytes.length / (kind === 'pdf' ? 250 : 1000)))
      for (let cut = 0; cut < bytes.length; cut += step) {
        const result = await decodeArtwork(bytes.subarray(0, cut), { vectorWidthPx: 40 })
        if (result.ok) expect(result.value.raster.data, `cut at ${cut}`).toEqual(whole.value.raster.data)
        else {
          refused++
          expect(result.message).toMatch(/^[A-Z][^\n]{20,220}\.$/)
        }
      }
      expect(refused).toBeGreaterThan(0.7 * Math.floor(bytes.length / step))
    },
  )
  const tenths = [1, 2, 3, 4, 5, 6, 7, 8, 9]
  it.each(['png', 'interlaced', 'jpeg', 'progressive', 'webp', 'lossyWebp', 'tiff'])(
    'at every tenth of its length a %s is refused, from a file as from memory',
    async kind => {
      const bytes = whole[kind]!
      for (const tenth of tenths) await refusal(bytes.subarray(0, Math.floor((bytes.length * tenth) / 10)))
    },
  )
  it('a PNG says that it is', async () =>
    expect(await refusal(whole.png!.subarray(0, 200))).toMatch(/cut short/))
})

describe('not a picture', () => {
  it.each([
    ['nothing at all', Buffer.alloc(0), /empty/],
    ['one byte', Buffer.from([137]), /not a PNG/],
    ['text', Buffer.from('order 1042, please print'), /not a PNG/],
    ['a web page', Buffer.from('<!doctype html><html><svg></svg></html>'), /not a PNG/],
    ['a program', Buffer.from('7f454c460201010000', 'hex'), /not a PNG/],
    ['an archive', Buffer.from('504b0304140000000800', 'hex'), /not a PNG/],
    ['a GIF', Buffer.from('GIF89a\u0001\u0000\u0001\u0000'), /not a PNG/],
    ['the start of a PNG and no more', Buffer.from(PNG_SIGNATURE), /cut short/],
    ['a PNG’s start before noise', Buffer.concat([PNG_SIGNATURE, Buffer.alloc(400, 0xab)]), /cut short/],
    ['a PNG without pixels', png(ihdr(8, 8)), /damaged|cut short/],
    ['a PNG of no width', png(ihdr(0, 8), idat(new Uint8Array(8))), /cut short|damaged/],
    ['a PNG of an unknown depth', png(ihdr(8, 8, 3), idat(new Uint8Array(80))), /damaged/],
    [
      'a PNG whose pixels are not deflated',
      png(ihdr(8, 8), pngChunk('IDAT', new Uint8Array(80).fill(7))),
      /damaged/,
    ],
    ['a JPEG’s start alone', Buffer.from('ffd8ffe000104a4649460001', 'hex'), /cut short/],
    ['a WebP’s start alone', Buffer.from('RIFF\u0000\u0000\u0000\u0000WEBPVP8 '), /cut short/],
    ['a TIFF without a directory', Buffer.from('49492a00ffffff00', 'hex'), /cut short/],
    ['a PDF’s start alone', Buffer.from('%PDF-1.7\n'), /damaged/],
  ])('%s is refused in one line', async (_what, bytes, why) => expect(await refusal(bytes)).toMatch(why))
  it('a PNG with a spoiled checksum is refused', async () => {
    const spoiled = Buffer.from(whole.png!)
    spoiled[spoiled.length - 20] = spoiled[spoiled.length - 20]! ^ 0xff
    await refusal(spoiled)
  })
  it('the same bytes under another name are still what they are', async () => {
    const folder = join(inject('scratch'), 'hostile')
    mkdirSync(folder, { recursive: true })
    writeFileSync(join(folder, 'art.jpg'), whole.png!)
    const result = await readArtwork(join(folder, 'art.jpg'))
    expect(result.ok && result.value.file.format).toBe('png')
  })
  it('a folder, and a file that is not there, are refused', async () => {
    expect(await readArtwork(inject('scratch'))).toMatchObject({ ok: false, code: 'not-a-file' })
    expect(await readArtwork(join(inject('scratch'), 'missing.png'))).toMatchObject({
      ok: false,
      code: 'no-file',
    })
  })
})

describe('a header of 60,000 × 60,000', () => {
  const jpeg = Buffer.from('ffd8ffc0001108ea60ea6003011100021100031100ffd9', 'hex')
  const webp = Buffer.alloc(30)
  webp.write('RIFF', 0)
  webp.write('WEBPVP8X', 8)
  webp.writeUIntLE(59_999, 24, 3)
  webp.writeUIntLE(59_999, 27, 3)
  const tiff = Buffer.alloc(38)
  tiff.write('II*\u0000', 0, 'latin1')
  tiff.writeUInt32LE(8, 4)
  tiff.writeUInt16LE(2, 8)
  for (const [i, tag] of [256, 257].entries()) {
    tiff.writeUInt16LE(tag, 10 + 12 * i)
    tiff.writeUInt16LE(4, 12 + 12 * i)
    tiff.writeUInt32LE(1, 14 + 12 * i)
    tiff.writeUInt32LE(60_000, 18 + 12 * i)
  }
  it.each([
    ['PNG', png(ihdr(60_000, 60_000), idat(new Uint8Array(64)))],
    ['JPEG', jpeg],
    ['WebP', webp],
    ['TIFF', tiff],
  ])('of a %s is refused before any pixel is decoded', async (_kind, bytes) => {
    const before = process.memoryUsage().rss
    expect(await refusal(bytes)).toContain('60000 × 60000')
    expect(process.memoryUsage().rss - before).toBeLessThan(100e6)
  })
  it('a page or drawing that would grow as large is refused, too', async () => {
    const result = await decodeArtwork(svg('<rect width="9" height="9"/>', 'viewBox="0 0 10 1000"'), {
      vectorWidthPx: 3000,
    })
    expect(result).toMatchObject({ ok: false, code: 'too-large' })
    expect(await drawFirstPage(await pdf(1), 60_000, MOST_PIXELS)).toMatchObject({
      ok: false,
      code: 'too-large',
    })
  })
  it('pixels that are not there do not fill memory: a small PNG of many pixels is refused by what it lacks', async () => {
    await refusal(png(ihdr(10_000, 10_000), idat(new Uint8Array(64))))
  })
})

describe('unusual but right', () => {
  it('one pixel', async () => {
    const { raster, file } = await used(
      await sharp({ create: { width: 1, height: 1, channels: 4, background: '#17bebb80' } })
        .png()
        .toBuffer(),
    )
    expect([raster.width, raster.height, file.alpha]).toEqual([1, 1, true])
    expect(wordAt(raster, 0, 0)).toBe(pixel('#17bebb', 128))
  })
  it('interlaced, WebP and TIFF give the same pixels as the plain PNG', async () => {
    const plain = await used(whole.png!)
    for (const kind of ['interlaced', 'webp', 'tiff']) {
      const other = await used(whole[kind]!)
      for (const [x, y] of [
        [3, 3],
        [30, 20],
        [30, 50],
      ] as const)
        expect(wordAt(other.raster, x, y)).toBe(wordAt(plain.raster, x, y))
      expect(other.file.alpha).toBe(true)
    }
    for (const [i, v] of rasterBytes(art).entries())
      if (art.data[i | 3]! > 0 && plain.raster.data[i] !== v)
        throw new Error(`byte ${i} is ${plain.raster.data[i]}, not ${v}`)
  })
  it('16 bits a channel come down to 8, and say so', async () => {
    const row = new Uint8Array(1 + 8 * 8)
    for (let x = 0; x < 8; x++) row.set([0x12, 0x34, 0x80, 0, 0xff, 0xff, 0x80, 0x80], 1 + 8 * x)
    const { raster, file } = await used(
      png(ihdr(8, 8, 16), idat(Buffer.concat(Array.from({ length: 8 }, () => row)))),
    )
    const word = wordAt(raster, 2, 2)
    expect(Math.abs((word & 255) - 0x12)).toBeLessThanOrEqual(1)
    expect(Math.abs(((word >>> 8) & 255) - 0x80)).toBeLessThanOrEqual(1)
    expect(word >>> 24).toBe(0x80)
    expect(file.convertedFrom).toBe('16 bits a channel')
  })
  it('a palette with transparency keeps it', async () => {
    const palette = pngChunk('PLTE', Uint8Array.of(228, 87, 46, 23, 190, 187))
    const rows = Uint8Array.from({ length: 2 * 5 }, (_, i) => (i % 5 === 0 ? 0 : i % 2))
    const { raster, file } = await used(
      png(ihdr(4, 2, 8, 3), palette, pngChunk('tRNS', Uint8Array.of(255, 40)), idat(rows)),
    )
    expect(file.alpha).toBe(true)
    expect(new Set([0, 1, 2, 3].map(x => wordAt(raster, x, 0)))).toEqual(
      new Set([pixel('#e4572e'), pixel('#17bebb', 40)]),
    )
  })
  it('greyscale becomes three channels, with and without alpha', async () => {
    const grey = await used(await source().toColourspace('b-w').png().toBuffer())
    expect(grey.file.convertedFrom).toBe('greyscale')
    const word = wordAt(grey.raster, 3, 3)
    expect(word & 255).toBe((word >>> 8) & 255)
    const opaque = await used(png(ihdr(2, 1, 8, 0), idat(Uint8Array.of(0, 90, 200))))
    expect([0, 1].map(x => wordAt(opaque.raster, x, 0))).toEqual([pixel('#5a5a5a'), pixel('#c8c8c8')])
    expect(opaque.file.alpha).toBe(false)
  })
  it('one bit a pixel', async () => {
    const { raster } = await used(png(ihdr(8, 1, 1, 0), idat(Uint8Array.of(0, 0b10100000))))
    expect([0, 1, 2].map(x => wordAt(raster, x, 0))).toEqual([
      pixel('#ffffff'),
      pixel('#000000'),
      pixel('#ffffff'),
    ])
  })
  it('a CMYK JPEG is turned into sRGB, and says so', async () => {
    const { raster, file } = await used(
      await source().flatten({ background: '#fff' }).toColourspace('cmyk').jpeg({ quality: 95 }).toBuffer(),
    )
    expect(file.convertedFrom).toBe('CMYK')
    const word = wordAt(raster, 5, 30)
    expect(word & 255).toBeGreaterThan(180)
    expect((word >>> 16) & 255).toBeLessThan(110)
    expect(file.alpha).toBe(false)
  })
  it('an embedded profile is followed into sRGB, and named as such', async () => {
    const wide = await sharp({ create: { width: 8, height: 8, channels: 3, background: '#c81e1e' } })
      .withIccProfile('p3')
      .png()
      .toBuffer()
    const { raster, file } = await used(wide)
    expect(file.convertedFrom).toBe('another RGB profile')
    // The same colour back, to the rounding of two conversions.
    for (const [c, v] of [0xc8, 0x1e, 0x1e].entries())
      expect(Math.abs(((wordAt(raster, 4, 4) >>> (8 * c)) & 255) - v)).toBeLessThanOrEqual(2)
    expect((await used(await source().withIccProfile('srgb').png().toBuffer())).file.convertedFrom).toBeNull()
  })
  it('a photograph that was turned in the camera stands upright', async () => {
    const lying = await sharp(await source().flatten().resize(64, 32, { fit: 'fill' }).jpeg().toBuffer())
      .withMetadata({ orientation: 6 })
      .jpeg()
      .toBuffer()
    const { raster } = await used(lying)
    expect([raster.width, raster.height]).toEqual([32, 64])
  })
  it('of an animation and of many pages the first is used, and counted', async () => {
    const frames = await Promise.all([0, 90, 180].map(turn => source().rotate(turn).png().toBuffer()))
    const moving = await sharp(frames, { join: { animated: true } })
      .webp({ loop: 0 })
      .toBuffer()
    const { raster, file } = await used(moving)
    expect([raster.width, raster.height, file.pages]).toEqual([SIZE, SIZE, 3])
  })
  it('a great deal of metadata is passed over', async () => {
    const note = pngChunk('tEXt', Buffer.concat([Buffer.from('Comment\0'), Buffer.alloc(3_000_000, 0x61)]))
    const raw = Buffer.from(whole.png!)
    const bytes = Buffer.concat([
      raw.subarray(0, 33),
      ...Array.from({ length: 4 }, () => note),
      raw.subarray(33),
    ])
    expect((await used(bytes)).raster.width).toBe(SIZE)
  })
  it('what a file declares is read: PNG in pixels per metre, JPEG in pixels per inch', async () => {
    for (const kind of ['png', 'jpeg', 'tiff'] as const) {
      const { file } = await used(
        await source().flatten().withMetadata({ density: 240 }).toFormat(kind).toBuffer(),
      )
      expect(file.declaredPpi).toBeCloseTo(240, 0)
    }
    expect(
      (await used(whole.png!)).file.declaredPpi === null || (await used(whole.png!)).file.declaredPpi! > 0,
    ).toBe(true)
  })
})

describe('an SVG', () => {
  it('is drawn at the width of the print, in its own proportions', async () => {
    const { raster, file } = await used(svg('<rect width="50" height="80" fill="#e4572e"/>'), 500)
    expect([raster.width, raster.height]).toEqual([500, 400])
    expect(wordAt(raster, 100, 200)).toBe(pixel('#e4572e'))
    expect(wordAt(raster, 400, 200) >>> 24).toBe(0)
    expect(file.vector).toBe(true)
  })
  it.each([
    ['a picture on the network', '<image href="http://127.0.0.1:9/a.png" width="9" height="9"/>'],
    ['a file', '<image xlink:href="file:///etc/hostname" width="9" height="9"/>'],
    ['a neighbour', "<image href='art.png' width='9' height='9'/>"],
    ['a drawing elsewhere', '<use href="../other.svg#a"/>'],
    ['a style sheet', '<style>@import "http://127.0.0.1:9/a.css";</style>'],
    ['a filling elsewhere', '<rect width="9" height="9" fill="url(http://127.0.0.1:9/a.svg#g)"/>'],
    ['a font', '<style>@font-face { font-family: a; src: url("//127.0.0.1:9/a.woff") }</style>'],
  ])('that refers to %s is refused', async (_what, body) =>
    expect(await refusal(svg(body))).toMatch(/outside itself/),
  )
  it.each([
    ['multiply', '<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">'],
    ['read a file', '<!ENTITY b SYSTEM "file:///etc/hostname">'],
  ])('whose entities %s is refused', async (_what, entities) => {
    const bytes = Buffer.from(
      `<?xml version="1.0"?>\n<!DOCTYPE svg [${entities}]>\n<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><text>&b;</text></svg>`,
    )
    expect(await refusal(bytes)).toMatch(/entities/)
  })
  it('with plain entities, as drawing programs write them, is drawn', async () => {
    const bytes = Buffer.from(
      '<!DOCTYPE svg [<!ENTITY ns "http://www.w3.org/2000/svg">]><svg xmlns="&ns;" width="10" height="10"><rect width="10" height="10" fill="#17bebb"/></svg>',
    )
    expect(wordAt((await used(bytes, 20)).raster, 10, 10)).toBe(pixel('#17bebb'))
  })
  it('with a script is drawn, and the script is not run', async () => {
    const body =
      '<script>throw new Error("ran")</script><rect width="100" height="80" fill="#17bebb" onclick="alert(1)"/>'
    expect(wordAt((await used(svg(body), 100)).raster, 50, 40)).toBe(pixel('#17bebb'))
  })
  it('may hold a picture of its own, links and licence notes', async () => {
    const inner = (
      await sharp({ create: { width: 2, height: 2, channels: 3, background: '#ffc914' } })
        .png()
        .toBuffer()
    ).toString('base64')
    const body = `<a href="https://example.org/"><image href="data:image/png;base64,${inner}" width="100" height="80"/></a>`
    expect(wordAt((await used(svg(body), 100)).raster, 50, 40)).toBe(pixel('#ffc914'))
  })
  it('with live letters says so', async () =>
    expect((await used(svg('<text x="5" y="40">Yard Sale</text>'), 100)).file.drawnText).toBe(true))
  it.each([
    ['no size', svg('<rect width="9" height="9"/>', '')],
    ['a size of nothing', svg('<rect width="9" height="9"/>', 'width="0" height="10"')],
    ['a size in percent', svg('<rect width="9" height="9"/>', 'width="100%" height="100%"')],
    ['no end', Buffer.from('<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10"><rect')],
    ['nested without end', svg('<g>'.repeat(200_000))],
  ])('with %s is refused', async (_what, bytes) => {
    await refusal(bytes)
  })
})

describe('a PDF', () => {
  it('is drawn at the width of the print on a clear ground', async () => {
    const { raster, file } = await used(whole.pdf!, 400)
    expect([raster.width, raster.height, file.pages]).toEqual([400, 200, 1])
    expect(wordAt(raster, 100, 50)).toBe(pixel('#ff0000'))
    expect(wordAt(raster, 300, 150) >>> 24).toBe(0)
  })
  it('of 2,000 pages gives its first, and their number', async () => {
    const { raster, file } = await used(await pdf(2000), 100)
    expect([raster.width, file.pages]).toEqual([100, 2000])
  })
})
