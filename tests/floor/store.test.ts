import { beforeEach, describe, expect, test } from 'vitest'
import { recordClearance } from '@/lib/artwork/store'
import { finishStep, pauseStep, reportMisprint, resumeStep, startStep } from '@/lib/floor/store'
import { getOrder, moveOrderTx } from '@/lib/orders/store'
import { currentPlan } from '@/lib/planning/store'
import { db, transaction } from '@/lib/server/database'
import { defaultHours } from '@/lib/shop/stations'
import { addStation } from '@/lib/shop/store'
import { checkBooks } from '@/lib/stock/proof/store'
import { issueTx, receiveTx } from '@/lib/stock/store'
import { levels } from '@/lib/stock/views/store'
import { micro } from '@/lib/units/money'
import { freshDatabase } from '../support/database'
import {
  ANA,
  agreed,
  type Floor,
  key,
  later,
  NOW,
  openFloor,
  RUI,
  stepNamed,
  stepsOfOrder,
} from './shop-floor'

let floor: Floor
let order: { number: number; id: string }
beforeEach(async () => {
  const close = await freshDatabase()
  floor = await openFloor()
  order = await agreed(floor)
  return close
}, 30_000)

const start = async (stepId: string, station: string, minutes = 0, by = ANA, formKey = key()) =>
  startStep({ stepId, stationId: floor.stationId(station), by, now: later(minutes), formKey })
const finish = (stepId: string, good: number, minutes: number, by = ANA, formKey = key()) =>
  finishStep({ stepId, good, by, now: later(minutes), formKey })
const misprint = (stepId: string, size: string, minutes: number, formKey = key(), quantity = 1) =>
  reportMisprint({
    stepId,
    itemId: floor.itemId(size),
    quantity,
    reason: 'alignment',
    note: 'slipped off the platen',
    by: ANA,
    now: later(minutes),
    formKey,
  })
const state = async () => (await getOrder(order.number))?.state
const onHand = async (size: string) => (await levels([floor.itemId(size)])).get(floor.itemId(size))?.onHand
/** Cuts the transfers, so that the press can begin. */
const cut = async () => {
  const step = await stepNamed(order.id, 'cut')
  await start(step.id, 'bench')
  await finish(step.id, 8, 5)
  return stepNamed(order.id, 'press')
}
const told = (r: { ok: boolean; message?: string }) => (r.ok ? 'done' : r.message)

describe('an agreed order', () => {
  test('stands on the plan, step by step, with its blanks promised', async () => {
    expect((await stepsOfOrder(order.id)).map(s => [s.key, s.pieces, s.state])).toEqual([
      ['cut', 8, 'waiting'],
      ['press', 8, 'waiting'],
      ['pack', 8, 'waiting'],
    ])
    const plan = await currentPlan(NOW)
    expect(plan.runs.map(r => r.number)).toEqual([order.number, order.number, order.number])
    expect(plan.orders[0]).toMatchObject({ number: order.number, holds: [] })
    expect(plan.reason).toBe(`order ${order.number} agreed`)
    expect((await levels([floor.itemId('S')])).get(floor.itemId('S'))).toMatchObject({ promised: 4 })
  })
})

describe('what is out of date', () => {
  const parchment = async (lot: string, days: number, quantity: number) => {
    const { id } = await db().stockItem.findUniqueOrThrow({ where: { sku: 'PARCH' } })
    const goods = { quantity, value: micro(150_000 * quantity) }
    const came = { lot, goodUntil: later(days * 24 * 60) }
    const put = await transaction(tx => receiveTx(tx, id, { ...goods, came }, 'Ines', later(-60), {}))
    if (!put.ok) throw new Error(put.message)
  }

  test('is told at the station before the first piece, and when it is drawn', async () => {
    await parchment('OLD', 0, 100)
    const press = await cut()
    const begun = await start(press.id, 'press-a', 30)
    // Looking ahead draws nothing.
    const lines = await db().movement.count()
    expect(begun).toMatchObject({ ok: true })
    expect(begun.ok && begun.value.caution).toMatch(
      /^Not enough is left that is in date\. This will take 1 of Parchment \(lot OLD, out of date since Thursday 14 May 2026\): try it on a test print first\.$/,
    )
    const done = await finish(press.id, 8, 60)
    expect(done.ok && done.value.caution).toMatch(
      /^By the book this used 1 of Parchment \(lot OLD, out of date since Thursday 14 May 2026\): look at the prints, and tell the stockroom\.$/,
    )
    const drawn = await db().movement.findMany({ where: { lot: 'OLD', kind: 'issued' } })
    expect(drawn.map(m => m.why)).toEqual(['Lot OLD was out of date since Thursday 14 May 2026'])
    expect(await db().movement.count()).toBe(lines + 1)
  })

  test('is not spoken of while there is enough that is good', async () => {
    await parchment('OLD', 0, 100)
    await parchment('NEW', 30, 100)
    const press = await cut()
    const begun = await start(press.id, 'press-a', 30)
    const done = await finish(press.id, 8, 60)
    expect([begun, done].map(r => r.ok && r.value.caution)).toEqual([null, null])
  })
})

