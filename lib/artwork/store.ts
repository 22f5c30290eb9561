import 'server-only'
import { createHash, randomUUID } from 'node:crypto'
import { access, mkdir, readdir, readFile, rename, rm, stat, utimes, writeFile } from 'node:fs/promises'
import path from 'node:path'
import sharp from 'sharp'
import { z } from 'zod'
import { filesFolder } from '@/lib/server/data-folder'
import { db, Prisma, transaction } from '@/lib/server/database'
import { discard, keep, keptPath, type Received } from '@/lib/server/files'
import { type Actor, record } from '@/lib/server/history'
import { containing } from '@/lib/server/sql'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { CLEARANCE_WORDS, type Clearance, type ClearanceInput, standingClearance } from './clearance'
import { parseHex } from './colour'
import { MOST_PIXELS } from './decode'
import { CANCELLED, type DeskLimits, measureFile, produceFile } from './desk'
import { type FilmSettings, filmSettingsSchema } from './film-settings'
import type { InkColourAsked } from './ink-shelf'
import type { Ink } from './inks'
import { recognise } from './likeness'
import type { ArtMethod, PpiRules } from './limits'
import type { Measurement } from './measure'
import type { Nesting, NestSheet } from './nest'
import { fileStem, type Mend, mendSchema, mendTask, type PrintToMake, printTasks } from './print-files'
import type { SizeRule } from './print-sizes'
import type { FilmReport, NestTask, PatchFigures, ProductionReport } from './production'
import { PRODUCTION_PPI } from './size'
import { sizeRulesSchema } from './size-rules'
import { isStale } from './tidy'

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
  /** By which the same art in another file is known; see likeness.ts. Empty: not taken. */
  likeness: string
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
 * content coming back gives the artwork that is there already, with its clearance. A cancel ends the worker and leaves no file.
 */
export async function addArtwork(
  received: Received,
  name: string,
  by: Actor,
  now = new Date(),
  signal?: AbortSignal,
  limits: DeskLimits = {},
): Promise<Result<{ artwork: ArtworkRow; known: boolean }>> {
  const known = await findArtwork(received.sha256)
  if (known) {
    await discard(received)
    return ok({ artwork: known, known: true })
  }
  const looked = await measureFile(received.path, FIRST_LOOK, signal, limits)
  const stopped = signal?.aborted ? CANCELLED : null
  if (!looked.ok || stopped) {
    await discard(received)
    return stopped ?? (looked as Refusal)
  }
  await keep(received)
  const { file, detail } = looked.value
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
        likeness: detail.likeness,
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
  /** Version of the order, so that nobody changes what somebody else has changed meanwhile. */
  orderVersion: number
  /** Other widths by garment size. */
  rules: SizeRule[]
  /** How its films are made, where somebody chose it. */
  films: FilmSettings | null
  /** The size of which most are ordered: the print is drawn on it. */
  size: string
  /** Every size ordered. */
  sizes: string[]
  /** How many of each. */
  counts: { size: string; quantity: number }[]
  pieces: number
}
/** An artwork with its uses and the mended versions that were kept, newest first. */
export type ArtworkWithUses = ArtworkRow & { uses: ArtworkUse[]; versions: ArtVersion[] }

/** What a use tells of its order; never the whole row, which holds all that was agreed. */
const ofUse = {
  number: true,
  version: true,
  state: true,
  promiseAt: true,
  method: true,
  customer: { select: { name: true } },
} as const

const withUses = {
  ...withClearances,
  versions: { orderBy: { at: 'desc' } },
  prints: {
    orderBy: { line: { order: { number: 'desc' } } },
    include: {
      line: {
        include: { style: true, sizes: { include: { item: true } }, order: { select: ofUse } },
      },
    },
  },
} as const

