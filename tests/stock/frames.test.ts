import { beforeEach, describe, expect, test } from 'vitest'
import { takeBackReport } from '@/lib/floor/counter/store'
import { frameWorkOf } from '@/lib/floor/frames'
import { finishStep, startStep } from '@/lib/floor/store'
import { dropScreens, keepScreens, keptAmong, screensOnShelf } from '@/lib/methods/store'
import { db } from '@/lib/server/database'
import { chooseFrames, frameWords, nextParts, readFrames } from '@/lib/stock/frames/frames'
import {
  burnByHand,
  carriersOf,
  findFrame,
  frameGone,
  frameKinds,
  listFrames,
  moveToFrame,
  numberFrames,
  reclaimFrame,
} from '@/lib/stock/frames/store'
import { addItem } from '@/lib/stock/items/store'
import { checkBooks } from '@/lib/stock/proof/store'
import { bookAtShelf } from '@/lib/stock/store'
import { findItem } from '@/lib/stock/views/store'
import { micro } from '@/lib/units/money'
import { rng } from '../../prisma/seed/rng'
import {
  ANA,
  agreed,
  type Floor,
  key,
  later,
  NOW,
  openFloor,
  stepNamed,
  stepsOfOrder,
} from '../floor/shop-floor'
import { freshDatabase } from '../support/database'

const refusal = (r: { ok: true } | { ok: false; message: string }) => (r.ok ? '' : r.message)

describe('which frames are taken', () => {
  const frame = (number: number, itemId: string, burnt = 0) => ({ id: `f${number}`, number, itemId, burnt })
  test('those of one kind, burnt least, by number', () => {
    const free = [frame(1, 'fine'), frame(2, 'coarse', 9), frame(3, 'coarse'), frame(4, 'coarse', 2)]
    expect(chooseFrames(free, 2).map(f => f.number)).toEqual([3, 4])
    expect(chooseFrames(free, 4).map(f => f.number)).toEqual([3, 4, 2, 1])
    expect(chooseFrames(free, 9)).toHaveLength(4)
    expect(chooseFrames([], 2)).toEqual([])
  })
  test('of any set: none twice, no more than asked, one kind where one has enough', () => {
    const random = rng(11)
    for (let k = 0; k < 300; k++) {
      const free = Array.from({ length: random.whole(0, 12) }, (_, i) =>
        frame(i + 1, `kind ${random.whole(1, 3)}`, random.whole(0, 5)),
      )
      const wanted = random.whole(0, 6)
      const got = chooseFrames(free, wanted)
      expect(new Set(got.map(f => f.id)).size).toBe(Math.min(wanted, free.length))
      const enough = [1, 2, 3].some(i => free.filter(f => f.itemId === `kind ${i}`).length >= wanted)
      if (enough && wanted) expect(new Set(got.map(f => f.itemId)).size).toBe(1)
      const left = free.filter(f => f.itemId === got[0]?.itemId && !got.includes(f))
      if (enough) for (const l of left) for (const g of got) expect(g.burnt).toBeLessThanOrEqual(l.burnt)
    }
  })
  test('the screens that a set has not yet, lowest first', () => {
    expect(nextParts([], 3)).toEqual([1, 2, 3])
    expect(nextParts([1, 2], 2)).toEqual([3, 4])
    expect(nextParts([2, 3], 1)).toEqual([1])
    expect(nextParts([3, 1], 2)).toEqual([2, 4])
    expect(nextParts([1], 0)).toEqual([])
  })
  test('numbers are read as people write them', () => {
    expect(frameWords([7])).toBe('frame 7')
    expect(frameWords([7, 3, 4])).toBe('frames 3, 4 and 7')
    expect(readFrames('3, 4 and 7')).toMatchObject({ value: [3, 4, 7] })
    expect(readFrames('9-11 3,3')).toMatchObject({ value: [3, 9, 10, 11] })
    for (const bad of ['', 'three', '0', '5-3', '1-9999', '-2'])
      expect(readFrames(bad)).toMatchObject({ ok: false, field: 'frames' })
  })
})

