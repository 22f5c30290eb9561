import 'server-only'
import { access, mkdir, rename, rm } from 'node:fs/promises'
import path from 'node:path'
import sharp from 'sharp'
import { filesFolder } from '@/lib/server/data-folder'
import { db, transaction } from '@/lib/server/database'
import { discard, keep, keptPath, type Received } from '@/lib/server/files'
import { type Actor, record } from '@/lib/server/history'
import { ok, type Result, refuse } from '@/lib/units/result'
import { type Clearance, type ClearanceInput, standingClearance } from './clearance'
import { MOST_PIXELS } from './decode'
import { measureFile } from './desk'
import type { ArtMethod, PpiRules } from './limits'
import type { Measurement } from './measure'

/** An artwork as every room reads it. */
export type ArtworkRow = {
  id: string
  sha256: string
  name: string
  mime: string
  bytes: number
  widthPx: number
  heightPx: number
  alpha: boolean
  declaredPpi: number | null
  createdAt: Date
  byName: string
  /** The basis that counts; null while nobody has recorded one. */
  clearance: Clearance | null
  /** Every basis ever recorded, newest first. */
  clearances: Clearance[]
}

const withClearances = { clearances: { orderBy: { at: 'desc' } } } as const
type Row = Omit<ArtworkRow, 'clearance' | 'clearances'> & {
  clearances: { basis: string; evidence: string; byName: string; at: Date }[]
}
function asArtwork(row: Row): ArtworkRow {
  const clearances = row.clearances.map(c => ({ ...c, at: c.at.getTime() }))
  return { ...row, clearances, clearance: standingClearance(clearances) }
}

/** One artwork, or null when there is none of that id. */
export async function getArtwork(id: string): Promise<ArtworkRow | null> {
  const row = await db().artwork.findUnique({ where: { id }, include: withClearances })
  return row && asArtwork(row)
}

/** The artwork of this content, or null: the same bytes coming back are the same artwork. */
export async function findArtwork(sha256: string): Promise<ArtworkRow | null> {
  const row = await db().artwork.findUnique({ where: { sha256 }, include: withClearances })
  return row && asArtwork(row)
}

/** For what an artwork is measured. Lengths in mm; the height follows the picture when left out. */
export type MeasureFor = {
  widthMm: number
  heightMm?: number
  garmentHex: string
  method: ArtMethod
  ppiRules?: PpiRules
}

const checkKey = (f: MeasureFor): string =>
  [
    f.widthMm,
    f.heightMm ?? '',
    f.garmentHex.toLowerCase(),
    f.method,
    f.ppiRules ? Object.values(f.ppiRules).join('/') : '',
  ].join('|')

/** What an upload without a size is first measured for: a usual full front on white. */
const FIRST_LOOK: MeasureFor = { widthMm: 254, garmentHex: '#ffffff', method: 'transfer' }

const MIME: Record<string, string> = {
  png: 'image/png',
  jpeg: 'image/jpeg',
  webp: 'image/webp',
  tiff: 'image/tiff',
  svg: 'image/svg+xml',
  pdf: 'application/pdf',
}

/**
 * Takes a received file in: read to its end in a worker, so that a damaged one is refused before it is kept. The same
 * content coming back gives the artwork that is there already, with its clearance.
 */
export async function addArtwork(
  received: Received,
  name: string,
  by: Actor,
): Promise<Result<{ artwork: ArtworkRow; known: boolean }>> {
  const known = await findArtwork(received.sha256)
  if (known) {
    await discard(received)
    return ok({ artwork: known, known: true })
  }
  const looked = await measureFile(received.path, FIRST_LOOK)
  if (!looked.ok) {
    await discard(received)
    return looked
  }
  await keep(received)
  const { file } = looked.value
  return transaction(async tx => {
    const there = await findArtwork(received.sha256)
    if (there) return ok({ artwork: there, known: true })
    const row = await tx.artwork.create({
      data: {
        sha256: received.sha256,
        name: name.slice(0, 200) || 'artwork',
        mime: MIME[file.format] ?? 'application/octet-stream',
        bytes: received.bytes,
        widthPx: file.widthPx,
        heightPx: file.heightPx,
        alpha: file.alpha,
        declaredPpi: file.declaredPpi,
        byName: by.name,
      },
      include: withClearances,
    })
    await record({ by, what: `took in the artwork “${row.name}”`, entity: 'artwork', ref: row.id })
    return ok({ artwork: asArtwork(row), known: false })
  })
}

/** Records on what basis an artwork may be sold, or takes the last basis back. Rows are only added. */
export async function recordClearance(
  input: ClearanceInput,
  by: Actor,
  now = new Date(),
): Promise<Result<ArtworkRow>> {
  return transaction(async tx => {
    const artwork = await getArtwork(input.artwork)
    if (!artwork)
      return refuse('unknown', 'This artwork is not known here: open it again from the art desk.', 'artwork')
    await tx.clearance.create({
      data: { artworkId: artwork.id, basis: input.basis, evidence: input.evidence, byName: by.name, at: now },
    })
    await record({
      by,
      what: input.basis === 'withdrawn' ? 'took the clearance back' : `cleared the artwork: ${input.basis}`,
      entity: 'artwork',
      ref: artwork.id,
      before: { basis: artwork.clearance?.basis ?? null },
      after: { basis: input.basis, evidence: input.evidence },
      at: now,
    })
    return ok((await getArtwork(artwork.id)) as ArtworkRow)
  })
}

