import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { oftenDrawn } from '@/lib/server/paper-limit'

beforeEach(() => vi.useFakeTimers({ now: new Date('2026-05-14T08:00:00Z') }))
afterEach(() => vi.useRealTimers())

test('an offer is drawn twenty times a minute, then refused in words with the seconds to wait; other offers are drawn, and so is this one later', async () => {
  for (let i = 0; i < 20; i++) expect(await oftenDrawn('a')).toBeNull()
  vi.advanceTimersByTime(20_000)
  expect(await oftenDrawn('a')).toEqual({
    seconds: 40,
    refusal: {
      ok: false,
      code: 'too-often',
      message: 'This offer was asked for very often just now: try again in 40 seconds.',
    },
  })
  expect(await oftenDrawn('b')).toBeNull()
  vi.advanceTimersByTime(41_000)
  expect(await oftenDrawn('a')).toBeNull()
})
