import type { Rates } from '@/lib/shop/rates'
import { ok, type Result, refuse } from '@/lib/units/result'

/** Price from cost by margin, the share of the price that is earned: cost ÷ (1 − margin). @throws RangeError from margin 1 up. */
export function priceByMargin(cost: number, margin: number): number {
  if (!(margin < 1)) throw new RangeError('A margin of 100 % or more has no price.')
  return cost / (1 - margin)
}
/** Price from cost by markup, the share put on top of the cost: cost × (1 + markup). */
export const priceByMarkup = (cost: number, markup: number): number => cost * (1 + markup)
/** Margin of a markup: 0.25 → 0.2. */
export const marginOfMarkup = (markup: number): number => markup / (1 + markup)
/** Markup of a margin: 0.2 → 0.25. @throws RangeError from margin 1 up. */
export function markupOfMargin(margin: number): number {
  if (!(margin < 1)) throw new RangeError('A margin of 100 % or more has no markup.')
  return margin / (1 - margin)
}

/** Most margin and markup that may be asked for, percent. */
const MOST_SHARE = { margin: 95, markup: 2000 } as const

/** A margin or markup as typed, "45" or "7.5 %"; refused with one sentence, by the field it stands in: pricingBy or pricing. */
export function readPricing(by: string, typed: string): Result<Rates['pricing']> {
  const bare = typed.trim().replace(/\s*%$/, '').replace(',', '.')
  if (by !== 'margin' && by !== 'markup') return refuse('pricing', 'Choose margin or markup.', 'pricingBy')
  if (/^\d{1,4}(\.\d{1,2})?$/.test(bare) && Number(bare) <= MOST_SHARE[by])
    return ok({ by, bp: Math.round(Number(bare) * 100) })
  return refuse(
    'pricing',
    `The ${by} is a share from 0 to ${MOST_SHARE[by].toLocaleString('en')} %: type it like 45 or 7.5.`,
    'pricing',
  )
}
