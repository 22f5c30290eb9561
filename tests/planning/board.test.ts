import { beforeEach, describe, expect, test } from 'vitest'
import { pauseStep, startStep } from '@/lib/floor/store'
import { savePriceList } from '@/lib/methods/store'
import { lastChange, takeTrial, tryChange, undoChange } from '@/lib/planning/board/store'
import type { PlanChange } from '@/lib/planning/changes'
import { currentPlan, replan } from '@/lib/planning/store'
import { db } from '@/lib/server/database'
import type { MethodId } from '@/lib/shop/methods'
import { minor } from '@/lib/units/money'
import type { Instant } from '@/lib/units/time'
import { ANA, agreed, type Floor, later, NOW, openFloor } from '../floor/shop-floor'
import { freshDatabase } from '../support/database'

let floor: Floor
beforeEach(async () => {
  const close = await freshDatabase()
  floor = await openFloor()
  return close
}, 30_000)

const INES = { id: null, name: 'Ines' }
const stationId = async (code: string) => (await db().station.findUniqueOrThrow({ where: { code } })).id
const counts = async () => [
  await db().pin.count(),
  await db().planChange.count(),
  await db().history.count(),
  await db().jobStep.count(),
]
/** The press run of an order. */
const pressRun = async (number: number) => {
  const plan = await currentPlan(NOW)
  const run = plan.runs.find(r => r.number === number && r.stationState !== null && r.job === 'batch-1')
  if (!run) throw new Error('no press run')
  return run
}
const tried = async (change: PlanChange, now: Instant = NOW) => {
  const trial = await tryChange(change, now, 0.3)
  if (!trial.ok) throw new Error(trial.message)
  return trial.value
}
const take = async (change: PlanChange) => {
  const trial = await tried(change)
  const taken = await takeTrial(trial.id, INES, NOW)
  if (!taken.ok) throw new Error(taken.message)
  return trial
}

describe('a run moved by hand', () => {
  test('is tried without writing anything, and the trial says where it would stand', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    const before = await counts()
    const station = await stationId('press-b')
    const trial = await tried({ kind: 'move', step: run.stepId, station, start: later(180) })
    expect(await counts()).toEqual(before)
    expect(trial.run).toMatchObject({ stationId: station, startAt: later(180) })
    expect(trial.words).toBe(`moved “${run.title}” of 1001 to press-b, Thu 14 May, 13:00`)
  })

  test('stands there when it is taken, stays through new plans, and goes back by undo', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    const station = await stationId('press-b')
    await take({ kind: 'move', step: run.stepId, station, start: later(180) })
    expect(await pressRun(1001)).toMatchObject({ stationId: station, startAt: later(180), pinned: true })
    await agreed(floor, false)
    expect(await pressRun(1001)).toMatchObject({ stationId: station, startAt: later(180) })
    const last = await lastChange(NOW)
    expect(last?.words).toMatch(/^moved/)
    expect(await undoChange(last?.id ?? '', INES, NOW)).toMatchObject({ ok: true })
    expect(await pressRun(1001)).toMatchObject({
      stationId: run.stationId,
      startAt: run.startAt,
      pinned: false,
    })
    expect(await lastChange(NOW)).toBeNull()
    const lines = await db().history.findMany({ where: { entity: 'order', byName: 'Ines' } })
    expect(lines.map(l => l.what)).toEqual(expect.arrayContaining([last?.words, `took back: ${last?.words}`]))
  })

  test('to a time when the shop is closed is offered the first time it can be there', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    // 20:00; the shop closes at 17:00 and opens on Friday at 8:00.
    const trial = await tried({ kind: 'move', step: run.stepId, station: run.stationId, start: later(600) })
    expect(trial.note).toMatch(/closed.* The first time it can be there is Fri 15 May, 08:00\.$/)
    expect(trial.run?.startAt).toBe(later(22 * 60))
  })

  test('before the step ahead of it can be done goes behind that', async () => {
    await agreed(floor)
    const plan = await currentPlan(NOW)
    const pack = plan.runs.at(-1)
    if (!pack) throw new Error('nothing planned')
    const trial = await tried({ kind: 'move', step: pack.stepId, station: pack.stationId, start: NOW })
    expect(trial.run?.startAt).toBeGreaterThan(NOW)
    expect(trial.note).toMatch(/first time it can be there/)
  })

  test('that makes orders late says which, and by how much', async () => {
    await agreed(floor)
    const end = (await currentPlan(NOW)).orders[0]?.readyAt ?? NOW
    await db().order.updateMany({ data: { promiseAt: new Date(end), promiseHard: true } })
    await replan('a hard promise', NOW)
    const run = await pressRun(1001)
    const trial = await tried({
      kind: 'move',
      step: run.stepId,
      station: run.stationId,
      start: (run.startAt + 120 * 60_000) as Instant,
    })
    expect(trial.changes.later).toEqual([
      { orderId: run.orderId, number: 1001, hard: true, before: 0, after: 120 },
    ])
    expect(trial.changes.lateMinutes).toBe(120)
  })

  test('is refused at a station that cannot do it, in the past, or once it has begun', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    const bench = await stationId('bench')
    const to = (station: string, start: Instant) =>
      tryChange({ kind: 'move', step: run.stepId, station, start }, NOW)
    expect(await to(bench, later(60))).toMatchObject({
      ok: false,
      message: 'bench does not do this kind of work.',
    })
    expect(await to(run.stationId, later(-60))).toMatchObject({ ok: false, code: 'past' })
    expect(await to('nowhere', later(60))).toMatchObject({ ok: false, code: 'station' })
    const first = (await currentPlan(NOW)).runs[0]
    const what = {
      stepId: first?.stepId ?? '',
      by: ANA,
      now: NOW,
      formKey: 'k',
      stationId: first?.stationId ?? '',
    }
    expect((await startStep(what)).ok).toBe(true)
    const moved = await tryChange(
      { kind: 'move', step: first?.stepId ?? '', station: first?.stationId ?? '', start: later(60) },
      NOW,
    )
    expect(moved).toMatchObject({ ok: false, code: 'begun' })
  })
})

