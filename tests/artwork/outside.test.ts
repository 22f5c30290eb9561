import { mkdirSync, writeFileSync } from 'node:fs'
import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { constants, deflateRawSync, deflateSync, gzipSync, inflateSync } from 'node:zlib'
import { PDFDocument, PDFName, PDFString } from '@cantoo/pdf-lib'
import sharp from 'sharp'
import { afterAll, beforeAll, beforeEach, describe, expect, inject, it, vi } from 'vitest'
import { decodeArtwork, readArtwork } from '@/lib/artwork/decode'
import { PNG_SIGNATURE, pngChunk } from '@/lib/artwork/png'

// Shared machines are slow at times; no test here waits for anything.
vi.setConfig({ testTimeout: 60_000 })

/** A server that must never hear anything, and a picture beside the upload that must never be seen. */
let server: Server
let asked: string[] = []
let url = ''
let folder = ''
const SECRET = [250, 20, 200] as const

beforeAll(async () => {
  folder = join(inject('scratch'), 'outside')
  mkdirSync(folder, { recursive: true })
  const secret = await sharp({
    create: { width: 40, height: 40, channels: 3, background: { r: SECRET[0], g: SECRET[1], b: SECRET[2] } },
  })
    .png()
    .toBuffer()
  writeFileSync(join(folder, 'secret.png'), secret)
  writeFileSync(
    join(folder, 'secret.svg'),
    `<svg xmlns="http://www.w3.org/2000/svg" width="40" height="40"><g id="a"><rect width="40" height="40" fill="rgb(${SECRET})"/></g></svg>`,
  )
  server = createServer((request, response) => {
    asked.push(request.url ?? '')
    response.setHeader('content-type', 'image/png').end(secret)
  })
  server.on('connection', () => asked.push('a connection'))
  await new Promise<void>(ready => server.listen(0, '127.0.0.1', ready))
  url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`
})
afterAll(() => new Promise(done => server.close(done)))
beforeEach(() => {
  asked = []
})

const wrapped = (body: string, head = '<?xml version="1.0" encoding="UTF-8"?>'): string =>
  `${head}<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:xi="http://www.w3.org/2001/XInclude" width="40" height="40"><rect width="40" height="40" fill="#17bebb"/>${body}</svg>`

/** Read from memory and from a file in the very folder of the secret: nothing asked for, nothing of the secret seen. */
async function touchesNothing(bytes: Buffer): Promise<'refused' | 'drawn'> {
  const path = join(folder, 'upload')
  writeFileSync(path, bytes)
  let outcome: 'refused' | 'drawn' = 'refused'
  for (const result of [
    await decodeArtwork(bytes, { vectorWidthPx: 40 }),
    await readArtwork(path, { vectorWidthPx: 40 }),
  ]) {
    if (!result.ok) {
      expect(result.message).toMatch(/^[A-Z][^\n]{20,240}\.$/)
      continue
    }
    outcome = 'drawn'
    const { data } = result.value.raster
    for (let i = 0; i < data.length; i += 4)
      if (SECRET.every((v, c) => Math.abs(data[i + c]! - v) < 12)) throw new Error('The secret was read.')
  }
  // Whatever was on its way has its turn before it is counted.
  await new Promise(done => setImmediate(done))
  expect(asked).toEqual([])
  return outcome
}

it('the server would hear, and the secret be seen: the test is able to fail', async () => {
  await fetch(`${url}/probe`)
  expect(asked).toContain('/probe')
  const seen = await readArtwork(join(folder, 'secret.png'))
  expect(seen.ok && [...seen.value.raster.data.subarray(0, 3)]).toEqual([...SECRET])
})

describe('an SVG reads nothing outside itself:', () => {
  const file = (name: string): string => pathToFileURL(join(folder, name)).href
  const nested = (inner: string): string => Buffer.from(wrapped(inner)).toString('base64')
  it.each<[what: string, body: () => string]>([
    ['a picture on the network', () => `<image href="${url}/a.png" width="40" height="40"/>`],
    ['the old spelling', () => `<image xlink:href="${url}/a.png" width="40" height="40"/>`],
    [
      'another prefix',
      () => `<image xmlns:q="http://www.w3.org/1999/xlink" q:href="${url}/a.png" width="40" height="40"/>`,
    ],
    ['a picture in a file', () => `<image href="${file('secret.png')}" width="40" height="40"/>`],
    ['a picture beside it', () => '<image href="secret.png" width="40" height="40"/>'],
    ['a path from the root', () => `<image href="${join(folder, 'secret.png')}" width="40" height="40"/>`],
    ['letters as numbers', () => `<image href="&#104;ttp${url.slice(4)}/a.png" width="40" height="40"/>`],
    [
      'a file, letters as numbers',
      () => `<image href="&#x66;ile${file('secret.png').slice(4)}" width="40" height="40"/>`,
    ],
    ['a base', () => `<g xml:base="${url}/"><image href="a.png" width="40" height="40"/></g>`],
    ['a part of a drawing', () => `<use href="${file('secret.svg')}#a"/>`],
    ['a part on the network', () => `<use xlink:href="${url}/b.svg#a"/>`],
    ['a filling', () => `<rect width="40" height="40" fill="url(${url}/c.svg#g)"/>`],
    [
      'a filling in quotes',
      () => `<rect width="40" height="40" style="fill:url('${file('secret.svg')}#a')"/>`,
    ],
    [
      'a filter picture',
      () =>
        `<filter id="f"><feImage href="${url}/d.png"/></filter><rect width="40" height="40" filter="url(#f)"/>`,
    ],
    [
      'a filter picture in a file',
      () =>
        `<filter id="f"><feImage href="${file('secret.png')}"/></filter><rect width="40" height="40" filter="url(#f)"/>`,
    ],
    ['a style sheet', () => `<style>@import url(${url}/e.css);</style>`],
    ['a style sheet after a note', () => `<style>@import/**/"${url}/e.css";</style>`],
    ['a style sheet in letters as numbers', () => `<style>@\\69mport "${url}/e.css";</style>`],
    [
      'a font',
      () => `<style>@font-face{font-family:a;src:url(${url}/f.woff)}</style><text font-family="a">a</text>`,
    ],
    [
      'a cursor and a marker',
      () => `<path d="M0 0L9 9" marker-end="url(${url}/g.svg#m)" cursor="url(${url}/h.cur)"/>`,
    ],
    ['an inclusion', () => `<xi:include href="${file('secret.svg')}" parse="xml"/>`],
    ['an inclusion as text', () => `<text><xi:include href="${url}/i.txt" parse="text"/></text>`],
    [
      'a foreign object',
      () =>
        `<foreignObject width="40" height="40"><img xmlns="http://www.w3.org/1999/xhtml" src="${url}/j.png"/></foreignObject>`,
    ],
    [
      'a drawing within, with a picture',
      () =>
        `<image width="40" height="40" href="data:image/svg+xml;base64,${nested(`<image href="${url}/k.png" width="40" height="40"/>`)}"/>`,
    ],
    [
      'a drawing within, with a file',
      () =>
        `<image width="40" height="40" href="data:image/svg+xml;base64,${nested(`<image href="${file('secret.png')}" width="40" height="40"/>`)}"/>`,
    ],
    ['a script that fetches', () => `<script>fetch("${url}/l")</script>`],
    ['a script elsewhere', () => `<script href="${url}/m.js"/>`],
    ['a handler', () => `<rect width="9" height="9" onload="fetch('${url}/n')"/>`],
    [
      'an animation of a reference',
      () => `<image width="40" height="40" href="#x"><set attributeName="href" to="${url}/o.png"/></image>`,
    ],
  ])('%s', async (_what, body) => {
    await touchesNothing(Buffer.from(wrapped(body())))
  })
  it.each<[what: string, head: () => string]>([
    [
      'a style sheet before it',
      () => `<?xml version="1.0"?><?xml-stylesheet href="${url}/p.css" type="text/css"?>`,
    ],
    ['a grammar on the network', () => `<?xml version="1.0"?><!DOCTYPE svg SYSTEM "${url}/q.dtd">`],
    ['a public grammar', () => `<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//X//DTD Y//EN" "${url}/r.dtd">`],
    [
      'an entity that is a file',
      () => `<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY x SYSTEM "${file('secret.svg')}">]>`,
    ],
    [
      'a grammar of entities',
      () => `<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY % x SYSTEM "${url}/s.dtd"> %x;]>`,
    ],
    ['another alphabet', () => '<?xml version="1.0" encoding="UTF-7"?>'],
  ])('%s', async (_what, head) => {
    await touchesNothing(Buffer.from(wrapped('', head())))
  })
  it('letters of two bytes are not looked into, and so refused', async () => {
    expect(await touchesNothing(Buffer.from(wrapped(`<image href="${url}/t.png"/>`), 'utf16le'))).toBe(
      'refused',
    )
  })
})

