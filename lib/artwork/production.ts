import { basename, dirname, join } from 'node:path'
import { MM_PER_INCH } from '@/lib/units/measure'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { labOf, parseHex, type Rgb, toHex } from './colour'
import { MOST_PIXELS, readArtwork } from './decode'
import { greyPngOf, pngOf, resized } from './encode'
import { DEFAULT_FADE, type FadeSettings, GarmentFade } from './fade'
import { makeFolder, writeWhole } from './files'
import { type Film, filmOf } from './film'
import { rulingForMesh, type Screen, screenAngles } from './halftone'
import { type Ink, inksFor } from './inks'
import { figuresOf, type InkFigures, type KnockoutSettings, knockOut } from './knockout'
import { mirrored } from './mirror'
import { type Nesting, type NestPiece, type NestSheet, nest } from './nest'
import { brokenUp, MOST_OPEN, type OpeningSettings } from './openings'
import { filmsPdf, sheetsPdf } from './pdf'
import type { Raster } from './raster'
import { scan } from './scan'
import { type Separation, type SeparationMode, separated } from './separate'
import { LABEL_PX, sheetPicture, turnedLeft } from './sheet-picture'
import { PRODUCTION_PPI, pixelsAt } from './size'
import { underbaseOf, underbaseTone } from './underbase'

/** Printed size of the whole canvas, mm; left out: one art pixel is one production pixel. */
export type PrintSize = { widthMm?: number; heightMm?: number }

/** One production file to make. */
export type ProductionTask =
  | ({ kind: 'size'; from: string; to: string } & PrintSize)
  | ({ kind: 'mirror'; from: string; to: string } & PrintSize)
  | ({
      kind: 'knockout'
      from: string
      to: string
      garmentHex: string
      settings?: Partial<KnockoutSettings>
      /** Solids that are left are broken up as well. */
      openings?: OpeningSettings
    } & PrintSize)
  | ({ kind: 'openings'; from: string; to: string; settings: OpeningSettings } & PrintSize)
  | ({
      kind: 'underbase'
      from: string
      to: string
      garmentHex: string
      chokeMm?: number
      fade?: FadeSettings
    } & PrintSize)
  | SeparationTask
  | NestTask

export type SeparationTask = {
  kind: 'separate'
  from: string
  /** Folder for the films; made when missing. */
  to: string
  garmentHex: string
  /** Inks at most, 1–12. */
  inks: number
  /** The shop's inks: a match gives the film its name. */
  shelf?: Ink[]
  mode?: SeparationMode
  /** Threads per inch: decides the ruling of halftones, unless one is given (lines per inch). */
  mesh?: number
  lpi?: number
  /** Of the first ink's halftone, degrees; see screenAngles(). */
  angle?: number
  chokeMm?: number
  /** Put before the ink on each film's label: order and print. */
  label?: string
} & PrintSize

export type NestTask = {
  kind: 'nest'
  /** Each piece names the file it is printed from. Heights may be left out: in proportion. */
  pieces: (Omit<NestPiece, 'height'> & { height?: number; file: string })[]
  sheet: NestSheet
  /** Ending in .pdf: one file, a page a sheet. Ending in .png: a file a sheet. */
  to: string
  tries?: number
  seed?: number
}

/** A file that was written. */
export type WrittenFile = {
  path: string
  widthPx: number
  heightPx: number
  widthMm: number
  heightMm: number
}
/** Films, most ink first; the white layer, where there is one, is first of all. */
export type FilmReport = {
  ink: string
  hex: string
  areaCm2: number
  lpi: number | null
  angle: number | null
}
/** What a knock-out or an opening of solids changes: areas in cm² at the printed size. */
export type PatchFigures = {
  areaBeforeCm2: number
  areaAfterCm2: number
  largestSolidBeforeCm2: number
  largestSolidAfterCm2: number
  /** Across the widest stretch of unbroken ink: the largest round pen that fits into it. */
  widestSolidBeforeMm: number
  widestSolidAfterMm: number
}