describe('what a step does with frames', () => {
  const at = (position: number, phase: 'before' | 'work' | 'after', per: 'screen' | 'piece', art = 'a') => ({
    position,
    dropped: false,
    recipe: {
      phase,
      counted: { per, units: 3 },
      print: {
        ...{
          id: 'p',
          placement: 'full-front' as const,
          dropMm: 0,
          offsetMm: 0,
          artworkName: 'Heron',
          screens: 3,
        },
        ...{ widthMm: 200, heightMm: 200, artworkId: art },
      },
    },
  })
  test('the first that makes screens takes them, the last has them burnt, the last after the work has them free', () => {
    const chain = [
      at(1, 'before', 'screen'),
      at(2, 'before', 'screen'),
      at(3, 'work', 'piece'),
      at(4, 'before', 'screen', 'b'),
    ]
    expect(chain.map(s => frameWorkOf(s, chain))).toEqual([
      { takes: true, burns: false, reclaims: false },
      { takes: false, burns: true, reclaims: false },
      { takes: false, burns: false, reclaims: false },
      { takes: true, burns: true, reclaims: false },
    ])
    const after = [at(1, 'after', 'screen'), at(2, 'after', 'screen')]
    expect(after.map(s => frameWorkOf(s, after).reclaims)).toEqual([false, true])
  })
})

