import { priceOrder } from '@/lib/costing/price'
import type { Rates } from '@/lib/shop/rates'
import { formatMoney, type Minor, minor } from '@/lib/units/money'
import type { PreviewRow } from '../actions'

/** Quantities whose prices are shown. */
const PIECES = [1, 6, 12, 24, 50, 100, 250]

/** What an order of pieces that cost so much each would be sold at, by the rates that count now and by others. */
export function previewRows(now: Rates, typed: Rates, costEach: Minor, currency: string): PreviewRow[] {
  const at = (rates: Rates, pieces: number) => {
    const line = { name: '', pieces, cost: minor(costEach * pieces) }
    const price = priceOrder([line], rates, {}, { currency, locale: 'en' })
    return {
      each: formatMoney(price.lines[0]?.each ?? minor(0), currency),
      net: formatMoney(price.net, currency),
      margin: price.marginShare === null ? '–' : `${(price.marginShare * 100).toFixed(1)} %`,
      below: price.belowCost,
    }
  }
  return PIECES.map(pieces => ({ pieces, before: at(now, pieces), after: at(typed, pieces) }))
}
