import 'server-only'
import { createHash, randomUUID } from 'node:crypto'
import { access, mkdir, readdir, readFile, rename, rm, stat, writeFile } from 'node:fs/promises'
import path from 'node:path'
import sharp from 'sharp'
import { filesFolder } from '@/lib/server/data-folder'
import { db, transaction } from '@/lib/server/database'
import { discard, keep, keptPath, type Received } from '@/lib/server/files'
import { type Actor, record } from '@/lib/server/history'
import { ok, type Result, refuse } from '@/lib/units/result'
import { CLEARANCE_WORDS, type Clearance, type ClearanceInput, standingClearance } from './clearance'
import { parseHex } from './colour'
import { MOST_PIXELS } from './decode'
import { type DeskLimits, measureFile, produceFile } from './desk'
import type { Ink } from './inks'
import type { ArtMethod, PpiRules } from './limits'
import type { Measurement } from './measure'
import type { Nesting, NestSheet } from './nest'
import { fileStem, type Mend, mendSchema, mendTask, type PrintToMake, printTasks } from './print-files'
import type { FilmReport, NestTask, ProductionReport } from './production'
import { PRODUCTION_PPI } from './size'

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
  now = new Date(),
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
        createdAt: now,
      },
      include: withClearances,
    })
    await record({ by, what: `took in the artwork “${row.name}”`, entity: 'artwork', ref: row.id, at: now })
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
      what:
        input.basis === 'withdrawn'
          ? 'took the clearance back'
          : `cleared the artwork: ${CLEARANCE_WORDS[input.basis].name.toLowerCase()}`,
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

/** Measurements that are kept already, in the order asked; null where nobody measured yet. Nothing is measured. */
export async function keptMeasurements(
  wanted: readonly { artworkId: string; measure: MeasureFor }[],
): Promise<(Measurement | null)[]> {
  const keys = wanted.map(({ artworkId, measure }) => ({ artworkId, key: checkKey(measure) }))
  const rows = await db().artCheck.findMany({ where: { OR: keys } })
  const found = new Map(rows.map(r => [`${r.artworkId} ${r.key}`, r.result as unknown as Measurement]))
  return keys.map(k => found.get(`${k.artworkId} ${k.key}`) ?? null)
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
  /** Every size ordered. */
  sizes: string[]
  pieces: number
}
/** An artwork with its uses and the mended versions that were kept, newest first. */
export type ArtworkWithUses = ArtworkRow & { uses: ArtworkUse[]; versions: ArtVersion[] }

const withUses = {
  ...withClearances,
  versions: { orderBy: { at: 'desc' } },
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
type VersionRow = Omit<ArtVersion, 'mend'> & { settings: unknown }
function asUsed(row: Row & { prints: PrintRow[]; versions: VersionRow[] }): ArtworkWithUses {
  const { prints, versions, ...rest } = row
  return {
    ...asArtwork(rest),
    versions: versions.map(({ settings, ...v }) => ({
      ...v,
      mend: settings === null ? null : mendSchema.parse(settings),
    })),
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
      sizes: line.sizes.map(s => s.size),
      pieces: line.sizes.reduce((sum, size) => sum + size.quantity, 0),
    })),
  }
}

/** A mended version that somebody kept. */
export type ArtVersion = {
  id: string
  /** The cloth it was made for, "#rrggbb". */
  cloth: string
  /** What made it; null goes back to the original. */
  mend: Mend | null
  /** Of the file, under the kept files. */
  sha256: string
  byName: string
  at: Date
}

/** The artwork that a print of an order shows, or null when there is no such print or no artwork on it yet. */
export async function artworkOfPrint(printId: string): Promise<string | null> {
  return (await db().print.findUnique({ where: { id: printId } }))?.artworkId ?? null
}

/** Inks on the shelf that have a colour. */
export async function shelfInks(): Promise<Ink[]> {
  const rows = await db().stockItem.findMany({
    where: { kind: 'ink', retired: false, colourHex: { not: null } },
    select: { name: true, colourHex: true },
    orderBy: { name: 'asc' },
  })
  return rows.flatMap(({ name, colourHex }) => {
    const rgb = parseHex(colourHex ?? '')
    return rgb ? [{ name, rgb }] : []
  })
}

/** A file that a machine takes. */
export type ProductionFile = {
  name: string
  bytes: number
  widthPx: number
  heightPx: number
  widthMm: number
  heightMm: number
}
/** The files of one print, with the figures that belong to them. */
export type Production = { files: ProductionFile[]; films: FilmReport[]; nesting?: Nesting }

/** Counted up whenever the same settings give other files than before. */
const MAKER = 1
const PLAN = 'files.json'

const productionFolder = (key: string): string => path.join(filesFolder(), 'production', key)
const sha256Of = (bytes: string | Uint8Array): string => createHash('sha256').update(bytes).digest('hex')

/** The name under which a print's files are kept: the content of the art and all the settings that make them. */
export const productionKey = (sha256: string, print: PrintToMake): string =>
  sha256Of(JSON.stringify([MAKER, sha256, print]))

