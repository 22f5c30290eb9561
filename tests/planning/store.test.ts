import { beforeEach, describe, expect, test } from 'vitest'
import type { OrderView } from '@/lib/orders/order'
import { agreeAndPlan, currentPlan, openWork, planAnew, readyTimes, replan } from '@/lib/planning/store'
import { db, transaction } from '@/lib/server/database'
import type { MethodId } from '@/lib/shop/methods'
import { bookAtShelf } from '@/lib/stock/store'
import { micro } from '@/lib/units/money'
import { agreed, type Floor, later, NOW, openFloor } from '../floor/shop-floor'
import { enquire, offer } from '../orders/books'
import { freshDatabase } from '../support/database'

let floor: Floor
beforeEach(async () => {
  const close = await freshDatabase()
  floor = await openFloor()
  return close
}, 30_000)

const counts = async () => [
  await db().jobStep.count(),
  await db().plannedRun.count(),
  await db().stockPromise.count(),
  await db().history.count(),
]
const days = (n: number) => n * 24 * 60

describe('agreeing', () => {
  test('is all of it or nothing: a refused agreement leaves no step, no promise, no plan', async () => {
    const { token } = await offer(floor, { method: 'transfer' })
    const before = await counts()
    const made = await agreeAndPlan({ token, name: 'Marta Lopes', declares: false, now: NOW })
    expect(made).toMatchObject({ ok: false, code: 'uncleared' })
    expect(await counts()).toEqual(before)
  })

  test('twice at once makes one job', async () => {
    const { token } = await offer(floor, { method: 'transfer' })
    const both = await Promise.all(
      [1, 2].map(() => agreeAndPlan({ token, name: 'Marta Lopes', declares: true, now: NOW })),
    )
    expect(both.filter(b => b.ok)).toHaveLength(1)
    expect(await db().jobStep.count()).toBe(3)
  })

  test('by a method with no station for it is agreed, and the plan says what is missing', async () => {
    const { token } = await offer(floor, { method: 'dtg' })
    const made = await agreeAndPlan({ token, name: 'Marta Lopes', declares: true, now: NOW })
    expect(made.ok).toBe(true)
    const plan = await currentPlan(NOW)
    expect(plan.orders[0]?.readyAt).toBeNull()
    expect(plan.unplaced[0]?.why).toMatch(/^“Spray pretreat over the print area” of 1001 names no station/)
  })
})

