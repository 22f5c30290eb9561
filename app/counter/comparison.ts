import type { Costing } from '@/lib/costing/prepare'
import type { PriceChoices } from '@/lib/costing/price'
import { compare, type Row } from '@/lib/methods/compare'
import type { OfferInput } from '@/lib/orders/input'
import type { OfferTerms } from '@/lib/orders/offer'
import type { OrderView } from '@/lib/orders/order'
import { costingAt, orderWork } from '@/lib/planning/store'
import type { Result } from '@/lib/units/result'
import { atTime, dayBounds, type Instant, instant } from '@/lib/units/time'

/** An order by every method, with what it was costed from. */
export type Comparison = { rows: Row[]; work: Awaited<ReturnType<typeof orderWork>>; costing: Costing }

/** Costs and prices an order by every method, with the shop's rates of now. */
export async function comparisonOf(
  order: OrderView,
  now: Instant,
  choices: PriceChoices = {},
): Promise<Result<Comparison>> {
  const [costing, work] = await Promise.all([
    costingAt(now),
    orderWork(order, order.method ?? 'transfer', now),
  ])
  const rows = compare(work, costing, {
    rush: order.rush,
    exempt: order.customer.taxExempt,
    ...choices,
  })
  return rows.ok ? { ok: true, value: { rows: rows.value, work, costing } } : rows
}

/** What the owner typed for an offer, as the pricing takes it. */
export const choicesOf = (input: OfferInput, order: OrderView): PriceChoices => ({
  typed: order.lines.map((_, i) => input.each[i] ?? null),
  discountBp: input.discount,
})

/** The chosen row as the terms of an offer. The customer reads the remarks on washing; the rest is for the shop. */
export function termsOf(row: Row, costing: Costing, input: OfferInput, zone: string): OfferTerms {
  const { id, version, name } = costing.recipes[row.method]
  const say = (codes: readonly string[]) =>
    row.remarks.filter(r => codes.includes(r.code)).map(r => r.message)
  return {
    method: row.method,
    feel: row.feel.value.words,
    price: row.price,
    taxTerms: costing.rates.tax,
    promise: { at: atTime(input.promiseDay, input.promiseTime, zone), hard: input.promiseHard },
    validUntil: instant(dayBounds(input.validUntil, zone).to - 1),
    message: input.message,
    care: say(['wash']),
    cautions: say(['faded', 'tinted-ground', 'stretch', 'children']),
    belowCostWhy: input.belowCostWhy,
    work: { method: row.method, recipe: { id, version, name }, cost: row.cost },
  }
}