/** What was made: the files, and the figures that belong to them. */
export type ProductionReport = {
  files: WrittenFile[]
  patches?: PatchFigures
  /** What a knock-out did with specks. */
  specks?: { cleared: number; openingsClosed: number }
  films?: FilmReport[]
  residual?: number
  nesting?: Nesting
}

/** Mesh of a multicolour job, threads per inch; common practice. */
export const DEFAULT_MESH = 196
export const DEFAULT_CHOKE_MM = 0.3
/** Specks smaller than this are cleared, mm². */
const DEFAULT_SPECK_MM2 = 0.25
/** Lightness of cloth below which films get a white layer. */
const DARK_CLOTH = 70

/**
 * Makes the files of a task, in this thread: reads the artwork, has the plain files beside this one decide what a machine
 * takes, and writes it. Nothing is left behind when it is refused.
 */
export async function produce(task: ProductionTask): Promise<Result<ProductionReport>> {
  if (task.kind === 'nest') return nestFiles(task)
  const garment = 'garmentHex' in task ? parseHex(task.garmentHex) : null
  if ('garmentHex' in task && !garment)
    return refuse('garment', `“${task.garmentHex}” is not a colour: write it like #101010.`)
  const read = await atSize(task)
  if (!read.ok) return read
  const art = read.value
  const { from: _from, ...rest } = task
  switch (rest.kind) {
    case 'size':
      return one(art, rest.to)
    case 'mirror':
      return one(mirrored(art), rest.to)
    case 'knockout':
      return knockoutFile(art, garment!, rest)
    case 'openings':
      return openingsFile(art, rest.settings, rest.to)
    case 'underbase':
      return one(
        underbaseOf(art, {
          chokePx: pixelsOrNone(rest.chokeMm ?? DEFAULT_CHOKE_MM),
          garment: { rgb: garment!, fade: rest.fade ?? DEFAULT_FADE },
        }),
        rest.to,
      )
    case 'separate':
      return filmFiles(art, garment!, task as SeparationTask)
  }
}

const PX_CM2 = (MM_PER_INCH / PRODUCTION_PPI) ** 2 / 100
const pixelsOrNone = (mm: number): number => Math.round((mm / MM_PER_INCH) * PRODUCTION_PPI)

/** The artwork at the print's exact size, 300 ppi. */
async function atSize(task: PrintSize & { from: string }): Promise<Result<Raster>> {
  const read = await readArtwork(
    task.from,
    task.widthMm === undefined ? {} : { vectorWidthPx: pixelsAt(task.widthMm) },
  )
  if (!read.ok) return read
  const { raster } = read.value
  const width = task.widthMm === undefined ? raster.width : pixelsAt(task.widthMm)
  const height =
    task.heightMm === undefined
      ? Math.max(1, Math.round((raster.height * width) / raster.width))
      : pixelsAt(task.heightMm)
  if (width * height > MOST_PIXELS)
    return refuse(
      'too-large',
      `At this size the print would be ${width} × ${height} pixels and at most ${MOST_PIXELS / 1e6} million are made: print it smaller, or in parts.`,
    )
  return ok(await resized(raster, width, height))
}

async function written(path: string, bytes: Uint8Array, width: number, height: number): Promise<WrittenFile> {
  await writeWhole(path, bytes)
  const mm = (px: number): number => (px / PRODUCTION_PPI) * MM_PER_INCH
  return { path, widthPx: width, heightPx: height, widthMm: mm(width), heightMm: mm(height) }
}

const pngFile = async (raster: Raster, path: string): Promise<WrittenFile> =>
  written(path, await pngOf(raster), raster.width, raster.height)

const one = async (raster: Raster, path: string): Promise<Result<ProductionReport>> =>
  attempt(async () => ({ files: [await pngFile(raster, path)] }))

