import { type MeasureSystem, MM_PER_INCH } from '@/lib/units/measure'
import type { Artwork, FileFacts } from './artwork'
import { type Surround, surroundOf } from './box'
import { parseHex, type Rgb } from './colour'
import { largestPatch, type Patch } from './components'
import { DEFAULT_FADE, type FadeSettings, fadeFor } from './fade'
import { type Finding, findingsOf } from './findings'
import { inkBeside, inkMasks } from './ink-masks'
import { likenessOf } from './likeness'
import { ART_LIMITS, type ArtLimits, type ArtMethod, DEFAULT_PPI, type PpiRules } from './limits'
import type { Mask } from './mask'
import { opened, window } from './morphology'
import { type Palette, paletteOf } from './palette'
import type { PixelBox } from './raster'
import { scan } from './scan'
import { type ThinPlaces, thinGaps, thinInk } from './thin'

/** For what an artwork is measured. */
export type MeasureOptions = {
  /** Printed width of the whole canvas, mm, over 0. */
  widthMm: number
  /** Printed height, mm; left out: in proportion to the width. */
  heightMm?: number
  /** The cloth's colour, "#rrggbb". */
  garmentHex: string
  method: ArtMethod
  ppiRules?: PpiRules
  limits?: ArtLimits
  fade?: FadeSettings
  /** How lengths and areas are written in the findings. */
  system?: MeasureSystem
}

/** What the desk knows of an artwork at its printed size. Areas in cm², lengths in mm, shares 0–1. */
export type Measurement = {
  file: FileFacts
  print: { widthMm: number; heightMm: number; ppi: number }
  ink: {
    /** Mean alpha over the canvas. */
    coverage: number
    /** Coverage × printed area. */
    areaCm2: number
    /** Share of all pixels that are neither opaque nor fully transparent. */
    partlyTransparent: number
  }
  knockout: {
    areaBeforeCm2: number
    areaAfterCm2: number
    largestSolidBeforeCm2: number
    largestSolidAfterCm2: number
  }
  colours: { hex: string; share: number }[]
  findings: Finding[]
  detail: Detail
}

/** What a screen shows beside the figures. Boxes in pixels of the canvas. */
export type Detail = {
  bounds: PixelBox | null
  surround: Surround
  palette: Palette
  /** Separate pieces of the art, and the largest solid one before and after the knock-out. */
  pieces: number
  largestBefore: Patch | null
  largestAfter: Patch | null
  /** Pieces no larger than the thinnest line, across and down. */
  specks: number
  /** In opaque art: of what stands on its ground, or, but for transfers, of each ink by itself. */
  thinInk: ThinPlaces
  thinGaps: ThinPlaces
  garment: Rgb
  /** By which the same art in another file is known; see likeness.ts. */
  likeness: string
}

/**
 * Measures an artwork for the print's real size and the cloth's real colour. Nothing is rounded.
 * @throws RangeError on a size that is not over 0 or a colour that is not one: parse them at the border.
 */