/** The files under a key, or null while they are not made. */
export async function findProduction(key: string): Promise<Production | null> {
  try {
    return JSON.parse(await readFile(path.join(productionFolder(key), PLAN), 'utf8')) as Production
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null
    throw error
  }
}

/** Runs a piece of work with a folder of its own, which is gone afterwards. */
async function withScratch<T>(work: (folder: string) => Promise<T>): Promise<T> {
  const folder = path.join(filesFolder(), 'making', randomUUID())
  await mkdir(folder, { recursive: true })
  try {
    return await work(folder)
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}

/**
 * Makes the files of a print in the worker, or finds them made. They stand under their key all together or not at all; a
 * cancel or a refusal leaves nothing.
 */
export async function makeProduction(
  sha256: string,
  print: PrintToMake,
  signal?: AbortSignal,
  limits: DeskLimits = {},
): Promise<Result<Production>> {
  const key = productionKey(sha256, print)
  const made = await findProduction(key)
  if (made) return ok(made)
  return withScratch(async scratch => {
    let from = keptPath(sha256)
    if (print.mend) {
      const to = path.join(scratch, 'mended.png')
      const { widthMm, heightMm } = print
      const mended = await produceFile(
        mendTask({ from, to, widthMm, heightMm }, print.cloth, print.mend),
        signal,
        limits,
      )
      if (!mended.ok) return mended
      from = to
    }
    const folder = path.join(scratch, 'files')
    await mkdir(folder)
    const reports: ProductionReport[] = []
    for (const task of printTasks(print, from, folder)) {
      const done = await produceFile(task, signal, limits)
      if (!done.ok) return done
      reports.push(done.value)
    }
    const stem = fileStem(print)
    const files: ProductionFile[] = []
    for (const { path: file, ...size } of reports.flatMap(r => r.files)) {
      const plain = path.basename(file)
      const name = plain.startsWith(stem) ? plain : `${stem}-${plain}`
      await rename(file, path.join(folder, name))
      files.push({ name, bytes: (await stat(path.join(folder, name))).size, ...size })
    }
    const production: Production = { files, films: reports.flatMap(r => r.films ?? []) }
    await writeFile(path.join(folder, PLAN), JSON.stringify(production))
    await mkdir(path.dirname(productionFolder(key)), { recursive: true })
    try {
      await rename(folder, productionFolder(key))
    } catch (error) {
      // Somebody else made the same files meanwhile: theirs stand, and they are these.
      if (!(await findProduction(key))) throw error
    }
    return ok(production)
  })
}

/** Where a production file stands, or null when there is none of that key and name. */
export async function productionFile(key: string, name: string): Promise<string | null> {
  if (!/^[0-9a-f]{64}$/.test(key)) return null
  const names = await readdir(productionFolder(key)).catch(() => [] as string[])
  return name !== PLAN && names.includes(name) ? path.join(productionFolder(key), name) : null
}

/** A mend to look at or to keep: for which cloth and printed size, mm. */
export type MendFor = { cloth: string; widthMm: number; heightMm: number; mend: Mend }

/** What a mend does: areas in cm² at the printed size. */
export type MendFigures = {
  areaBeforeCm2: number
  areaAfterCm2: number
  largestSolidBeforeCm2: number
  largestSolidAfterCm2: number
  specksCleared: number
  openingsClosed: number
}

/** Longest side of a preview, pixels: enough to see, small enough to follow a slider. */
const PREVIEW_PX = 720

/** A mend at reduced size, as PNG, with its figures; made in the worker and not kept. */
export async function previewMend(
  artworkId: string,
  { cloth, widthMm, heightMm, mend }: MendFor,
): Promise<Result<{ png: Buffer; figures: MendFigures }>> {
  const artwork = await db().artwork.findUnique({ where: { id: artworkId }, select: { sha256: true } })
  if (!artwork) return refuse('unknown', 'This artwork is not known here: open it again from the art desk.')
  const scale = PREVIEW_PX / Math.max(widthMm, heightMm)
  const [across, down] = [widthMm, heightMm].map(mm => Math.max(1, Math.round(mm * scale))) as [
    number,
    number,
  ]
  const small = { widthMm: (across * 25.4) / PRODUCTION_PPI, heightMm: (down * 25.4) / PRODUCTION_PPI }
  const reduced = path.join(filesFolder(), 'pictures', `${artwork.sha256}-${across}x${down}.png`)
  const there = await access(reduced).then(
    () => true,
    () => false,
  )
  if (!there) {
    await mkdir(path.dirname(reduced), { recursive: true })
    const made = await produceFile({ kind: 'size', from: keptPath(artwork.sha256), to: reduced, ...small })
    if (!made.ok) return made
  }
  return withScratch(async scratch => {
    const to = path.join(scratch, 'mended.png')
    const done = await produceFile(mendTask({ from: reduced, to, ...small }, cloth, mend, scale))
    if (!done.ok) return done
    const grow = (widthMm * heightMm) / (small.widthMm * small.heightMm)
    const { patches, specks } = done.value
    return ok({
      png: await readFile(to),
      figures: {
        areaBeforeCm2: (patches?.areaBeforeCm2 ?? 0) * grow,
        areaAfterCm2: (patches?.areaAfterCm2 ?? 0) * grow,
        largestSolidBeforeCm2: (patches?.largestSolidBeforeCm2 ?? 0) * grow,
        largestSolidAfterCm2: (patches?.largestSolidAfterCm2 ?? 0) * grow,
        specksCleared: specks?.cleared ?? 0,
        openingsClosed: specks?.openingsClosed ?? 0,
      },
    })
  })
}

/**
 * Keeps a mended version: made at the printed size, kept under its content beside the original, with what made it. The
 * newest for a cloth is what prints on that cloth are made with.
 */
export async function keepVersion(
  artworkId: string,
  { cloth, widthMm, heightMm, mend }: MendFor,
  by: Actor,
  now = new Date(),
): Promise<Result<string>> {
  const artwork = await db().artwork.findUnique({ where: { id: artworkId }, select: { sha256: true } })
  if (!artwork) return refuse('unknown', 'This artwork is not known here: open it again from the art desk.')
  return withScratch(async scratch => {
    const to = path.join(scratch, 'mended.png')
    const from = keptPath(artwork.sha256)
    const done = await produceFile(mendTask({ from, to, widthMm, heightMm }, cloth, mend))
    if (!done.ok) return done
    const bytes = await readFile(to)
    const sha256 = sha256Of(bytes)
    await keep({ path: to, sha256, bytes: bytes.length })
    return writeVersion({ artworkId, cloth, mend, sha256 }, by, now)
  })
}

/** Goes back to the original on a cloth: mended versions stay in the list, and are not printed from. */
export async function keepOriginal(
  artworkId: string,
  cloth: string,
  by: Actor,
  now = new Date(),
): Promise<Result<string>> {
  const artwork = await db().artwork.findUnique({ where: { id: artworkId }, select: { sha256: true } })
  if (!artwork) return refuse('unknown', 'This artwork is not known here: open it again from the art desk.')
  return writeVersion({ artworkId, cloth, mend: null, sha256: artwork.sha256 }, by, now)
}

const writeVersion = (
  { mend, ...row }: { artworkId: string; cloth: string; mend: Mend | null; sha256: string },
  by: Actor,
  at: Date,
): Promise<Result<string>> =>
  transaction(async tx => {
    const { id } = await tx.artVersion.create({
      data: { ...row, ...(mend ? { settings: mend } : {}), byName: by.name, at },
    })
    await record({
      by,
      what: mend
        ? `kept a version that lets ${row.cloth} through`
        : `went back to the original on ${row.cloth}`,
      entity: 'artwork',
      ref: row.artworkId,
      after: { version: id, sha256: row.sha256, ...(mend ? { mend } : {}) },
      at,
    })
    return ok(id)
  })

/** A print to lie on a sheet as many times as it is printed. */
export type SheetPiece = { id: string; sha256: string; print: PrintToMake; count: number }

/**
 * Lays prints of many orders on sheets or a roll and writes them as one PDF, made from each print's own files: mended, mirrored
 * and sized as it is printed. Gives the key under which it is kept; the same prints on the same sheet are laid once.
 */
export async function makeSheets(
  pieces: readonly SheetPiece[],
  sheet: NestSheet,
  turn: boolean,
): Promise<Result<string>> {
  const key = sha256Of(
    JSON.stringify([MAKER, sheet, turn, pieces.map(p => [p.id, productionKey(p.sha256, p.print), p.count])]),
  )
  if (await findProduction(key)) return ok(key)
  const laid: NestTask['pieces'] = []
  for (const { id, sha256, print, count } of pieces) {
    const made = await makeProduction(sha256, print)
    if (!made.ok) return refuse(made.code, `Order ${print.order}: ${made.message}`)
    const file = path.join(productionFolder(productionKey(sha256, print)), made.value.files[0]?.name ?? '')
    laid.push({
      id,
      order: `${print.order}`,
      width: print.widthMm,
      height: print.heightMm,
      count,
      turn,
      file,
    })
  }
  return withScratch(async scratch => {
    const orders = [...new Set(pieces.map(p => p.print.order))].sort((a, b) => a - b)
    const name = `sheets-${orders.slice(0, 6).join('-')}.pdf`
    const folder = path.join(scratch, 'files')
    const done = await produceFile({ kind: 'nest', pieces: laid, sheet, to: path.join(folder, name) })
    if (!done.ok) return done
    const files: ProductionFile[] = []
    for (const { path: file, ...size } of done.value.files)
      files.push({ name: path.basename(file), bytes: (await stat(file)).size, ...size })
    const { nesting } = done.value
    await writeFile(
      path.join(folder, PLAN),
      JSON.stringify({ files, films: [], ...(nesting ? { nesting } : {}) } satisfies Production),
    )
    await rename(folder, productionFolder(key)).catch(async error => {
      if (!(await findProduction(key))) throw error
    })
    return ok(key)
  })
}