/** Artworks with their uses: those of orders in the given states, or all; newest first, at most `most`. */
export async function listArtworks(filter: {
  orderStates?: string[]
  most?: number
}): Promise<ArtworkWithUses[]> {
  const { orderStates, most = 200 } = filter
  // From the orders in these states to their artworks: the other way leads through every print of the shop's life.
  const orders = orderStates
    ? await db().order.findMany({ where: { state: { in: orderStates } }, select: { id: true } })
    : null
  const lines = orders ? { line: { orderId: { in: orders.map(o => o.id) } } } : undefined
  const prints = lines
    ? await db().print.findMany({
        where: { ...lines, artworkId: { not: null } },
        select: { artworkId: true },
      })
    : null
  const rows = await db().artwork.findMany({
    where: prints ? { id: { in: [...new Set(prints.flatMap(p => p.artworkId ?? []))] } } : {},
    orderBy: { createdAt: 'desc' },
    take: most,
    include: withUses,
  })
  return rows.map(asUsed)
}

/** Artworks whose name holds the text, the newest first, with the order that used each last. */
export async function namedArtworks(
  find: string,
  most = 20,
): Promise<{ id: string; name: string; lastOrder: number | null }[]> {
  const rows = await db().artwork.findMany({
    where: { name: containing(find) },
    orderBy: { createdAt: 'desc' },
    take: most,
    select: {
      id: true,
      name: true,
      prints: {
        orderBy: { line: { order: { number: 'desc' } } },
        take: 1,
        select: { line: { select: { order: { select: { number: true } } } } },
      },
    },
  })
  return rows.map(r => ({ id: r.id, name: r.name, lastOrder: r.prints[0]?.line.order.number ?? null }))
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
  bySize: unknown
  layers: unknown
  line: {
    colour: string
    style: { name: string; kind: string }
    sizes: { size: string; quantity: number; item: { colourHex: string | null } }[]
    order: {
      number: number
      version: number
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
      rules: sizeRulesSchema.parse(print.bySize ?? []),
      films: print.layers === null ? null : filmSettingsSchema.parse(print.layers),
      orderNumber: line.order.number,
      orderVersion: line.order.version,
      orderState: line.order.state,
      customer: line.order.customer.name,
      promiseAt: line.order.promiseAt,
      method: line.order.method,
      styleName: line.style.name,
      kind: line.style.kind,
      colour: line.colour,
      colourHex: line.sizes[0]?.item.colourHex ?? '#ffffff',
      size: line.sizes.reduce((a, b) => (b.quantity > a.quantity ? b : a), { size: 'M', quantity: 0 }).size,
      sizes: line.sizes.filter(s => s.quantity > 0).map(s => s.size),
      counts: line.sizes.map(({ size, quantity }) => ({ size, quantity })),
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

/**
 * Keeps how a print's films are made; null goes back to the usual. Told apart from what somebody else chose meanwhile by `was`,
 * the settings that the form was filled from.
 */
export async function keepFilmSettings(
  printId: string,
  wanted: FilmSettings | null,
  was: FilmSettings | null,
  by: Actor,
  now = new Date(),
): Promise<Result<null>> {
  return transaction(async tx => {
    const print = await tx.print.findUnique({
      where: { id: printId },
      include: { line: { include: { order: { select: { number: true } } } } },
    })
    if (!print?.artworkId)
      return refuse('unknown', 'This print is on no order any more: open the artwork again.')
    const saved = print.layers === null ? null : filmSettingsSchema.parse(print.layers)
    if (JSON.stringify(saved) !== JSON.stringify(was === null ? null : filmSettingsSchema.parse(was)))
      return refuse(
        'conflict',
        `Somebody else chose other films meanwhile (${saved ? `mesh ${saved.mesh}, choke ${saved.chokeMm} mm` : 'the usual ones'}): open the page again and choose anew.`,
      )
    await tx.print.update({ where: { id: printId }, data: { layers: wanted ?? Prisma.DbNull } })
    await record({
      by,
      what: wanted
        ? `chose the films of order ${print.line.order.number}: mesh ${wanted.mesh}, choke ${wanted.chokeMm} mm`
        : `went back to the usual films on order ${print.line.order.number}`,
      entity: 'artwork',
      ref: print.artworkId,
      before: { films: saved },
      after: { films: wanted },
      at: now,
    })
    return ok(null)
  })
}

/** A print of an artwork that went before: how it was made and how it turned out. */
export type EarlierPrint = {
  /** Same file, or the same art in another file. */
  how: 'same-file' | 'same-art'
  artworkId: string
  artworkName: string
  orderNumber: number
  orderState: string
  customer: string
  at: Date
  method: string | null
  placement: string
  widthMm: number
  heightMm: number
  cloth: string
  films: FilmSettings | null
  /** The version that stood when it was agreed; undefined: nobody had kept one. */
  mend: Mend | null | undefined
  /** Of each step as it was agreed: read by stepRecipeSchema of lib/planning. */
  recipes: unknown[]
  /** Pieces that the last step on the blank gave, and those spoiled at any of its steps. */
  good: number
  spoiled: number
  reasons: { reason: string; quantity: number }[]
}

/** Most artworks whose likeness is compared: newest first. */
const MOST_COMPARED = 20_000

/** Artworks that are the same art: the same file, or one that looks the same. Those that look the same come second. */
export async function sameArt(artwork: Pick<ArtworkRow, 'id' | 'sha256' | 'likeness'>): Promise<{
  others: { id: string; name: string }[]
}> {
  if (!artwork.likeness) return { others: [] }
  const rows = await db().artwork.findMany({
    where: { likeness: { not: '' }, id: { not: artwork.id } },
    select: { id: true, name: true, sha256: true, likeness: true },
    orderBy: { createdAt: 'desc' },
    take: MOST_COMPARED,
  })
  return { others: rows.filter(r => recognise(artwork, r) !== null).map(({ id, name }) => ({ id, name })) }
}

/** Where the same art was printed before, newest first: with its settings, and how it turned out. */
export async function earlierPrints(
  artwork: Pick<ArtworkRow, 'id' | 'sha256' | 'likeness'>,
  most = 30,
): Promise<EarlierPrint[]> {
  const { others } = await sameArt(artwork)
  const rows = await db().print.findMany({
    where: {
      artworkId: { in: [artwork.id, ...others.map(o => o.id)] },
      line: { order: { state: { in: ['making', 'ready', 'handedOver'] } } },
    },
    orderBy: { line: { order: { number: 'desc' } } },
    take: most,
    include: {
      artwork: { select: { id: true, name: true, versions: { orderBy: { at: 'desc' } } } },
      line: {
        include: {
          sizes: { include: { item: { select: { colourHex: true } } } },
          order: {
            include: {
              customer: { select: { name: true } },
              jobSteps: { include: { misprints: true }, orderBy: { position: 'asc' } },
            },
          },
        },
      },
    },
  })
  return rows.map(({ line, artwork: art, ...print }) => {
    const { order } = line
    const cloth = line.sizes.find(s => s.item.colourHex)?.item.colourHex ?? '#ffffff'
    const at = order.agreedAt ?? order.enquiredAt
    const version = art?.versions.find(
      v => v.cloth.toLowerCase() === cloth.toLowerCase() && v.at.getTime() <= at.getTime(),
    )
    const steps = order.jobSteps.filter(s => s.printId === print.id)
    const own = steps.filter(s => s.remakeOf === null)
    const reasons = new Map<string, number>()
    for (const m of steps.flatMap(s => s.misprints))
      reasons.set(m.reason, (reasons.get(m.reason) ?? 0) + m.quantity)
    return {
      how: art?.id === artwork.id ? 'same-file' : 'same-art',
      artworkId: art?.id ?? artwork.id,
      artworkName: art?.name ?? '',
      orderNumber: order.number,
      orderState: order.state,
      customer: order.customer.name,
      at,
      method: order.method,
      placement: print.placement,
      widthMm: print.widthMm,
      heightMm: print.heightMm,
      cloth,
      films: print.layers === null ? null : filmSettingsSchema.parse(print.layers),
      mend: version && (version.settings === null ? null : mendSchema.parse(version.settings)),
      recipes: own.map(s => s.recipe),
      good: goodOf(steps),
      spoiled: [...reasons.values()].reduce((sum, n) => sum + n, 0),
      reasons: [...reasons]
        .map(([reason, quantity]) => ({ reason, quantity }))
        .sort((a, b) => b.quantity - a.quantity),
    }
  })
}

/**
 * The good pieces of a print: what the last step of each of its chains gave. A chain works it by garment size where it differs by
 * that; each size is a run of its own.
 * @param steps those that work the print, in their order
 */
export function goodOf(steps: readonly { job: string; good: number; recipe: unknown }[]): number {
  const last = new Map<string, number>()
  for (const { job, good, recipe } of steps) {
    const read = printedSize.safeParse(recipe)
    last.set(`${job} ${read.success ? read.data.print.widthMm : ''}`, good)
  }
  return [...last.values()].reduce((sum, good) => sum + good, 0)
}
const printedSize = z.object({ print: z.object({ widthMm: z.number() }) })

/** A spot ink of the shop, as it is kept. */
export type InkColour = { id: string; name: string; hex: string; byName: string; at: Date }

/** The shop's spot inks, by name. */
export const inkColours = (): Promise<InkColour[]> =>
  db().inkColour.findMany({
    where: { retired: false },
    select: { id: true, name: true, hex: true, byName: true, at: true },
    orderBy: { name: 'asc' },
  })

/** The same as the separation takes them: a match gives a film its name. */
export async function shelfInks(): Promise<Ink[]> {
  return (await inkColours()).flatMap(({ name, hex }) => {
    const rgb = parseHex(hex)
    return rgb ? [{ name, rgb }] : []
  })
}

/** Puts an ink on the shop's list; under a name that is there already it gets the new colour. Films made before keep theirs. */
export async function keepInkColour(
  { name, hex }: InkColourAsked,
  by: Actor,
  now = new Date(),
): Promise<void> {
  await transaction(async tx => {
    const before = await tx.inkColour.findUnique({ where: { name } })
    const row = { hex, retired: false, byName: by.name, at: now }
    const { id } = await tx.inkColour.upsert({ where: { name }, create: { name, ...row }, update: row })
    await record({
      by,
      what:
        before && !before.retired
          ? `gave the ink “${name}” the colour ${hex}`
          : `put the ink “${name}” on the list, ${hex}`,
      entity: 'ink',
      ref: id,
      ...(before ? { before: { hex: before.hex } } : {}),
      after: { hex },
      at: now,
    })
  })
}

/** Takes an ink off the list; it can be put back under its name. */
export async function retireInkColour(id: string, by: Actor, now = new Date()): Promise<Result<string>> {
  return transaction(async tx => {
    const ink = await tx.inkColour.findUnique({ where: { id } })
    if (!ink || ink.retired)
      return refuse('unknown', 'This ink is no longer on the list: open the page again.')
    await tx.inkColour.update({ where: { id }, data: { retired: true } })
    await record({
      by,
      what: `took the ink “${ink.name}” off the list`,
      entity: 'ink',
      ref: id,
      before: { onTheList: true },
      after: { onTheList: false },
      at: now,
    })
    return ok(ink.name)
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
export type Production = {
  files: ProductionFile[]
  films: FilmReport[]
  nesting?: Nesting
  /** Numbers of the orders that it was made for: once all of them have ended nobody needs it any more. */
  orders?: number[]
}

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
  tidySometimes()
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
    const production: Production = {
      files,
      films: reports.flatMap(r => r.films ?? []),
      orders: [print.order],
    }
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
  if (name === PLAN || !names.includes(name)) return null
  // When it was last asked for decides how long it is kept.
  const now = new Date()
  await utimes(path.join(productionFolder(key), PLAN), now, now).catch(() => {})
  return path.join(productionFolder(key), name)
}

/** A small picture of a production file for the screen (WebP), or null when there is none of that key and name. */
export async function productionPicture(key: string, name: string): Promise<Buffer | null> {
  const file = name.endsWith('.png') ? await productionFile(key, name) : null
  if (!file) return null
  return sharp(file, { limitInputPixels: MOST_PIXELS })
    .resize(320, 320, { fit: 'inside', withoutEnlargement: true })
    .webp({ quality: 80 })
    .toBuffer()
}

/** What a tidying took away. */
export type Tidied = { production: number; scratch: number; orphans: number }

/**
 * Takes away files that nobody needs any more: production files whose orders have ended, or that nobody asked for in a long time
 * (they can be made again at any time), what an ended upload or a stopped server left half done, and kept files that belong to no
 * artwork. Artworks, kept versions and files in use stay.
 */
export async function tidyFiles(now = new Date()): Promise<Tidied> {
  const root = filesFolder()
  const age = async (file: string): Promise<number> => now.getTime() - (await stat(file)).mtimeMs
  const listed = (folder: string): Promise<string[]> => readdir(folder).catch(() => [])
  const gone: Tidied = { production: 0, scratch: 0, orphans: 0 }
  const open = new Set(
    (await db().order.findMany({ where: { state: { in: [...UNENDED] } }, select: { number: true } })).map(
      o => o.number,
    ),
  )
  for (const key of await listed(path.join(root, 'production'))) {
    const made = await findProduction(key).catch(() => null)
    const kind = made?.orders?.some(n => open.has(n)) ? 'production' : 'ended-production'
    const unused = await age(path.join(productionFolder(key), PLAN)).catch(() => Number.POSITIVE_INFINITY)
    if (!isStale(kind, unused)) continue
    await rm(productionFolder(key), { recursive: true, force: true })
    gone.production++
  }
  for (const folder of ['incoming', 'making'])
    for (const name of await listed(path.join(root, folder))) {
      const file = path.join(root, folder, name)
      if (!isStale('scratch', await age(file).catch(() => 0))) continue
      await rm(file, { recursive: true, force: true })
      gone.scratch++
    }
  for (const two of await listed(path.join(root, 'kept'))) {
    const names = await listed(path.join(root, 'kept', two))
    const known = new Set(
      [
        ...(await db().artwork.findMany({ where: { sha256: { in: names } }, select: { sha256: true } })),
        ...(await db().artVersion.findMany({ where: { sha256: { in: names } }, select: { sha256: true } })),
      ].map(r => r.sha256),
    )
    for (const name of names) {
      const file = path.join(root, 'kept', two, name)
      if (known.has(name) || !isStale('scratch', await age(file).catch(() => 0))) continue
      await rm(file, { force: true })
      gone.orphans++
    }
  }
  return gone
}

/** States of orders whose files are still needed. Which change into which is decided in lib/orders, above this folder. */
const UNENDED = ['enquiry', 'offered', 'agreed', 'making', 'ready']
const TIDY_EVERY_MS = 3_600_000
let tidiedAt = 0
/** Tidies now and then, beside other work: a failure waits for the next time. */
function tidySometimes(now = Date.now()): void {
  if (now - tidiedAt < TIDY_EVERY_MS) return
  tidiedAt = now
  void tidyFiles(new Date(now)).catch(() => {})
}

/** A mend to look at or to keep: for which cloth and printed size, mm. */
export type MendFor = { cloth: string; widthMm: number; heightMm: number; mend: Mend }

/** What a mend does, and how many specks went with it. */
export type MendFigures = PatchFigures & { specksCleared: number; openingsClosed: number }

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
        widestSolidBeforeMm: (patches?.widestSolidBeforeMm ?? 0) * Math.sqrt(grow),
        widestSolidAfterMm: (patches?.widestSolidAfterMm ?? 0) * Math.sqrt(grow),
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
        ? `kept a version that lets ${row.cloth} through${mend.openings ? ' and breaks up its solids' : ''}`
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
      JSON.stringify({ files, films: [], orders, ...(nesting ? { nesting } : {}) } satisfies Production),
    )
    await rename(folder, productionFolder(key)).catch(async error => {
      if (!(await findProduction(key))) throw error
    })
    return ok(key)
  })
}