describe('the plan on the board', () => {
  test('keeps its runs where they are when nothing has changed', async () => {
    await agreed(floor)
    await agreed(floor, false)
    const before = await currentPlan(NOW)
    expect((await replan('looked again', NOW)).ok).toBe(true)
    const after = await currentPlan(NOW)
    expect(after.runs).toEqual(before.runs)
    expect(after.version).toBe(before.version + 1)
    expect(after.reason).toBe('looked again')
  })

  test('lets a late order begin when its blanks come before their day, and moves no other', async () => {
    await agreed(floor)
    await agreed(floor, false)
    const third = await agreed(floor, false)
    // The last one lacks two S and two 2XL, which are not ordered: planned for when they could be here, which is too late for it.
    await db().order.update({ where: { id: third.id }, data: { promiseAt: new Date(later(days(1))) } })
    await db().order.updateMany({
      where: { id: { not: third.id } },
      data: { promiseAt: new Date(later(days(1) - 60)) },
    })
    await replan('promises changed', NOW)
    const runsOf = async () => {
      const { runs } = await currentPlan(NOW)
      const own = (mine: boolean) => runs.filter(r => (r.orderId === third.id) === mine)
      return { mine: own(true), others: own(false) }
    }
    const before = await runsOf()
    expect(before.mine[0]?.startAt).toBeGreaterThan(later(days(3)))
    for (const size of ['S', '2XL'])
      expect(
        await bookAtShelf(
          { sku: `T1-BLK-${size}`, by: 'Ana', now: NOW },
          { kind: 'received', quantity: 2, value: micro(6_000_000), why: 'came early' },
        ),
      ).toMatchObject({ ok: true })
    expect((await replan('blanks came', NOW)).ok).toBe(true)
    const after = await runsOf()
    expect(after.mine[0]?.startAt).toBeLessThan(later(days(1)))
    expect(after.others).toEqual(before.others)
    const { orders } = await currentPlan(NOW)
    expect(orders.find(o => o.id === third.id)?.readyAt).toBeLessThanOrEqual(later(days(1)))
  })

  test('that is asked for anew draws forward what could be worked sooner and is not late; mending leaves it', async () => {
    for (const first of [true, false, false]) await agreed(floor, first)
    const last = async () => Math.max(...(await currentPlan(NOW)).runs.map(r => r.endAt))
    // The third lacks blanks that are not ordered; its promise is far enough away for that.
    await db().order.updateMany({ data: { promiseAt: new Date(later(days(20))) } })
    await replan('promises changed', NOW)
    expect(await last()).toBeGreaterThan(later(days(3)))
    for (const size of ['S', '2XL'])
      await bookAtShelf(
        { sku: `T1-BLK-${size}`, by: 'Ana', now: NOW },
        { kind: 'received', quantity: 2, value: micro(6_000_000), why: 'came early' },
      )
    await replan('blanks came', NOW)
    expect(await last()).toBeGreaterThan(later(days(3)))
    const made = await planAnew('Ana', NOW)
    expect(made.ok && made.value.changed).toBeGreaterThan(0)
    expect(await last()).toBeLessThan(later(days(1)))
    expect(await planAnew('Ana', NOW)).toEqual({ ok: true, value: { changed: 0 } })
  })

  test('is made of the steps as they stand, not of what a transaction wrote and took back', async () => {
    await agreed(floor)
    const [step] = (await openWork(NOW)).rows.steps
    const id = step?.id ?? ''
    const minutes = async () => (await openWork(NOW)).rows.steps.find(s => s.id === id)?.runMinutes
    const takes = (runMinutes: number) =>
      db().jobStep.update({ where: { id }, data: { runMinutes, version: { increment: 1 } } })
    const seen: unknown[] = []
    await expect(
      transaction(async () => {
        await takes(111)
        seen.push(await minutes())
        throw new Error('taken back')
      }),
    ).rejects.toThrow('taken back')
    seen.push(await minutes())
    // The same version as the one that was taken back, and it says something else.
    await takes(222)
    seen.push(await minutes())
    expect(seen).toEqual([111, step?.runMinutes, 222])
    // Without another version nobody could tell that it has changed.
    await expect(
      db().$executeRaw`UPDATE "JobStep" SET "runMinutes" = 333 WHERE "id" = ${id}`,
    ).rejects.toThrow(/raises its version/)
  })

  test('of thousands of steps is made inside a transaction, too, where none was read before', async () => {
    await agreed(floor)
    const [step] = await db().jobStep.findMany({ take: 1 })
    if (!step) throw new Error('no step')
    const { sizes, recipe, ...row } = step
    const MANY = 1_200
    await db().jobStep.createMany({
      data: Array.from({ length: MANY }, (_, k) => ({
        ...row,
        id: `copy ${k}`,
        job: `copy ${k}`,
        sizes: sizes as object,
        recipe: recipe as object,
      })),
    })
    const { rows } = await transaction(() => openWork(NOW))
    expect(rows.steps.filter(s => s.id.startsWith('copy'))).toHaveLength(MANY)
  })

  test('serves each order from the shelf in turn of its promise', async () => {
    // Ten S on the shelf: two orders of four have theirs, the third lacks two.
    await agreed(floor)
    await agreed(floor, false)
    await agreed(floor, false)
    const holds = (await currentPlan(NOW)).orders.map(o => o.holds.map(h => h.text))
    expect(holds.filter(h => h.length === 0)).toHaveLength(2)
    expect(holds.flat()).toEqual([
      expect.stringMatching(
        /^2 × Heavy tee black (S|2XL) and 2 × Heavy tee black (S|2XL) missing and not ordered: order now to have them by Sun 17 May\.$/,
      ),
    ])
  })
})

describe('when an enquiry would be ready', () => {
  const ready = async (order: OrderView, ...methods: MethodId[]) =>
    readyTimes(
      order,
      methods.map(method => ({ key: method, method })),
      NOW,
    )

  test('is told for each method, and nothing is written', async () => {
    const order = await enquire(floor)
    const before = await counts()
    const [transfer, dtg] = await ready(order, 'transfer', 'dtg')
    expect(transfer?.readyAt).toBeGreaterThan(NOW)
    expect(transfer?.readyAt).toBeLessThan(later(240))
    expect(transfer?.waits).toEqual([])
    expect(dtg?.readyAt).toBeNull()
    expect(dtg?.waits[0]).toMatch(/names no station that can do it/)
    expect(await counts()).toEqual(before)
  })

  test('waits for blanks that other orders have been promised', async () => {
    await agreed(floor)
    await agreed(floor, false)
    const [transfer] = await ready(await enquire(floor), 'transfer')
    expect(transfer?.waits).toEqual([
      expect.stringMatching(
        /2 × Heavy tee black S .*missing and not ordered: order now to have them by Sun 17 May\.$/,
      ),
    ])
    expect(transfer?.readyAt).toBeGreaterThan(later(days(3)))
  })

  test('names the orders that it would make late', async () => {
    await agreed(floor)
    // One person, who has her hands full until then; and an enquiry that must be ready by that very minute.
    await db().crewMember.updateMany({ where: { name: 'Rui' }, data: { retired: true } })
    await replan('Rui is away', NOW)
    const end = (await currentPlan(NOW)).orders[0]?.readyAt ?? NOW
    await db().order.updateMany({ data: { promiseAt: new Date(end), promiseHard: false } })
    const rush = await enquire(floor, { promise: { at: end, hard: true } })
    const [transfer] = await ready(rush, 'transfer')
    expect(transfer?.makesLate.map(l => l.number)).toEqual([1001])
    expect(transfer?.makesLate[0]?.minutes).toBeGreaterThan(0)
  })
})
