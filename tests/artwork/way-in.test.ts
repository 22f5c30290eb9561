import { existsSync, mkdtempSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { PDFDocument, rgb } from '@cantoo/pdf-lib'
import sharp from 'sharp'
import { beforeEach, describe, expect, inject, it } from 'vitest'
import { pngOf } from '@/lib/artwork/encode'
import { PNG_SIGNATURE, pngChunk } from '@/lib/artwork/png'
import { addArtwork } from '@/lib/artwork/store'
import { db } from '@/lib/server/database'
import { keptPath, receive } from '@/lib/server/files'
import { freshDatabase } from '../support/database'
import { painted, pixel } from './pictures'

beforeEach(freshDatabase)
let data = ''
beforeEach(() => {
  data = mkdtempSync(join(inject('scratch'), 'way-in-'))
  process.env.SHIRTWRIGHT_DATA = data
})

const by = { id: null, name: 'Ines Marl' }
const files = () =>
  readdirSync(data, { recursive: true, withFileTypes: true })
    .filter(f => f.isFile() && !/\.db(-\w+)?$/.test(f.name))
    .map(f => f.name)

/** The way that every file takes into the shop, but for the network. */
async function send(bytes: Buffer, name: string) {
  const received = await receive(new Blob([new Uint8Array(bytes)]).stream(), 50e6, null)
  if (!received.ok) return received
  const added = await addArtwork(received.value, name, by)
  expect(existsSync(received.value.path)).toBe(false)
  return added
}

const art = painted(40, 30, (x, y) => (x < 30 ? pixel(x < y ? '#e4572e' : '#17bebb', 255 - 3 * x) : null))
const drawn = () => sharp(art.data, { raw: { width: 40, height: 30, channels: 4 } })
const plain = () => pngOf(art).then(bytes => Buffer.from(bytes))
const svg = (body: string) =>
  Buffer.from(
    `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="40" height="30">${body}</svg>`,
  )
/** A PNG that says it is so large, and holds a byte of it. */
function vast(): Buffer {
  const head = Buffer.alloc(13)
  head.writeUInt32BE(60_000, 0)
  head.writeUInt32BE(60_000, 4)
  head.set([8, 6], 8)
  const chunks = [
    pngChunk('IHDR', head),
    pngChunk('IDAT', Buffer.alloc(1)),
    pngChunk('IEND', Buffer.alloc(0)),
  ]
  return Buffer.concat([PNG_SIGNATURE, ...chunks])
}
async function pages(many: number): Promise<Buffer> {
  const doc = await PDFDocument.create({ updateMetadata: false })
  for (let i = 0; i < many; i++)
    doc.addPage([100, 50]).drawRectangle({ x: 0, y: 25, width: 50, height: 25, color: rgb(1, 0, 0) })
  return Buffer.from(await doc.save())
}

describe('a file that cannot be used', () => {
  const bad: [what: string, name: string, make: () => Promise<Buffer>][] = [
    ['empty', 'a.png', async () => Buffer.alloc(0)],
    ['cut short', 'a.png', async () => (await plain()).subarray(0, 90)],
    [
      'with a wrong beginning',
      'a.png',
      async () => Buffer.concat([Buffer.from('X'), (await plain()).subarray(1)]),
    ],
    ['that says 60,000 × 60,000', 'a.png', async () => vast()],
    [
      'a drawing that fetches from elsewhere',
      'a.svg',
      async () => svg('<image width="40" height="30" xlink:href="http://127.0.0.1:9/secret.png"/>'),
    ],
    [
      'a drawing that reads a file',
      'a.svg',
      async () => svg('<image width="40" height="30" xlink:href="file:///etc/passwd"/>'),
    ],
    ['a page, not a picture', 'a.png', async () => Buffer.from('<!doctype html><script>alert(1)</script>')],
    ['a PDF cut short', 'a.pdf', async () => (await pages(1)).subarray(0, 300)],
  ]
  it.each(bad)('%s is refused in one sentence, and nothing of it stays', async (_, name, make) => {
    const taken = await send(await make(), name)
    expect(taken.ok).toBe(false)
    if (taken.ok) return
    expect(taken.message).toMatch(/^[A-Z][^\n]{20,220}\.$/)
    expect(await db().artwork.count()).toBe(0)
    expect(files()).toEqual([])
  })
})

describe('an odd file that can be used', () => {
  const odd: [what: string, name: string, size: [number, number], make: () => Promise<Buffer>][] = [
    [
      'one pixel',
      'a.png',
      [1, 1],
      async () => Buffer.from(await pngOf(painted(1, 1, () => pixel('#e4572e')))),
    ],
    ['16 bits a channel', 'a.png', [40, 30], () => drawn().toColourspace('rgb16').png().toBuffer()],
    ['a palette with transparency', 'a.png', [40, 30], () => drawn().png({ palette: true }).toBuffer()],
    ['interlaced', 'a.png', [40, 30], () => drawn().png({ progressive: true }).toBuffer()],
    [
      'an animation',
      'a.webp',
      [40, 15],
      () =>
        sharp(art.data, { raw: { width: 40, height: 30, channels: 4, pageHeight: 15 } })
          .webp({ lossless: true })
          .toBuffer(),
    ],
    ['CMYK', 'a.jpg', [40, 30], () => drawn().flatten().toColourspace('cmyk').jpeg().toBuffer()],
    [
      'a great deal of metadata',
      'a.png',
      [40, 30],
      async () => {
        const bytes = await plain()
        const text = pngChunk('tEXt', Buffer.concat([Buffer.from('Comment\0'), Buffer.alloc(8_000_000, 65)]))
        return Buffer.concat([bytes.subarray(0, 33), text, bytes.subarray(33)])
      },
    ],
    [
      'a drawing with a script',
      'a.svg',
      [0, 0],
      async () => svg('<script>alert(1)</script><rect width="40" height="30" fill="#e4572e"/>'),
    ],
    ['a PDF of 2,000 pages', 'a.pdf', [0, 0], () => pages(2000)],
  ]
  it.each(odd)('%s is taken in, kept once and known again', async (_, name, size, make) => {
    const bytes = await make()
    const taken = await send(bytes, name)
    if (!taken.ok) throw new Error(taken.message)
    const { artwork, known } = taken.value
    expect(known).toBe(false)
    if (size[0] > 0) expect([artwork.widthPx, artwork.heightPx]).toEqual(size)
    expect(existsSync(keptPath(artwork.sha256))).toBe(true)
    const again = await send(bytes, `again ${name}`)
    expect(again).toMatchObject({ ok: true, value: { known: true, artwork: { id: artwork.id } } })
    expect(await db().artwork.count()).toBe(1)
  })
})
