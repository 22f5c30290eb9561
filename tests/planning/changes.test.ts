import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { cannotTake, changeSchema, changeWords, firstPlace } from '@/lib/planning/changes'
import { plan } from '@/lib/planning/engine'
import { boardPlan, type PlanRows, runsOf, shopOf } from '@/lib/planning/model'
import { whatChanges } from '@/lib/planning/what-changes'
import { whyWords } from '@/lib/planning/why-words'
import { ana, at, bench, LISBON, order, packing, press, rows, step } from './shop'

const planned = (r: PlanRows) => ({ rows: r, plan: plan(shopOf(r), { seed: 1, steps: 200 }) })
const pinned = (r: PlanRows, id: string, stationId: string, minutes: number): PlanRows => ({
  ...r,
  pins: new Map([[id, { stationId, startAt: at(minutes), crewId: null }]]),
})

describe('a pinned run', () => {
  it('stands where it was pinned', () => {
    const run = planned(pinned(rows(), 'press', 'a', 120)).plan.runs.find(r => r.step === 'press')
    expect(run?.station).toBe('a')
    expect(run?.start).toBe(Math.floor(at(120) / 60_000))
  })
  it('keeps its station alone when its time has gone by', () => {
    const two = rows({ stations: [press('a'), press('b'), bench] })
    const run = planned(pinned(two, 'press', 'b', -30)).plan.runs.find(r => r.step === 'press')
    expect(run?.station).toBe('b')
    expect(run?.start).toBe(Math.floor(at(0) / 60_000))
  })
})

describe('what changes', () => {
  // One press, one person: 45 minutes for each of two orders, both promised after two hours.
  const two = rows({
    orders: [
      order('o', { promiseAt: at(120), promiseHard: true }),
      order('p', { number: 1048, promiseAt: at(120) }),
    ],
    steps: [step('one', 1), step('two', 1, { orderId: 'p' })],
  })
  it('is nothing between a plan and itself', () => {
    const a = planned(two)
    expect(whatChanges(a, a)).toEqual({
      later: [],
      sooner: [],
      homeless: [],
      changeoverMinutes: 0,
      lateMinutes: 0,
      moved: [],
    })
  })
  it('names who becomes late and by how much, hard promises first', () => {
    // 45 min from 9:20 on end at 10:05: five minutes late.
    const late = planned(pinned(two, 'one', 'a', 80))
    const seen = whatChanges(planned(two), late, 'one')
    expect(seen.later).toEqual([{ orderId: 'o', number: 1047, hard: true, before: 0, after: 5 }])
    expect(seen.lateMinutes).toBe(5)
    expect(seen.moved.map(m => m.stepId)).not.toContain('one')
    expect(whatChanges(late, planned(two), 'one').sooner[0]).toMatchObject({ before: 5, after: 0 })
  })
  it('weighs a rushed order threefold', () => {
    const rushed = { ...two, orders: two.orders.map(o => ({ ...o, rush: true })) }
    expect(whatChanges(planned(rushed), planned(pinned(rushed, 'one', 'a', 80)), 'one').lateMinutes).toBe(15)
  })
  it('counts changeovers won and lost', () => {
    const hot = rows({
      orders: [order('o'), order('p', { number: 1048 }), order('q', { number: 1049 })],
      steps: [
        step('cold-1', 1, { runMinutes: 20 }),
        step('hot', 1, { orderId: 'p', stationState: '199C', runMinutes: 20 }),
        step('cold-2', 1, { orderId: 'q', runMinutes: 20 }),
      ],
    })
    const between = {
      ...hot,
      pins: new Map(
        Object.entries({
          'cold-1': { stationId: 'a', startAt: at(0), crewId: null },
          hot: { stationId: 'a', startAt: at(60), crewId: null },
          'cold-2': { stationId: 'a', startAt: at(240), crewId: null },
        }),
      ),
    }
    // 149 to 199 °C is 5 min at 10 °C a minute, back 25 min at 2 °C a minute: one heating is the least.
    expect(whatChanges(planned(hot), planned(between)).changeoverMinutes).toBe(25)
  })
})