describe('a PDF reaches nothing outside itself:', () => {
  const page = async (change: (doc: PDFDocument) => void): Promise<Buffer> => {
    const doc = await PDFDocument.create({ updateMetadata: false })
    doc.addPage([40, 40])
    change(doc)
    return Buffer.from(await doc.save())
  }
  it.each<[what: string, change: (doc: PDFDocument) => void]>([
    [
      'a link opened at once',
      doc =>
        doc.catalog.set(
          PDFName.of('OpenAction'),
          doc.context.obj({ S: 'URI', URI: PDFString.of(`${url}/u`) }),
        ),
    ],
    [
      'a script opened at once',
      doc =>
        doc.catalog.set(
          PDFName.of('OpenAction'),
          doc.context.obj({ S: 'JavaScript', JS: PDFString.of(`app.launchURL("${url}/v")`) }),
        ),
    ],
    [
      'a form sent off',
      doc =>
        doc.catalog.set(
          PDFName.of('OpenAction'),
          doc.context.obj({ S: 'SubmitForm', F: { FS: 'URL', F: PDFString.of(`${url}/w`) } }),
        ),
    ],
    [
      'a picture kept in another file',
      doc => {
        const picture = doc.context.stream(new Uint8Array(), {
          Type: 'XObject',
          Subtype: 'Image',
          Width: 40,
          Height: 40,
          BitsPerComponent: 8,
          ColorSpace: 'DeviceRGB',
          F: PDFString.of(join(folder, 'secret.png')),
        })
        const first = doc.getPage(0)
        const name = first.node.newXObject('X', doc.context.register(picture))
        const content = doc.context.stream(`q 40 0 0 40 0 0 cm ${name} Do Q`)
        first.node.set(PDFName.of('Contents'), doc.context.register(content))
      },
    ],
  ])('%s', async (_what, change) => {
    await touchesNothing(await page(change))
  })
})