describe('the shop’s frames', () => {
  const SKU = 'FRAME-61'
  let floor: Floor
  beforeEach(async () => {
    const close = await freshDatabase()
    floor = await openFloor()
    const added = await addItem(
      {
        ...{ sku: SKU, name: 'Frame, 61 threads', kind: 'screen' as const, unit: 'piece' as const },
        ...{ price: micro(30_000_000), supplier: '', leadDays: 5, reorderPoint: 2, reorderTo: 4 },
      },
      ANA,
      NOW,
    )
    if (!added.ok) throw new Error(added.message)
    await book({ kind: 'received', quantity: 6, value: micro(180_000_000), why: '' })
    return close
  }, 90_000)

  const book = async (intent: Parameters<typeof bookAtShelf>[1]) => {
    const done = await bookAtShelf({ sku: SKU, by: ANA, now: NOW }, intent)
    if (!done.ok) throw new Error(done.message)
  }
  const design = () => ({
    ...{ artworkId: floor.artworkId, widthMm: 254, heightMm: 300 },
    design: `${floor.artworkId}@2540x3000`,
  })
  const level = async () => (await findItem(SKU))?.level
  const onFrames = async () => (await listFrames()).frames.filter(f => f.now).map(f => f.number)

  test('get a number for each that the book has, and no more', async () => {
    expect(await frameKinds()).toEqual([
      { sku: SKU, name: 'Frame, 61 threads', onHand: 6, carrying: 0, numbered: 0 },
    ])
    expect(await numberFrames(SKU, 4, ANA, NOW)).toMatchObject({ ok: true, value: [1, 2, 3, 4] })
    expect(refusal(await numberFrames(SKU, 3, ANA, NOW))).toMatch(
      /has 2 of Frame, 61 threads without a number/,
    )
    expect(await numberFrames(SKU, 2, ANA, NOW)).toMatchObject({ value: [5, 6] })
    expect(refusal(await numberFrames(SKU, 1, ANA, NOW))).toMatch(/Every Frame, 61 threads .* has its number/)
    // Blanks, and what a print uses up, are no frames.
    expect(await numberFrames('PARCH', 1, ANA, NOW)).toMatchObject({ code: 'no-item' })
  })

  test('carry what the floor makes: taken, burnt, kept, free again; and are not free meanwhile', async () => {
    await numberFrames(SKU, 6, ANA, NOW)
    const order = await agreed(floor, true, 'screen')
    const coat = await stepNamed(order.id, 'coat')
    const expose = await stepNamed(order.id, 'expose')
    const bench = floor.stationId('bench')
    const begin = (stepId: string, minutes: number) =>
      startStep({ stepId, by: ANA, stationId: bench, now: later(minutes), formKey: key() })
    const end = (stepId: string, good: number, minutes: number) =>
      finishStep({ stepId, by: ANA, good, now: later(minutes), formKey: key() })
    const art = (await stepsOfOrder(order.id)).filter(s => s.job === 'batch-1' && s.position < coat.position)
    for (const [i, s] of art.entries()) {
      await begin(s.id, i)
      await end(s.id, s.pieces, i + 1)
    }
    // Two inks on black: an underbase and two.
    const begun = await begin(coat.id, 10)
    expect(begun).toMatchObject({ ok: true, value: { note: 'Take frames 1, 2 and 3.' } })
    expect(await level()).toMatchObject({ onHand: 6, carrying: 3, free: 3 })
    const { id } = await db().stockItem.findUniqueOrThrow({ where: { sku: SKU } })
    expect((await carriersOf(id)).map(c => [c.number, c.words])).toEqual(
      [1, 2, 3].map(n => [n, expect.stringMatching(new RegExp(`, screen ${n}$`))]),
    )
    await end(coat.id, coat.pieces, 20)
    await begin(expose.id, 80)
    expect(await end(expose.id, expose.pieces, 90)).toMatchObject({
      ok: true,
      value: { note: 'Burnt on frames 1, 2 and 3.' },
    })
    const one = await findFrame(1)
    expect(one).toMatchObject({
      frame: { burnt: 1, reclaimed: 0, now: { part: 1, orderNumber: order.number, kept: false } },
    })
    // A wrong report is taken back: nothing was burnt then. Said again, it is burnt once, not twice.
    const reports = await db().report.findMany({ where: { stepId: expose.id, kind: 'finish' } })
    const back = await takeBackReport({
      ...{ stepId: expose.id, reportId: reports[0]?.id ?? '', why: 'not rinsed yet' },
      ...{ by: ANA, now: later(91), formKey: key() },
    })
    expect(refusal(back)).toBe('')
    expect((await findFrame(1))?.frame).toMatchObject({ burnt: 0, now: { burntAt: null } })
    await end(expose.id, expose.pieces, 95)
    expect((await findFrame(1))?.frame).toMatchObject({ burnt: 1 })
    // Somebody took frame 5 instead of 2.
    expect(await moveToFrame(2, 5, ANA, later(96))).toMatchObject({ ok: true })
    expect(await onFrames()).toEqual([1, 3, 5])
    expect([(await findFrame(2))?.frame.burnt, (await findFrame(5))?.frame.burnt]).toEqual([0, 1])
    // Kept, they stay on their frames, whatever the floor reclaims.
    const size = (await findFrame(1))?.frame.now
    const kept = await keepScreens(
      {
        artworkId: size?.artworkId ?? '',
        ...{ widthMm: size?.widthMm ?? 0, heightMm: size?.heightMm ?? 0, screens: 3, place: 'rack 1' },
      },
      ANA,
      later(100),
    )
    expect(kept).toMatchObject({ ok: true, value: [1, 3, 5] })
    expect(refusal(await reclaimFrame(3, ANA, later(101)))).toMatch(/one of a set that is kept/)
    expect((await screensOnShelf())[0]?.frames).toEqual([1, 3, 5])
    await dropScreens((await screensOnShelf())[0]?.id ?? '', ANA, later(200))
    expect(await onFrames()).toEqual([])
    expect((await findFrame(5))?.frame).toMatchObject({ burnt: 1, reclaimed: 1, now: null })
    expect(await level()).toMatchObject({ onHand: 6, carrying: 0, free: 6 })
    expect(await checkBooks()).toEqual([])
  }, 90_000)

  test('are reclaimed by the step that reclaims them; a shop without numbers is left alone', async () => {
    const order = await agreed(floor, true, 'screen')
    const steps = await stepsOfOrder(order.id)
    const stepId = steps.find(s => s.key === 'coat')?.id ?? ''
    const bench = floor.stationId('bench')
    await db().jobStep.updateMany({
      where: { id: { in: steps.filter(s => !['coat', 'expose', 'reclaim'].includes(s.key)).map(s => s.id) } },
      data: { state: 'done', finishedAt: new Date(NOW), version: { increment: 1 } },
    })
    const start = (id: string, minutes: number) =>
      startStep({ stepId: id, by: ANA, stationId: bench, now: later(minutes), formKey: key() })
    expect(await start(stepId, 0)).toMatchObject({ ok: true, value: { note: null } })
    expect(await db().frameUse.count()).toBe(0)
    // Two frames for three screens: taken, and told.
    await numberFrames(SKU, 2, ANA, NOW)
    const report = await db().report.findFirst({ where: { stepId, kind: 'start' } })
    await takeBackReport({
      ...{ stepId, reportId: report?.id ?? '', why: 'wrong' },
      ...{ by: ANA, now: later(1), formKey: key() },
    })
    expect(await start(stepId, 2)).toMatchObject({
      value: { note: 'Take frames 1 and 2.', caution: expect.stringMatching(/^1 more frame is needed/) },
    })
    const pieces = steps.find(s => s.key === 'coat')?.pieces ?? 0
    const finish = (id: string, minutes: number) =>
      finishStep({ stepId: id, by: ANA, good: pieces, now: later(minutes), formKey: key() })
    await finish(stepId, 10)
    const expose = steps.find(s => s.key === 'expose')?.id ?? ''
    await start(expose, 60)
    await finish(expose, 70)
    const reclaim = steps.find(s => s.key === 'reclaim')?.id ?? ''
    expect(refusal(await start(reclaim, 200))).toBe('')
    expect(await finish(reclaim, 240)).toMatchObject({ value: { note: 'Free again: frames 1 and 2.' } })
    expect((await findFrame(2))?.frame).toMatchObject({ burnt: 1, reclaimed: 1, now: null })
  }, 90_000)

  test('one that is gone is off the stock book too, and its kept set is a set no more', async () => {
    await numberFrames(SKU, 6, ANA, NOW)
    await keepScreens({ ...design(), screens: 2, place: '' } as never, ANA, NOW)
    // Noted by hand after it was kept: the frames stand among the kept ones.
    expect(await burnByHand(design(), [2, 4], ANA, NOW)).toMatchObject({ ok: true })
    expect((await screensOnShelf())[0]?.frames).toEqual([2, 4])
    expect(refusal(await burnByHand(design(), [4], ANA, NOW))).toMatch(/Frame 4 carries something already/)
    expect(refusal(await burnByHand(design(), [77], ANA, NOW))).toMatch(/There is no frame 77/)
    expect(await frameGone(4, 'torn at the corner', ANA, later(1))).toMatchObject({ ok: true, value: true })
    expect(await keptAmong([design().design])).toEqual([])
    expect(await level()).toMatchObject({ onHand: 5, carrying: 1, free: 4 })
    expect(refusal(await reclaimFrame(4, ANA, later(2)))).toMatch(/Frame 4 is gone/)
    expect(await reclaimFrame(2, ANA, later(2))).toMatchObject({ ok: true })
    expect(await checkBooks()).toEqual([])
  })

  test('a screen that is burnt anew for one that is torn is that screen, and no other twice', async () => {
    await numberFrames(SKU, 6, ANA, NOW)
    expect(await burnByHand(design(), [1, 2, 3], ANA, NOW)).toMatchObject({ ok: true })
    expect(await frameGone(1, 'torn', ANA, later(1))).toMatchObject({ ok: true, value: false })
    expect(await burnByHand(design(), [4], ANA, later(2))).toMatchObject({ ok: true })
    const parts = (await listFrames()).frames.flatMap(f => (f.now ? [[f.number, f.now.part]] : []))
    expect(parts).toEqual([
      [2, 2],
      [3, 3],
      [4, 1],
    ])
    // Kept are those that there are; what is burnt for an order besides is numbered by itself.
    await keepScreens({ ...design(), screens: 3, place: '' }, ANA, later(3))
    await db().frameUse.updateMany({
      where: { frame: { number: 4 } },
      data: { keptId: null, orderId: (await agreed(floor, true, 'screen')).id },
    })
    expect(await burnByHand(design(), [5, 6], ANA, later(4))).toMatchObject({ ok: true })
    expect((await findFrame(5))?.frame.now).toMatchObject({ part: 1, kept: true })
    expect((await findFrame(6))?.frame.now).toMatchObject({ part: 4, kept: true })
  })

  test('over a random history: on hand, carried and counted as a plain list says', async () => {
    const random = rng(12)
    const model = new Map<number, { on: boolean; burnt: number; reclaimed: number }>()
    let onHand = 6
    for (let k = 0; k < 160; k++) {
      const at = later(k)
      const number = random.whole(1, Math.max(1, model.size))
      const frame = model.get(number)
      const what = random.whole(1, 10)
      if (what === 1) {
        await book({ kind: 'received', quantity: 1, value: micro(31_000_000), why: '' })
        onHand++
      } else if (what === 2) {
        const done = await numberFrames(SKU, 2, ANA, at)
        expect(done.ok).toBe(onHand - model.size >= 2)
        if (done.ok) for (const n of done.value) model.set(n, { on: false, burnt: 0, reclaimed: 0 })
      } else if (what < 7) {
        const done = await burnByHand(design(), [number], ANA, at)
        expect(done.ok).toBe(frame !== undefined && !frame.on)
        if (frame && done.ok) Object.assign(frame, { on: true, burnt: frame.burnt + 1 })
      } else {
        const done = await reclaimFrame(number, ANA, at)
        expect(done.ok).toBe(frame?.on === true)
        if (frame && done.ok) Object.assign(frame, { on: false, reclaimed: frame.reclaimed + 1 })
      }
    }
    const { frames } = await listFrames()
    expect(
      frames.map(f => [f.number, { on: f.now !== null, burnt: f.burnt, reclaimed: f.reclaimed }]),
    ).toEqual([...model])
    const carrying = [...model.values()].filter(f => f.on).length
    expect(await level()).toMatchObject({ onHand, carrying, free: onHand - carrying })
    for (const f of frames) expect(f.burnt - f.reclaimed).toBe(f.now ? 1 : 0)
    expect(await checkBooks()).toEqual([])
    // A damage that no action makes is found.
    const [use] = await db().frameUse.findMany({ where: { endedAt: null } })
    if (!use) throw new Error('nothing is burnt')
    const { id: _, ...copy } = use
    await db().frameUse.create({ data: copy })
    expect(await checkBooks()).toMatchObject([
      { sku: SKU, what: expect.stringMatching(/carries 2 screens at once/) },
    ])
  }, 90_000)
})