describe('starting', () => {
  test('takes the blanks when they are first worked, and the order is in the making', async () => {
    const step = await cut()
    expect(await onHand('S')).toBe(10)
    expect(told(await start(step.id, 'press-a', 6))).toBe('done')
    expect(await onHand('S')).toBe(6)
    expect((await levels([floor.itemId('S')])).get(floor.itemId('S'))?.promised).toBe(0)
    expect(await state()).toBe('making')
    expect(await db().station.findUnique({ where: { code: 'press-a' } })).toMatchObject({ state: '149C' })
  })

  test('is refused while the art is not cleared, and says who can clear it', async () => {
    await recordClearance(
      { artwork: floor.artworkId, basis: 'withdrawn', evidence: 'the owner objects' },
      { id: null, name: 'Ines' },
    )
    const step = await stepNamed(order.id, 'cut')
    expect(told(await start(step.id, 'bench'))).toMatch(/heron\.png of order \d+ is not cleared to sell/)
    expect(await state()).toBe('agreed')
    expect((await currentPlan(NOW)).orders[0]?.holds[0]?.kind).toBe('art')
  })

  test('is refused at a station that is busy, and the order of steps is kept', async () => {
    const step = await cut()
    expect(told(await start((await stepNamed(order.id, 'pack')).id, 'bench', 6))).toMatch(
      /comes before it and has handed nothing on/,
    )
    await start(step.id, 'press-a', 6)
    const second = await agreed(floor, false)
    const other = await stepNamed(second.id, 'cut')
    await start(other.id, 'bench', 7)
    await finish(other.id, 8, 8)
    expect(told(await start((await stepNamed(second.id, 'press')).id, 'press-a', 9))).toMatch(
      /press-a is busy with .* of order/,
    )
  })

  test('at another press than the plan had it is taken, the plan follows, and it is counted there', async () => {
    const press = await cut()
    const placeOf = async () =>
      (await db().plannedRun.findUniqueOrThrow({ where: { stepId: press.id } })).stationId
    const [there, other] =
      (await placeOf()) === floor.stationId('press-a') ? ['press-a', 'press-b'] : ['press-b', 'press-a']
    expect(await placeOf()).toBe(floor.stationId(there))
    expect(told(await start(press.id, other, 6))).toBe('done')
    expect(await placeOf()).toBe(floor.stationId(other))
    expect(told(await finish(press.id, 3, 10))).toBe('done')
    expect(await stepNamed(order.id, 'press')).toMatchObject({ good: 3, stationId: floor.stationId(other) })
  })

  test('sent twice by one form is counted once', async () => {
    const step = await stepNamed(order.id, 'cut')
    const formKey = key()
    const both = await Promise.all([1, 2].map(() => start(step.id, 'bench', 0, ANA, formKey)))
    expect(both.map(told)).toEqual(['done', 'done'])
    expect(await db().report.count()).toBe(1)
  })

  test('sent again since no answer came, it is told what the first was told', async () => {
    const step = await stepNamed(order.id, 'press')
    const first = await stepNamed(order.id, 'cut')
    await start(first.id, 'bench')
    await finish(first.id, 3, 5)
    const formKey = key()
    const told = await start(step.id, 'press-a', 6, ANA, formKey)
    expect(told.ok && told.value.caution).toMatch(/3 of 8 pieces are there/)
    expect(await start(step.id, 'press-a', 9, ANA, formKey)).toEqual(told)
    expect(await db().report.count({ where: { formKey } })).toBe(1)
  })
})

