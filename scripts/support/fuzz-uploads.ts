// Sends pictures and PDFs whose bytes were spoiled, and looks what they cost.
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { PDFDocument, rgb } from '@cantoo/pdf-lib'
import Database from 'better-sqlite3'
import sharp from 'sharp'
import { BareServer, seeded } from './crash'
import { memoryOf } from './fuzz'
import { ShopClient } from './shop-client'

export type UploadReport = {
  files: number
  /** Answers by status. */
  statuses: Record<string, number>
  /** Answers of 500 and more, none within two minutes, files left behind, memory or time beyond bounds. */
  faults: string[]
  slowestMs: number
  memoryMb: { before: number; most: number; after: number }
}

/** Beyond these something is wrong with how a file is read: a file's declared size must not decide what it takes. */
const MOST_MS = 60_000
const MOST_MB = 1_500

/** Whole files of every kind that comes in: what the spoiled ones are made of. */
async function whole(kept: string): Promise<[string, Buffer][]> {
  const art = sharp({
    create: { width: 180, height: 140, channels: 4, background: { r: 200, g: 30, b: 60, alpha: 0.6 } },
  })
  const pdf = await PDFDocument.create()
  const page = pdf.addPage([200, 200])
  page.drawRectangle({ x: 20, y: 20, width: 120, height: 90, color: rgb(0.8, 0.1, 0.2) })
  page.drawText('Allotment club', { x: 30, y: 150, size: 18 })
  const svg =
    '<svg xmlns="http://www.w3.org/2000/svg" width="90" height="90"><circle cx="45" cy="45" r="40" fill="#c1234e"/></svg>'
  const small = existsSync(kept)
    ? readdirSync(kept)
        .flatMap(two => readdirSync(join(kept, two)).map(name => readFileSync(join(kept, two, name))))
        .filter(b => b.length < 60_000)
    : []
  return [
    ['art.png', await art.clone().png().toBuffer()],
    ['palette.png', await art.clone().png({ palette: true }).toBuffer()],
    ['photo.jpg', await art.clone().flatten().jpeg().toBuffer()],
    ['art.webp', await art.clone().webp().toBuffer()],
    ['art.tiff', await art.clone().tiff().toBuffer()],
    ['art.gif', await art.clone().gif().toBuffer()],
    ['art.pdf', Buffer.from(await pdf.save({ useObjectStreams: false }))],
    ['packed.pdf', Buffer.from(await pdf.save())],
    ['art.svg', Buffer.from(svg)],
    ...small.slice(0, 3).map((bytes, i): [string, Buffer] => [`kept-${i}.png`, bytes]),
  ]
}

/** A file with some of its bytes other, gone, twice there, or in the place of others; mostly near its head, where sizes stand. */
function spoiledFile(bytes: Buffer, random: () => number): Buffer {
  let out = Buffer.from(bytes)
  const at = () => Math.floor((random() < 0.5 ? Math.min(out.length, 120) : out.length) * random())
  const times = 1 + Math.floor(random() * 6)
  for (let i = 0; i < times; i++) {
    const [a, b] = [at(), at()].sort((x, y) => x - y) as [number, number]
    const kind = Math.floor(random() * 8)
    if (kind <= 2 && out.length) out[a] = Math.floor(random() * 256)
    else if (kind === 3 && a + 4 <= out.length)
      out.writeUInt32BE([0, 1, 0x7fffffff, 0xffffffff, 60_000][Math.floor(random() * 5)] ?? 0, a)
    else if (kind === 4) out = out.subarray(0, Math.max(1, b))
    else if (kind === 5) out = Buffer.concat([out.subarray(0, b), out.subarray(a, b), out.subarray(b)])
    else if (kind === 6) out = Buffer.concat([out.subarray(0, a), out.subarray(b)])
    else
      out = Buffer.from(
        out.toString('latin1').replace(/\d+/, n => String(Number(n) * 10 ** Math.floor(random() * 6))),
        'latin1',
      )
    if (out.length > 2_000_000 || out.length === 0) return Buffer.from(bytes.subarray(0, 100))
  }
  return out
}

/** Sends `files` spoiled files, one after another. */
export async function fuzzUploads({
  data,
  files: most,
  seed,
  say = () => {},
}: {
  data: string
  files: number
  seed: number
  say?: (line: string) => void
}): Promise<UploadReport> {
  const db = new Database(join(data, 'demo.db'), { readonly: true })
  const owner = db.prepare("SELECT name FROM Person WHERE role = 'owner'").pluck().get() as string
  db.close()
  const random = seeded(seed)
  const server = await BareServer.of(data, { SHIRTWRIGHT_LOG: 'error' })
  await server.start()
  const memory = () => Math.round(memoryOf(server.child?.pid))
  const report: UploadReport = {
    files: 0,
    statuses: {},
    faults: [],
    slowestMs: 0,
    memoryMb: { before: 0, most: 0, after: 0 },
  }
  try {
    const client = new ShopClient(server.url)
    await client.signInToDemo(owner)
    const from = await whole(join(data, 'demo-files', 'kept'))
    for (const [name, body] of from)
      await (
        await client.fetch(`/api/artwork?name=${name}`, { method: 'PUT', body: new Uint8Array(body) })
      ).arrayBuffer()
    report.memoryMb.before = memory()
    const incoming = join(data, 'demo-files', 'incoming')
    for (let i = 0; i < most; i++) {
      const [name, bytes] = from[i % from.length] as [string, Buffer]
      const body = spoiledFile(bytes, random)
      const begun = performance.now()
      const what = `${name} number ${i}, ${body.length} bytes`
      try {
        const answer = await client.fetch(`/api/artwork?name=${name}`, {
          method: 'PUT',
          body: new Uint8Array(body),
          signal: AbortSignal.timeout(2 * MOST_MS),
        })
        const text = await answer.text()
        report.statuses[answer.status] = (report.statuses[answer.status] ?? 0) + 1
        if (answer.status >= 500) report.faults.push(`${what}: ${answer.status} ${text.slice(0, 200)}`)
        else if (answer.status >= 400 && !/"message":"[^"]{10,}"/.test(text))
          report.faults.push(`${what}: refused without a sentence`)
      } catch (error) {
        report.faults.push(`${what}: ${error instanceof Error ? error.message : error}`)
        if (server.child?.exitCode !== null) await server.start()
      }
      report.files++
      const ms = Math.round(performance.now() - begun)
      report.slowestMs = Math.max(report.slowestMs, ms)
      if (ms > MOST_MS) report.faults.push(`${what} took ${ms} ms`)
      report.memoryMb.most = Math.max(report.memoryMb.most, memory())
      if (report.files % 200 === 0)
        say(`${report.files} files, ${report.faults.length} faults, ${memory()} MB`)
    }
    report.memoryMb.after = memory()
    if (report.memoryMb.most > MOST_MB) report.faults.push(`the server grew to ${report.memoryMb.most} MB`)
    const left = existsSync(incoming) ? readdirSync(incoming) : []
    if (left.length) report.faults.push(`${left.length} files were left behind`)
    await server.end('SIGTERM')
  } finally {
    await server.end('SIGKILL')
  }
  return report
}
