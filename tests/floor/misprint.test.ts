import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type ChainStep, decideMisprint } from '@/lib/floor/misprint'
import type { StepState } from '@/lib/floor/reports'

const SIZES = [
  { size: 'S', itemId: 'tee-s', quantity: 4, colour: 'Navy' },
  { size: 'M', itemId: 'tee-m', quantity: 8, colour: 'Navy' },
]
const step = (position: number, title: string, change: Partial<ChainStep> = {}): ChainStep => ({
  id: title,
  title,
  position,
  pieces: 12,
  good: 0,
  spoiled: 0,
  state: 'waiting',
  sizes: SIZES,
  ...change,
})

function spoil(
  chain: ChainStep[],
  at: string,
  what: { itemId?: string; quantity?: number; alreadySpoiledOfSize?: number } = {},
  state: 'agreed' | 'making' | 'ready' | 'handedOver' = 'making',
) {
  const i = chain.findIndex(s => s.id === at)
  const here = chain[i] as ChainStep
  const b = chain[i - 1]
  return decideMisprint(
    {
      order: { number: 1047, state },
      title: here.title,
      state: here.state,
      pieces: here.pieces,
      good: here.good,
      spoiled: here.spoiled,
      last: null,
      stationName: null,
      before: b
        ? { title: b.title, state: b.state, good: b.good, finishedAt: null, gapMin: 0, gapMax: null }
        : null,
      sizes: here.sizes,
    },
    chain,
    at,
    { itemId: 'tee-m', quantity: 1, alreadySpoiledOfSize: 0, ...what },
  )
}
const chain = (press: Partial<ChainStep>, pack: Partial<ChainStep> = {}) => [
  step(1, 'Print', { state: 'done', good: 12 }),
  step(2, 'Press', press),
  step(3, 'Pack', pack),
]

describe('a misprint', () => {
  it('is lost where it happened, and the later steps have one less of that size', () => {
    expect(spoil(chain({ state: 'running' }), 'Press')).toEqual({
      ok: true,
      value: {
        size: 'M',
        itemId: 'tee-m',
        quantity: 1,
        here: { good: 0, spoiled: 1, complete: false },
        later: [
          {
            id: 'Pack',
            pieces: 11,
            sizes: [SIZES[0], { size: 'M', itemId: 'tee-m', quantity: 7, colour: 'Navy' }],
            dropped: false,
            done: false,
          },
        ],
      },
    })
  })

  it('takes from the pieces in hand before it takes from those already counted good', () => {
    expect(spoil(chain({ state: 'running', good: 8 }), 'Press')).toMatchObject({
      value: { here: { good: 8, spoiled: 1 } },
    })
    expect(spoil(chain({ state: 'running', good: 11, spoiled: 1 }), 'Press')).toMatchObject({
      value: { here: { good: 10, spoiled: 2, complete: true } },
    })
  })

  it('found after its step was done counts from the good ones that have not gone on', () => {
    expect(spoil(chain({ state: 'done', good: 12 }), 'Press')).toMatchObject({
      value: { here: { good: 11, spoiled: 1, complete: true } },
    })
    expect(spoil(chain({ state: 'done', good: 12 }, { state: 'running', good: 12 }), 'Press')).toMatchObject({
      ok: false,
      message: expect.stringMatching(/report the misprint at the step where the pieces are/),
    })
  })

  it('of everything leaves nothing to do after it', () => {
    const all = [
      step(1, 'Press', {
        pieces: 1,
        sizes: [{ size: 'M', itemId: 'tee-m', quantity: 1, colour: 'Navy' }],
        state: 'running',
      }),
      step(2, 'Pack', { pieces: 1, sizes: [{ size: 'M', itemId: 'tee-m', quantity: 1, colour: 'Navy' }] }),
    ]
    expect(spoil(all, 'Press')).toMatchObject({
      value: { here: { complete: true }, later: [{ id: 'Pack', pieces: 0, sizes: [], dropped: true }] },
    })
  })

  it('makes a later step done that has already worked all the others', () => {
    expect(
      spoil(chain({ state: 'running', good: 11 }, { state: 'running', good: 11 }), 'Press'),
    ).toMatchObject({
      value: { later: [{ id: 'Pack', pieces: 11, done: true }] },
    })
  })

  it.each([
    ['a size that the step has not', { itemId: 'tee-xxl' }, /no such size/],
    ['more than the size has', { quantity: 9 }, /has 8 of size M: 9 more cannot be spoiled/],
    ['more than is left of the size', { quantity: 3, alreadySpoiledOfSize: 6 }, /6 of them spoiled already/],
    ['nothing', { quantity: 0 }, /whole number, 1 or more/],
    ['half a piece', { quantity: 0.5 }, /whole number/],
  ])('is refused for %s', (_, what, sentence) => {
    expect(spoil(chain({ state: 'running' }), 'Press', what)).toMatchObject({
      ok: false,
      message: expect.stringMatching(sentence),
    })
  })

  it.each(['waiting', 'dropped'] as StepState[])('is refused on a step that is %s', state => {
    expect(spoil(chain({ state }), 'Press').ok).toBe(false)
  })

  it('is refused once the order has left the shop', () => {
    expect(spoil(chain({ state: 'done', good: 12 }), 'Press', {}, 'handedOver').ok).toBe(false)
  })

  it('never loses or invents a piece: good, spoiled and still in hand always make up what came in', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 12 }),
        fc.integer({ min: 0, max: 4 }),
        fc.integer({ min: 1, max: 8 }),
        (good, spoiled, quantity) => {
          fc.pre(good + spoiled <= 12)
          const done = good + spoiled === 12
          const r = spoil(
            chain({ state: done ? 'done' : 'running', good, spoiled }, { pieces: 12 - spoiled }),
            'Press',
            { quantity },
          )
          if (!r.ok) return
          expect(r.value.here.good).toBeGreaterThanOrEqual(0)
          expect(r.value.here.good + r.value.here.spoiled).toBeLessThanOrEqual(12)
          expect(r.value.here.spoiled).toBe(spoiled + quantity)
          const pack = r.value.later[0]
          expect(pack?.pieces).toBe(12 - spoiled - quantity)
        },
      ),
      { numRuns: 200 },
    )
  })
})
