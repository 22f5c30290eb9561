/**
 * Planned against real, split the textbook way, in one money unit throughout. Positive is unfavourable: it cost more than
 * planned.
 * price = (real price − planned price) × real quantity; usage = (real quantity − planned quantity) × planned price.
 * For labour and machines quantity is time: what is usage of material is time there, and price is the rate.
 */
export type Variance = { price: number; usage: number; time: number; total: number }

/** A quantity and what all of it costs. Quantity 0 or more. */
export type Amount = { quantity: number; cost: number }

/**
 * Splits planned against real. The parts add up to the whole exactly: usage or time is rounded to the unit of the costs,
 * halves away from zero, and price is the rest. What was not planned at all is usage or time; so is what was planned and not used.
 * @param timed whether the quantity is time: of labour or of a machine
 */
export function varianceOf(planned: Amount, real: Amount, timed = false): Variance {
  const total = real.cost - planned.cost
  const split = (price: number, used: number): Variance => ({
    price,
    usage: timed ? 0 : used,
    time: timed ? used : 0,
    total,
  })
  if (planned.quantity === 0 || real.quantity === 0) return split(0, total)
  const exact = ((real.quantity - planned.quantity) * planned.cost) / planned.quantity
  const usage = Math.sign(exact) * Math.round(Math.abs(exact)) || 0
  return split(total - usage || 0, usage)
}

/** Sum of variances, part by part. */
export const sumVariance = (list: Iterable<Variance>): Variance => {
  const sum = { price: 0, usage: 0, time: 0, total: 0 }
  for (const v of list) {
    sum.price += v.price
    sum.usage += v.usage
    sum.time += v.time
    sum.total += v.total
  }
  return sum
}
