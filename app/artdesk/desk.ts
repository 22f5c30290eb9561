import type { ArtMethod, PpiRules } from '@/lib/artwork/limits'
import { type ArtworkUse, type MeasureFor, measuredFor } from '@/lib/artwork/store'
import { METHODS } from '@/lib/shop/methods'
import type { Rates } from '@/lib/shop/rates'

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
