import { costOrder } from '@/lib/costing/cost'
import type { OrderWork } from '@/lib/costing/order'
import type { Costing } from '@/lib/costing/prepare'
import { type Price, type PriceChoices, priceCosted } from '@/lib/costing/price'
import type { Cost } from '@/lib/costing/tree'
import type { MethodId } from '@/lib/shop/methods'
import type { Recipe } from '@/lib/shop/recipe'
import { type Micro, micro, microPerMinor } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import type { Instant } from '@/lib/units/time'
import type { Worked } from '@/lib/units/working'
import type { PriceList } from './contract'
import { feasible, type Reason, type Remark } from './feasible'
import { type Feel, feelOf } from './feel'
import { costingFor, orderBy, shopWays, type Way } from './way'

/** What the shelf lacks for a way: pieces, or base units of a consumable. */
export type Missing = { name: string; short: number; unit: string }

/** One way beside the others. */
export type Row = {
  key: string
  name: string
  method: MethodId
  /** What it is made by; null where another printer does it. */
  recipe: Pick<Recipe, 'id' | 'version' | 'name'> | null
  /** The price list of the other printer that does it. */
  outside: PriceList | null
  can: boolean
  reasons: Reason[]
  remarks: Remark[]
  waitDays: number
  feel: Worked<Feel>
  cost: Cost
  /** Cost of one piece, micro-units. */
  costEach: Micro
  price: Price
  /** Net price of one piece, micro-units. */
  priceEach: Micro
  missing: Missing[]
  /** Earliest ready time from the trial plan; null: not planned, or it cannot be. */
  readyAt: Instant | null
}

/** What other rooms know about a way. */
export type Beside = { missing?: Missing[]; readyAt?: Instant | null }

/**
 * The ways to make an order side by side, each costed and priced, those that cannot too, with every reason. Refused when the order
 * itself cannot be costed (no pieces, a print of no width).
 * @param beside what the stockroom and the trial plan say of a way, by its key; asked for ways that can be made
 */
export function compare(
  order: OrderWork,
  costing: Costing,
  choices: PriceChoices = {},
  beside: (way: Way) => Beside = () => ({}),
  ways: readonly Way[] = shopWays(costing),
): Result<Row[]> {
  const rows: Row[] = []
  for (const way of ways) {
    const own = costingFor(way, costing)
    const made = orderBy(way, order)
    const costed = costOrder(made, own)
    if (!costed.ok) return costed
    const { cost } = costed.value
    const price = priceCosted(made, cost, costing, choices)
    const feasibility = feasible(made, own)
    const known = feasibility.can ? beside(way) : {}
    rows.push({
      key: way.key,
      name: way.name,
      method: way.method,
      recipe: { id: way.recipe.id, version: way.recipe.version, name: way.recipe.name },
      outside: null,
      ...feasibility,
      feel: feelOf(made, own.recipes),
      cost,
      costEach: cost.perPiece,
      price,
      priceEach: micro(Math.round((price.net * microPerMinor(costing.show.currency)) / cost.pieces)),
      missing: known.missing ?? [],
      readyAt: known.readyAt ?? null,
    })
  }
  return { ok: true, value: rows }
}

/** What the owner cares for today. */
export const SORTS = ['margin', 'cost', 'date', 'feel'] as const
export type SortBy = (typeof SORTS)[number]

/** Rows in another order: those that can be made first, then the best by what is asked, ties as they stood. */
export function sortRows(rows: readonly Row[], by: SortBy): Row[] {
  const rank: Record<SortBy, (row: Row) => number> = {
    margin: row => -row.price.margin,
    cost: row => row.cost.amount,
    date: row => row.readyAt ?? Number.POSITIVE_INFINITY,
    feel: row => row.feel.value.score,
  }
  return rows.toSorted((a, b) => {
    if (a.can !== b.can) return a.can ? -1 : 1
    const x = rank[by](a)
    const y = rank[by](b)
    return x === y ? 0 : x - y
  })
}
