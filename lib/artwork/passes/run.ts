import type { GarmentFade } from '../fade'
import type { Mask } from '../mask'
import { type Raster, rasterBytes } from '../raster'
import { PASSES } from './made'

/** What passes.as.ts gives: numbers are addresses and counts of bytes. */
type Exports = {
  memory: WebAssembly.Memory
  beginScan(width: number): void
  scanRow(
    pixels: number,
    width: number,
    y: number,
    sampled: boolean,
    solid: number,
    breathing: number,
  ): number
  thinBand(
    words: number,
    width: number,
    height: number,
    diameter: number,
    turned: number,
    ink: number,
    above: number,
    given: number,
    to: number,
    desk: number,
  ): void
  deskBytes(words: number, height: number, diameter: number): number
  beginSweep(width: number, words: number, corners: boolean, desk: number): void
  sweepRow(row: number, y: number, width: number): void
  endSweep(): void
  sweepBytes(width: number): number
} & Record<'TALLY' | 'GRAIN' | 'GRAIN_FACE' | 'SOFT' | 'ALPHA' | 'EDGES' | 'ROOM', WebAssembly.Global>

const PAGE = 1 << 16
/** Bytes of pixels that are looked at in one go: few enough to stay in the processor's memory. */
const CHUNK = 1 << 18
/** Rows that are opened at a time: many, beside those that a pen reaches around them. */
const LEAST_BAND = 48

let ready: Exports | null = null
/** Whose colours are asked for in the pass that runs. */
let asked: GarmentFade
/** Who is told of the patches that it finds. */
let told: PatchEmit

/** A patch that is complete: area in pixels, its box (inclusive), one of its pixels. */
export type PatchEmit = (
  area: number,
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  seedX: number,
  seedY: number,
) => void

function passes(): Exports {
  ready ??= new WebAssembly.Instance(new WebAssembly.Module(Buffer.from(PASSES, 'base64')), {
    'passes.as': {
      stateOf: (cell: number) => asked.stateOf(cell),
      stays: (word: number) => asked.staysExactly(word),
      patch: ((...found) => told(...found)) satisfies PatchEmit,
    },
  }).exports as unknown as Exports
  return ready
}

/** Makes room for so many bytes from ROOM on; gives its address. */
function roomFor({ memory, ROOM }: Exports, bytes: number): number {
  const missing = Math.ceil((ROOM.value + bytes - memory.buffer.byteLength) / PAGE)
  if (missing > 0) memory.grow(missing)
  return ROOM.value
}

/** What the pass over the pixels counts, cell by cell; see scan.ts. */
export type Counted = {
  alpha: Float64Array
  /** Per cell: opaque pixels in runs, votes for its face, the face, and one spare. */
  tally: Int32Array
  /** Per cell: opaque pixels of the sampled rows that stand alone, and the first of them. */
  grain: Int32Array
  grainFace: Int32Array
  /** Per cell: alpha of the pixels that are not opaque. */
  soft: Float64Array
  /** Left, right (exclusive), top, bottom of what can be seen; top is −1 where nothing can. */
  edges: Int32Array
  /** Ink after the knock-out × 255. */
  inkAfter: number
}

/**
 * Looks at every pixel once and sets its bits in the two masks, which are empty before.
 * @param inSample whether single opaque pixels of a row are counted among the colours
 */
