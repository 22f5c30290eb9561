import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { shortagesOf } from '@/lib/planning/shortages'
import { at } from './shop'

const tee = { itemId: 'tee-m', name: 'Tee navy M', onHand: 10, leadDays: 3 }
const wants = (orderId: string, quantity: number, promise: number | null) => ({
  orderId,
  itemId: 'tee-m',
  quantity,
  promiseAt: promise === null ? null : at(promise),
})

describe('what orders lack', () => {
  it('is nothing while the shelf serves them all', () => {
    expect(shortagesOf([wants('a', 6, 10), wants('b', 4, 20)], [tee], []).size).toBe(0)
  })
  it('is with the later promise: the shelf serves the earlier one first', () => {
    const lacks = shortagesOf([wants('late', 8, 500), wants('soon', 8, 100)], [tee], [])
    expect(lacks.get('soon')).toBeUndefined()
    expect(lacks.get('late')).toEqual([
      { itemId: 'tee-m', name: 'Tee navy M', pieces: 6, dueAt: null, leadDays: 3 },
    ])
  })
  it('waits for the delivery that fills it, the last one where there are several', () => {
    const incoming = [
      { itemId: 'tee-m', quantity: 2, dueAt: at(300) },
      { itemId: 'tee-m', quantity: 2, dueAt: at(100) },
    ]
    expect(shortagesOf([wants('a', 11, 10)], [tee], incoming).get('a')?.[0]?.dueAt).toBe(at(100))
    expect(shortagesOf([wants('a', 14, 10)], [tee], incoming).get('a')?.[0]?.dueAt).toBe(at(300))
  })
  it('has no date where too little, or nothing with a date, is on the way', () => {
    const one = [{ itemId: 'tee-m', quantity: 1, dueAt: at(100) }]
    expect(shortagesOf([wants('a', 12, 10)], [tee], one).get('a')?.[0]).toMatchObject({
      pieces: 2,
      dueAt: null,
    })
    const undated = [{ itemId: 'tee-m', quantity: 50, dueAt: null }]
    expect(shortagesOf([wants('a', 12, 10)], [tee], undated).get('a')?.[0]?.dueAt).toBeNull()
  })
  it('says where a purchase of it lies unsent', () => {
    const lacks = (unsent: boolean) =>
      shortagesOf([wants('a', 12, 10)], [{ ...tee, unsent }], []).get('a')?.[0]
    expect(lacks(true)).toMatchObject({ dueAt: null, unsent: true })
    expect(lacks(false)?.unsent).toBeUndefined()
  })
  it('treats a shelf that the book has below nothing as empty', () => {
    expect(shortagesOf([wants('a', 2, 10)], [{ ...tee, onHand: -5 }], []).get('a')?.[0]?.pieces).toBe(2)
  })
  it('never promises one piece twice', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 20 }), { maxLength: 8 }),
        fc.integer({ min: 0, max: 40 }),
        (wanted, onHand) => {
          const lacks = shortagesOf(
            wanted.map((q, i) => wants(`o${i}`, q, i)),
            [{ ...tee, onHand }],
            [],
          )
          const missing = [...lacks.values()].flat().reduce((sum, s) => sum + s.pieces, 0)
          const all = wanted.reduce((a, b) => a + b, 0)
          expect(missing).toBe(Math.max(0, all - onHand))
        },
      ),
      { numRuns: 200 },
    )
  })
})
