import { describe, expect, it } from 'vitest'
import {
  type Before,
  countedBeside,
  decideFinish,
  decidePause,
  decideResume,
  decideStart,
  handedOn,
  type StartFacts,
} from '@/lib/floor/reports'
import { type Instant, instant } from '@/lib/units/time'

const NOON = Date.UTC(2026, 8, 14, 12)
const at = (minutes: number): Instant => instant(NOON + minutes * 60_000)
const say = (t: Instant) => new Date(t).toISOString().slice(11, 16)

const print: Before = {
  title: 'Print',
  state: 'done',
  good: 24,
  finishedAt: at(-10),
  gapMin: 0,
  gapMax: null,
}

const press = (change: Partial<StartFacts> = {}): StartFacts => ({
  order: { number: 1047, state: 'agreed' },
  title: 'Press the transfer',
  state: 'waiting',
  pieces: 24,
  good: 0,
  spoiled: 0,
  last: null,
  stationName: null,
  before: null,
  uncleared: [],
  clearers: [],
  station: { name: 'Heat press A', kindFits: true, busyWith: null, closedWhy: null },
  now: at(0),
  say,
  ...change,
})
const why = (r: { ok: boolean; message?: string }) => (r.ok ? 'allowed' : r.message)

describe('a step starts', () => {
  it('when its order is agreed, its art is cleared and its station is free', () => {
    expect(decideStart(press())).toEqual({ ok: true, value: { caution: null } })
  })

  it('not while the art is not cleared to sell, and says who can clear it', () => {
    const refused = decideStart(press({ uncleared: ['heron.png'], clearers: ['Ana', 'Rui'] }))
    expect(why(refused)).toBe(
      'heron.png of order 1047 is not cleared to sell. Ana and Rui can clear it at the art desk; then start again.',
    )
  })

  it('not twice: the second person learns who was first', () => {
    const refused = decideStart(
      press({ state: 'running', stationName: 'Heat press B', last: { byName: 'Ana', at: at(-5) } }),
    )
    expect(why(refused)).toBe(
      '“Press the transfer” of order 1047 is running on Heat press B already. Ana reported it at 11:55. Look what is next.',
    )
  })

  it.each(['enquiry', 'offered', 'declined', 'withdrawn', 'handedOver'] as const)(
    'not when its order is %s',
    state => {
      expect(decideStart(press({ order: { number: 1047, state } })).ok).toBe(false)
    },
  )

  it('for an order that has left the shop only where it is washing up', () => {
    const gone = { order: { number: 1047, state: 'handedOver' as const } }
    expect(decideStart(press({ ...gone, afterwards: true })).ok).toBe(true)
    expect(decideStart(press({ ...gone, afterwards: false })).ok).toBe(false)
    expect(decideStart(press({ order: { number: 1047, state: 'withdrawn' }, afterwards: true })).ok).toBe(
      false,
    )
  })

  it('not on a station of another kind, a closed one or a busy one', () => {
    const station = press().station
    expect(why(decideStart(press({ station: { ...station, kindFits: false } })))).toMatch(/cannot be worked/)
    expect(why(decideStart(press({ station: { ...station, closedWhy: 'new element' } })))).toMatch(
      /out of use \(new element\)/,
    )
    expect(
      why(decideStart(press({ station: { ...station, busyWith: { number: 1040, title: 'Cure' } } }))),
    ).toMatch(/busy with “Cure” of order 1040/)
  })

  it('not before the step ahead of it has handed anything on', () => {
    expect(
      why(decideStart(press({ before: { ...print, state: 'running', good: 0, finishedAt: null } }))),
    ).toMatch(/“Print” comes before it and has handed nothing on yet/)
  })

  it('with what is there when the step ahead has handed on a part', () => {
    const started = decideStart(press({ before: { ...print, state: 'running', good: 10, finishedAt: null } }))
    expect(started).toEqual({
      ok: true,
      value: { caution: '10 of 24 pieces are there; the rest is still at “Print”.' },
    })
  })

  it('after the rest that the recipe asks for, to the minute', () => {
    const resting = { ...print, gapMin: 30, finishedAt: at(-29) }
    expect(why(decideStart(press({ before: resting })))).toMatch(/start at 12:01/)
    expect(decideStart(press({ before: { ...resting, finishedAt: at(-30) } })).ok).toBe(true)
  })

  it('with a caution when the pieces have waited longer than the recipe allows', () => {
    const started = decideStart(press({ before: { ...print, gapMax: 240, finishedAt: at(-241) } }))
    expect(started.ok && started.value.caution).toMatch(/waited 241 min .* 240 min is the most/)
  })

  it('passes over a step that is not needed any more', () => {
    expect(decideStart(press({ before: { ...print, state: 'dropped', good: 0 } })).ok).toBe(true)
    expect(handedOn({ pieces: 24 }, { ...print, state: 'dropped', good: 0 })).toBe(24)
  })
})

