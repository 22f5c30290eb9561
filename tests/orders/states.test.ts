import { describe, expect, test } from 'vitest'
import {
  canMove,
  isOrderState,
  MOVES,
  OPEN_STATES,
  ORDER_STATES,
  refuseMove,
  STATE_WORDS,
} from '@/lib/orders/states'

describe('the table of moves', () => {
  test('every state can be reached from an enquiry, and none is left over', () => {
    const reached = new Set<string>(['enquiry'])
    const walk: (keyof typeof MOVES)[] = ['enquiry']
    for (let from = walk.pop(); from; from = walk.pop())
      for (const to of MOVES[from])
        if (!reached.has(to)) {
          reached.add(to)
          walk.push(to)
        }
    expect([...reached].sort()).toEqual([...ORDER_STATES].sort())
  })

  test('an order that has ended goes nowhere, and every open one can still end', () => {
    for (const state of ORDER_STATES) {
      const open = (OPEN_STATES as readonly string[]).includes(state)
      expect(MOVES[state].length > 0).toBe(open)
    }
    const ends = (from: keyof typeof MOVES, seen = new Set<string>()): boolean => {
      if (MOVES[from].length === 0) return true
      seen.add(from)
      return MOVES[from].some(to => !seen.has(to) && ends(to, seen))
    }
    for (const state of ORDER_STATES) expect(ends(state)).toBe(true)
  })

  test('a good order passes the states in their order', () => {
    const way = ['enquiry', 'offered', 'agreed', 'making', 'ready', 'handedOver'] as const
    for (let i = 1; i < way.length; i++)
      expect(canMove(way[i - 1] as (typeof way)[number], way[i] as (typeof way)[number])).toBe(true)
  })

  test('work that has begun is not withdrawn, and nothing skips the agreement', () => {
    expect(canMove('making', 'withdrawn')).toBe(false)
    expect(canMove('ready', 'withdrawn')).toBe(false)
    expect(canMove('enquiry', 'agreed')).toBe(false)
    expect(canMove('offered', 'making')).toBe(false)
  })

  test('each of the 64 pairs is allowed, or refused in one sentence that names what is possible', () => {
    for (const from of ORDER_STATES)
      for (const to of ORDER_STATES) {
        const no = refuseMove(1042, from, to)
        if (canMove(from, to)) expect(no).toBeNull()
        else {
          expect(no?.message).toContain(`Order 1042 is ${STATE_WORDS[from]}`)
          expect(no?.message.endsWith('.')).toBe(true)
          for (const next of MOVES[from]) expect(no?.message).toContain(STATE_WORDS[next])
        }
      }
  })

  test('only its own words are states', () => {
    expect(isOrderState('handedOver')).toBe(true)
    expect(isOrderState('constructor')).toBe(false)
    expect(isOrderState('')).toBe(false)
  })
})
