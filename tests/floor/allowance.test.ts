import { beforeEach, expect, test } from 'vitest'
import { takeBackReport } from '@/lib/floor/counter/store'
import { finishStep, reportMisprint, startStep } from '@/lib/floor/store'
import { handOver } from '@/lib/orders/store'
import { needsOf } from '@/lib/planning/needs/store'
import { currentPlan, replan } from '@/lib/planning/store'
import { db, transaction } from '@/lib/server/database'
import { defaultRates } from '@/lib/shop/rates'
import { addRateCard } from '@/lib/shop/store'
import { countTx, keptForOrder } from '@/lib/stock/store'
import { findItem, levels } from '@/lib/stock/views/store'
import { instant } from '@/lib/units/time'
import { freshDatabase } from '../support/database'
import { ANA, agreed, type Floor, key, later, NOW, openFloor, stepNamed, stepsOfOrder } from './shop-floor'

// Eight tees, four S and four 2XL, by a method that spoils one in twenty, started so that enough come out good nine times in ten:
// of 4 pieces all are good with 0.95^4 = 0.8145, of 5 at least 4 with 0.95^5 + 5 × 0.05 × 0.95^4 = 0.9774. So 4 + 1 of each size.
let floor: Floor
let order: { number: number; id: string }
beforeEach(async () => {
  const close = await freshDatabase()
  floor = await openFloor()
  const { transfer } = defaultRates.spoilage
  const spoilage = { ...defaultRates.spoilage, transfer: { ...transfer, rate: 0.05 } }
  await addRateCard({
    validFrom: instant(1),
    rates: { ...defaultRates, transferDays: 0, spoilage },
    byName: 'Ines',
  })
  order = await agreed(floor)
  return close
}, 30_000)

const small = async () => (await levels([floor.itemId('S')])).get(floor.itemId('S'))
const holds = async () => (await currentPlan(NOW)).orders[0]?.holds.map(h => h.text)
const count = async (found: number) => {
  const counted = await transaction(tx =>
    countTx(tx, floor.itemId('S'), found, new Map(), 'counted', 'Ines', NOW),
  )
  if (!counted.ok) throw new Error(counted.message)
  await replan('counted', NOW)
}
const work = async (name: string, station: string, good: number, minutes: number, job?: string) => {
  const step = await stepNamed(order.id, name, job)
  const how = { stepId: step.id, by: ANA }
  const begun = await startStep({
    ...how,
    stationId: floor.stationId(station),
    now: later(minutes),
    formKey: key(),
  })
  if (!begun.ok) throw new Error(begun.message)
  if (good === 0) return step.id
  const done = await finishStep({ ...how, good, now: later(minutes + 5), formKey: key() })
  if (!done.ok) throw new Error(done.message)
  return step.id
}
const spoil = async (stepId: string, minutes: number) => {
  const said = await reportMisprint({
    ...{ stepId, itemId: floor.itemId('S'), quantity: 1, reason: 'heat' as const, note: '' },
    ...{ by: ANA, now: later(minutes), formKey: key() },
  })
  if (!said.ok) throw new Error(said.message)
}

test('blanks are promised with the allowance; work waits for the ordered ones alone, the rest is bought', async () => {
  expect(await small()).toMatchObject({ onHand: 10, promised: 5, allowance: 1, free: 5, short: 0 })
  expect((await keptForOrder(order.id)).map(k => [k.ordered, k.allowance])).toEqual([
    [4, 1],
    [4, 1],
  ])
  await count(4)
  // The ordered four are there: nothing holds the order, and one more is proposed to be bought.
  expect(await holds()).toEqual([])
  expect(await small()).toMatchObject({ free: -1, short: 0, toBuy: 1 })
  const { sku } = await db().stockItem.findUniqueOrThrow({ where: { id: floor.itemId('S') } })
  expect((await findItem(sku))?.toOrder).toBe(1)
  const needs = async () => (await needsOf([floor.itemId('S')])).get(floor.itemId('S'))
  expect(await needs()).toMatchObject([{ orderNumber: order.number, quantity: 1, spare: true, latest: null }])
  await work('cut', 'bench', 8, 0)
  await count(3)
  expect(await holds()).toEqual([expect.stringMatching(/^1 × .* missing and not ordered/)])
  expect((await needs())?.map(n => [n.quantity, n.spare])).toEqual([
    [1, false],
    [1, true],
  ])
})

test('a spoiled piece uses up the allowance, and gives it back when that was an error', async () => {
  await work('cut', 'bench', 8, 0)
  const press = await work('press', 'press-a', 0, 6)
  expect(await small()).toMatchObject({ onHand: 6, promised: 1, allowance: 1 })
  await spoil(press, 10)
  expect(await small()).toMatchObject({ onHand: 5, promised: 0, free: 5 })
  const wrong = await db().report.findFirstOrThrow({ where: { stepId: press, kind: 'misprint' } })
  const back = await takeBackReport({
    ...{ stepId: press, reportId: wrong.id, why: 'it was a thread', by: ANA },
    ...{ now: later(12), formKey: key() },
  })
  expect(back).toMatchObject({ ok: true })
  expect(await small()).toMatchObject({ onHand: 6, promised: 1, allowance: 1, free: 5 })
})

test('where no blank is left, one is kept for the remake until it begins', async () => {
  await count(4)
  await work('cut', 'bench', 8, 0)
  const press = await work('press', 'press-a', 0, 6)
  await spoil(press, 10)
  // What was kept in case is wanted now.
  expect(await small()).toMatchObject({ onHand: 0, promised: 1, allowance: 0, short: 1, toBuy: 1 })
  await count(3)
  const begin = async (minutes: number) => {
    const first = (await stepsOfOrder(order.id)).find(s => s.job === 'remake-1' && s.key === 'press')
    await startStep({
      ...{ stepId: first?.id ?? '', stationId: floor.stationId('press-b') },
      ...{ by: { id: 'rui', name: 'Rui' }, now: later(minutes), formKey: key() },
    })
    return first?.id ?? ''
  }
  await work('cut', 'bench', 1, 11, 'remake-1')
  const stepId = await begin(20)
  expect(await small()).toMatchObject({ onHand: 2, promised: 0 })
  // Taken back, the remake waits again, and one is kept for it again.
  const start = await db().report.findFirstOrThrow({ where: { stepId, kind: 'start' } })
  const how = { stepId, reportId: start.id, why: 'the wrong press', by: ANA, now: later(22), formKey: key() }
  expect(await takeBackReport(how)).toMatchObject({ ok: true })
  expect(await small()).toMatchObject({ onHand: 3, promised: 1, allowance: 0 })
})

test('what was not needed is free again when the order is ready, and nothing is kept once it is handed over', async () => {
  await work('cut', 'bench', 8, 0)
  await work('press', 'press-a', 8, 6)
  expect(await small()).toMatchObject({ promised: 1, free: 5 })
  await work('pack', 'bench', 8, 20)
  expect(await small()).toMatchObject({ onHand: 6, promised: 0, free: 6 })
  const { version } = await db().order.findUniqueOrThrow({ where: { id: order.id } })
  await db().stockPromise.create({ data: { orderId: order.id, itemId: floor.itemId('S'), quantity: 2 } })
  expect(await handOver(order.number, version, ANA, later(60))).toMatchObject({ ok: true })
  expect(await db().stockPromise.count()).toBe(0)
})