describe('finishing', () => {
  test('books what was really used and what the time cost', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    await finish(step.id, 8, 36)
    expect(await stepNamed(order.id, 'press')).toMatchObject({ state: 'done', good: 8, spoiled: 0 })
    const [log] = await db().workLog.findMany({ where: { stepId: step.id } })
    // Half an hour: 12.00 wage + 9.00 overhead an hour, and 1.50 an hour for the press.
    expect(log).toMatchObject({
      labourSeconds: 1800,
      machineSeconds: 1800,
      labourMinor: 1050,
      machineMinor: 75,
      pieces: 8,
    })
    const parchment = await db().movement.findMany({ where: { item: { consumable: 'parchment' } } })
    expect(parchment.map(m => m.quantity)).toEqual([-1])
  })

  test('in part hands on what is done, and the next step can begin', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    const part = await finish(step.id, 3, 20)
    expect(part.ok && part.value.note).toMatch(/5 still to do/)
    expect(part.ok && part.value.caution).toBeNull()
    const pack = await stepNamed(order.id, 'pack')
    const started = await start(pack.id, 'bench', 21, RUI)
    expect(started.ok && started.value.caution).toMatch(/3 of 8 pieces are there/)
    expect(told(await finish(pack.id, 4, 25, RUI))).toMatch(/Only 3 pieces have come/)
    await finish(step.id, 5, 30)
    expect(told(await finish(pack.id, 8, 40, RUI))).toBe('done')
  })

  test('the last step makes the order ready', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    await finish(step.id, 8, 36)
    expect(await state()).toBe('making')
    const pack = await stepNamed(order.id, 'pack')
    await start(pack.id, 'bench', 40)
    await finish(pack.id, 8, 50)
    expect(await state()).toBe('ready')
    expect((await currentPlan(later(51))).runs).toEqual([])
  })

  test('by two people at once: the second is told, and nothing is counted twice', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    const both = await Promise.all([finish(step.id, 8, 30, ANA), finish(step.id, 8, 30, RUI)])
    expect(both.filter(r => r.ok)).toHaveLength(1)
    const refused = both.find(r => !r.ok)
    expect(told(refused ?? { ok: true })).toMatch(
      /is finished already, with 8 good\. (Ana|Rui) reported it at 10:30\. Nothing was counted twice\./,
    )
    expect(await db().workLog.count({ where: { stepId: step.id } })).toBe(1)
  })

  test('beside a count that the screen did not know of is taken, and says so', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    await finish(step.id, 3, 20, RUI)
    const beside = await finishStep({
      stepId: step.id,
      good: 3,
      seen: 0,
      by: ANA,
      now: later(30),
      formKey: key(),
    })
    expect(beside.ok && beside.value.caution).toMatch(
      /^Rui counted here too, at 10:20: 3 pieces that this screen did not know of\./,
    )
    expect(await stepNamed(order.id, 'press')).toMatchObject({ good: 6, state: 'running' })
  })

  test('too many is refused and writes nothing', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    const before = await db().movement.count()
    expect(told(await finish(step.id, 9, 30))).toMatch(/9 pieces are more than the 8 still open/)
    expect(await db().movement.count()).toBe(before)
    expect(await db().history.count({ where: { what: { startsWith: 'finished “Place' } } })).toBe(0)
  })
})

describe('pausing', () => {
  test('frees the station and books the time up to then; the pause itself costs nothing', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    await pauseStep({ stepId: step.id, reason: 'lunch', by: ANA, now: later(16), formKey: key() })
    expect(await stepNamed(order.id, 'press')).toMatchObject({ state: 'paused' })
    await resumeStep({ stepId: step.id, by: ANA, now: later(60), formKey: key() })
    await finish(step.id, 8, 80)
    const logs = await db().workLog.findMany({ where: { stepId: step.id }, orderBy: { fromAt: 'asc' } })
    expect(logs.map(l => l.labourSeconds)).toEqual([600, 1200])
  })
})

