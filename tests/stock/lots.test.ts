import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { bookLots, drawLots, type Lot, type LotEntry, lotsLeft } from '@/lib/stock/lots'
import type { Intent, ShelfRules } from '@/lib/stock/movements'
import { rebuild } from '@/lib/stock/rebuild'
import { EMPTY, type Shelf, VALUATIONS, type Valuation } from '@/lib/stock/valuation'
import { micro } from '@/lib/units/money'
import { type Instant, instant } from '@/lib/units/time'

const DAY = 86_400_000
const now = instant(Date.UTC(2026, 4, 14, 9))
const inDays = (n: number): Instant => instant(now + n * DAY)
const lot = (name: string, left: number, goodUntil: number | null, firstAt = -30): Lot => ({
  lot: name,
  left,
  goodUntil: goodUntil === null ? null : inDays(goodUntil),
  firstAt: inDays(firstAt),
})
const at = (lots: readonly Lot[], when: Instant = now) => ({
  lots,
  now: when,
  day: (i: Instant) => new Date(i).toISOString().slice(0, 10),
})
const rules = (valuation: Valuation = 'fifo', belowZero = false): ShelfRules => ({
  name: 'White ink',
  unit: 'ul',
  valuation,
  belowZero,
})

describe('what is used first', () => {
  // First expired, first out: the usual rule for goods with a date.
  it.each<[string, Lot[], number, [string, number][]]>([
    [
      'what goes out of date first',
      [lot('B', 50, 90), lot('A', 50, 30)],
      60,
      [
        ['A', 50],
        ['B', 10],
      ],
    ],
    [
      'the oldest of those without a date',
      [lot('B', 50, null, -5), lot('A', 50, null, -9)],
      60,
      [
        ['A', 50],
        ['B', 10],
      ],
    ],
    ['a date before no date', [lot('A', 50, null, -90), lot('B', 50, 400)], 10, [['B', 10]]],
    [
      'what is out of date last',
      [lot('A', 50, -1), lot('B', 50, 30)],
      60,
      [
        ['B', 50],
        ['A', 10],
      ],
    ],
    [
      'what no lot has, without one',
      [lot('A', 50, 30)],
      80,
      [
        ['A', 50],
        ['', 30],
      ],
    ],
  ])('%s', (_, lots, quantity, expected) => {
    const onHand = lots.reduce((n, l) => n + l.left, 0)
    expect(drawLots(lots, onHand, quantity, now).map(d => [d.lot, d.quantity])).toEqual(expected)
  })

  it('the last moment of its day is still good', () => {
    const [draw] = drawLots([{ ...lot('A', 5, 0), goodUntil: now }], 5, 5, now)
    expect(draw?.expired).toBe(false)
  })

  it('lots that were used before they were booked in have already lost it', () => {
    expect(lotsLeft([lot('A', 10, 30), lot('B', 10, 60)], 15, now).map(l => [l.lot, l.left])).toEqual([
      ['A', 5],
      ['B', 10],
    ])
  })
})

describe('booking on a shelf with lots', () => {
  const shelf: Shelf = {
    onHand: 100,
    worth: micro(10_000_000),
    layers: [{ quantity: 100, value: micro(10_000_000) }],
  }
  const two = [lot('OLD', 40, -3), lot('NEW', 60, 200)]

  it('one line for each lot, and the work that used an old one says so for good', () => {
    const done = bookLots(shelf, { kind: 'issued', quantity: 80 }, rules(), at(two))
    expect(done.ok && done.value.entries.map(e => [e.lot, e.quantity, e.onHand, e.value, e.why])).toEqual([
      ['NEW', -60, 40, -6_000_000, undefined],
      ['OLD', -20, 20, -2_000_000, 'Lot OLD was out of date since 2026-05-11'],
    ])
    expect(done.ok && done.value.expired).toMatchObject([{ lot: 'OLD', quantity: 20 }])
  })

  it('throwing out an old lot takes that lot', () => {
    const intent: Intent = { kind: 'spoiled', quantity: 40, why: 'out of date' }
    const done = bookLots(shelf, intent, rules(), at(two), { only: 'OLD' })
    expect(done.ok && done.value.entries).toMatchObject([{ lot: 'OLD', quantity: -40, why: 'out of date' }])
    expect(
      bookLots(shelf, { kind: 'spoiled', quantity: 41 }, rules(), at(two), { only: 'OLD' }),
    ).toMatchObject({
      ok: false,
      message: 'Only 40 µl of lot OLD is on the shelf of White ink: take out no more, or count it first.',
    })
  })

  it.each<[string, { lot: string; goodUntil: Instant | null; anyway?: boolean }, string]>([
    [
      'out of date',
      { lot: 'X', goodUntil: inDays(-3) },
      'Lot X of White ink is out of date since 2026-05-11: send it back, or tick “take it in anyway” and say why it is still good.',
    ],
    [
      'a date without a lot',
      { lot: '', goodUntil: inDays(90) },
      'Goods with a date need their lot: type the number that stands on White ink.',
    ],
    [
      'a lot with another date',
      { lot: 'NEW', goodUntil: inDays(90) },
      'Lot NEW of White ink stands in the book as good until 2026-11-30: check the label, or type the lot with its own number.',
    ],
  ])('refuses to take in %s', (_, came, message) => {
    const received: Intent = { kind: 'received', quantity: 1, value: micro(1) }
    expect(bookLots(shelf, received, rules(), at(two), { came })).toMatchObject({ ok: false, message })
  })

  it('an old lot comes in when somebody has looked at it', () => {
    const came = { lot: 'X', goodUntil: inDays(-3), anyway: true }
    const done = bookLots(shelf, { kind: 'received', quantity: 1, value: micro(1) }, rules(), at(two), {
      came,
    })
    expect(done.ok && done.value.entries).toMatchObject([{ lot: 'X', quantity: 1 }])
  })

  it('what a count finds belongs to the lot in use', () => {
    const done = bookLots(shelf, { kind: 'counted', found: 105 }, rules(), at(two))
    expect(done.ok && done.value.entries).toMatchObject([{ lot: 'NEW', quantity: 5 }])
  })
})

