import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  dropPiece,
  endOf,
  keptPress,
  nextPeel,
  openPress,
  type PressClock,
  type PressPlan,
  peeled,
  readPress,
  recount,
  touchPress,
} from '@/lib/floor/press-clock'
import { type Instant, instant, seconds } from '@/lib/units/time'

/** Common practice, no single source: a hot-peel transfer is pressed for about 16 s. */
const transfer: PressPlan = { stages: [{ title: 'Press', seconds: seconds(16) }], rest: seconds(0) }
/** Common practice, no single source: pre-press against moisture, about 40 s at 400 °F, left to settle before it is peeled. */
const sublimation: PressPlan = {
  stages: [
    { title: 'Pre-press', seconds: seconds(6) },
    { title: 'Press', seconds: seconds(40) },
  ],
  rest: seconds(60),
}
const at = (s: number): Instant => instant(1_790_000_000_000 + Math.round(s * 1000))
const clock = (change: Partial<PressClock>): PressClock => ({ ...openPress, ...change })

describe('the countdown of the press', () => {
  const closed = clock({ closedAt: at(0), counted: 3 })
  it.each([
    [0, 'pressing', 16],
    [0.001, 'pressing', 16],
    [1, 'pressing', 15],
    [15.999, 'pressing', 1],
    [16, 'over', 0],
    [19.5, 'over', 0],
  ])('shows after %s s: %s, %s s left', (s, phase, left) => {
    expect(readPress(closed, transfer, at(s))).toMatchObject({ phase, left })
  })

  it('says how long a piece has been left under the press', () => {
    expect(readPress(closed, transfer, at(19.5)).over).toBe(3)
  })

  it('depends on the instant it was closed and nothing else: a tab asleep for an hour reads the truth', () => {
    expect([0, 1, 2, 3].map(s => readPress(closed, transfer, at(s)).left)).toEqual([16, 15, 14, 13])
    expect(readPress(closed, transfer, at(3600))).toMatchObject({ phase: 'over', over: 3584 })
  })

  it('shows the full dwell, never more, when the clock of the tablet was set back', () => {
    expect(readPress(closed, transfer, at(-3600)).left).toBe(16)
  })

  it('shows the dwell to come while the press stands open', () => {
    expect(readPress(openPress, sublimation, at(0))).toMatchObject({ phase: 'open', left: 6 })
  })
})

describe('one touch', () => {
  it('closes the press on the first piece without counting it', () => {
    expect(touchPress(openPress, transfer, 24, at(5))).toEqual(clock({ closedAt: at(5) }))
  })
  it('changes nothing while a piece is under the press', () => {
    const closed = clock({ closedAt: at(0), counted: 3 })
    expect(touchPress(closed, transfer, 24, at(15))).toBe(closed)
  })
  it('counts the piece that is done and goes on to the next', () => {
    expect(touchPress(clock({ closedAt: at(0), counted: 3 }), transfer, 24, at(20))).toEqual(
      clock({ closedAt: at(20), counted: 4 }),
    )
  })
  it('closes the press again on the same piece where the recipe asks for it', () => {
    const pressing = touchPress(clock({ closedAt: at(0) }), sublimation, 24, at(7))
    expect(pressing).toEqual(clock({ closedAt: at(7), stage: 1 }))
    expect(readPress(pressing, sublimation, at(7)).left).toBe(40)
    expect(touchPress(pressing, sublimation, 24, at(47))).toMatchObject({ counted: 1, stage: 0 })
  })
  it('leaves the press open after the last piece', () => {
    const done = touchPress(clock({ closedAt: at(0), counted: 23 }), transfer, 24, at(20))
    expect(done).toEqual(clock({ counted: 24 }))
    expect(touchPress(done, transfer, 24, at(30))).toBe(done)
  })
  it('never counts more pieces than whole dwells have passed, whatever is touched', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 60 }), { maxLength: 60 }), waits => {
        let running = openPress
        let s = 0
        for (const w of waits) {
          s += w
          running = touchPress(running, sublimation, 500, at(s))
        }
        expect(running.counted).toBeLessThanOrEqual(Math.floor(s / 46))
      }),
      { numRuns: 200 },
    )
  })
})

describe('a piece that lies aside', () => {
  const next = touchPress(clock({ closedAt: at(0), stage: 1 }), sublimation, 24, at(45))
  it('settles while the press takes the next one, from the end of its own dwell', () => {
    expect(next.resting).toEqual([at(100)])
    expect(readPress(next, sublimation, at(60))).toMatchObject({ peelNow: 0, peelIn: 40 })
  })
  it('may be peeled when its settling is over', () => {
    expect(readPress(next, sublimation, at(100))).toMatchObject({ peelNow: 1, peelIn: null })
    expect(peeled(next, at(99)).resting).toHaveLength(1)
    expect(peeled(next, at(100)).resting).toHaveLength(0)
  })
})

describe('when a bell is to ring', () => {
  it('is the end of the closing that is on, and the next piece that may be peeled', () => {
    expect(endOf(openPress, sublimation)).toBeNull()
    expect(endOf(clock({ closedAt: at(10), stage: 1 }), sublimation)).toBe(at(10 + 40))
    expect(nextPeel(clock({ resting: [at(60), at(90)] }), at(60))).toBe(at(90))
    expect(nextPeel(clock({ resting: [at(60)] }), at(61))).toBeNull()
  })
})

describe('a piece put right by hand', () => {
  it('is let go without being counted', () => {
    expect(dropPiece(clock({ closedAt: at(0), stage: 1, counted: 3 }))).toEqual(clock({ counted: 3 }))
  })
  it('never counts under nothing or over the run', () => {
    expect(recount(clock({ counted: 0 }), -1, 24).counted).toBe(0)
    expect(recount(clock({ counted: 24 }), 1, 24).counted).toBe(24)
  })
})

describe('what the browser kept over a reload', () => {
  it('is read back as it was', () => {
    const kept = { closedAt: at(0), stage: 1, counted: 3, resting: [at(60)] }
    expect(keptPress(JSON.stringify(kept))).toEqual(kept)
  })
  it.each([null, '', 'nonsense', '[]', '{"counted":-1}', '{"counted":1.5}', '{"closedAt":5}', 'null'])(
    'is an open press when it reads %s',
    text => {
      expect(keptPress(text)).toEqual(openPress)
    },
  )
})
