import { describe, expect, it } from 'vitest'
import { nextRun } from '@/lib/floor/next'
import { instant } from '@/lib/units/time'

const run = (stepId: string, workAt: number, more = {}) => ({
  stepId,
  orderId: 'o',
  job: stepId,
  position: 1,
  state: 'waiting',
  stationId: 'press-a',
  workAt: instant(workAt),
  held: false,
  ...more,
})
const next = (runs: ReturnType<typeof run>[], busy: string[] = []) =>
  nextRun(runs, new Set(busy))?.stepId ?? null

describe('the run to start next', () => {
  it('is the earliest on the plan', () => {
    expect(next([run('b', 20), run('a', 10)])).toBe('a')
  })
  it('is not one that is held, running or at a busy station', () => {
    expect(next([run('a', 10, { held: true }), run('b', 20)])).toBe('b')
    expect(next([run('a', 10, { state: 'running' }), run('b', 20)])).toBe('b')
    expect(next([run('a', 10), run('b', 20, { stationId: 'bench' })], ['press-a'])).toBe('b')
  })
  it('is not one whose chain has an earlier step open', () => {
    const print = run('print', 10, { job: 'c', state: 'running', stationId: 'dtg' })
    const cure = run('cure', 5, { job: 'c', position: 2 })
    expect(next([print, cure])).toBeNull()
    expect(next([{ ...print, state: 'done' }, cure])).toBe('cure')
  })
  it('is none when nothing can start', () => {
    expect(next([])).toBeNull()
  })
})