describe('memory stays bounded:', () => {
  const ihdr = (width: number, height: number): Uint8Array => {
    const data = new Uint8Array(13)
    new DataView(data.buffer).setUint32(0, width)
    new DataView(data.buffer).setUint32(4, height)
    data.set([8, 6], 8)
    return pngChunk('IHDR', data)
  }
  const pixels = pngChunk('IDAT', deflateSync(Buffer.from([0, 1, 2, 3, 255])))
  const end = pngChunk('IEND', new Uint8Array())
  /** Three hundred megabytes of nothing in three hundred kilobytes, put together without ever holding them. */
  const swelling = (times: number): Buffer => {
    const million = deflateRawSync(Buffer.alloc(1e6), { finishFlush: constants.Z_FULL_FLUSH })
    const sum = Buffer.alloc(4)
    // Adler-32 of n zeros: n in the upper half, 1 in the lower.
    sum.writeUInt16BE((times * 1e6) % 65_521, 0)
    sum.writeUInt16BE(1, 2)
    const blocks = Array.from({ length: times }, () => million)
    return Buffer.concat([Buffer.from('789c', 'hex'), ...blocks, Buffer.from('0300', 'hex'), sum])
  }
  const swollen = swelling(300)
  const keyed = (word: string, ...rest: number[]): Buffer =>
    Buffer.concat([Buffer.from(`${word}\0`), Buffer.from(rest), swollen])

  it('such a stream is a right one', () => expect(inflateSync(swelling(3))).toHaveLength(3e6))
  it.each<[what: string, bytes: () => Promise<Buffer> | Buffer]>([
    [
      'a note that swells',
      () => Buffer.concat([PNG_SIGNATURE, ihdr(1, 1), pngChunk('zTXt', keyed('a', 0)), pixels, end]),
    ],
    [
      'a profile that swells',
      () => Buffer.concat([PNG_SIGNATURE, ihdr(1, 1), pngChunk('iCCP', keyed('a', 0)), pixels, end]),
    ],
    [
      'an international note that swells',
      () => Buffer.concat([PNG_SIGNATURE, ihdr(1, 1), pngChunk('iTXt', keyed('a', 1, 0, 0, 0)), pixels, end]),
    ],
    [
      'pixels that swell beyond the picture',
      () => Buffer.concat([PNG_SIGNATURE, ihdr(1, 1), pngChunk('IDAT', swollen), end]),
    ],
    ['a drawing in a tight wrapping', () => gzipSync(Buffer.from(wrapped('')))],
    [
      'a JPEG with thirty megabytes of notes before its pixels',
      async () => {
        const jpeg = await sharp({ create: { width: 4, height: 4, channels: 3, background: '#e4572e' } })
          .jpeg()
          .toBuffer()
        const note = Buffer.alloc(65_535, 0x61)
        note.set([0xff, 0xef, 0xff, 0xfd])
        return Buffer.concat([
          jpeg.subarray(0, 2),
          ...Array.from({ length: 460 }, () => note),
          jpeg.subarray(2),
        ])
      },
    ],
    [
      'a JPEG of 60,000 × 60,000 behind two megabytes of notes',
      () => {
        const note = Buffer.alloc(65_535, 0x61)
        note.set([0xff, 0xef, 0xff, 0xfd])
        const frame = Buffer.from('ffc0001108ea60ea6003011100021100031100ffd9', 'hex')
        return Buffer.concat([Buffer.from('ffd8', 'hex'), ...Array.from({ length: 32 }, () => note), frame])
      },
    ],
    [
      'a TIFF whose directory stands behind three megabytes and says 60,000 × 60,000',
      () => {
        const tiff = Buffer.alloc(3_000_046)
        tiff.write('II*\0', 0, 'latin1')
        tiff.writeUInt32LE(3_000_000, 4)
        tiff.writeUInt16LE(3, 3_000_000)
        for (const [i, [tag, value]] of (
          [
            [256, 60_000],
            [257, 60_000],
            [262, 1],
          ] as const
        ).entries()) {
          const at = 3_000_002 + 12 * i
          tiff.writeUInt16LE(tag, at)
          tiff.writeUInt16LE(4, at + 2)
          tiff.writeUInt32LE(1, at + 4)
          tiff.writeUInt32LE(value, at + 8)
        }
        return tiff
      },
    ],
    [
      'a PDF with a picture of 60,000 × 60,000',
      async () => {
        const doc = await PDFDocument.create({ updateMetadata: false })
        const first = doc.addPage([40, 40])
        const picture = doc.context.stream(deflateSync(Buffer.alloc(1000)), {
          Type: 'XObject',
          Subtype: 'Image',
          Width: 60_000,
          Height: 60_000,
          BitsPerComponent: 8,
          ColorSpace: 'DeviceRGB',
          Filter: 'FlateDecode',
        })
        const name = first.node.newXObject('X', doc.context.register(picture))
        const content = doc.context.stream(`q 40 0 0 40 0 0 cm ${name} Do Q`)
        first.node.set(PDFName.of('Contents'), doc.context.register(content))
        return Buffer.from(await doc.save())
      },
    ],
    [
      'a drawing with a filter of giant blur',
      () =>
        Buffer.from(
          wrapped(
            '<filter id="f"><feGaussianBlur stdDeviation="1e9"/></filter><rect width="40" height="40" filter="url(#f)"/>',
          ),
        ),
    ],
    [
      'raw deflate called a PNG',
      () =>
        Buffer.concat([PNG_SIGNATURE, ihdr(1, 1), pngChunk('IDAT', deflateRawSync(Buffer.alloc(9))), end]),
    ],
  ])('%s', async (_what, make) => {
    const bytes = await make()
    const before = process.memoryUsage().rss
    const result = await decodeArtwork(bytes, { vectorWidthPx: 40 })
    expect(process.memoryUsage().rss - before).toBeLessThan(250e6)
    if (!result.ok) expect(result.message).toMatch(/^[A-Z][^\n]{20,240}\.$/)
    else expect(result.value.raster.width * result.value.raster.height).toBeLessThan(3000)
  })
})