describe('the first place for a run', () => {
  const on = { station: press('a'), crew: [ana], zone: LISBON, now: at(0), release: at(0) }
  it('is what was asked where that is free', () => {
    expect(firstPlace(step('s', 1), on, at(60), null, [])).toBe(at(60))
  })
  it('comes after the step before it and its settling', () => {
    expect(firstPlace(step('s', 1), on, at(0), { endAt: at(30), gapMin: 15 }, [])).toBe(at(45))
  })
  it('jumps over the night and over what stays', () => {
    // 17:00 is closing time; 8:00 the next day is 24 h after the first opening.
    expect(firstPlace(step('s', 1), on, at(600), null, [])).toBe(at(24 * 60))
    expect(firstPlace(step('s', 1), on, at(10), null, [{ from: at(0), to: at(90) }])).toBe(at(90))
  })
  it('waits for an opening that holds work which cannot pause', () => {
    const long = step('s', 1, { pausable: false, runMinutes: 120 })
    expect(firstPlace(long, on, at(8 * 60), null, [])).toBe(at(24 * 60))
  })
  it('is nowhere when nobody can do it', () => {
    expect(firstPlace(step('s', 1), { ...on, crew: [] }, at(0), null, [])).toBeNull()
  })
  it('is never before any of what it waits for', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 5000 }), fc.integer({ min: 0, max: 3000 }), (asked, end) => {
        const found = firstPlace(step('s', 1), on, at(asked), { endAt: at(end), gapMin: 10 }, [])
        expect(found).not.toBeNull()
        expect(found).toBeGreaterThanOrEqual(Math.max(at(asked), at(end + 10)))
      }),
    )
  })
})

describe('why a run starts when it does', () => {
  const whyOf = (r: PlanRows, id: string) => {
    const shop = shopOf(r)
    const board = runsOf(plan(shop, { seed: 1, steps: 200 }), r.steps)
    return whyWords(shop, boardPlan(board, r.steps), id, r).map(w => w.words)
  }
  it('names the curing before it', () => {
    const cured = rows({ steps: [step('press', 1, { gapMin: 60 }), step('pack', 2, packing)] })
    expect(whyOf(cured, 'pack')[0]).toBe(
      'Waits 1 h after “press” of 1047: curing or settling until Mon 14 Sep, 09:45.',
    )
  })
  it('names the run that has the press', () => {
    const two = rows({
      orders: [order('o', { promiseAt: at(60) }), order('p', { number: 1048 })],
      steps: [step('one', 1), step('two', 1, { orderId: 'p' })],
      crew: [ana, { ...ana, id: 'rui', name: 'Rui' }],
    })
    expect(whyOf(two, 'two')[0]).toBe('Heat press a is busy with “one” of 1047 until Mon 14 Sep, 08:45.')
  })
  it('says that somebody pinned it, and that the shop is closed', () => {
    expect(whyOf(pinned(rows(), 'press', 'a', 60), 'press')).toEqual(['Somebody pinned it here.'])
    const evening = rows({ now: at(10 * 60), orders: [order('o', { release: at(600) })] })
    expect(whyOf(evening, 'press')[0]).toBe(
      'No time before Tue 15 Sep, 08:00 when Heat press a is open and Ana is there for long enough.',
    )
  })
})

describe('a change from outside', () => {
  it('is refused where it is none', () => {
    for (const bad of [null, {}, { kind: 'move' }, { kind: 'out', station: 's', from: 0, to: 1, why: '  ' }])
      expect(changeSchema.safeParse(bad).success).toBe(false)
  })
  it('says why a station cannot take a run', () => {
    const wide = step('s', 1, { needs: { widthMm: 600, heightMm: 600, screens: 0 } })
    expect(cannotTake(press('a'), wide)).toBe('The print is larger than Heat press a takes.')
    expect(cannotTake(bench, wide)).toBe('Bench does not do this kind of work.')
    expect(cannotTake(press('a'), step('s', 1))).toBeNull()
  })
  it('is told in words', () => {
    const r = rows()
    expect(changeWords({ kind: 'move', step: 'press', station: 'a', start: at(60) }, r, [])).toBe(
      'moved “press” of 1047 to Heat press a, Mon 14 Sep, 09:00',
    )
  })
})
