import * as z from 'zod'
import { groundOf, hexSchema } from '@/lib/shop/blanks'
import { MM_PER_INCH } from '@/lib/units/measure'
import { DEFAULT_FADE } from './fade'
import type { Ink } from './inks'
import type { ArtMethod } from './limits'
import { MOST_OPEN, type OpeningSettings } from './openings'
import { DEFAULT_CHOKE_MM, DEFAULT_MESH, type ProductionTask, productionName } from './production'
import { PRODUCTION_PPI } from './size'

/** Small openings through large solids of a film, as somebody chose them. */
export const openingsSchema = z.object({
  shape: z.enum(['dots', 'lines']),
  /** Openings an inch: 5 lets much air through and is seen, 30 is hardly seen. */
  lpi: z.number().min(4).max(60),
  /** Degrees, counter-clockwise from the horizontal. */
  angle: z.number().min(0).max(180),
  /** Share of the patch that is opened. */
  share: z.number().min(0.02).max(MOST_OPEN),
  /** Only solid patches of at least this many cm² are opened. */
  fromCm2: z.number().min(0).max(10_000),
})
export type Openings = z.infer<typeof openingsSchema>

/** What openings begin with where nobody chose yet: fine round dots through what a hand would feel. Common practice. */
export const DEFAULT_OPENINGS: Openings = { shape: 'dots', lpi: 12, angle: 22.5, share: 0.2, fromCm2: 20 }

/** Unbroken ink that is kept along every outline of an opened patch, mm: so that lettering and edges stay sharp. */
const OPENINGS_RIM_MM = 1
/** A cell of a halftone is never drawn on fewer pixels: in a small preview the pattern comes out coarser instead. */
const LEAST_CELL_PX = 3

/** How the cloth is let through, as somebody chose it: what made a mended version. */
export const mendSchema = z.object({
  /** CIEDE2000. */
  tolerance: z.number().min(0).max(60),
  soft: z.number().min(0).max(60),
  reach: z.enum(['everywhere', 'from-outside']),
  specks: z.enum(['keep', 'clear']),
  openings: openingsSchema.optional(),
})
export type Mend = z.infer<typeof mendSchema>

/** Where nobody chose anything yet. */
export const DEFAULT_MEND: Mend = { ...DEFAULT_FADE, reach: 'everywhere', specks: 'clear' }

/** Pieces and openings smaller than this are specks, mm²: a dot half a millimetre across. */
export const SPECK_MM2 = 0.25

/** A mended version that somebody kept; without settings it goes back to the original. */
export type KeptMend = { cloth: string; mend: Mend | null }

/**
 * What a print is made with: the newest version kept for its cloth. Where nobody kept one, film lets the cloth through by
 * itself, for what looks like the cloth is only stiff; other methods print the original.
 * @param kept newest first
 */
export function mendFor(method: ArtMethod, cloth: string, kept: readonly KeptMend[]): Mend | null {
  const chosen = kept.find(k => k.cloth.toLowerCase() === cloth.toLowerCase())
  if (chosen) return chosen.mend
  return method === 'transfer' ? DEFAULT_MEND : null
}

/** The openings in pixels, for art of so many pixels a millimetre. Drawn as if at 300 ppi: only pixels a cell count. */
export function openingSettings(
  { shape, lpi, angle, share, fromCm2 }: Openings,
  pixelsPerMm = PRODUCTION_PPI / MM_PER_INCH,
): OpeningSettings {
  const ppi = pixelsPerMm * MM_PER_INCH
  return {
    screen: {
      lpi: Math.min(PRODUCTION_PPI / LEAST_CELL_PX, (lpi * PRODUCTION_PPI) / ppi),
      angle,
      shape: shape === 'dots' ? 'round' : 'line',
    },
    share,
    fromPx: Math.round(100 * fromCm2 * pixelsPerMm ** 2),
    rimPx: Math.round(OPENINGS_RIM_MM * pixelsPerMm),
  }
}

/** The knock-out of a mend. Specks are counted in pixels, so it must know how many go to a millimetre. */
export const mendTask = (
  art: { from: string; to: string; widthMm: number; heightMm: number },
  cloth: string,
  mend: Mend,
  pixelsPerMm = PRODUCTION_PPI / MM_PER_INCH,
): ProductionTask => {
  const { openings, ...settings } = mend
  return {
    kind: 'knockout',
    ...art,
    garmentHex: cloth,
    settings: { ...settings, speckPx: Math.max(1, Math.round(SPECK_MM2 * pixelsPerMm ** 2)) },
    ...(openings ? { openings: openingSettings(openings, pixelsPerMm) } : {}),
  }
}

