import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  type Dwell,
  dropPiece,
  keptPress,
  openPress,
  readPress,
  recount,
  touchPress,
} from '@/lib/floor/press-clock'
import { type Instant, instant, seconds } from '@/lib/units/time'

/** Common practice, no single source: a hot-peel transfer is pressed for about 16 s. */
const transfer: Dwell = { press: seconds(16), settle: seconds(0) }
/** Common practice, no single source: a sublimated shirt is pressed for about 40 s and settles before it is peeled. */
const sublimation: Dwell = { press: seconds(40), settle: seconds(10) }
const at = (s: number): Instant => instant(1_790_000_000_000 + Math.round(s * 1000))

describe('the countdown of the press', () => {
  const closed = { closedAt: at(0), counted: 3 }
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

  it('waits out the settling of a sublimated piece before it says peel', () => {
    expect(readPress(closed, sublimation, at(39)).phase).toBe('pressing')
    expect(readPress(closed, sublimation, at(40))).toMatchObject({ phase: 'settling', left: 10 })
    expect(readPress(closed, sublimation, at(49.2))).toMatchObject({ phase: 'settling', left: 1 })
    expect(readPress(closed, sublimation, at(50)).phase).toBe('over')
  })

  it('depends on the instant it was closed and nothing else: a tab asleep for an hour reads the truth', () => {
    const ticked = [0, 1, 2, 3].map(s => readPress(closed, sublimation, at(s)))
    expect(ticked.map(r => r.left)).toEqual([40, 39, 38, 37])
    expect(readPress(closed, sublimation, at(3600))).toMatchObject({ phase: 'over', over: 3550 })
  })

  it('shows the full dwell, never more, when the clock of the tablet was set back', () => {
    expect(readPress(closed, transfer, at(-3600)).left).toBe(16)
  })
})

describe('one touch', () => {
  it('closes the press on the first piece without counting it', () => {
    expect(touchPress(openPress, transfer, 24, at(5))).toEqual({ closedAt: at(5), counted: 0 })
  })
  it('changes nothing while a piece is under the press', () => {
    const closed = { closedAt: at(0), counted: 3 }
    expect(touchPress(closed, transfer, 24, at(15))).toBe(closed)
  })
  it('counts the piece that is done and goes on to the next', () => {
    expect(touchPress({ closedAt: at(0), counted: 3 }, transfer, 24, at(20))).toEqual({
      closedAt: at(20),
      counted: 4,
    })
  })
  it('leaves the press open after the last piece', () => {
    expect(touchPress({ closedAt: at(0), counted: 23 }, transfer, 24, at(20))).toEqual({
      closedAt: null,
      counted: 24,
    })
    expect(touchPress({ closedAt: null, counted: 24 }, transfer, 24, at(30)).closedAt).toBeNull()
  })
  it('never counts more pieces than whole dwells have passed, whatever is touched', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 60 }), { maxLength: 60 }), waits => {
        let clock = openPress
        let s = 0
        for (const w of waits) {
          s += w
          clock = touchPress(clock, transfer, 500, at(s))
        }
        expect(clock.counted).toBeLessThanOrEqual(Math.floor(s / 16))
      }),
      { numRuns: 200 },
    )
  })
})

describe('a piece put right by hand', () => {
  it('is let go without being counted', () => {
    expect(dropPiece({ closedAt: at(0), counted: 3 })).toEqual({ closedAt: null, counted: 3 })
  })
  it('never counts under nothing or over the run', () => {
    expect(recount({ closedAt: null, counted: 0 }, -1, 24).counted).toBe(0)
    expect(recount({ closedAt: null, counted: 24 }, 1, 24).counted).toBe(24)
  })
})

describe('what the browser kept over a reload', () => {
  it('is read back as it was', () => {
    const clock = { closedAt: at(0), counted: 3 }
    expect(keptPress(JSON.stringify(clock))).toEqual(clock)
  })
  it.each([null, '', 'nonsense', '[]', '{"counted":-1}', '{"counted":1.5}', '{"closedAt":5}', 'null'])(
    'is an open press when it reads %s',
    text => {
      expect(keptPress(text)).toEqual(openPress)
    },
  )
})
