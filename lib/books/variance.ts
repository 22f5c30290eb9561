/**
 * Planned against real, split the textbook way, in one money unit throughout. Positive is unfavourable: it cost more than
 * planned.
 * price = (real price − planned price) × real quantity; usage = (real quantity − planned quantity) × planned price.
 * For labour and machines quantity is time: usage is then called time, price the rate.
 */
export type Variance = { price: number; usage: number; total: number }

/** A quantity and what all of it costs. Quantity 0 or more. */
export type Amount = { quantity: number; cost: number }

/**
 * Splits planned against real. The two parts add up to the whole exactly: usage is rounded to the unit of the costs,
 * halves away from zero, and price is the rest. What was not planned at all is usage; so is what was planned and not used.
 */
export function varianceOf(planned: Amount, real: Amount): Variance {
  const total = real.cost - planned.cost
  if (planned.quantity === 0 || real.quantity === 0) return { price: 0, usage: total, total }
  const exact = ((real.quantity - planned.quantity) * planned.cost) / planned.quantity
  const usage = Math.sign(exact) * Math.round(Math.abs(exact)) || 0
  return { price: total - usage || 0, usage, total }
}

/** Sum of variances, part by part. */
export const sumVariance = (list: Iterable<Variance>): Variance => {
  const sum = { price: 0, usage: 0, total: 0 }
  for (const v of list) {
    sum.price += v.price
    sum.usage += v.usage
    sum.total += v.total
  }
  return sum
}
