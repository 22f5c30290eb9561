import { describe, expect, test } from 'vitest'
import { type Kept, saidSizes, standsHere, toSend } from '@/lib/floor/kept'

let made = 0
const kept = (kind: Kept['kind'], fields: Record<string, string> = {}, more: Partial<Kept> = {}): Kept => ({
  formKey: String(++made),
  kind,
  stepId: 'press',
  at: made,
  by: { id: 'ana', name: 'Ana' },
  words: kind,
  fields,
  ...more,
})
const press = {
  id: 'press',
  state: 'waiting' as const,
  open: 8,
  left: [
    { itemId: 's', size: 'S', quantity: 4 },
    { itemId: 'l', size: 'L', quantity: 4 },
  ],
}

describe('how a step stands with what is kept', () => {
  test('goes through a whole run without a line', () => {
    const all = [
      kept('start'),
      kept('finish', { good: '3', 'size.s': '3' }),
      kept('pause', { note: 'lunch' }),
      kept('resume'),
      kept('misprint', { itemId: 'l', quantity: '1' }),
      kept('finish', { good: '4', 'size.s': '1', 'size.l': '3' }),
    ]
    const states = all.map((_, i) => standsHere(press, all.slice(0, i + 1)))
    expect(states.map(s => [s.state, s.open])).toEqual([
      ['running', 8],
      ['running', 5],
      ['paused', 5],
      ['running', 5],
      ['running', 4],
      ['done', 0],
    ])
    expect(states[4]?.left).toEqual([
      { itemId: 's', size: 'S', quantity: 1 },
      { itemId: 'l', size: 'L', quantity: 3 },
    ])
  })

  test('counts neither what was refused nor what is of another step', () => {
    const others = [kept('start', {}, { refused: 'busy' }), kept('start', {}, { stepId: 'pack' })]
    expect(standsHere(press, others)).toEqual({ state: 'waiting', open: 8, left: press.left, unsent: false })
  })
})

describe('what the server has', () => {
  test('counts until the page has heard of it, and then once', () => {
    const start = kept('start', {}, { sent: true })
    const finish = kept('finish', { good: '3', 'size.s': '3' }, { sent: true })
    expect(standsHere({ ...press, heard: [] }, [start])).toMatchObject({ state: 'running', unsent: false })
    const told = { ...press, state: 'running' as const, heard: [start.formKey] }
    expect(standsHere(told, [start, finish])).toMatchObject({ state: 'running', open: 5 })
    const all = {
      ...told,
      open: 5,
      left: [{ itemId: 'l', size: 'L', quantity: 4 }],
      heard: [start.formKey, finish.formKey],
    }
    expect(standsHere(all, [start, finish])).toMatchObject({ open: 5, left: all.left })
  })

  test('is not counted twice where its answer was lost on the way', () => {
    const unsent = kept('finish', { good: '3' })
    expect(standsHere({ ...press, open: 5, heard: [unsent.formKey] }, [unsent]).open).toBe(5)
  })

  test('is not sent again', () => {
    expect(toSend([kept('start', {}, { sent: true }), kept('pause')], 'ana').map(k => k.kind)).toEqual([
      'pause',
    ])
  })
})

describe('what may be sent', () => {
  test('goes in order; what stands upon a refused report waits, other steps go on', () => {
    const all = [
      kept('finish', {}, { stepId: 'cut' }),
      kept('start', {}, { refused: 'Rui has started it' }),
      kept('finish'),
      kept('start', {}, { stepId: 'pack' }),
    ]
    expect(toSend(all, 'ana').map(k => k.stepId)).toEqual(['cut', 'pack'])
  })

  test('is never sent under somebody else’s name', () => {
    expect(toSend([kept('start')], 'rui')).toEqual([])
  })
})

test('sizes are said, or not', () => {
  expect(saidSizes({ good: '3' })).toBeNull()
  expect(saidSizes({ good: '3', 'size.s': '2', 'size.l': '' })).toEqual(
    new Map([
      ['s', 2],
      ['l', 0],
    ]),
  )
})
