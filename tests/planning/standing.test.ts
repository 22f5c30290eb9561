import { describe, expect, it } from 'vitest'
import { goodnessWords, safePromise, standingOf, waitingList } from '@/lib/planning/standing'
import { atTime, shopDay } from '@/lib/units/time'
import { at, LISBON } from './shop'

describe('how an order stands against its promise', () => {
  it.each([
    [0, 1, 'late', '1 min late'],
    [0, 150, 'late', '2 h 30 min late'],
    [0, 0, 'risk', '0 min to spare'],
    [239, 0, 'risk', '3 h 59 min to spare'],
    [240, 0, 'on-time', 'ready Mon 14 Sep, 08:00'],
  ])('promised at %i min, ready at %i min: %s', (promise, ready, standing, words) => {
    expect(standingOf({ promiseAt: at(promise), readyAt: at(ready) }, LISBON)).toMatchObject({
      standing,
      words,
    })
  })
  it('is neither late nor in time where nothing was promised or nothing finds a place', () => {
    expect(standingOf({ promiseAt: null, readyAt: at(0) }, LISBON).standing).toBe('unpromised')
    expect(standingOf({ promiseAt: at(0), readyAt: null }, LISBON).standing).toBe('unplaced')
  })
})

describe('the list of what cannot start', () => {
  const order = (number: number, until: number | null) => ({
    id: `o${number}`,
    number,
    title: 'Tees',
    holds: [{ kind: 'blanks' as const, text: 'missing', until: until === null ? null : at(until) }],
  })
  it('leaves out what can', () => {
    expect(waitingList([{ id: 'o1', number: 1, title: 'Tees', holds: [] }], [])).toEqual([])
  })
  it('puts first what waits for a person, then what comes soonest', () => {
    const list = waitingList([order(1, 900), order(2, 60), order(3, null)], [])
    expect(list.map(w => w.number)).toEqual([3, 2, 1])
  })
  it('says once that an order finds no room', () => {
    const [w] = waitingList(
      [{ ...order(1, 60), holds: [] }],
      [
        { orderId: 'o1', why: 'no room for the print' },
        { orderId: 'o1', why: 'left out because of the print' },
      ],
    )
    expect(w?.holds.map(h => h.text)).toEqual(['no room for the print'])
  })
})

describe('how good a plan is', () => {
  const words = (hard: number, late: number, hardBound = 0, lateBound = 0, unplaced: string[] = []) =>
    goodnessWords({
      unplaced: unplaced.map(orderId => ({ orderId })),
      objective: { hardMisses: hard, weightedLateMinutes: late },
      bound: { hardMisses: hardBound, weightedLateMinutes: lateBound },
    })
  it('is said with the distance to what is proven', () => {
    expect(words(0, 0)).toBe('Every promise is kept: no plan keeps them better.')
    expect(words(0, 95, 0, 60)).toBe('1 h 35 min late in all: at most 35 min from the best possible.')
    expect(words(0, 60, 0, 60)).toBe('1 h late in all: proven that no plan does better.')
    expect(words(2, 300, 1, 0)).toBe('5 h late in all; at most 1 more hard promise could be kept.')
  })
  it('does not call every promise kept while an order has no place on the plan', () => {
    expect(words(0, 0, 0, 0, ['a', 'a'])).toBe(
      'One order finds no place on the plan; every other promise is kept.',
    )
    expect(words(0, 60, 0, 60, ['a', 'b'])).toBe(
      '2 orders find no place on the plan; of the others, 1 h late in all: proven that no plan does better.',
    )
  })
})

describe('a safe promise', () => {
  const zone = 'Europe/Lisbon'
  const week = (from: string, to: string, days = [1, 2, 3, 4, 5]) =>
    days.map(weekday => ({ weekday, from, to }))
  const early = { hours: week('08:00', '14:00'), closed: [] }
  const late = { hours: week('10:00', '17:00'), closed: [] }
  it.each([
    ['a morning leaves half a working day: the same evening', '2026-11-26', '13:00', '2026-11-26'],
    ['an afternoon does not: the next evening', '2026-11-26', '13:01', '2026-11-27'],
    ['nobody is there on the weekend', '2026-11-27', '16:38', '2026-11-30'],
  ] as const)('%s', (_, day, time, promised) => {
    const readyAt = atTime(shopDay(day), time, zone)
    const promiseAt = safePromise(readyAt, zone, [early, late])
    expect(promiseAt).toBe(atTime(shopDay(promised), '17:00', zone))
    expect(standingOf({ promiseAt, readyAt }, zone).standing).toBe('on-time')
  })
  it('is given by the hours that the shop keeps: a Saturday where somebody is there, no day off', () => {
    const readyAt = atTime(shopDay('2026-11-27'), '16:38', zone)
    const saturday = { hours: week('09:00', '13:00', [6]), closed: [] }
    expect(safePromise(readyAt, zone, [late, saturday])).toBe(atTime(shopDay('2026-11-28'), '13:00', zone))
    const away = {
      ...late,
      closed: [{ from: '2026-11-30T00:00:00Z', to: '2026-12-02T00:00:00Z', why: 'stocktaking' }],
    }
    expect(safePromise(readyAt, zone, [away])).toBe(atTime(shopDay('2026-12-02'), '17:00', zone))
    expect(safePromise(readyAt, zone, [])).toBeNull()
  })
})