async function attempt(make: () => Promise<ProductionReport>): Promise<Result<ProductionReport>> {
  try {
    return ok(await make())
  } catch (error) {
    const code = (error as { code?: string }).code
    if (code === undefined) throw error
    return refuse(
      'not-written',
      `The file could not be written (${code}): check that its folder is there and has room.`,
    )
  }
}

/** Why solids cannot be opened so; null when they can. */
function openingsFault(settings: OpeningSettings): Refusal | null {
  if (!(settings.share >= 0 && settings.share <= MOST_OPEN))
    return refuse(
      'openings',
      `A solid can be opened by 0 to ${100 * MOST_OPEN} %: beyond that the film no longer hangs together.`,
    )
  if (!(settings.screen.lpi > 0 && settings.screen.lpi <= PRODUCTION_PPI / 3))
    return refuse(
      'openings',
      `Openings of ${settings.screen.lpi} lines per inch cannot be drawn: give up to ${PRODUCTION_PPI / 3}.`,
    )
  return null
}

/** Figures before and after, in cm² and mm. */
const patchesOf = (before: InkFigures, after: InkFigures): PatchFigures => ({
  areaBeforeCm2: before.inkPx * PX_CM2,
  areaAfterCm2: after.inkPx * PX_CM2,
  largestSolidBeforeCm2: before.largestPx * PX_CM2,
  largestSolidAfterCm2: after.largestPx * PX_CM2,
  widestSolidBeforeMm: (before.widestPx / PRODUCTION_PPI) * MM_PER_INCH,
  widestSolidAfterMm: (after.widestPx / PRODUCTION_PPI) * MM_PER_INCH,
})

/** Opens up the solids and tells the figures again. */
async function openingsFile(
  art: Raster,
  settings: OpeningSettings,
  to: string,
): Promise<Result<ProductionReport>> {
  const fault = openingsFault(settings)
  if (fault) return fault
  const open = brokenUp(art, PRODUCTION_PPI, settings)
  const patches = patchesOf(figuresOf(art), figuresOf(open))
  return attempt(async () => ({ files: [await pngFile(open, to)], patches }))
}

async function knockoutFile(
  art: Raster,
  garment: Rgb,
  {
    settings,
    openings,
    to,
  }: { settings?: Partial<KnockoutSettings>; openings?: OpeningSettings; to: string },
): Promise<Result<ProductionReport>> {
  const fault = openings ? openingsFault(openings) : null
  if (fault) return fault
  const done = knockOut(art, garment, {
    ...DEFAULT_FADE,
    reach: 'everywhere',
    specks: 'clear',
    speckPx: Math.round(DEFAULT_SPECK_MM2 / 100 / PX_CM2),
    ...settings,
  })
  const open = openings ? brokenUp(done.raster, PRODUCTION_PPI, openings) : null
  const patches = patchesOf(done.before, open ? figuresOf(open) : done.after)
  return attempt(async () => ({
    files: [await pngFile(open ?? done.raster, to)],
    patches,
    specks: { cleared: done.specksCleared, openingsClosed: done.openingsClosed },
  }))
}

async function filmFiles(art: Raster, garment: Rgb, task: SeparationTask): Promise<Result<ProductionReport>> {
  if (!Number.isInteger(task.inks) || task.inks < 1 || task.inks > 12)
    return refuse('inks', `${task.inks} inks cannot be separated: give a whole number from 1 to 12.`)
  const split = layersOf(art, garment, task)
  if (!split.ok) return split
  return attempt(() => filmsOf(split.value, task))
}

/** Everything that the films are drawn from. */
type Layers = {
  layers: (Separation & { screen: Screen | null })[]
  lpi: number
  residual: number
  widthPx: number
  heightPx: number
}