describe('over thousands of events', () => {
  const event = fc.oneof(
    fc.record({
      do: fc.constant('receive' as const),
      n: fc.integer({ min: 1, max: 900 }),
      v: fc.nat(9_000_000),
      lot: fc.nat(6),
    }),
    fc.record({ do: fc.constant('issue' as const), n: fc.integer({ min: 1, max: 900 }) }),
    fc.record({ do: fc.constant('count' as const), n: fc.integer({ min: -60, max: 60 }) }),
    fc.record({ do: fc.constant('throw' as const) }),
  )
  it.each(
    VALUATIONS.flatMap(v => [
      [v, false],
      [v, true],
    ]) as [Valuation, boolean][],
  )(
    '%s, below zero %s: each lot is the sum of its lines, all lots are what is on hand, a rebuild agrees',
    (valuation, belowZero) => {
      let events = 0
      fc.assert(
        fc.property(fc.array(event, { minLength: 60, maxLength: 160, size: 'max' }), list => {
          let shelf: Shelf = EMPTY
          const lines: LotEntry[] = []
          const lots = new Map<string, Lot>()
          let day = 0
          for (const e of list) {
            const when = inDays(day++)
            // Six lots, some of which go out of date on the way.
            const name = e.do === 'receive' && e.lot > 0 ? `L${e.lot}` : ''
            const came = {
              lot: name,
              goodUntil: name ? inDays(name.charCodeAt(1) * 2 - 60) : null,
              anyway: true,
            }
            const where = at([...lots.values()], when)
            const old = lotsLeft([...lots.values()], shelf.onHand, when).findLast(l => l.lot !== '')
            if (e.do === 'throw' && !old) continue
            const done =
              e.do === 'receive'
                ? bookLots(
                    shelf,
                    { kind: 'received', quantity: e.n, value: micro(e.v) },
                    rules(valuation, belowZero),
                    where,
                    { came },
                  )
                : e.do === 'count'
                  ? bookLots(
                      shelf,
                      { kind: 'counted', found: Math.max(0, shelf.onHand + e.n) },
                      rules(valuation, belowZero),
                      where,
                    )
                  : e.do === 'throw'
                    ? bookLots(
                        shelf,
                        { kind: 'spoiled', quantity: old?.left ?? 0 },
                        rules(valuation, belowZero),
                        where,
                        { only: old?.lot ?? '' },
                      )
                    : bookLots(shelf, { kind: 'issued', quantity: e.n }, rules(valuation, belowZero), where)
            if (!done.ok) continue
            shelf = done.value.shelf
            for (const entry of done.value.entries) {
              events++
              lines.push(entry)
              if (!entry.lot) continue
              const known = lots.get(entry.lot)
              lots.set(entry.lot, {
                lot: entry.lot,
                goodUntil: entry.goodUntil,
                firstAt: known?.firstAt ?? when,
                left: (known?.left ?? 0) + entry.quantity,
              })
            }
            const left = lotsLeft([...lots.values()], shelf.onHand, when)
            expect(left.reduce((n, l) => n + l.left, 0)).toBe(Math.max(0, shelf.onHand))
            expect([...lots.values()].every(l => l.left >= 0)).toBe(true)
          }
          for (const l of lots.values())
            expect(lines.filter(e => e.lot === l.lot).reduce((n, e) => n + e.quantity, 0)).toBe(l.left)
          expect(lines.reduce((n, e) => n + e.quantity, 0)).toBe(shelf.onHand)
          expect(lines.reduce((n, e) => n + e.value, 0)).toBe(shelf.worth)
          const booked = lines.map((l, i) => ({
            ...l,
            id: String(i),
            position: i + 1,
            counters: null,
            at: i,
          }))
          expect(rebuild(booked, () => valuation)).toMatchObject({
            fault: null,
            shelf: { onHand: shelf.onHand, worth: shelf.worth },
          })
        }),
        { numRuns: 25 },
      )
      expect(events).toBeGreaterThan(1_000)
    },
  )
})