export function scanPixels(
  raster: Raster,
  fade: GarmentFade,
  solid: Mask,
  breathing: Mask,
  inSample: (y: number) => boolean,
): Counted {
  const { width, height } = raster
  const p = passes()
  const bytes = rasterBytes(raster)
  const line = width * 4
  const many = Math.max(1, Math.floor(CHUNK / line))
  const maskLine = solid.stride * 4
  const pixels = roomFor(p, many * (line + 2 * maskLine))
  const solidAt = pixels + many * line
  const breathingAt = solidAt + many * maskLine
  const memory = new Uint8Array(p.memory.buffer)
  const words = new Uint32Array(p.memory.buffer)
  asked = fade
  p.beginScan(width)
  let inkAfter = 0
  for (let y = 0; y < height; y += many) {
    const rows = Math.min(many, height - y)
    memory.set(bytes.subarray(y * line, (y + rows) * line), pixels)
    memory.fill(0, solidAt, breathingAt + rows * maskLine)
    for (let j = 0; j < rows; j++)
      inkAfter += p.scanRow(
        pixels + j * line,
        width,
        y + j,
        inSample(y + j),
        solidAt + j * maskLine,
        breathingAt + j * maskLine,
      )
    const size = rows * solid.stride
    solid.bits.set(words.subarray(solidAt >> 2, (solidAt >> 2) + size), y * solid.stride)
    breathing.bits.set(words.subarray(breathingAt >> 2, (breathingAt >> 2) + size), y * solid.stride)
  }
  const { buffer } = p.memory
  const cells = 1 << 15
  return {
    alpha: new Float64Array(buffer, p.ALPHA.value, 256).slice(),
    tally: new Int32Array(buffer, p.TALLY.value, 4 * cells),
    grain: new Int32Array(buffer, p.GRAIN.value, cells),
    grainFace: new Int32Array(buffer, p.GRAIN_FACE.value, cells),
    soft: new Float64Array(buffer, p.SOFT.value, cells),
    edges: new Int32Array(buffer, p.EDGES.value, 4),
    inkAfter,
  }
}

/**
 * What an opening by a pen takes from the ink of a mask, or with `gaps` from the space: see tooThinFor. `take` is given every row
 * in which anything is, as words that hold until it returns.
 */
export function takenByPen(
  mask: Mask,
  diameter: number,
  gaps: boolean,
  take: (y: number, words: Uint32Array) => void,
): void {
  const { width, height, stride, bits } = mask
  const p = passes()
  const band = Math.max(LEAST_BAND, 4 * diameter)
  const line = stride * 4
  const given = band + 2 * diameter
  const ink = roomFor(p, line * (given + band) + band + 64 + p.deskBytes(stride, band, diameter))
  const to = ink + line * given
  const desk = to + ((line * band + band + 15) & ~15)
  const words = new Uint32Array(p.memory.buffer)
  const bytes = new Uint8Array(p.memory.buffer)
  for (let y = 0; y < height; y += band) {
    const rows = Math.min(band, height - y)
    const from = Math.max(0, y - diameter)
    const end = Math.min(height, y + rows + diameter)
    words.set(bits.subarray(from * stride, end * stride), ink >> 2)
    const above = from - (y - diameter)
    p.thinBand(stride, width, rows, diameter, gaps ? -1 : 0, ink, above, end - from, to, desk)
    const busy = to + line * rows
    for (let j = 0; j < rows; j++) {
      if (bytes[busy + j] === 0) continue
      const at = (to >> 2) + j * stride
      take(y + j, words.subarray(at, at + stride))
    }
  }
}

/**
 * Gives each connected patch of a mask once, when it is complete. `emit` must not look at another mask or picture by itself.
 * @param corners whether pixels touch at their corners
 * @param busy 0 for each row that is known to be empty
 */
export function sweepMask(mask: Mask, corners: boolean, emit: PatchEmit, busy?: Uint8Array): void {
  const { width, height, stride, bits } = mask
  const p = passes()
  const line = stride * 4
  const many = Math.max(1, Math.floor(CHUNK / line))
  const desk = roomFor(p, p.sweepBytes(width) + many * line)
  const rowsAt = desk + p.sweepBytes(width)
  const words = new Uint32Array(p.memory.buffer)
  told = emit
  p.beginSweep(width, stride, corners, desk)
  for (let y = 0; y < height; y += many) {
    const rows = Math.min(many, height - y)
    words.set(bits.subarray(y * stride, (y + rows) * stride), rowsAt >> 2)
    for (let j = 0; j < rows; j++) p.sweepRow(busy?.[y + j] === 0 ? 0 : rowsAt + j * line, y + j, width)
  }
  p.endSweep()
}