describe('taking', () => {
  test('is refused when the shop has changed since, and nothing is written', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    const trial = await tried({ kind: 'move', step: run.stepId, station: run.stationId, start: later(120) })
    await agreed(floor, false)
    const before = await counts()
    expect(await takeTrial(trial.id, INES, NOW)).toMatchObject({ ok: false, code: 'stale' })
    expect(await counts()).toEqual(before)
  })

  test('twice takes once, and after a quarter of an hour not at all', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    const change: PlanChange = { kind: 'pin', step: run.stepId }
    const trial = await tried(change)
    expect((await takeTrial(trial.id, INES, NOW)).ok).toBe(true)
    expect(await takeTrial(trial.id, INES, NOW)).toMatchObject({ ok: false, code: 'stale' })
    const old = await tried({ kind: 'unpin', step: run.stepId })
    expect(await takeTrial(old.id, INES, later(15))).toMatchObject({ ok: false, code: 'stale' })
  })

  test('writes only the runs that stand elsewhere', async () => {
    await agreed(floor)
    await agreed(floor, false)
    const ids = async () => new Map((await db().plannedRun.findMany()).map(r => [r.stepId, r.id]))
    const before = await ids()
    const other = await pressRun(1002)
    const run = await pressRun(1001)
    await take({ kind: 'pin', step: run.stepId })
    expect((await ids()).get(other.stepId)).toBe(before.get(other.stepId))
  })
})

