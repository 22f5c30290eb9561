import type { OrderWork } from './order'

/**
 * The same order in 1 to `most` pieces, sizes keeping their shares: each further piece goes to the size that is furthest behind
 * (Sainte-Laguë), so no size ever loses a piece when the order grows, and at the order's own quantity it is the order itself.
 * An order without pieces counts as having one of each size.
 */
export function ordersUpTo(order: OrderWork, most: number): OrderWork[] {
  const sizes = order.lines.flatMap((line, i) =>
    line.sizes.map((size, k) => ({ i, k, share: Math.max(0, size.quantity), given: 0 })),
  )
  if (sizes.length === 0) return []
  if (sizes.every(s => s.share === 0)) for (const s of sizes) s.share = 1
  const counts = order.lines.map(line => line.sizes.map(() => 0))
  const orders: OrderWork[] = []
  for (let n = 1; n <= most; n++) {
    let next = sizes[0] as (typeof sizes)[number]
    let furthest = -1
    for (const s of sizes) {
      const behind = s.share / (2 * s.given + 1)
      if (behind > furthest) {
        furthest = behind
        next = s
      }
    }
    next.given++
    const row = counts[next.i] as number[]
    row[next.k] = next.given
    orders.push({
      ...order,
      lines: order.lines.map((line, i) => ({
        ...line,
        sizes: line.sizes.map((size, k) => ({ ...size, quantity: counts[i]?.[k] ?? 0 })),
      })),
    })
  }
  return orders
}