describe('a misprint', () => {
  test('draws a new blank, makes a remake, and the order is ready only with it', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    expect(told(await misprint(step.id, 'S', 10))).toBe('done')
    expect(await onHand('S')).toBe(5)
    expect(await db().movement.findMany({ where: { kind: 'spoiled' } })).toMatchObject([
      { quantity: -1, orderId: order.id },
    ])
    expect((await stepsOfOrder(order.id)).map(s => [s.job, s.key, s.pieces])).toEqual([
      ['batch-1', 'cut', 8],
      ['batch-1', 'press', 8],
      ['batch-1', 'pack', 7],
      ['remake-1', 'cut', 1],
      ['remake-1', 'press', 1],
      ['remake-1', 'pack', 1],
    ])
    await finish(step.id, 7, 36)
    const pack = await stepNamed(order.id, 'pack')
    await start(pack.id, 'bench', 40)
    await finish(pack.id, 7, 50)
    expect(await state()).toBe('making')
    let minutes = 60
    for (const [k, at] of [
      ['cut', 'bench'],
      ['press', 'press-b'],
      ['pack', 'bench'],
    ] as const) {
      const again = await stepNamed(order.id, k, 'remake-1')
      expect(told(await start(again.id, at, minutes))).toBe('done')
      expect(told(await finish(again.id, 1, minutes + 5))).toBe('done')
      minutes += 10
    }
    // The blank of the remake was drawn with the misprint: it is not drawn again.
    expect(await onHand('S')).toBe(5)
    expect(await state()).toBe('ready')
    expect(await checkBooks()).toEqual([])
  })

  test('without a blank on the shelf waits for one, and the plan says so', async () => {
    await transaction(tx =>
      issueTx(tx, {
        orderId: order.id,
        rows: [{ itemId: floor.itemId('S'), quantity: 6 }],
        by: 'Ines',
        now: NOW,
        kind: 'spoiled',
        why: 'water damage',
      }),
    )
    const step = await cut()
    await start(step.id, 'press-a', 6)
    const spoiled = await misprint(step.id, 'S', 10)
    expect(spoiled.ok && spoiled.value.caution).toMatch(/no blank of it is on the shelf: it waits for one/)
    expect(await onHand('S')).toBe(0)
    const [waiting] = (await currentPlan(later(11))).orders
    expect(waiting?.holds.map(h => h.text)).toEqual([
      '1 × Heavy tee black S missing and not ordered: order now to have them by Sun 17 May.',
    ])
  })

  test('of more pieces of a size than there are is refused', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    await misprint(step.id, 'S', 10, key(), 3)
    expect(told(await misprint(step.id, 'S', 11, key(), 2))).toMatch(/3 of them spoiled already/)
    expect(await onHand('S')).toBe(3)
  })

  test('found when the order stood ready puts it back in the making', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    await finish(step.id, 8, 36)
    const pack = await stepNamed(order.id, 'pack')
    await start(pack.id, 'bench', 40)
    await finish(pack.id, 8, 50)
    expect(told(await misprint(pack.id, '2XL', 60))).toBe('done')
    expect(await state()).toBe('making')
    expect(await stepNamed(order.id, 'pack')).toMatchObject({ good: 7, spoiled: 1, state: 'done' })
  })

  test('is not reported where no blank is worked', async () => {
    const step = await stepNamed(order.id, 'cut')
    await start(step.id, 'bench')
    expect(told(await misprint(step.id, 'S', 1))).toMatch(/No blank is worked at/)
  })

  test('sent twice by one form is counted once', async () => {
    const step = await cut()
    await start(step.id, 'press-a', 6)
    const formKey = key()
    await misprint(step.id, 'S', 10, formKey)
    await misprint(step.id, 'S', 10, formKey)
    expect(await onHand('S')).toBe(5)
    expect(await db().misprint.count()).toBe(1)
  })
})

describe('washing up', () => {
  test('waits for the print it follows, and can be done when the goods have left the shop', async () => {
    const station = { hours: defaultHours, state: null, closed: [], heads: 4, cost: null }
    for (const [code, kind, position] of [
      ['screen', 'screen-press', 4],
      ['dryer', 'dryer', 5],
    ] as const)
      await addStation({ ...station, code, name: code, kind, position, bedWidthMm: 400, bedHeightMm: 500 })
    await db().crewMember.updateMany({ data: { skills: ['screen-press', 'dryer', 'bench'] } })
    const screened = await agreed(floor, false, 'screen')
    const codes: Record<string, string> = { bench: 'bench', 'screen-press': 'screen', dryer: 'dryer' }
    const ids = await db().station.findMany()
    const at = (kind: string) => ids.find(s => s.code === codes[kind])?.id ?? ''
    const all = await stepsOfOrder(screened.id)
    const wash = all.find(s => s.job === 'after-1')
    const begin = (s: { id: string; stationKind: string } | undefined, minutes: number) =>
      startStep({
        stepId: s?.id ?? '',
        stationId: at(s?.stationKind ?? ''),
        by: ANA,
        now: later(minutes),
        formKey: key(),
      })
    expect(told(await begin(wash, 0))).toMatch(/comes before it and has handed nothing on/)
    let minutes = 0
    for (const s of all.filter(x => x.job === 'batch-1')) {
      minutes += 60
      expect(told(await begin(s, minutes))).toBe('done')
      minutes += 5
      expect(told(await finish(s.id, 8, minutes))).toBe('done')
    }
    expect((await getOrder(screened.number))?.state).toBe('ready')
    await transaction(tx => moveOrderTx(tx, screened.id, 'handedOver', { by: ANA, now: later(minutes) }))
    expect((await currentPlan(later(minutes))).runs.map(r => r.job)).toContain('after-1')
    expect(told(await begin(wash, minutes + 1))).toBe('done')
    expect(told(await finish(wash?.id ?? '', 8, minutes + 20))).toBe('done')
    expect((await getOrder(screened.number))?.state).toBe('handedOver')
  })
})