describe('a pin', () => {
  test('lets its run move again when it is taken off', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    await take({ kind: 'pin', step: run.stepId })
    expect((await pressRun(1001)).pinned).toBe(true)
    await take({ kind: 'unpin', step: run.stepId })
    expect((await pressRun(1001)).pinned).toBe(false)
    const last = await lastChange(NOW)
    await undoChange(last?.id ?? '', INES, NOW)
    expect((await pressRun(1001)).pinned).toBe(true)
  })

  test('that cannot be kept any more goes along with its run, and the history says why', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    await take({ kind: 'move', step: run.stepId, station: run.stationId, start: later(120) })
    // The station breaks down over that time.
    await db().station.update({
      where: { id: run.stationId },
      data: {
        closed: [
          { from: new Date(later(60)).toISOString(), to: new Date(later(240)).toISOString(), why: 'belt' },
        ],
      },
    })
    await replan('it broke', NOW)
    const now = await pressRun(1001)
    expect(now.startAt).not.toBe(later(120))
    expect((await db().pin.findFirst())?.startAt.getTime()).toBe(now.startAt)
    const line = await db().history.findFirst({ where: { byName: 'the plan' } })
    expect(line?.what).toMatch(/could not stay: .*closed/)
  })

  test('whose time has gone by keeps its run at the station', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    const station = await stationId('press-b')
    await take({ kind: 'move', step: run.stepId, station, start: later(30) })
    await replan('an hour later', later(90))
    const plan = await currentPlan(later(90))
    const moved = plan.runs.find(r => r.stepId === run.stepId)
    expect(moved?.stationId).toBe(station)
    expect(moved?.startAt).toBeGreaterThanOrEqual(later(90))
  })
})

describe('a station out for repair', () => {
  test('has its runs moved, and is back by undo', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    const out: PlanChange = {
      kind: 'out',
      station: run.stationId,
      from: NOW,
      to: later(240),
      why: 'new belt',
    }
    const trial = await tried(out)
    expect(trial.changes.moved.map(m => m.stepId)).toContain(run.stepId)
    await take(out)
    expect((await pressRun(1001)).stationId).not.toBe(run.stationId)
    const last = await lastChange(NOW)
    expect(last?.words).toBe('took press-a out from Thu 14 May, 10:00 to Thu 14 May, 14:00: new belt')
    await undoChange(last?.id ?? '', INES, NOW)
    expect(await pressRun(1001)).toMatchObject({ stationId: run.stationId, startAt: run.startAt })
  })
  test('from later to sooner, or for a year, is refused in words', async () => {
    const station = await stationId('press-a')
    const out = (from: Instant, to: Instant) => tryChange({ kind: 'out', station, from, to, why: 'x' }, NOW)
    expect(await out(later(60), later(30))).toMatchObject({ ok: false, field: 'to' })
    expect(await out(later(-60), later(-30))).toMatchObject({ ok: false, field: 'to' })
    expect(await out(NOW, later(300 * 1440))).toMatchObject({ ok: false, field: 'to' })
  })
})

describe('a rush', () => {
  test('weighs three times, stands in the history of the order, and can be taken back', async () => {
    await agreed(floor)
    const { orderId } = await pressRun(1001)
    await take({ kind: 'rush', order: orderId, on: true })
    expect((await currentPlan(NOW)).orders[0]?.rush).toBe(true)
    expect(await tryChange({ kind: 'rush', order: orderId, on: true }, NOW)).toMatchObject({ ok: false })
    await undoChange((await lastChange(NOW))?.id ?? '', INES, NOW)
    expect((await currentPlan(NOW)).orders[0]?.rush).toBe(false)
    const lines = await db().history.findMany({ where: { entity: 'order', ref: orderId, byName: 'Ines' } })
    expect(lines.map(l => l.what)).toEqual(
      expect.arrayContaining(['rushed order 1001', 'took back: rushed order 1001']),
    )
  })
})

