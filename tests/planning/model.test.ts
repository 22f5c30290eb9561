import { describe, expect, it } from 'vitest'
import { plan } from '@/lib/planning/engine'
import {
  afterChains,
  boardPlan,
  canDo,
  minutesLeft,
  type PlanRows,
  runsOf,
  shopOf,
} from '@/lib/planning/model'
import { instant } from '@/lib/units/time'
import { at, bench, order, packing, press, rows, step } from './shop'

/** Station, work and end of each run, in minutes after Monday 08:00. */
const planned = (r: PlanRows) =>
  Object.fromEntries(
    runsOf(plan(shopOf(r), { steps: 200 }), r.steps).map(run => [
      run.stepId,
      [run.stationId, (run.workAt - at(0)) / 60_000, (run.endAt - at(0)) / 60_000],
    ]),
  )

describe('the plan of agreed work', () => {
  it('puts the steps of a chain one after the other on stations that can do them', () => {
    expect(planned(rows())).toEqual({ press: ['a', 0, 45], pack: ['bench', 45, 60] })
  })

  it('begins when the blanks are in', () => {
    const r = rows({ orders: [order('o', { release: at(120) })] })
    expect(planned(r).press).toEqual(['a', 120, 165])
  })

  it('goes on after the night and not before the shop opens', () => {
    const r = rows({ now: at(530), orders: [order('o')] })
    // Pausable: ten minutes before closing at 17:00, the rest from 08:00 on Tuesday.
    expect(planned(r).press).toEqual(['a', 530, 24 * 60 + 35])
  })

  it('heats the press when the temperature differs, and the work begins right after', () => {
    const r = rows({ stations: [press('a', { state: '119C' }), bench] })
    const [run] = runsOf(plan(shopOf(r), { steps: 200 }), r.steps)
    // 30 degrees at 10 a minute: see lib/shop/stations.
    expect(run).toMatchObject({ changeover: 3, startAt: at(0), workAt: at(3) })
  })

  it('takes the time of a station where that was taken over: half of 45 minutes at the other press', () => {
    const steps = [step('press', 1, { pace: 'transfer press' })]
    const stations = [press('a'), press('b'), bench]
    const paces = new Map([['transfer press', new Map([['b', 0.5]])]])
    expect(planned(rows({ stations, steps })).press).toEqual(['a', 0, 45])
    // 5 minutes of setting up are 3, 40 of pressing 20.
    expect(planned(rows({ stations, steps, paces })).press).toEqual(['b', 0, 23])
    const running = { state: 'running', stationId: 'b', crewId: 'ana', startedAt: at(0) } as const
    const begun = [step('press', 1, { pace: 'transfer press', ...running })]
    expect(planned(rows({ now: at(10), stations, steps: begun, paces })).press).toEqual(['b', 0, 23])
  })

  it('leaves a rest between steps, over closing time too', () => {
    const r = rows({ steps: [step('press', 1, { gapMin: 600 }), step('pack', 2, packing)] })
    expect(planned(r).pack?.[1]).toBe(24 * 60)
  })

  it('keeps a running step on its station for what is left of it', () => {
    const running = { state: 'running', stationId: 'b', crewId: 'ana', startedAt: at(0) } as const
    const r = rows({
      now: at(20),
      stations: [press('a'), press('b'), bench],
      steps: [step('press', 1, running), step('pack', 2, packing)],
    })
    // 45 minutes in all, 20 have passed.
    expect(planned(r)).toEqual({ press: ['b', 0, 45], pack: ['bench', 45, 60] })
  })

  it('has it end at the same minute whenever that is asked, within a minute too', () => {
    const running = { state: 'running', stationId: 'b', crewId: 'ana', startedAt: at(0) } as const
    for (const moment of [instant(at(20) + 1), instant(at(20) + 59_999), at(21), instant(at(40) + 30_000)]) {
      const r = rows({
        now: moment,
        stations: [press('a'), press('b'), bench],
        steps: [step('press', 1, running), step('pack', 2, packing)],
      })
      expect(planned(r)).toEqual({ press: ['b', 0, 45], pack: ['bench', 45, 60] })
    }
  })

  it('does not count the time that it lay paused', () => {
    const paused = { state: 'paused', stationId: 'a', startedAt: at(0) } as const
    const clock = { booked: 20, sinceCount: 20, runsSince: null }
    const r = rows({
      now: at(200),
      steps: [step('press', 1, { ...paused, clock }), step('pack', 2, packing)],
    })
    expect(planned(r).press).toEqual(['a', 200, 225])
    const resumed = { ...paused, state: 'running', clock: { ...clock, runsSince: at(200) } } as const
    const on = rows({ now: at(210), steps: [step('press', 1, resumed), step('pack', 2, packing)] })
    expect(planned(on).press?.[2]).toBe(225)
  })

  it('gives a step that runs over its time a minute more, not an end in the past', () => {
    const running = { state: 'running', stationId: 'a', startedAt: at(0) } as const
    const r = rows({ now: at(100), steps: [step('press', 1, running), step('pack', 2, packing)] })
    expect(planned(r)).toEqual({ press: ['a', 0, 101], pack: ['bench', 101, 116] })
  })

  it('does not hold running work for blanks that were late', () => {
    const running = { state: 'running', stationId: 'a', startedAt: at(0) } as const
    const r = rows({
      now: at(20),
      orders: [order('o', { release: at(3000) })],
      steps: [step('press', 1, running), step('pack', 2, packing)],
    })
    expect(planned(r).pack?.[1]).toBe(45)
  })

  it('goes on from what is done: the rest that the recipe asks for counts from its real end', () => {
    const done = { state: 'done', finishedAt: at(30), gapMin: 60 } as const
    const r = rows({ now: at(40), steps: [step('press', 1, done), step('pack', 2, packing)] })
    expect(planned(r)).toEqual({ pack: ['bench', 90, 105] })
  })

  it('leaves out what is not needed any more, and orders that have nothing left', () => {
    const r = rows({ steps: [step('press', 1, { state: 'dropped' }), step('pack', 2, packing)] })
    expect(Object.keys(planned(r))).toEqual(['pack'])
    expect(shopOf(rows({ steps: [step('press', 1, { state: 'done' })] })).jobs).toEqual([])
  })

  it('serves the rush before the others when both cannot be in time', () => {
    const r = rows({
      orders: [
        order('o', { promiseAt: at(45) }),
        order('r', { promiseAt: at(45), rush: true, number: 1048 }),
      ],
      steps: [step('press', 1), step('rush', 1, { orderId: 'r' })],
    })
    expect(planned(r).rush).toEqual(['a', 0, 45])
  })

  it('says which step finds no station', () => {
    const r = rows({ stations: [bench] })
    expect(plan(shopOf(r), { steps: 50 }).unplaced.map(u => u.step)).toEqual(['press', 'pack'])
  })
})