/** How the layers of screens and of direct print are made. */
export const layerSchema = z.object({
  /** Threads per inch. */
  mesh: z.number().int().min(30).max(600),
  /** How far the white lies inside the colour's edge, mm. */
  chokeMm: z.number().min(0).max(3),
  /** Lines per inch of halftones; left out: what the mesh holds. */
  lpi: z.number().min(10).max(100).optional(),
  /** Of the first ink, degrees; the others keep 30° from it and from one another. Left out: 22.5. */
  angle: z.number().min(0).max(180).optional(),
})
export type LayerSettings = z.infer<typeof layerSchema>

/** Where nobody chose anything yet. */
export const DEFAULT_LAYERS: LayerSettings = { mesh: DEFAULT_MESH, chokeMm: DEFAULT_CHOKE_MM }

/** A print of an order, with all that decides what its files look like. Lengths in mm. */
export type PrintToMake = {
  order: number
  placement: string
  widthMm: number
  heightMm: number
  method: ArtMethod
  /** "#rrggbb". */
  cloth: string
  mend: Mend | null
  /** For screens: inks at most, and those on the shelf. */
  inks: number
  shelf: readonly Ink[]
  layers?: LayerSettings
  /** The garment sizes it is for, where the print differs by size: "S-L". Part of the files' names. */
  sizes?: string
}

/** Most inks that are separated. */
const MOST_INKS = 12

/** Beginning of the names of a print's files: order, print, size. */
export const fileStem = (p: PrintToMake): string =>
  productionName(`${p.order}`, printName(p), p.widthMm, p.heightMm, 'x').replace(/-x\.png$/, '')

const printName = (p: PrintToMake): string => (p.sizes ? `${p.placement} ${p.sizes}` : p.placement)

/**
 * What makes the files of a print, in a folder of their own: for sublimation the mirrored art, for DTG the colour and on
 * dark cloth the white under it, for screens a film an ink, for film the art as it is.
 * @param from the art: the original, or what a mend made of it
 */
export function printTasks(p: PrintToMake, from: string, folder: string): ProductionTask[] {
  const { widthMm, heightMm } = p
  const to = (what: string): string =>
    `${folder}/${productionName(`${p.order}`, printName(p), widthMm, heightMm, what)}`
  const art = { from, widthMm, heightMm }
  const layers = p.layers ?? DEFAULT_LAYERS
  switch (p.method) {
    case 'sublimation':
      return [{ kind: 'mirror', ...art, to: to('mirrored') }]
    case 'transfer':
      return [{ kind: 'size', ...art, to: to('film') }]
    case 'dtg': {
      const colour: ProductionTask = { kind: 'size', ...art, to: to('colour') }
      if (groundOf(p.cloth) !== 'dark') return [colour]
      return [
        colour,
        {
          kind: 'underbase',
          ...art,
          to: to('white-underbase'),
          garmentHex: p.cloth,
          chokeMm: layers.chokeMm,
        },
      ]
    }
    case 'screen':
      return [
        {
          kind: 'separate',
          ...art,
          to: folder,
          garmentHex: p.cloth,
          inks: Math.min(MOST_INKS, Math.max(1, p.inks)),
          shelf: [...p.shelf],
          ...layers,
          label: `${p.order} ${printName(p).replace('-', ' ')}`,
        },
      ]
  }
}

/** A mend as it is asked for, all in text: by a form, or in an address. Gives { cloth, widthMm, heightMm, mend }. */
export const mendAsked = z
  .object({
    cloth: hexSchema,
    widthMm: z.coerce.number().positive().max(5000),
    heightMm: z.coerce.number().positive().max(5000),
    tolerance: z.coerce.number().min(0).max(60),
    soft: z.coerce.number().min(0).max(60),
    /** Ticked: only what the cloth's colour reaches from outside. */
    outside: z.string().optional(),
    specks: z.enum(['keep', 'clear']),
    /** Left out or empty: solids stay whole. The share is in percent. */
    openings: z.enum(['', 'dots', 'lines']).optional(),
    openLpi: z.coerce.number().min(4).max(60).default(DEFAULT_OPENINGS.lpi),
    openAngle: z.coerce.number().min(0).max(180).default(DEFAULT_OPENINGS.angle),
    openShare: z.coerce
      .number()
      .min(2)
      .max(100 * MOST_OPEN)
      .default(100 * DEFAULT_OPENINGS.share),
    openFromCm2: z.coerce.number().min(0).max(10_000).default(DEFAULT_OPENINGS.fromCm2),
  })
  .transform(({ cloth, widthMm, heightMm, tolerance, soft, outside, specks, openings, ...open }) => ({
    cloth,
    widthMm,
    heightMm,
    mend: {
      tolerance,
      soft,
      reach: outside ? 'from-outside' : 'everywhere',
      specks,
      ...(openings
        ? {
            openings: {
              shape: openings,
              lpi: open.openLpi,
              angle: open.openAngle,
              share: open.openShare / 100,
              fromCm2: open.openFromCm2,
            },
          }
        : {}),
    } satisfies Mend as Mend,
  }))
