import { beforeEach, describe, expect, test } from 'vitest'
import { takeBackReport } from '@/lib/floor/counter/store'
import { finishStep, reportMisprint, startStep } from '@/lib/floor/store'
import { getOrder } from '@/lib/orders/store'
import { currentPlan } from '@/lib/planning/store'
import { db } from '@/lib/server/database'
import { checkBooks } from '@/lib/stock/proof/store'
import { levels } from '@/lib/stock/views/store'
import { freshDatabase } from '../support/database'
import { ANA, agreed, type Floor, key, later, openFloor, RUI, stepNamed, stepsOfOrder } from './shop-floor'

let floor: Floor
let order: { number: number; id: string }
beforeEach(async () => {
  const close = await freshDatabase()
  floor = await openFloor()
  order = await agreed(floor)
  return close
}, 30_000)

const start = (stepId: string, station: string, minutes: number, at?: number) =>
  startStep({
    stepId,
    stationId: floor.stationId(station),
    by: ANA,
    now: later(minutes),
    formKey: key(),
    ...(at === undefined ? {} : { at: later(at) }),
  })
const finish = (stepId: string, good: number, minutes: number, sizes?: Map<string, number>, at?: number) =>
  finishStep({
    stepId,
    good,
    by: ANA,
    now: later(minutes),
    formKey: key(),
    sizes,
    ...(at === undefined ? {} : { at: later(at) }),
  })
const misprint = (stepId: string, size: string, minutes: number) =>
  reportMisprint({
    stepId,
    itemId: floor.itemId(size),
    quantity: 1,
    reason: 'heat',
    note: '',
    by: ANA,
    now: later(minutes),
    formKey: key(),
  })
const back = async (stepId: string, kind: string, minutes: number, formKey = key()) => {
  const reports = await db().report.findMany({
    where: { stepId, kind, id: { notIn: await undone() } },
    orderBy: { id: 'desc' },
  })
  return takeBackReport({
    stepId,
    reportId: reports[0]?.id ?? '',
    why: 'the wrong order was on the screen',
    by: RUI,
    now: later(minutes),
    formKey,
  })
}
const undone = async () =>
  (await db().report.findMany({ where: { undoes: { not: null } } })).map(r => r.undoes as string)
const told = (r: { ok: boolean; message?: string }) => (r.ok ? 'done' : r.message)
const onHand = async (size: string) => (await levels([floor.itemId(size)])).get(floor.itemId(size))
const step = (k: string) => stepNamed(order.id, k)
const sums = async () => {
  const w = await db().workLog.aggregate({
    _sum: { labourMinor: true, machineMinor: true, labourSeconds: true, pieces: true },
  })
  return Object.values(w._sum).map(n => n ?? 0)
}
/** All that a report can change, to be compared before it and after it was taken back. */
const everything = async () => ({
  steps: (await stepsOfOrder(order.id))
    .filter(s => s.state !== 'dropped')
    .map(s => [s.key, s.job, s.state, s.pieces, s.good, s.spoiled, s.sizes, s.runMinutes, s.stationId]),
  stock: [...(await levels()).values()].map(l => [l.itemId, l.onHand, l.promised, l.worth]).sort(),
  costs: await sums(),
})
/** Cuts the transfers and starts the press. */
const pressing = async () => {
  await start((await step('cut')).id, 'bench', 0)
  await finish((await step('cut')).id, 8, 5)
  await start((await step('press')).id, 'press-a', 6)
  return step('press')
}

describe('a wrong report is put right', () => {
  test('a start: the step waits again, its blanks are on the shelf and promised again', async () => {
    await start((await step('cut')).id, 'bench', 0)
    await finish((await step('cut')).id, 8, 5)
    const before = await everything()
    const { id } = await step('press')
    await start(id, 'press-a', 6)
    expect((await onHand('S'))?.onHand).toBe(6)
    expect(told(await back(id, 'start', 8))).toBe('done')
    expect(await everything()).toEqual(before)
    expect(await checkBooks()).toEqual([])
    expect((await currentPlan(later(8))).runs.some(r => r.stepId === id)).toBe(true)
  })

  test('a count: the pieces, what they drew, and the time are booked back; the right count books the whole time', async () => {
    const { id } = await pressing()
    const before = await everything()
    await finish(id, 8, 26)
    expect(told(await back(id, 'finish', 30))).toBe('done')
    expect(await everything()).toEqual(before)
    await finish(id, 6, 36)
    // Half an hour since the start at minute 6, at 12.00 wage and 9.00 overhead an hour.
    expect((await db().workLog.findMany({ where: { stepId: id } })).map(w => w.labourSeconds)).toEqual([
      1200, -1200, 1800,
    ])
    expect(await checkBooks()).toEqual([])
  })

  test('a misprint: the remake is off the list, the next steps have their piece again, the blank is on the shelf', async () => {
    const { id } = await pressing()
    const before = await everything()
    await misprint(id, 'S', 10)
    expect((await onHand('S'))?.onHand).toBe(5)
    expect(told(await back(id, 'misprint', 12))).toBe('done')
    expect(await everything()).toEqual(before)
    expect((await db().misprint.findFirst())?.undone).toBe(true)
    expect(await checkBooks()).toEqual([])
  })

  test('a misprint that ended the step: it runs on with its piece', async () => {
    const { id } = await pressing()
    await finish(id, 7, 20)
    const before = await everything()
    await misprint(id, '2XL', 22)
    expect((await step('press')).state).toBe('done')
    expect(told(await back(id, 'misprint', 24))).toBe('done')
    expect(await everything()).toEqual(before)
  })

  test('the last count of an order that was ready: it is in the making again', async () => {
    const { id } = await pressing()
    await finish(id, 8, 20)
    await start((await step('pack')).id, 'bench', 21)
    await finish((await step('pack')).id, 8, 25)
    expect((await getOrder(order.number))?.state).toBe('ready')
    expect(told(await back((await step('pack')).id, 'finish', 30))).toBe('done')
    expect((await getOrder(order.number))?.state).toBe('making')
  })

  test('both lines stay in the book, with who and why', async () => {
    const { id } = await pressing()
    await back(id, 'start', 8)
    const book = await db().report.findMany({ where: { stepId: id }, orderBy: { id: 'asc' } })
    expect(book.map(r => [r.kind, r.byName, r.note])).toEqual([
      ['start', 'Ana', ''],
      ['undo', 'Rui', 'the wrong order was on the screen'],
    ])
  })
})

