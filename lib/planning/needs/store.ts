import 'server-only'
import { db } from '@/lib/server/database'
import { levels } from '@/lib/stock/views/store'
import { type Instant, instant, instantOf } from '@/lib/units/time'
import { notCovered } from './wanting'

/** When work wants an item: how the plan has it, and until when it may be late without a promise being missed. */
export type Need = {
  orderNumber: number
  /** What it lacks: neither on the shelf, on the way nor written to be bought. Base units, above 0. */
  quantity: number
  /** When the plan begins its work; null: it has no place yet. */
  begins: Instant | null
  /** The latest beginning with which the promise is still kept; null: nothing was promised, it has no place, or work begins without it. */
  latest: Instant | null
  promiseAt: Instant | null
  /** Whether it is for pieces that may spoil: work begins without it. */
  spare: boolean
}

/**
 * Orders that want more of some items than is there, comes or is written to be bought, the most urgent first. The plan's work of an order may move as one by what
 * lies between its end and its promise; an order that is late already has no room.
 */
export async function needsOf(itemIds: readonly string[]): Promise<Map<string, Need[]>> {
  const ids = [...new Set(itemIds)]
  const [promises, shelf] = await Promise.all([
    db().stockPromise.findMany({ where: { itemId: { in: ids } } }),
    levels(ids),
  ])
  const orders = await db().order.findMany({
    where: { id: { in: [...new Set(promises.map(p => p.orderId))] } },
    select: {
      id: true,
      number: true,
      promiseAt: true,
      jobSteps: {
        where: { state: { in: ['waiting', 'running', 'paused'] } },
        select: { run: { select: { startAt: true, endAt: true } } },
      },
    },
  })
  const by = new Map(orders.map(o => [o.id, o]))
  const never = Number.POSITIVE_INFINITY
  const there = new Map([...shelf].map(([id, l]) => [id, Math.max(0, l.onHand) + l.onTheWay + l.written]))
  const wanted = notCovered(
    promises.flatMap(p => {
      const order = by.get(p.orderId)
      if (!order) return []
      const { orderId, itemId, quantity, allowance } = p
      const row = { orderId, itemId, promiseAt: order.promiseAt && instantOf(order.promiseAt) }
      return [
        { ...row, quantity: quantity - allowance, spare: false },
        { ...row, quantity: allowance, spare: true },
      ]
    }),
    there,
  )
  const needs = new Map<string, Need[]>()
  for (const { orderId, itemId, quantity, promiseAt, spare } of wanted) {
    const order = by.get(orderId)
    if (!order) continue
    const runs = order.jobSteps.flatMap(s => (s.run ? [s.run] : []))
    const begins = runs.length ? instant(Math.min(...runs.map(r => r.startAt.getTime()))) : null
    const ends = runs.length ? Math.max(...runs.map(r => r.endAt.getTime())) : null
    const latest =
      begins === null || ends === null || promiseAt === null || spare
        ? null
        : instant(begins + Math.max(0, promiseAt - ends))
    const list = needs.get(itemId) ?? []
    list.push({ orderNumber: order.number, quantity, begins, latest, promiseAt, spare })
    needs.set(itemId, list)
  }
  for (const list of needs.values())
    list.sort(
      (a, b) =>
        Number(a.spare) - Number(b.spare) ||
        (a.latest ?? a.promiseAt ?? never) - (b.latest ?? b.promiseAt ?? never),
    )
  return needs
}
