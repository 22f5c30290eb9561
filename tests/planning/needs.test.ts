import { beforeEach, describe, expect, test } from 'vitest'
import { needsOf } from '@/lib/planning/needs/store'
import { notCovered } from '@/lib/planning/needs/wanting'
import { currentPlan } from '@/lib/planning/store'
import { db } from '@/lib/server/database'
import { writePurchase } from '@/lib/stock/purchases/store'
import { micro } from '@/lib/units/money'
import { instant } from '@/lib/units/time'
import { agreed, type Floor, later, NOW, openFloor } from '../floor/shop-floor'
import { freshDatabase } from '../support/database'

describe('what no goods cover', () => {
  const want = (orderId: string, quantity: number, promiseAt: number | null = 0) => ({
    ...{ orderId, itemId: 'tee', quantity, spare: false },
    promiseAt: promiseAt === null ? null : instant(promiseAt),
  })
  test('is wanted by the latest promises; one without a date comes last', () => {
    const promised = [want('c', 4, null), want('b', 4, 200), want('a', 4, 100)]
    expect(notCovered(promised, new Map([['tee', 6]]))).toEqual([want('b', 2, 200), want('c', 4, null)])
    expect(notCovered(promised, new Map([['tee', 12]]))).toEqual([])
    expect(notCovered(promised, new Map())).toHaveLength(3)
  })
  test('a shelf below nothing covers nothing, and gives no more than it has', () => {
    expect(notCovered([want('a', 3), want('b', 3)], new Map([['tee', -5]]))).toEqual([
      want('a', 3),
      want('b', 3),
    ])
  })
})

describe('when work wants goods', () => {
  let floor: Floor
  beforeEach(async () => {
    const close = await freshDatabase()
    floor = await openFloor()
    return close
  }, 30_000)
  const wanting = async () =>
    (await needsOf([floor.itemId('S'), floor.itemId('M')])).get(floor.itemId('S')) ?? []

  // Ten S on the shelf: two orders of four have theirs, the third lacks two.
  const three = async () => [await agreed(floor), await agreed(floor, false), await agreed(floor, false)]

  test('the order that lacks some is named with what it lacks, its place in the plan and its room', async () => {
    const made = await three()
    const last = [...made].sort((a, b) => (a.id < b.id ? -1 : 1)).at(-1)
    const [need, ...more] = await wanting()
    expect(more).toEqual([])
    expect(need).toMatchObject({ orderNumber: last?.number, quantity: 2 })
    const runs = (await currentPlan(NOW)).runs.filter(r => r.orderId === last?.id)
    expect(need?.begins).toBe(Math.min(...runs.map(r => r.startAt)))
    // Its work may move as one until its end meets the promise, and not a minute more.
    const end = Math.max(...runs.map(r => r.endAt))
    expect((need?.latest ?? 0) - (need?.begins ?? 0)).toBe((need?.promiseAt ?? 0) - end)
    expect(need?.latest).toBeGreaterThan(NOW)
  })

  test('one that is late already has no room; without a promise there is no latest day', async () => {
    await three()
    const order = { number: (await wanting())[0]?.orderNumber ?? 0 }
    await db().order.update({ where: order, data: { promiseAt: new Date(later(1)) } })
    // It is served first now, as its promise is the earliest: another lacks the two.
    const [need] = await wanting()
    expect(need?.orderNumber).not.toBe(order.number)
    await db().order.updateMany({ data: { promiseAt: new Date(later(1)) } })
    const [late] = await wanting()
    expect(late?.latest).toBe(late?.begins)
    await db().order.updateMany({ data: { promiseAt: null } })
    expect((await wanting())[0]).toMatchObject({ quantity: 2, latest: null, promiseAt: null })
  })

  test('one without a place in the plan has no day', async () => {
    await three()
    await db().plannedRun.deleteMany()
    expect((await wanting())[0]).toMatchObject({ quantity: 2, begins: null, latest: null })
  })

  test('goods on the way cover it, in part or whole', async () => {
    await three()
    const order = (quantity: number) =>
      writePurchase({
        ...{ supplier: 'Loom & Sons', dueAt: null, note: '', by: 'Ines', now: NOW },
        rows: [{ itemId: floor.itemId('S'), quantity, value: micro(3_000_000 * quantity) }],
      })
    await order(1)
    expect((await wanting()).map(n => n.quantity)).toEqual([1])
    await order(1)
    expect(await wanting()).toEqual([])
  })
})
