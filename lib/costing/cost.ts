import { type Micro, micro } from '@/lib/units/money'
import { ok, type Result } from '@/lib/units/result'
import { checkOrder } from './check-order'
import { type LineWork, type OrderWork, piecesOf } from './order'
import type { Costing } from './prepare'
import { recount, type Work, workOf } from './steps'
import { type Term, termsOf } from './terms'
import { type Cost, growTree } from './tree'

/** A cost with the work it was made of. */
export type CostedOrder = { cost: Cost; work: Work }

/** The cost of an order as a tree with its workings, or why there is none. */
export function costOrder(order: OrderWork, costing: Costing): Result<CostedOrder> {
  const checked = checkOrder(order)
  if (!checked.ok) return checked
  const work = workOf(order, costing)
  const cost = growTree(termsOf(work, costing), checked.value, order.lines.length, costing.show.currency)
  return ok({ cost, work })
}

/** Micro-units of all terms, each rounded like the leaf that it makes. */
function amountOf(terms: readonly Term[]): Micro {
  let all = 0
  for (const term of terms) all += Math.round(term.exact())
  return micro(all)
}

/** The total alone, micro-units: the very same terms without tree and workings. Check the order first. */
export const costAmount = (order: OrderWork, costing: Costing): Micro =>
  amountOf(termsOf(workOf(order, costing), costing))

/** What of a line is in work: the line, or its garment sizes where a print differs by them. */
const inWork = (line: LineWork): string =>
  line.prints.some(p => p.bySize)
    ? line.sizes.map(s => (s.quantity > 0 ? 1 : 0)).join('')
    : piecesOf(line) > 0
      ? '1'
      : '0'

/**
 * Totals of one order in many quantities, micro-units. The orders have the same lines, prints and methods, in other numbers of
 * pieces; what hangs on the lines alone is worked out once for those that keep the same lines in work.
 */
export function costAmounts(orders: readonly OrderWork[], costing: Costing): Micro[] {
  const known = new Map<string, { work: Work; terms: Term[] }>()
  return orders.map(order => {
    const lines = order.lines.map(inWork).join()
    let made = known.get(lines)
    if (made) recount(made.work, order, costing)
    else {
      const work = workOf(order, costing)
      made = { work, terms: termsOf(work, costing) }
      known.set(lines, made)
    }
    return amountOf(made.terms)
  })
}