describe('a step pauses and goes on', () => {
  it('pauses only while it runs, and with a reason', () => {
    expect(decidePause(press({ state: 'running' }), 'lunch', say).ok).toBe(true)
    expect(why(decidePause(press({ state: 'running' }), '  ', say))).toMatch(/Say in a word why/)
    expect(why(decidePause(press({ state: 'paused' }), 'lunch', say))).toMatch(/only a running step/)
  })
  it('goes on only when it is paused and its station is free', () => {
    expect(decideResume(press({ state: 'paused' }), null, say).ok).toBe(true)
    expect(decideResume(press({ state: 'paused' }), { number: 1040, title: 'Cure' }, say).ok).toBe(false)
    expect(decideResume(press({ state: 'running' }), null, say).ok).toBe(false)
  })
})

describe('pieces are counted', () => {
  const running = (change: Partial<StartFacts> = {}) => press({ state: 'running', ...change })

  it('all good: the step is done', () => {
    expect(decideFinish(running(), 24, say)).toEqual({
      ok: true,
      value: { good: 24, complete: true, left: 0 },
    })
  })
  it('a part: it is handed on and the step runs on', () => {
    expect(decideFinish(running({ good: 4 }), 10, say)).toEqual({
      ok: true,
      value: { good: 14, complete: false, left: 10 },
    })
  })
  it('with the spoiled ones: good and spoiled together make the step done', () => {
    expect(decideFinish(running({ spoiled: 2 }), 22, say)).toMatchObject({ value: { complete: true } })
  })
  it('nothing good when all were spoiled', () => {
    expect(decideFinish(running({ spoiled: 24 }), 0, say)).toMatchObject({
      value: { good: 0, complete: true },
    })
  })
  it.each([
    [25, /25 pieces are more than the 24 still open/],
    [-1, /whole number, 0 or more/],
    [1.5, /whole number/],
    [Number.NaN, /whole number/],
    [0, /Nothing to report/],
  ])('not %s of 24', (good, sentence) => {
    expect(why(decideFinish(running(), good, say))).toMatch(sentence)
  })
  it('not more than have come from the step ahead', () => {
    const before = { ...print, state: 'running' as const, good: 10 }
    expect(why(decideFinish(running({ before }), 11, say))).toMatch(/Only 10 pieces have come from “Print”/)
    expect(decideFinish(running({ before }), 10, say).ok).toBe(true)
  })
  it('once: the second of two people learns what the first reported', () => {
    expect(
      why(
        decideFinish(
          running({ state: 'done', good: 23, spoiled: 1, last: { byName: 'Ana', at: at(-3) } }),
          24,
          say,
        ),
      ),
    ).toBe(
      '“Press the transfer” of order 1047 is finished already, with 23 good and 1 spoiled. Ana reported it at 11:57. Nothing was counted twice.',
    )
  })
  it('not before the step was started', () => {
    expect(decideFinish(press(), 24, say).ok).toBe(false)
  })
})

describe('a count beside another one', () => {
  const report = (kind: string, byName: string, minutes: number) => ({
    kind,
    byName,
    good: 2,
    spoiled: 0,
    at: at(minutes),
  })
  const book = [
    report('start', 'Ana', 0),
    report('finish', 'Ana', 5),
    report('finish', 'Rui', 9),
    report('pause', 'Ana', 10),
  ]
  it('is named when the screen did not know of all pieces', () => {
    expect(countedBeside(book, 4, 2, say)).toBe(
      'Rui counted here too, at 12:09: 2 pieces that this screen did not know of. If they are the same ones, take one of the two counts back on the job’s page.',
    )
  })
  it('says nothing where the screen knew of them, or where some were taken back meanwhile', () => {
    expect(countedBeside(book, 4, 4, say)).toBeNull()
    expect(countedBeside(book, 2, 4, say)).toBeNull()
  })
})
