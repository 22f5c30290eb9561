import { describe, expect, it } from 'vitest'
import { type ReleaseFacts, releaseOf } from '@/lib/planning/release'
import { at, LISBON } from './shop'

const free: ReleaseFacts = { now: at(0), zone: LISBON, shortages: [], transfersDue: null, uncleared: [] }
const DAY = 24 * 60
const short = { itemId: 'navy-m', name: 'Tee navy M', pieces: 8, dueAt: at(2 * DAY), leadDays: 3 }

describe('from when an order can be worked', () => {
  it('is now when nothing holds it', () => {
    expect(releaseOf(free)).toEqual({ at: at(0), holds: [] })
  })
  it('is when the blanks on the way are due', () => {
    expect(releaseOf({ ...free, shortages: [short] })).toEqual({
      at: at(2 * DAY),
      holds: [{ kind: 'blanks', until: at(2 * DAY), text: '8 × Tee navy M missing: due Wed 16 Sep.' }],
    })
  })
  it('is planned as if ordered now when nobody ordered them, and says so', () => {
    const r = releaseOf({ ...free, shortages: [{ ...short, dueAt: null }] })
    expect(r.at).toBe(at(3 * DAY))
    expect(r.holds[0]).toMatchObject({
      until: null,
      text: '8 × Tee navy M missing and not ordered: order now to have them by Thu 17 Sep.',
    })
  })
  it('is planned as if sent now when their purchase lies unsent, and says that', () => {
    const r = releaseOf({ ...free, shortages: [{ ...short, dueAt: null, unsent: true }] })
    expect(r.at).toBe(at(3 * DAY))
    expect(r.holds[0]).toMatchObject({
      until: null,
      text: '8 × Tee navy M missing, on a purchase that was not sent yet: send it now to have them by Thu 17 Sep.',
    })
  })
  it('is said once for all sizes and blanks that the same is to be done about', () => {
    const tee = (name: string, pieces: number, dueAt = short.dueAt) => ({ ...short, name, pieces, dueAt })
    const r = releaseOf({
      ...free,
      shortages: [
        tee('Heavy cotton tee, Navy, S', 10),
        tee('Heavy cotton tee, Navy, M', 12),
        tee('Heavy cotton tee, White, L', 8),
        tee('Canvas tote, Natural, One size', 1, at(3 * DAY)),
      ],
    })
    expect(r.at).toBe(at(3 * DAY))
    expect(r.holds.map(h => h.text)).toEqual([
      '22 × Heavy cotton tee, Navy (10 S, 12 M) and 8 × Heavy cotton tee, White, L missing: due Wed 16 Sep.',
      '1 × Canvas tote, Natural, One size missing: due Thu 17 Sep.',
    ])
  })
  it('is tomorrow, not in the past, when a delivery is overdue', () => {
    const r = releaseOf({ ...free, shortages: [{ ...short, dueAt: at(-DAY) }] })
    expect(r.at).toBe(at(DAY))
    expect(r.holds[0]?.text).toMatch(/were due Sun 13 Sep and are overdue/)
  })
  it('is the last of what it waits for', () => {
    const r = releaseOf({ ...free, shortages: [short], transfersDue: at(4 * DAY) })
    expect(r.at).toBe(at(4 * DAY))
    expect(r.holds.map(h => h.kind)).toEqual(['blanks', 'transfers'])
  })
  it('is not moved by transfers that have come', () => {
    expect(releaseOf({ ...free, transfersDue: at(-1) })).toEqual({ at: at(0), holds: [] })
  })
  it('is not moved by art that is not cleared: that stops the start, and is said', () => {
    const r = releaseOf({ ...free, uncleared: ['heron.png'] })
    expect(r.at).toBe(at(0))
    expect(r.holds).toEqual([
      {
        kind: 'art',
        until: null,
        text: 'heron.png is not cleared to sell: record the basis at the art desk.',
      },
    ])
  })
})