function layersOf(art: Raster, garment: Rgb, task: SeparationTask): Result<Layers> {
  const seen = scan(art, new GarmentFade(garment, DEFAULT_FADE))
  const { inks, mode: wise } = inksFor(seen.cells, seen.faces, garment, task.shelf ?? [], task.inks)
  if (inks.length === 0)
    return refuse('no-ink', 'The art holds no colour but the cloth’s own: there is nothing to separate.')
  // The white first: it wants the most memory beside the art, and the colours' films are not there yet.
  const white =
    labOf(...garment)[0] < DARK_CLOTH
      ? underbaseTone(art, {
          chokePx: pixelsOrNone(task.chokeMm ?? DEFAULT_CHOKE_MM),
          garment: { rgb: garment, fade: DEFAULT_FADE },
        })
      : null
  const { separations, residual } = separated(art, inks, garment, task.mode ?? wise)
  const lpi = task.lpi ?? rulingForMesh(task.mesh ?? DEFAULT_MESH)
  const angles = screenAngles(task.angle)
  const layers: Layers['layers'] = separations.map((s, i) => ({
    ...s,
    screen: s.tonal ? ({ lpi, angle: angles[i % angles.length]!, shape: 'round' } satisfies Screen) : null,
  }))
  if (white)
    layers.unshift({
      ink: { name: 'White underbase', rgb: [255, 255, 255] },
      tone: white,
      inkPx: inkOf(white),
      tonal: false,
      screen: null,
    })
  return ok({ layers, lpi, residual, widthPx: art.width, heightPx: art.height })
}

function inkOf(tone: Uint8Array): number {
  let sum = 0
  for (let i = 0; i < tone.length; i++) sum += tone[i]!
  return sum / 255
}

const NO_TONE = new Uint8Array()

/** Draws and writes the films one by one, each layer's memory given back when its film is drawn. */
async function filmsOf(
  { layers, lpi, residual, widthPx: width, heightPx: height }: Layers,
  task: SeparationTask,
): Promise<ProductionReport> {
  await makeFolder(task.to)
  const files: WrittenFile[] = []
  async function* drawn(): AsyncGenerator<Film> {
    for (const [i, layer] of layers.entries()) {
      const film = filmOf(layer, width, height, {
        label: [
          ...(task.label ? [task.label] : []),
          `${i + 1}/${layers.length} ${layer.ink.name}`,
          `mesh ${task.mesh ?? DEFAULT_MESH}`,
          ...(layer.screen ? [`${lpi.toFixed(0)} lpi ${layer.screen.angle}°`] : []),
        ],
        screen: layer.screen,
      })
      layer.tone = NO_TONE
      const png = await greyPngOf(film.grey, film.width, film.height)
      const name = `${String(i + 1).padStart(2, '0')}-${fileWord(layer.ink.name)}.png`
      files.push(await written(join(task.to, name), png, film.width, film.height))
      yield film
    }
  }
  const pdf = await filmsPdf(drawn(), task.label ?? basename(task.from))
  const { widthPx, heightPx } = files[0]!
  files.push(await written(join(task.to, 'films.pdf'), pdf, widthPx, heightPx))
  return {
    files,
    residual,
    films: layers.map(layer => ({
      ink: layer.ink.name,
      hex: toHex(layer.ink.rgb),
      areaCm2: layer.inkPx * PX_CM2,
      lpi: layer.screen?.lpi ?? null,
      angle: layer.screen?.angle ?? null,
    })),
  }
}