export function measure(artwork: Artwork, options: MeasureOptions): Measurement {
  const { raster, file } = artwork
  const garment = parseHex(options.garmentHex)
  if (!garment) throw new RangeError(`“${options.garmentHex}” is not a colour like #101010.`)
  const { widthMm } = options
  const heightMm = options.heightMm ?? (widthMm * raster.height) / raster.width
  if (!(widthMm > 0) || !(heightMm > 0)) throw new RangeError('A print has a width and a height over 0 mm.')
  const limits = options.limits ?? ART_LIMITS[options.method]
  const ppiX = (raster.width / widthMm) * MM_PER_INCH
  const ppiY = (raster.height / heightMm) * MM_PER_INCH
  const ppi = Math.min(ppiX, ppiY)
  const pixels = raster.width * raster.height
  const areaCm2 = (widthMm * heightMm) / 100
  const perPixel = areaCm2 / pixels

  const seen = scan(raster, fadeFor(garment, options.fade ?? DEFAULT_FADE))
  let ink = 0
  for (let a = 1; a < 256; a++) ink += (seen.alpha[a]! * a) / 255
  const coverage = ink / pixels
  const after = largestPatch(seen.breathing)
  const palette = paletteOf(seen.cells, seen.faces)
  const pen = (mm: number): number => Math.floor((mm / MM_PER_INCH) * ppi)
  const line = pen(limits.lineMm)
  const before = largestPatch(seen.solid, 8, line)

  const surround: Surround = seen.bounds ? surroundOf(raster, seen.bounds) : { kind: 'none' }
  const detail: Detail = {
    bounds: seen.bounds,
    surround,
    palette,
    pieces: before.count,
    largestBefore: before.largest,
    largestAfter: after.largest,
    specks: before.specks,
    ...NOTHING_FINE,
    likeness: likenessOf(raster, seen.bounds),
    garment,
  }
  const gap = pen(limits.gapMm)
  Object.assign(detail, fineDetail(seen.solid, seen.bounds, before.largest?.area ?? 0, line, gap))
  const flat = palette.residual < SPOTS_RESIDUAL
  if (surround.kind === 'box' && flat && seen.alpha[255] === pixels)
    // What stands on the ground of opaque art is what is left of it when the ground is taken out.
    Object.assign(detail, fineDetail(inkBeside(raster, surround.rgb), seen.bounds, 0, line, gap))
  // A film holds its colours together; everywhere else a thin line of one ink within another is lost as well.
  if (options.method !== 'transfer' && flat && palette.colours.length > 1 && detail.thinInk.count === 0)
    detail.thinInk = thinInks(inkMasks(raster, palette.colours), line)
  const figures = {
    file,
    print: { widthMm, heightMm, ppi },
    ink: {
      coverage,
      areaCm2: coverage * areaCm2,
      partlyTransparent: (pixels - seen.alpha[0]! - seen.alpha[255]!) / pixels,
    },
    knockout: {
      areaBeforeCm2: coverage * areaCm2,
      areaAfterCm2: seen.inkAfter * perPixel,
      largestSolidBeforeCm2: (before.largest?.area ?? 0) * perPixel,
      largestSolidAfterCm2: (after.largest?.area ?? 0) * perPixel,
    },
    colours: palette.colours.map(({ hex, share }) => ({ hex, share })),
  }
  const inked = pixels - seen.alpha[0]!
  const findings = findingsOf(figures, detail, {
    method: options.method,
    limits,
    rules: options.ppiRules ?? DEFAULT_PPI,
    system: options.system ?? 'metric',
    stretch: ppiX / ppiY,
    softShare: inked === 0 ? 0 : (inked - seen.alpha[255]!) / inked,
    canvas: { width: raster.width, height: raster.height },
  })
  return { ...figures, findings, detail }
}

/** Art that spots miss by more than this (mean CIEDE2000) is halftoned: its inks have no lines of their own. */
const SPOTS_RESIDUAL = 3
/** Soft edges leave threads of a third ink between two others, this many pixels wide: they are not drawn lines. */
const THREAD_PX = 2

/** Lines too thin for a screen, ink by ink: each is a stencil of its own. */
function thinInks(masks: readonly Mask[], line: number): ThinPlaces {
  if (line <= THREAD_PX) return NOTHING_THIN
  const found = masks.map(mask => thinInk(opened(mask, THREAD_PX), line))
  return {
    count: found.reduce((n, f) => n + f.count, 0),
    places: found.flatMap(f => f.places).sort((p, q) => q.area - p.area),
  }
}

/** Thin lines and gaps, looked for within the art's own bounds; none where it fills them. */
function fineDetail(
  solid: Mask,
  bounds: PixelBox | null,
  largest: number,
  line: number,
  gap: number,
): Pick<Detail, 'thinInk' | 'thinGaps'> {
  if (!bounds) return { thinInk: NOTHING_THIN, thinGaps: NOTHING_THIN }
  const { x, y, width, height } = bounds
  if (largest === width * height && Math.min(width, height) >= line)
    return { thinInk: NOTHING_THIN, thinGaps: NOTHING_THIN }
  const roomy = width * height < 0.8 * solid.width * solid.height
  if (!roomy) return { thinInk: thinInk(solid, line), thinGaps: thinGaps(solid, gap) }
  const within = window(solid, x, y, width, height)
  const back = (found: ThinPlaces): ThinPlaces => ({
    count: found.count,
    places: found.places.map(p => ({ ...p, box: { ...p.box, x: p.box.x + x, y: p.box.y + y } })),
  })
  return { thinInk: back(thinInk(within, line)), thinGaps: back(thinGaps(within, gap)) }
}

const NOTHING_THIN: ThinPlaces = { count: 0, places: [] }
const NOTHING_FINE = { thinInk: NOTHING_THIN, thinGaps: NOTHING_THIN }

const round = (n: number): number => Number(n.toFixed(6))

/** The measurement as the `art check` command prints it: the contract's keys alone, numbers to six decimals. */
export function checkOf(m: Measurement) {
  const { sha256, widthPx, heightPx, alpha, declaredPpi } = m.file
  const rounded = <T extends object>(o: T): T =>
    Object.fromEntries(Object.entries(o).map(([k, v]) => [k, typeof v === 'number' ? round(v) : v])) as T
  return {
    file: rounded({ sha256, widthPx, heightPx, alpha, declaredPpi }),
    print: rounded(m.print),
    ink: rounded(m.ink),
    knockout: rounded(m.knockout),
    colours: m.colours.map(rounded),
    findings: m.findings.map(({ code, severity, message }) => ({ code, severity, message })),
  }
}
/** What `art check` prints. */
export type ArtCheck = ReturnType<typeof checkOf>