describe('what cannot be taken back says why', () => {
  test('twice, by two people or by one form sent again: once', async () => {
    const { id } = await pressing()
    await finish(id, 3, 20)
    const report = (await db().report.findFirst({ where: { stepId: id, kind: 'finish' } }))?.id ?? ''
    const formKey = key()
    const again = (k: string) =>
      takeBackReport({ stepId: id, reportId: report, why: 'x', by: RUI, now: later(21), formKey: k })
    expect(told(await again(formKey))).toBe('done')
    expect(told(await again(formKey))).toBe('done')
    expect(told(await again(key()))).toMatch(/has been taken back already/)
    expect((await step('press')).good).toBe(0)
  })

  test('an older report before a newer one', async () => {
    const { id } = await pressing()
    await finish(id, 3, 20)
    expect(told(await back(id, 'start', 21))).toMatch(/take back the count first/)
  })

  test('pieces that have gone on', async () => {
    const { id } = await pressing()
    await finish(id, 8, 20)
    await start((await step('pack')).id, 'bench', 21)
    await finish((await step('pack')).id, 2, 22)
    expect(told(await back(id, 'finish', 23))).toMatch(/has worked 2 of these pieces already/)
  })

  test('a misprint whose remake has begun', async () => {
    const { id } = await pressing()
    await misprint(id, 'S', 10)
    const first = (await stepsOfOrder(order.id)).find(s => s.job === 'remake-1')
    await start(first?.id ?? '', 'bench', 11)
    expect(told(await back(id, 'misprint', 12))).toMatch(/The remake of these pieces has begun/)
  })
})

describe('counts by size', () => {
  test('are kept as said, and refused where they do not add up or are more than is open', async () => {
    const { id } = await pressing()
    const S = floor.itemId('S')
    const L = floor.itemId('2XL')
    expect(told(await finish(id, 4, 10, new Map([[S, 3]])))).toMatch(/The sizes add up to 3/)
    expect(told(await finish(id, 5, 10, new Map([[S, 5]])))).toMatch(/5 pieces of size S are more than the 4/)
    expect(told(await finish(id, 3, 10, new Map([[L, 3]])))).toBe('done')
    expect(told(await finish(id, 2, 12, new Map([[L, 2]])))).toMatch(/more than the 1 still open/)
    const kept = await db().report.findFirst({ where: { stepId: id, kind: 'finish' } })
    expect(kept?.sizes).toEqual([{ itemId: L, size: '2XL', quantity: 3 }])
  })

  test('that nobody said are taken in the order of the sizes', async () => {
    const { id } = await pressing()
    await finish(id, 5, 10)
    const kept = await db().report.findFirst({ where: { stepId: id, kind: 'finish' } })
    expect(kept?.sizes).toMatchObject([
      { size: 'S', quantity: 4 },
      { size: '2XL', quantity: 1 },
    ])
  })
})

describe('a report that waited for the line', () => {
  test('is booked when it happened, and says when it came', async () => {
    const { id } = await step('cut')
    await start(id, 'bench', 60, 0)
    await finish(id, 8, 60, undefined, 5)
    const book = await db().report.findMany({ where: { stepId: id }, orderBy: { id: 'asc' } })
    expect(book.map(r => [r.at.getTime(), r.cameAt?.getTime()])).toEqual([
      [later(0), later(60)],
      [later(5), later(60)],
    ])
    expect((await db().workLog.findFirst())?.labourSeconds).toBe(300)
  })

  test('never lies before the report before it, nor in the future, nor days back', async () => {
    const { id } = await step('cut')
    await start(id, 'bench', 10)
    await finish(id, 4, 20, undefined, -30)
    await finish(id, 2, 30, undefined, 90)
    await finish(id, 1, 40, undefined, -3 * 24 * 60)
    const book = await db().report.findMany({ where: { stepId: id }, orderBy: { id: 'asc' } })
    expect(book.map(r => r.at.getTime())).toEqual([later(10), later(10), later(30), later(40)])
  })
})

describe('the check before the first piece', () => {
  test('is asked for when the shop wants it, and kept with the start', async () => {
    await db().shop.update({ where: { id: 1 }, data: { firstPiece: true } })
    await start((await step('cut')).id, 'bench', 0)
    await finish((await step('cut')).id, 8, 5)
    const { id } = await step('press')
    const go = (checks: string[]) =>
      startStep({
        stepId: id,
        stationId: floor.stationId('press-a'),
        by: ANA,
        now: later(6),
        formKey: key(),
        checks,
      })
    expect(told(await go(['blank', 'side', 'art']))).toBe(
      'Before the first piece: temperature read. Look, tick, and start again.',
    )
    expect((await step('press')).state).toBe('waiting')
    expect(told(await go(['blank', 'side', 'art', 'temperature']))).toBe('done')
    expect((await db().report.findFirst({ where: { stepId: id } }))?.note).toMatch(/temperature/)
  })
})
