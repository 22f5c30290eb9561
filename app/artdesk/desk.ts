import { layersOf } from '@/lib/artwork/film-settings'
import type { ArtMethod, PpiRules } from '@/lib/artwork/limits'
import { mendFor, type PrintToMake } from '@/lib/artwork/print-files'
import { printsBySize, type SizeRange, sizeRanges } from '@/lib/artwork/print-sizes'
import {
  type ArtworkUse,
  type ArtworkWithUses,
  type MeasureFor,
  measuredFor,
  shelfInks,
} from '@/lib/artwork/store'
import type { Size } from '@/lib/shop/blanks'
import { METHODS } from '@/lib/shop/methods'
import type { Rates } from '@/lib/shop/rates'
import { ok, type Result } from '@/lib/units/result'

/** The shop's limits of resolution as the art desk names them. */
export const ppiRules = (rates: Rates): PpiRules => ({
  house: rates.artPpi.house,
  warnBelow: rates.artPpi.warn,
  stopBelow: rates.artPpi.floor,
})

/** The method of a use; before one is chosen, film as the method that takes nearly every cloth. */
export const methodOf = (use: ArtworkUse): ArtMethod => METHODS.find(m => m === use.method) ?? 'transfer'

/** For what a use of an artwork is measured: its size, the cloth under it, its method. */
export const measureForUse = (use: ArtworkUse, rates: Rates): MeasureFor => ({
  widthMm: use.widthMm,
  heightMm: use.heightMm,
  garmentHex: use.colourHex,
  method: methodOf(use),
  ppiRules: ppiRules(rates),
})

/** The measurement of one use. */
export const measuredUse = (artworkId: string, use: ArtworkUse, rates: Rates) =>
  measuredFor(artworkId, measureForUse(use, rates))

/**
 * A print of an order as its production files are made from it: once for each distinct width over the garment sizes. Screens need
 * the art measured: its colours are its inks, unless somebody chose how many.
 */
export async function printsToMake(
  artwork: ArtworkWithUses,
  use: ArtworkUse,
  rates: Rates,
): Promise<Result<PrintToMake[]>> {
  const method = methodOf(use)
  const print = {
    order: use.orderNumber,
    placement: use.placement,
    widthMm: use.widthMm,
    heightMm: use.heightMm,
    method,
    cloth: use.colourHex,
    mend: mendFor(method, use.colourHex, artwork.versions),
    inks: 0,
    shelf: [],
    ...(use.films && (method === 'screen' || method === 'dtg') ? { layers: layersOf(use.films) } : {}),
  }
  const bySize = (made: PrintToMake) => ok(printsBySize(made, use.sizes as Size[], use.rules))
  if (method !== 'screen') return bySize(print)
  const wanted = use.films?.shelf
  const shelf = (await shelfInks()).filter(ink => !wanted || wanted.includes(ink.name))
  if (use.films?.inks) return bySize({ ...print, inks: use.films.inks, shelf })
  const measured = await measuredUse(artwork.id, use, rates)
  if (!measured.ok) return measured
  return bySize({ ...print, inks: measured.value.colours.length, shelf })
}

/** The sizes of a use as they are printed: ranges of garment sizes with the width each has. One where all are alike. */
export const rangesOf = (use: ArtworkUse): SizeRange[] => sizeRanges(use, use.sizes as Size[], use.rules)

/** Pieces of a use that are printed at one of its sizes. */
export const piecesIn = (use: ArtworkUse, range: SizeRange | undefined): number =>
  use.counts.reduce((sum, c) => (!range || range.sizes.includes(c.size as Size) ? sum + c.quantity : sum), 0)
