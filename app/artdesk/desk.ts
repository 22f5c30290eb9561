import type { ArtMethod, PpiRules } from '@/lib/artwork/limits'
import { mendFor, type PrintToMake } from '@/lib/artwork/print-files'
import {
  type ArtworkUse,
  type ArtworkWithUses,
  type MeasureFor,
  measuredFor,
  shelfInks,
} from '@/lib/artwork/store'
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

/** A print of an order as its production files are made from it. Screens need the art measured: its colours are its inks. */
export async function printToMake(
  artwork: ArtworkWithUses,
  use: ArtworkUse,
  rates: Rates,
): Promise<Result<PrintToMake>> {
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
  }
  if (method !== 'screen') return ok(print)
  const measured = await measuredUse(artwork.id, use, rates)
  if (!measured.ok) return measured
  return ok({ ...print, inks: measured.value.colours.length, shelf: await shelfInks() })
}