async function nestFiles(task: NestTask): Promise<Result<ProductionReport>> {
  const art = new Map<string, Raster>()
  const pieces: NestPiece[] = []
  const rasterOf = new Map<string, { raster: Raster; turned?: Raster }>()
  let pixels = 0
  for (const piece of task.pieces) {
    if (rasterOf.has(piece.id))
      return refuse('twice', `Two pieces are called “${piece.id}”: give each its own id.`)
    const key = `${piece.width} ${piece.height} ${piece.file}`
    let raster = art.get(key)
    if (!raster) {
      const read = await atSize({
        from: piece.file,
        widthMm: piece.width,
        ...(piece.height === undefined ? {} : { heightMm: piece.height }),
      })
      if (!read.ok) return refuse(read.code, `${basename(piece.file)}: ${read.message}`)
      raster = read.value
      pixels += raster.width * raster.height
      if (pixels > MOST_PIXELS)
        return refuse(
          'too-large',
          'The prints of this sheet are too large to hold at once: nest them in two parts.',
        )
      art.set(key, raster)
    }
    rasterOf.set(piece.id, { raster })
    const height = piece.height ?? (piece.width * raster.height) / raster.width
    pieces.push({ ...piece, height })
  }
  const nested = nest(pieces, task.sheet, {
    ...(task.tries === undefined ? {} : { tries: task.tries }),
    ...(task.seed === undefined ? {} : { seed: task.seed }),
  })
  if (!nested.ok) return nested
  const { value: nesting } = nested
  const label = (id: string, order: string): string =>
    task.sheet.gap * PRODUCTION_PPI >= LABEL_PX * MM_PER_INCH ? `${order} · ${id}` : ''
  const sheets = Array.from({ length: nesting.sheets }, (_, n) => ({
    width: task.sheet.width,
    height: task.sheet.height ?? nesting.lengths[n]!,
    placed: nesting.placed.filter(p => p.sheet === n),
  }))
  const isPdf = /\.pdf$/i.test(task.to)
  const largest = Math.max(...sheets.map(s => pixelsAt(s.width) * pixelsAt(s.height)))
  if (!isPdf && largest > MOST_PIXELS)
    return refuse(
      'too-large',
      'The sheet is too large for one picture: write it as a PDF, or cut it into shorter sheets.',
    )
  const turnedOf = (id: string): Raster => {
    const entry = rasterOf.get(id)!
    entry.turned ??= turnedLeft(entry.raster)
    return entry.turned
  }
  return attempt(async () => {
    await makeFolder(dirname(task.to))
    const px = (mm: number): number => pixelsAt(mm)
    if (isPdf) {
      const bytes = await sheetsPdf(
        sheets.map(({ width, height, placed }) => ({
          width,
          height,
          pieces: placed.map(p => ({
            ...p,
            y: height - p.y - p.height,
            raster: rasterOf.get(p.id)!.raster,
            label: label(p.id, p.order),
          })),
        })),
        'Sheets',
      )
      return { files: [await written(task.to, bytes, px(sheets[0]!.width), px(sheets[0]!.height))], nesting }
    }
    const files: WrittenFile[] = []
    for (const [n, { width, height, placed }] of sheets.entries()) {
      const picture = sheetPicture(
        px(width),
        px(height),
        placed.map(p => ({
          raster: p.turned ? turnedOf(p.id) : rasterOf.get(p.id)!.raster,
          x: Math.round((p.x / MM_PER_INCH) * PRODUCTION_PPI),
          y: Math.round((p.y / MM_PER_INCH) * PRODUCTION_PPI),
          label: label(p.id, p.order),
        })),
      )
      const path = sheets.length === 1 ? task.to : task.to.replace(/(\.\w+)?$/, `-${n + 1}$1`)
      files.push(await pngFile(picture, path))
    }
    return { files, nesting }
  })
}

/** A name as part of a file's name: small letters, figures and dashes. */
export const fileWord = (name: string): string =>
  name
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60) || 'ink'

/** Name of a production file from the order, the print and its size: "1042-full-front-254x300mm-mirror.png". */
export const productionName = (
  order: string,
  print: string,
  widthMm: number,
  heightMm: number,
  what: string,
): string =>
  `${fileWord(order)}-${fileWord(print)}-${Math.round(widthMm)}x${Math.round(heightMm)}mm-${fileWord(what)}.png`
