import { comparisonOf, trialWays } from '@/app/counter/comparison'
import { costCurves } from '@/lib/methods/curve'
import { getOrder } from '@/lib/orders/store'
import { readyTimes } from '@/lib/planning/store'
import { instantOf } from '@/lib/units/time'

/** Quantities and ways of the costing that is measured. */
const QUANTITIES = 500
const WAYS = 6

/** Milliseconds that the side-by-side comparison of one enquiry takes: costed, priced and planned by every way; and its cost curves alone. */
export type WaysTimes = { ways: number; costed: number; planned: number; whole: number; curves: number }

/** Measures the comparison of one enquiry, the median of nine runs after two. */
export async function timeWays(number: number): Promise<WaysTimes> {
  const runs: Omit<WaysTimes, 'ways'>[] = []
  let ways = 0
  for (let k = 0; k < 11; k++) {
    const began = performance.now()
    const order = await getOrder(number)
    if (!order) throw new Error(`There is no order ${number}.`)
    const now = instantOf(new Date())
    const found = await comparisonOf(order, now)
    if (!found.ok) throw new Error(found.message)
    const costed = performance.now()
    const able = trialWays(found.value)
    ways = able.length
    await readyTimes(order, able, now)
    const planned = performance.now()
    const { work, costing, shop } = found.value
    const [first] = shop.ways
    if (!first) throw new Error('The shop has no way to print.')
    // As many ways as are asked for, whatever machines the shop has.
    const six = Array.from({ length: WAYS }, (_, i) => shop.ways[i] ?? { ...first, key: `again ${i}` })
    costCurves(work, six, costing, QUANTITIES)
    runs.push({
      costed: costed - began,
      planned: planned - costed,
      whole: planned - began,
      curves: performance.now() - planned,
    })
  }
  const median = (of: (r: Omit<WaysTimes, 'ways'>) => number) => {
    const sorted = runs
      .slice(2)
      .map(of)
      .sort((a, b) => a - b)
    return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN
  }
  return {
    ways,
    costed: median(r => r.costed),
    planned: median(r => r.planned),
    whole: median(r => r.whole),
    curves: median(r => r.curves),
  }
}
