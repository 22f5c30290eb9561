/**
 * Times the art desk on this machine, in one run: against the image library merely decoding the same file, and against
 * ImageMagick where it is installed. bench-art.ts [--large] [--flat] [--alone] [--rounds N] [--nesting]; --large adds artworks of
 * 9000 × 12000, --flat leaves out the photograph and the profile, --alone leaves ImageMagick out, --nesting does the nesting
 * alone. See docs/bench-art.md.
 */
import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import sharp from 'sharp'
import { readArtwork } from '@/lib/artwork/decode'
import { DEFAULT_FADE, GarmentFade } from '@/lib/artwork/fade'
import { inksFor } from '@/lib/artwork/inks'
import { knockOut } from '@/lib/artwork/knockout'
import { measure } from '@/lib/artwork/measure'
import { measurePath } from '@/lib/artwork/measure-path'
import { type NestPiece, nest } from '@/lib/artwork/nest'
import { ENDLESS } from '@/lib/artwork/nest-fill'
import { PACKING_RULES } from '@/lib/artwork/nest-rules'
import { produce } from '@/lib/artwork/production'
import type { Raster } from '@/lib/artwork/raster'
import { scan } from '@/lib/artwork/scan'
import { separated } from '@/lib/artwork/separate'
import { underbaseOf } from '@/lib/artwork/underbase'

const { values } = parseArgs({
  options: {
    large: { type: 'boolean' },
    nesting: { type: 'boolean' },
    flat: { type: 'boolean' },
    alone: { type: 'boolean' },
    rounds: { type: 'string', default: '3' },
    one: { type: 'string' },
    job: { type: 'string' },
    pair: { type: 'string' },
    file: { type: 'string' },
  },
})
const rounds = Math.max(1, Math.trunc(Number(values.rounds)) || 1)
const CLOTH = [16, 16, 16] as const
const CLOTH_HEX = '#101010'

/** Milliseconds of processor time, all threads together: what other work on the machine does not change much. */
type Timed = { cold: number; warm: number; rss: number; ratio?: number; clock?: number }

const processorMs = (): number => {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

/** What each row does with a decoded artwork. */
const WORK: { [name: string]: (raster: Raster, file: Parameters<typeof measure>[0]) => void } = {
  check: (_raster, artwork) => {
    measure(artwork, { widthMm: 297, garmentHex: CLOTH_HEX, method: 'transfer' })
  },
  'knock-out': raster => {
    knockOut(raster, CLOTH, { ...DEFAULT_FADE, reach: 'everywhere', specks: 'clear', speckPx: 35 })
  },
  underbase: raster => {
    underbaseOf(raster, { chokePx: 4, garment: { rgb: CLOTH, fade: DEFAULT_FADE } })
  },
  separation: raster => {
    const seen = scan(raster, new GarmentFade(CLOTH, DEFAULT_FADE))
    const { inks, mode } = inksFor(seen.cells, seen.faces, CLOTH, [], 6)
    separated(raster, inks, CLOTH, mode)
  },
}

/** The nearest thing to each that ImageMagick does on its own. */
const GENERAL_TOOL: { [name: string]: string[] } = {
  decode: ['null:'],
  check: [
    '-alpha',
    'extract',
    '-threshold',
    '50%',
    '-define',
    'connected-components:verbose=false',
    '-connected-components',
    '8',
    'null:',
  ],
  'knock-out': ['-fuzz', '6%', '-transparent', CLOTH_HEX, 'null:'],
  underbase: ['-alpha', 'extract', '-threshold', '50%', '-morphology', 'Erode', 'Disk:4', 'null:'],
  separation: ['+dither', '-colors', '6', 'null:'],
}

/** Reading and one work, in a process of its own: the first time, and the best of the later ones. */
async function one(name: string, path: string): Promise<Timed> {
  const spent: number[] = []
  for (let i = 0; i < Math.max(2, rounds); i++) {
    const start = processorMs()
    await readAndWork(name, path)
    spent.push(processorMs() - start)
  }
  return { cold: spent[0]!, warm: Math.min(...spent.slice(1)), rss: peakMb() }
}

async function readAndWork(name: string, path: string): Promise<void> {
  if (name === ALONE) {
    await sharp(path, { limitInputPixels: false }).ensureAlpha().raw().toBuffer()
    return
  }
  const read = await readArtwork(path)
  if (!read.ok) throw new Error(read.message)
  WORK[name]!(read.value.raster, read.value)
}

/**
 * Reading and one work beside merely decoding, in turn in one process, so that whatever else the machine does weighs on both
 * alike: the middle of the rounds' ratios, after the first, which compiles the code. By processor time, and by the clock. What
 * was there before is cleared away before each: else the one would pay for the other's 70 MB, as memory is given back in bursts.
 */
async function pair(name: string, path: string): Promise<Timed> {
  const ratios: number[] = []
  const clocks: number[] = []
  const spent: number[] = []
  const timed = async (work: string): Promise<{ ms: number; clock: number }> => {
    globalThis.gc?.()
    const [ms, clock] = [processorMs(), performance.now()]
    await readAndWork(work, path)
    return { ms: processorMs() - ms, clock: performance.now() - clock }
  }
  for (let i = 0; i <= Math.max(3, rounds); i++) {
    const alone = await timed(ALONE)
    const both = await timed(name)
    spent.push(both.ms)
    ratios.push(both.ms / alone.ms)
    clocks.push(both.clock / alone.clock)
  }
  return {
    cold: spent[0]!,
    warm: Math.min(...spent.slice(1)),
    rss: peakMb(),
    ratio: middle(ratios.slice(1)),
    clock: middle(clocks.slice(1)),
  }
}

const middle = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1]!

