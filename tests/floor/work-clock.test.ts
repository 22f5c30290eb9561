import { describe, expect, it } from 'vitest'
import { attendedSeconds, type Mark, openSpan, timeMoney, workedSeconds } from '@/lib/floor/work-clock'
import { minor } from '@/lib/units/money'
import { type Instant, instant, seconds } from '@/lib/units/time'

const EIGHT = Date.UTC(2026, 8, 14, 8)
const at = (minutes: number): Instant => instant(EIGHT + minutes * 60_000)
const mark = (kind: Mark['kind'], minutes: number): Mark => ({ kind, at: at(minutes) })

describe('the span that a report ends', () => {
  it('begins with the start', () => {
    expect(openSpan([mark('start', 0)], at(30))).toEqual({ from: at(0), to: at(30) })
  })
  it('begins again when the step goes on after a pause', () => {
    expect(openSpan([mark('start', 0), mark('pause', 20), mark('resume', 50)], at(60))).toEqual({
      from: at(50),
      to: at(60),
    })
  })
  it('is none while the step is paused or has not begun', () => {
    expect(openSpan([], at(5))).toBeNull()
    expect(openSpan([mark('start', 0), mark('pause', 20)], at(60))).toBeNull()
  })
  it('begins after a part that was handed on, so that no minute is booked twice', () => {
    expect(openSpan([mark('start', 0), mark('finish', 25)], at(60))).toEqual({ from: at(25), to: at(60) })
  })
  it('is not ended by a misprint', () => {
    expect(openSpan([mark('start', 0), mark('misprint', 10)], at(60))?.from).toBe(at(0))
  })
  it('has no length when a clock was set back', () => {
    expect(openSpan([mark('start', 30)], at(0))).toEqual({ from: at(30), to: at(30) })
  })
})

describe('seconds worked', () => {
  const day = [
    { from: at(0), to: at(240) },
    { from: at(300), to: at(540) },
  ]
  it('are the span inside the hours', () => {
    expect(workedSeconds({ from: at(10), to: at(40) }, day)).toBe(1800)
  })
  it('leave out lunch and the night that nobody reported', () => {
    expect(workedSeconds({ from: at(230), to: at(310) }, day)).toBe(20 * 60)
    expect(workedSeconds({ from: at(530), to: at(1440) }, day)).toBe(10 * 60)
  })
  it('are all of the span when the work was done outside the hours on purpose', () => {
    expect(workedSeconds({ from: at(600), to: at(660) }, day)).toBe(3600)
  })
})

describe("somebody's time in it", () => {
  it.each([
    ['all', 600, 0, 600],
    ['none', 600, 0, 0],
    ['setup', 600, 0, 300],
    ['setup', 120, 0, 120],
    ['setup', 600, 240, 60],
    ['setup', 600, 400, 0],
  ] as const)('attended %s, %s s worked, %s s booked before: %s s', (attended, worked, before, booked) => {
    expect(attendedSeconds(seconds(worked), attended, 5, seconds(before))).toBe(booked)
  })
})

it('costs its share of an hour', () => {
  expect(timeMoney(seconds(90), minor(2000))).toBe(50)
  expect(timeMoney(seconds(0), minor(2000))).toBe(0)
  expect(timeMoney(seconds(1), minor(1800))).toBe(1)
})