describe('a batch in two parts', () => {
  test('starts with what is here, loses no piece, and is whole again by undo', async () => {
    await agreed(floor)
    await agreed(floor, false)
    await agreed(floor, false)
    const plan = await currentPlan(NOW)
    const lacking = plan.orders.find(o => o.holds.length > 0)
    if (!lacking) throw new Error('nothing is short')
    const mine = async () => {
      const steps = await db().jobStep.findMany({
        where: { orderId: lacking.id, state: { not: 'dropped' } },
        orderBy: [{ job: 'asc' }, { position: 'asc' }],
      })
      return steps.map(({ job, title, pieces, runMinutes, state, sizes }) => ({
        job,
        title,
        pieces,
        runMinutes,
        state,
        sizes,
      }))
    }
    const before = await mine()
    const run = plan.runs.find(r => r.number === lacking.number)
    const split: PlanChange = { kind: 'split', step: run?.stepId ?? '' }
    await take(split)
    const after = await mine()
    const press = before.find(s => s.job === 'batch-1' && s.pieces > 0)
    const parts = after.filter(s => s.title === press?.title)
    expect(parts.map(p => p.job)).toEqual(['batch-1', 'batch-1.2'])
    expect(parts.reduce((n, p) => n + p.pieces, 0)).toBe(press?.pieces)
    expect(parts.reduce((n, p) => n + p.runMinutes, 0)).toBe(press?.runMinutes)
    // Two S and two 2XL are missing: the first part does not wait for them.
    const now = await currentPlan(NOW)
    const order = now.orders.find(o => o.id === lacking.id)
    expect(order?.freeParts).toEqual(['batch-1'])
    const start = (job: string) =>
      Math.min(...now.runs.filter(r => r.orderId === lacking.id && r.job === job).map(r => r.workAt))
    expect(start('batch-1')).toBeLessThan(later(24 * 60))
    expect(start('batch-1.2')).toBeGreaterThan(later(2 * 24 * 60))
    await undoChange((await lastChange(NOW))?.id ?? '', INES, NOW)
    expect(await mine()).toEqual(before)
  })

  test('that has begun stays together', async () => {
    await agreed(floor)
    const run = await pressRun(1001)
    const first = (await currentPlan(NOW)).runs[0]
    const what = { stepId: first?.stepId ?? '', by: ANA, formKey: 'k', stationId: first?.stationId ?? '' }
    await startStep({ ...what, now: NOW })
    await pauseStep({ ...what, formKey: 'l', now: later(5), reason: 'lunch' })
    expect(await tryChange({ kind: 'split', step: run.stepId }, later(6))).toMatchObject({ ok: false })
  })
})

describe('printing sent out', () => {
  const list = (method: MethodId) => ({
    key: 'north',
    name: 'North Yard',
    method,
    days: 5,
    setupEach: minor(0),
    freight: minor(0),
    rows: [{ from: 1, each: minor(300) }],
  })
  test('leaves checking and packing here, when it is back; undo brings the work back', async () => {
    await agreed(floor)
    expect((await savePriceList(list('transfer'), 0, INES, NOW)).ok).toBe(true)
    const { orderId } = await pressRun(1001)
    await take({ kind: 'sendOut', order: orderId, list: 'north' })
    const order = (await currentPlan(NOW)).orders[0]
    expect(order?.holds.map(h => h.text)).toEqual(['Printed by North Yard: back Thu 21 May.'])
    const away = (await currentPlan(NOW)).runs
    expect(away.every(r => r.stationState === null)).toBe(true)
    // Five working days from Thursday, by noon.
    expect(Math.min(...away.map(r => r.workAt))).toBeGreaterThanOrEqual(later(7 * 24 * 60 + 120))
    await undoChange((await lastChange(NOW))?.id ?? '', INES, NOW)
    expect((await pressRun(1001)).state).toBe('waiting')
    expect((await currentPlan(NOW)).orders[0]?.holds).toEqual([])
  })
  test('is refused to a printer who prints by another method, and once work has begun', async () => {
    await agreed(floor)
    await savePriceList(list('screen'), 0, INES, NOW)
    const { orderId } = await pressRun(1001)
    const asked = () => tryChange({ kind: 'sendOut', order: orderId, list: 'north' }, NOW)
    expect(await asked()).toMatchObject({ ok: false, field: 'list' })
    await savePriceList(list('transfer'), 1, INES, NOW)
    const first = (await currentPlan(NOW)).runs[0]
    const what = { stepId: first?.stepId ?? '', stationId: first?.stationId ?? '', by: ANA, now: NOW }
    await startStep({ ...what, formKey: 'k' })
    expect(await asked()).toMatchObject({ ok: false, code: 'begun' })
  })
})

describe('a better plan', () => {
  test('is looked for beside the one on the board, which stays until it is taken', async () => {
    await agreed(floor)
    const before = (await currentPlan(NOW)).version
    const trial = await tried({ kind: 'better' })
    expect((await currentPlan(NOW)).version).toBe(before)
    expect((await takeTrial(trial.id, INES, NOW)).ok).toBe(true)
    expect((await currentPlan(NOW)).version).toBe(before + 1)
  })
})
