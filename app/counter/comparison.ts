import { consumption } from '@/lib/costing/consumption'
import type { OrderWork } from '@/lib/costing/order'
import type { Costing } from '@/lib/costing/prepare'
import type { PriceChoices } from '@/lib/costing/price'
import type { AgreedWay } from '@/lib/methods/agreed-way'
import { compare, type Missing, type Row } from '@/lib/methods/compare'
import { contractRow } from '@/lib/methods/contract'
import { type ShopWays, shopWaysAt } from '@/lib/methods/store'
import { costingFor, orderBy, type Way } from '@/lib/methods/way'
import type { OfferInput } from '@/lib/orders/input'
import type { OfferTerms } from '@/lib/orders/offer'
import type { OrderView } from '@/lib/orders/order'
import { orderWork, type TrialWay } from '@/lib/planning/store'
import { CONSUMABLE, formatQuantity } from '@/lib/shop/consumables'
import { consumablesFree, levels } from '@/lib/stock/views/store'
import { ok, type Result } from '@/lib/units/result'
import { atTime, dayBounds, type Instant, instant } from '@/lib/units/time'

/** An order by every way that the shop has, other printers too, with what it was costed from. */
export type Comparison = { rows: Row[]; work: OrderWork; costing: Costing; shop: ShopWays }

/** Costs and prices an order by every way, with the shop's recipes, rates and price lists of now. */
export async function comparisonOf(
  order: OrderView,
  now: Instant,
  choices: PriceChoices = {},
): Promise<Result<Comparison>> {
  const [known, work, blanks, shelf] = await Promise.all([
    shopWaysAt(now),
    orderWork(order, order.method ?? 'transfer', now),
    blanksMissing(order),
    consumablesFree(now),
  ])
  const { costing } = known
  const all = { rush: order.rush, exempt: order.customer.taxExempt, ...choices }
  const rows = compare(
    work,
    costing,
    all,
    way => ({ missing: [...blanks, ...consumablesMissing(work, way, costing, shelf)] }),
    known.ways,
  )
  if (!rows.ok) return rows
  const out: Row[] = []
  for (const list of known.lists) {
    const row = contractRow(work, list, costing, all)
    if (!row.ok) return row
    out.push({ ...row.value, missing: blanks })
  }
  return ok({ rows: [...rows.value, ...out], work, costing, shop: known })
}

/** The ways of a comparison that can be made, as the trial plan takes them. */
export const trialWays = ({ rows, shop }: Comparison): TrialWay[] =>
  rows
    .filter(r => r.can)
    .map(r => {
      const recipe = shop.ways.find(w => w.key === r.key)?.recipe
      return { key: r.key, method: r.method, outside: r.outside, ...(recipe ? { recipe } : {}) }
    })

/** Blanks of an order that are not free on the shelf. */
async function blanksMissing(order: OrderView): Promise<Missing[]> {
  const free = await levels(order.lines.flatMap(l => l.sizes.map(s => s.itemId)))
  return order.lines.flatMap(line =>
    line.sizes.flatMap(s => {
      // What is promised to this very order is not missing for it.
      const short = order.agreedAt === null ? s.quantity - Math.max(0, free.get(s.itemId)?.free ?? 0) : 0
      return short > 0
        ? [{ name: `${line.style.name}, ${line.colour}, ${s.size}`, short, unit: String(short) }]
        : []
    }),
  )
}

/** What a way draws that is not free on the shelf. A consumable that the shop keeps no book of is not missing. */
function consumablesMissing(
  work: OrderWork,
  way: Way,
  costing: Costing,
  shelf: ReadonlyMap<string, number>,
): Missing[] {
  return consumption(orderBy(way, work), costingFor(way, costing)).flatMap(({ consumable, quantity }) => {
    const free = shelf.get(consumable)
    if (free === undefined) return []
    const short = quantity - Math.max(0, free)
    const { name, unit } = CONSUMABLE[consumable]
    return short > 0 ? [{ name, short, unit: formatQuantity(short, unit) }] : []
  })
}

/** What was typed for an offer, as the pricing takes it. The margin is chosen by those alone who may see it. */
export const choicesOf = (input: OfferInput, order: OrderView, costs: boolean): PriceChoices => ({
  ...(costs && input.pricing ? { pricing: input.pricing } : {}),
  typed: order.lines.map((_, i) => input.each[i] ?? null),
  discountBp: input.discount,
})

/** The chosen row as the terms of an offer. The customer reads the remarks on washing; the rest is for the shop. */
export function termsOf(
  row: Row,
  { costing, shop, work }: Comparison,
  input: OfferInput,
  zone: string,
): OfferTerms {
  const say = (codes: readonly string[]) =>
    row.remarks.filter(r => codes.includes(r.code)).map(r => r.message)
  const way: AgreedWay = {
    way: row.key,
    recipe: row.recipe,
    outside: row.outside,
    rateCard: shop.rateCard,
    taken: costing.taken ? [...costing.taken] : [],
    keptScreens: [...(work.keptScreens ?? [])],
    preparedArt: [...(work.preparedArt ?? [])],
  }
  return {
    method: row.method,
    way: row.key === row.method ? null : row.key,
    feel: row.feel.value.words,
    price: row.price,
    taxTerms: costing.rates.tax,
    promise: { at: atTime(input.promiseDay, input.promiseTime, zone), hard: input.promiseHard },
    validUntil: instant(dayBounds(input.validUntil, zone).to - 1),
    message: input.message,
    care: say(['wash']),
    cautions: say(['faded', 'tinted-ground', 'stretch', 'children']),
    belowCostWhy: input.belowCostWhy,
    work: { method: row.method, ...way, cost: row.cost },
  }
}
