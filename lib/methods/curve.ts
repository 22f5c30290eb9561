import { costAmounts } from '@/lib/costing/cost'
import type { OrderWork } from '@/lib/costing/order'
import type { Costing } from '@/lib/costing/prepare'
import { ordersUpTo } from '@/lib/costing/scale'
import type { Micro } from '@/lib/units/money'
import { costingFor, orderBy, type Way } from './way'

/** Cost of one order against its quantity, by one way. Index 0 is one piece. */
export type Curve = {
  key: string
  name: string
  /** Total, micro-units. */
  amounts: Micro[]
  /** From this many pieces on the way is open. */
  from: number
}

/** Pieces that a curve reaches. */
export const CURVE_MOST = 500

/** Cost against quantity from 1 to `most` pieces for every way, from the very costing that the comparison uses. Sizes keep their shares. */
export function costCurves(
  order: OrderWork,
  ways: readonly Way[],
  costing: Costing,
  most = CURVE_MOST,
): Curve[] {
  const orders = ordersUpTo(order, most)
  return ways.map(way => ({
    key: way.key,
    name: way.name,
    amounts: costAmounts(
      orders.map(o => orderBy(way, o)),
      costingFor(way, costing),
    ),
    from: costing.rates.leastPieces[way.method],
  }))
}

/** Cost of one piece at a quantity, micro-units, not rounded; null outside the curve. */
export function costEach(curve: Curve, pieces: number): number | null {
  const amount = curve.amounts[pieces - 1]
  return amount === undefined ? null : amount / pieces
}
