import { LineChart } from '@/app/parts/line-chart'
import { Notice } from '@/app/parts/notice'
import { contractCurve } from '@/lib/methods/contract'
import { cheapestWords, lastingCrossings } from '@/lib/methods/crossings'
import { costCurves, costEach } from '@/lib/methods/curve'
import { METHOD_WORDS, type MethodId } from '@/lib/shop/methods'
import { formatMicro, roundToMicro } from '@/lib/units/money'
import type { Comparison } from './comparison'
import styles from './counter.module.css'

/** Quantities that the table beside the curves shows. */
const TABLE = [1, 5, 12, 24, 50, 100, 250, 500]

/** Cost of one piece against quantity, by every method that can be done, from the very same costing. */
export function CostChart({
  comparison,
  pieces,
  currency,
}: {
  comparison: Comparison
  pieces: number
  currency: string
}) {
  const { rows, work, costing, shop } = comparison
  // Too few pieces is a matter of quantity, which is what the curve is about: such a method is drawn from its least.
  const can = new Set(
    rows.filter(r => r.can || r.reasons.every(reason => reason.code === 'least-pieces')).map(r => r.key),
  )
  const ways = shop.ways.filter(w => can.has(w.key))
  const lists = rows.flatMap(r => (r.outside && can.has(r.key) ? [r.outside] : []))
  if (ways.length + lists.length === 0)
    return <Notice>No method can make this order, so there is no cost to draw.</Notice>
  const curves = [
    ...costCurves(work, ways, costing),
    ...lists.map(list => contractCurve(work, list, costing)),
  ]
  // Every quantity up to 60, where the steps are; then every fifth.
  const drawn = Array.from({ length: 500 }, (_, i) => i + 1).filter(
    n => n <= 60 || n % 5 === 0 || n === pieces || TABLE.includes(n),
  )
  const money = (y: number) => formatMicro(roundToMicro(Math.round(y / 10_000) * 10_000), currency)
  return (
    <>
      {curves.length > 1 && (
        <div className={styles.cheapest}>
          {cheapestWords(curves, pieces).map(words => (
            <p key={words}>{words}</p>
          ))}
        </div>
      )}
      <LineChart
        title="Cost of one piece by quantity"
        xLabel="pieces"
        yLabel={`${currency} for one`}
        log
        formatY={money}
        at={pieces <= 500 ? { x: pieces, text: `this order, ${pieces}` } : undefined}
        tableAt={TABLE}
        lines={curves.map(curve => ({
          key: curve.key,
          name: METHOD_WORDS[curve.key as MethodId]?.short ?? curve.name,
          points: drawn.flatMap(x => {
            const y = x >= curve.from ? costEach(curve, x) : null
            return y === null ? [] : [{ x, y }]
          }),
        }))}
        crossings={lastingCrossings(curves).map(c => ({
          x: c.pieces,
          y:
            costEach(curves.find(k => k.key === c.to) ?? (curves[0] as (typeof curves)[number]), c.pieces) ??
            0,
          text: c.message,
        }))}
      />
    </>
  )
}