/** What the pixels say for a size, cloth and method. Measured once in a worker, then read from the books. */
export async function measuredFor(artworkId: string, wanted: MeasureFor): Promise<Result<Measurement>> {
  const key = checkKey(wanted)
  const kept = await db().artCheck.findUnique({ where: { artworkId_key: { artworkId, key } } })
  if (kept) return ok(kept.result as unknown as Measurement)
  const artwork = await db().artwork.findUnique({ where: { id: artworkId }, select: { sha256: true } })
  if (!artwork) return refuse('unknown', 'This artwork is not known here: open it again from the art desk.')
  const measured = await measureFile(keptPath(artwork.sha256), wanted)
  if (!measured.ok) return measured
  const result = JSON.parse(JSON.stringify(measured.value))
  await db().artCheck.upsert({
    where: { artworkId_key: { artworkId, key } },
    create: { artworkId, key, result },
    update: {},
  })
  return measured
}

/** Longest sides in pixels at which pictures are kept for the screen. */
export const PICTURE_SIZES = [160, 480, 1200] as const

/**
 * The file of an artwork's picture for the screen: WebP with transparency, at most `size` pixels on its longest side. Made once
 * and kept; written beside and renamed, so that nobody reads half a picture. Null when there is no such artwork.
 */
export async function pictureFile(
  artworkId: string,
  size: (typeof PICTURE_SIZES)[number],
): Promise<string | null> {
  const artwork = await db().artwork.findUnique({ where: { id: artworkId }, select: { sha256: true } })
  if (!artwork) return null
  const folder = path.join(filesFolder(), 'pictures')
  const file = path.join(folder, `${artwork.sha256}-${size}.webp`)
  const there = await access(file).then(
    () => true,
    () => false,
  )
  if (there) return file
  await mkdir(folder, { recursive: true })
  const scratch = `${file}.${process.pid}.${Math.floor(performance.now() * 1000)}`
  try {
    await sharp(keptPath(artwork.sha256), { limitInputPixels: MOST_PIXELS })
      .autoOrient()
      .resize(size, size, { fit: 'inside', withoutEnlargement: true })
      .webp({ quality: 82, alphaQuality: 90 })
      .toFile(scratch)
    await rename(scratch, file)
  } catch (error) {
    await rm(scratch, { force: true })
    throw error
  }
  return file
}

/** Where an artwork is used: one row for each print, newest order first. */
export type ArtworkUse = {
  orderNumber: number
  orderState: string
  customer: string
  promiseAt: Date | null
  method: string | null
  printId: string
  placement: string
  widthMm: number
  heightMm: number
  dropMm: number
  offsetMm: number
  styleName: string
  kind: string
  colour: string
  colourHex: string
  /** The size of which most are ordered: the print is drawn on it. */
  size: string
  pieces: number
}
/** An artwork with its uses. */
export type ArtworkWithUses = ArtworkRow & { uses: ArtworkUse[] }

const withUses = {
  ...withClearances,
  prints: {
    orderBy: { line: { order: { number: 'desc' } } },
    include: {
      line: {
        include: { style: true, sizes: { include: { item: true } }, order: { include: { customer: true } } },
      },
    },
  },
} as const

/** Artworks with their uses: those of orders in the given states, or all; newest first, at most `most`. */
export async function listArtworks(filter: {
  orderStates?: string[]
  most?: number
}): Promise<ArtworkWithUses[]> {
  const rows = await db().artwork.findMany({
    where: filter.orderStates
      ? { prints: { some: { line: { order: { state: { in: filter.orderStates } } } } } }
      : {},
    orderBy: { createdAt: 'desc' },
    take: filter.most ?? 200,
    include: withUses,
  })
  return rows.map(asUsed)
}

/** One artwork with its uses, or null. */
export async function getArtworkWithUses(id: string): Promise<ArtworkWithUses | null> {
  const row = await db().artwork.findUnique({ where: { id }, include: withUses })
  return row && asUsed(row)
}

type PrintRow = {
  id: string
  placement: string
  widthMm: number
  heightMm: number
  dropMm: number
  offsetMm: number
  line: {
    colour: string
    style: { name: string; kind: string }
    sizes: { size: string; quantity: number; item: { colourHex: string | null } }[]
    order: {
      number: number
      state: string
      promiseAt: Date | null
      method: string | null
      customer: { name: string }
    }
  }
}
function asUsed(row: Row & { prints: PrintRow[] }): ArtworkWithUses {
  const { prints, ...rest } = row
  return {
    ...asArtwork(rest),
    uses: prints.map(({ line, id, ...print }) => ({
      printId: id,
      placement: print.placement,
      widthMm: print.widthMm,
      heightMm: print.heightMm,
      dropMm: print.dropMm,
      offsetMm: print.offsetMm,
      orderNumber: line.order.number,
      orderState: line.order.state,
      customer: line.order.customer.name,
      promiseAt: line.order.promiseAt,
      method: line.order.method,
      styleName: line.style.name,
      kind: line.style.kind,
      colour: line.colour,
      colourHex: line.sizes[0]?.item.colourHex ?? '#ffffff',
      size: line.sizes.reduce((a, b) => (b.quantity > a.quantity ? b : a), { size: 'M', quantity: 0 }).size,
      pieces: line.sizes.reduce((sum, size) => sum + size.quantity, 0),
    })),
  }
}
