import * as z from 'zod'
import { groundOf, hexSchema } from '@/lib/shop/blanks'
import { MM_PER_INCH } from '@/lib/units/measure'
import { DEFAULT_FADE } from './fade'
import type { Ink } from './inks'
import type { ArtMethod } from './limits'
import { type ProductionTask, productionName } from './production'
import { PRODUCTION_PPI } from './size'

/** How the cloth is let through, as somebody chose it: what made a mended version. */
export const mendSchema = z.object({
  /** CIEDE2000. */
  tolerance: z.number().min(0).max(60),
  soft: z.number().min(0).max(60),
  reach: z.enum(['everywhere', 'from-outside']),
  specks: z.enum(['keep', 'clear']),
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

/** The knock-out of a mend. Specks are counted in pixels, so it must know how many go to a millimetre. */
export const mendTask = (
  art: { from: string; to: string; widthMm: number; heightMm: number },
  cloth: string,
  mend: Mend,
  pixelsPerMm = PRODUCTION_PPI / MM_PER_INCH,
): ProductionTask => ({
  kind: 'knockout',
  ...art,
  garmentHex: cloth,
  settings: { ...mend, speckPx: Math.max(1, Math.round(SPECK_MM2 * pixelsPerMm ** 2)) },
})

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
}

/** Most inks that are separated. */
const MOST_INKS = 12

/** Beginning of the names of a print's files: order, print, size. */
export const fileStem = (p: PrintToMake): string =>
  productionName(`${p.order}`, p.placement, p.widthMm, p.heightMm, 'x').replace(/-x\.png$/, '')

/**
 * What makes the files of a print, in a folder of their own: for sublimation the mirrored art, for DTG the colour and on
 * dark cloth the white under it, for screens a film an ink, for film the art as it is.
 * @param from the art: the original, or what a mend made of it
 */
export function printTasks(p: PrintToMake, from: string, folder: string): ProductionTask[] {
  const { widthMm, heightMm } = p
  const to = (what: string): string =>
    `${folder}/${productionName(`${p.order}`, p.placement, widthMm, heightMm, what)}`
  const art = { from, widthMm, heightMm }
  switch (p.method) {
    case 'sublimation':
      return [{ kind: 'mirror', ...art, to: to('mirrored') }]
    case 'transfer':
      return [{ kind: 'size', ...art, to: to('film') }]
    case 'dtg': {
      const colour: ProductionTask = { kind: 'size', ...art, to: to('colour') }
      if (groundOf(p.cloth) !== 'dark') return [colour]
      return [colour, { kind: 'underbase', ...art, to: to('white-underbase'), garmentHex: p.cloth }]
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
          label: `${p.order} ${p.placement.replace('-', ' ')}`,
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
  })
  .transform(({ cloth, widthMm, heightMm, tolerance, soft, outside, specks }) => ({
    cloth,
    widthMm,
    heightMm,
    mend: {
      tolerance,
      soft,
      reach: outside ? 'from-outside' : 'everywhere',
      specks,
    } satisfies Mend as Mend,
  }))
