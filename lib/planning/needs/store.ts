import 'server-only'
import { db } from '@/lib/server/database'
import { type Instant, instant, instantOf } from '@/lib/units/time'

/** When work wants an item: how the plan has it, and until when it may be late without a promise being missed. */
export type Need = {
  orderNumber: number
  quantity: number
  /** When the plan begins its work; null: it has no place yet. */
  begins: Instant | null
  /** The latest beginning with which the promise is still kept; null: nothing was promised, or it has no place. */
  latest: Instant | null
  promiseAt: Instant | null
}

/**
 * What waits for some items, the most urgent first. The plan's work of an order may move as one by what lies between its end and its
 * promise; an order that is late already has no room.
 */
export async function needsOf(itemIds: readonly string[]): Promise<Map<string, Need[]>> {
  const promises = await db().stockPromise.findMany({ where: { itemId: { in: [...new Set(itemIds)] } } })
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
  const needs = new Map<string, Need[]>()
  for (const p of promises) {
    const order = by.get(p.orderId)
    if (!order) continue
    const runs = order.jobSteps.flatMap(s => (s.run ? [s.run] : []))
    const begins = runs.length ? instant(Math.min(...runs.map(r => r.startAt.getTime()))) : null
    const ends = runs.length ? Math.max(...runs.map(r => r.endAt.getTime())) : null
    const promiseAt = order.promiseAt && instantOf(order.promiseAt)
    const latest =
      begins === null || ends === null || promiseAt === null
        ? null
        : instant(begins + Math.max(0, promiseAt - ends))
    const list = needs.get(p.itemId) ?? []
    list.push({ orderNumber: order.number, quantity: p.quantity, begins, latest, promiseAt })
    needs.set(p.itemId, list)
  }
  const never = Number.POSITIVE_INFINITY
  for (const list of needs.values())
    list.sort((a, b) => (a.latest ?? a.promiseAt ?? never) - (b.latest ?? b.promiseAt ?? never))
  return needs
}