const peakMb = (): number => process.resourceUsage().maxRSS / 1024

/** A whole job as the desk does it, files written, in a process of its own. */
async function job(name: string, path: string): Promise<Timed> {
  const folder = mkdtempSync(join(tmpdir(), 'bench-art-job-'))
  const start = processorMs()
  try {
    const to = join(folder, 'out.png')
    const done =
      name === 'check'
        ? await measurePath(path, { widthMm: 297, garmentHex: CLOTH_HEX, method: 'transfer' })
        : name === 'separation'
          ? await produce({ kind: 'separate', from: path, to: folder, garmentHex: CLOTH_HEX, inks: 6 })
          : await produce({
              kind: name === 'underbase' ? 'underbase' : 'knockout',
              from: path,
              to,
              garmentHex: CLOTH_HEX,
            })
    if (!done.ok) throw new Error(done.message)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
  const spent = processorMs() - start
  return { cold: spent, warm: spent, rss: peakMb() }
}

/** The image library merely decoding. */
const ALONE = 'alone'

/** Each row in a process of its own, so that its memory is its own. */
function measured(how: 'one' | 'job' | 'pair', name: string, path: string): Timed {
  const self = fileURLToPath(import.meta.url)
  const out = execFileSync(
    process.execPath,
    ['--expose-gc', '--import', 'tsx', self, `--${how}`, name, '--file', path, '--rounds', String(rounds)],
    { encoding: 'utf8' },
  )
  return JSON.parse(out) as Timed
}

const tool = values.alone
  ? undefined
  : ['magick', 'convert-im6.q16', 'convert'].find(name => {
      const said = spawnSync(name, ['-version'], { encoding: 'utf8' })
      return said.status === 0 && /^Version: ImageMagick/.test(said.stdout)
    })
/** Processor time of a run of ImageMagick, by the shell's own clock. */
function generalTool(name: string, path: string): number | null {
  const args = GENERAL_TOOL[name]
  if (!tool || !args) return null
  const done = spawnSync(
    'bash',
    ['-c', 'TIMEFORMAT="%U %S"; time "$@" 2>/dev/null', 'time', tool, path, ...args],
    {
      encoding: 'utf8',
      timeout: 600_000,
    },
  )
  const clock = /([\d.]+) ([\d.]+)\s*$/.exec(done.stderr ?? '')
  return done.status === 0 && clock ? 1000 * (Number(clock[1]) + Number(clock[2])) : null
}

/** Discs, strokes and a gradient on a clear ground: flat colour, soft edges and tones, the same every time. */
async function drawArtwork(path: string, width: number, height: number): Promise<void> {
  let state = 7
  const random = (most: number): string => {
    state = (state * 16807) % 2147483647
    return ((state / 2147483647) * most).toFixed(1)
  }
  const inks = ['#e4572e', '#17bebb', '#ffc914', '#2e282a', '#76b041', CLOTH_HEX]
  let body =
    '<linearGradient id="g"><stop stop-color="#102040"/><stop offset="1" stop-color="#f0c040"/></linearGradient>'
  for (let i = 0; i < 60; i++)
    body += `<circle cx="${random(1000)}" cy="${random(1400)}" r="${random(130)}" fill="${inks[i % 6]}" fill-opacity="${i % 5 === 0 ? 0.6 : 1}"/><path d="M${random(1000)} ${random(1400)}Q${random(1000)} ${random(1400)} ${random(1000)} ${random(1400)}" stroke="${inks[(i + 2) % 6]}" fill="none" stroke-width="${random(6)}"/>`
  body += '<rect x="300" y="500" width="400" height="300" fill="url(#g)"/>'
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 1000 1414" preserveAspectRatio="none">${body}</svg>`
  await sharp(Buffer.from(svg), { limitInputPixels: false }).png().toFile(path)
}

function nesting(): void {
  let state = 12345
  const random = (): number => {
    state = (state * 48271) % 2147483647
    return state / 2147483647
  }
  const pieces = Array.from(
    { length: 200 },
    (_, i): NestPiece => ({
      id: `${i}`,
      order: `${i >> 3}`,
      width: 40 + Math.round(random() * 260),
      height: 40 + Math.round(random() * 260),
      count: 1,
      turn: true,
    }),
  )
  for (const height of [null, 700]) {
    const sheet = { width: 560, height, gap: 5, margin: 5 }
    const start = processorMs()
    const best = nest(pieces, sheet)
    const ms = processorMs() - start
    if (!best.ok) throw new Error(best.message)
    const { sheets, lengths, bound, splitOrders } = best.value
    const over = (used: number, least: number): string => `+${(100 * (used / least - 1)).toFixed(1)} %`
    const metres = (mm: number): string => `${(mm / 1000).toFixed(2)} m`
    const length = lengths[0] ?? 0
    console.log(`\nnesting 200 mixed prints of 25 orders on ${height === null ? 'a roll' : 'sheets'}`)
    console.table(
      height === null
        ? [
            { what: 'laid', takes: metres(length) },
            {
              what: 'bound by area alone',
              takes: metres(bound.areaLength),
              over: over(length, bound.areaLength),
            },
            { what: 'proven bound', takes: metres(bound.length), over: over(length, bound.length) },
          ]
        : [
            { what: `laid (${splitOrders} of 25 orders on more than one)`, takes: sheets },
            { what: 'bound by area alone', takes: bound.areaSheets, over: over(sheets, bound.areaSheets) },
            { what: 'proven bound', takes: bound.sheets, over: over(sheets, bound.sheets) },
          ],
    )
    for (const { name, rule } of PACKING_RULES) {
      const batches = pieces.map((p, piece) => ({
        piece,
        order: 0,
        w: (p.width + sheet.gap) * 10,
        h: (p.height + sheet.gap) * 10,
        turn: p.turn,
        count: 1,
      }))
      const across = (sheet.width - 2 * sheet.margin + sheet.gap) * 10
      const spots = rule(
        batches,
        across,
        height === null ? ENDLESS : (height - 2 * sheet.margin + sheet.gap) * 10,
      )
      const end = Math.max(...spots.map(s => s.y + (s.turned ? batches[s.batch]!.w : batches[s.batch]!.h)))
      const takes =
        height === null
          ? metres(end / 10 - sheet.gap + 2 * sheet.margin)
          : `${1 + Math.max(...spots.map(s => s.sheet))} sheets`
      console.log(`  packing rule “${name}”: ${takes}`)
    }
    console.log(`  ${ms.toFixed(0)} ms of processor time`)
  }
}

/** Waves, blots and grain over the whole sheet, opaque: a photograph's worth of colours, the same every time. */
async function takePhotograph(path: string, width: number, height: number): Promise<void> {
  let state = 99
  const noise = (n: number): Buffer =>
    Buffer.from(
      Uint8Array.from({ length: n }, () => {
        state = (state * 16807) % 2147483647
        return state & 255
      }),
    )
  const [w, h] = [60, 80]
  const grain = await sharp(noise(512 * 512), { raw: { width: 512, height: 512, channels: 1 } })
    .linear(0.12, 112)
    .toColourspace('srgb')
    .png()
    .toBuffer()
  const blots = sharp(noise(w * h * 3), { raw: { width: w, height: h, channels: 3 } }).resize(width, height, {
    kernel: 'cubic',
    fit: 'fill',
  })
  await sharp(await blots.raw().toBuffer(), { raw: { width, height, channels: 3 }, limitInputPixels: false })
    .composite([{ input: grain, tile: true, blend: 'overlay' }])
    .removeAlpha()
    .jpeg({ quality: 92 })
    .toFile(path)
}

async function tableOf(what: string, path: string, width: number, height: number): Promise<void> {
  const alone = measured('one', ALONE, path)
  const decode = Math.min(alone.cold, alone.warm)
  const plain = generalTool('decode', path)
  const rows = Object.keys(WORK).map(name => {
    const t = measured('one', name, path)
    const whole = measured('job', name, path)
    const { ratio = Number.NaN, clock = Number.NaN } = measured('pair', name, path)
    const general = generalTool(name, path)
    return {
      what: name,
      'first ms': Math.round(t.cold),
      'later ms': Math.round(t.warm),
      'first ÷ decode': Number((t.cold / decode).toFixed(2)),
      'later ÷ decode': Number(ratio.toFixed(2)),
      'by the clock': Number(clock.toFixed(2)),
      'peak MB': Math.round(t.rss),
      'with files ms': Math.round(whole.cold),
      'with files peak MB': Math.round(whole.rss),
      'ImageMagick ms': general === null ? '-' : Math.round(general),
    }
  })
  const megabytes = (statSync(path).size / 1e6).toFixed(1)
  console.log(`\n${what}, ${width} × ${height}, ${megabytes} MB: processor time`)
  console.log(
    `merely decoding: image library ${Math.round(decode)} ms (${Math.round(alone.rss)} MB), ImageMagick ${plain === null ? 'not here' : `${Math.round(plain)} ms`}`,
  )
  console.table(rows)
}

async function main(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'bench-art-'))
  try {
    const sizes: [number, number][] = [
      [3508, 4961],
      ...(values.large ? [[9000, 12000] as [number, number]] : []),
    ]
    for (const [width, height] of sizes) {
      const flat = join(folder, 'flat.png')
      await drawArtwork(flat, width, height)
      await tableOf('flat art, RGBA PNG', flat, width, height)
      if (values.flat) continue
      const wide = join(folder, 'wide.png')
      await sharp(flat, { limitInputPixels: false }).withIccProfile('p3').png().toFile(wide)
      await tableOf('the same with an embedded wide-gamut profile', wide, width, height)
      const photo = join(folder, 'photo.jpg')
      await takePhotograph(photo, width, height)
      await tableOf('photograph, JPEG', photo, width, height)
    }
    nesting()
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

if (values.one && values.file) process.stdout.write(JSON.stringify(await one(values.one, values.file)))
else if (values.job && values.file) process.stdout.write(JSON.stringify(await job(values.job, values.file)))
else if (values.pair && values.file)
  process.stdout.write(JSON.stringify(await pair(values.pair, values.file)))
else if (values.nesting) nesting()
else await main()
