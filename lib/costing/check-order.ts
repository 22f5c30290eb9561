import { ok, type Result, refuse } from '@/lib/units/result'
import type { OrderWork } from './order'

/** The most pieces that one order is costed for. */
export const MOST_PIECES = 100_000

/** Whether an order can be costed: at least one piece, whole numbers, no vast ones. */
export function checkOrder(order: OrderWork): Result<number> {
  let pieces = 0
  for (const line of order.lines)
    for (const size of line.sizes) {
      if (!Number.isSafeInteger(size.quantity) || size.quantity < 0)
        return refuse(
          'quantity',
          `${size.quantity} is not a number of pieces: type a whole number, 0 or more.`,
          'quantity',
        )
      if (!Number.isSafeInteger(size.unitCost) || size.unitCost < 0)
        return refuse('blank-cost', `${size.name} has no cost: put in what a blank costs.`, 'unitCost')
      pieces += size.quantity
    }
  if (pieces === 0)
    return refuse('no-pieces', 'There are no pieces yet: type how many of each size.', 'quantity')
  if (pieces > MOST_PIECES)
    return refuse(
      'too-many',
      `${pieces.toLocaleString('en')} pieces are more than one order holds: at most ${MOST_PIECES.toLocaleString('en')}. Split it into several orders.`,
      'quantity',
    )
  for (const line of order.lines)
    for (const print of line.prints.flatMap(p => [p, ...(p.bySize ?? [])]))
      if (!(print.widthMm > 0) || !(print.heightMm > 0) || print.widthMm > 5000 || print.heightMm > 5000)
        return refuse('print-size', 'A print needs a width and a height from above 0 to 5,000 mm.', 'width')
  return ok(pieces)
}