describe('what a station can do', () => {
  const needs = { widthMm: 450, heightMm: 380, screens: 3 }
  it('depends on its kind, its bed either way round, and its heads', () => {
    expect(canDo(press('a'), { stationKind: 'bench', needs: null })).toBe(false)
    expect(canDo(press('a'), { stationKind: 'heat-press', needs })).toBe(true)
    expect(canDo(press('a', { bedHeightMm: 440 }), { stationKind: 'heat-press', needs })).toBe(false)
    expect(canDo(press('a', { heads: 2 }), { stationKind: 'heat-press', needs })).toBe(false)
    expect(canDo(bench, { stationKind: 'bench', needs })).toBe(true)
  })
})

describe('what is left of a step under way', () => {
  it.each([
    ['by the minutes that have passed', {}, 15, 0, 30],
    ['by the pieces that are counted', { good: 10, spoiled: 2 }, 25, 0, 20],
    ['by what has passed since they were counted', { good: 10, spoiled: 2 }, 31, 6, 14],
    ['by the minutes where pieces were spoiled but none counted', { spoiled: 2 }, 15, 15, 30],
    ['never nothing', {}, 500, 0, 1],
    ['never nothing, all pieces counted', { good: 24 }, 5, 0, 1],
  ])('is taken %s', (_, counts, all, sinceCount, left) => {
    expect(minutesLeft(step('press', 1, counts), { all, sinceCount })).toBe(left)
  })
})

describe('a new plan from the one on the board', () => {
  it('reads the board back as the engine wrote it', () => {
    const r = rows()
    const made = plan(shopOf(r), { steps: 200 })
    expect(boardPlan(runsOf(made, r.steps), r.steps).runs).toEqual(made.runs)
  })
  it('forgets runs whose step is gone', () => {
    const r = rows()
    const board = runsOf(plan(shopOf(r), { steps: 200 }), r.steps)
    expect(boardPlan(board, [r.steps[0] as (typeof r.steps)[number]]).runs).toHaveLength(1)
  })
})

describe('washing up after a batch', () => {
  const needs = { widthMm: 280, heightMm: 300, screens: 3 }
  const print = step('print', 1, { job: 'batch-1', needs })
  const wash = step('wash', 1, { job: 'after-1', ...packing })
  const apart = (steps: (typeof print)[], end?: number) =>
    afterChains(steps, new Map(end === undefined ? [] : [['print', at(end)]])).get('o/after-1')

  it('waits until the prints are done, by the board where they are not yet', () => {
    expect(apart([print, wash])).toBeNull()
    expect(apart([print, wash], 90)).toBe(at(90))
    expect(apart([{ ...print, state: 'done', finishedAt: at(30) }, wash], 90)).toBe(at(30))
  })
  it('is planned beside the promise: its lateness is nobody’s', () => {
    const r = rows({
      orders: [order('o', { promiseAt: at(50) })],
      steps: [print, wash],
      apart: new Map([['o/after-1', at(300)]]),
    })
    const made = plan(shopOf(r), { steps: 200 })
    expect(made.late).toEqual([])
    expect(planned(r).wash).toEqual(['bench', 300, 315])
  })
  it('is left out while it cannot begin', () => {
    const r = rows({ steps: [print, wash], apart: new Map([['o/after-1', null]]) })
    expect(Object.keys(planned(r))).toEqual(['print'])
  })
})
