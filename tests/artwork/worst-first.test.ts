import { expect, test } from 'vitest'
import { type Standing, worstFirst } from '@/lib/artwork/worst-first'

const fine: Standing = { cleared: true, severities: ['note'], promiseAt: 1000 }

test('missing rights with a stop come first, then either alone, then what is not measured, then a warning', () => {
  const both: Standing = { ...fine, cleared: false, severities: ['note', 'stop'] }
  const rights: Standing = { ...fine, cleared: false, severities: [] }
  const stop: Standing = { ...fine, severities: ['stop'], promiseAt: 2000 }
  const unknown: Standing = { ...fine, severities: null }
  const warn: Standing = { ...fine, severities: ['warn', 'warn'] }
  expect([fine, warn, unknown, stop, rights, both].sort(worstFirst)).toEqual([
    both,
    rights,
    stop,
    unknown,
    warn,
    fine,
  ])
})

test('of equals the earlier promise comes first, and none last', () => {
  const [early, late, never] = [1, 2, null].map((promiseAt): Standing => ({ ...fine, promiseAt }))
  expect([never, late, early].sort((a, b) => worstFirst(a as Standing, b as Standing))).toEqual([
    early,
    late,
    never,
  ])
  expect(worstFirst({ ...fine, promiseAt: null }, { ...fine, promiseAt: null })).toBe(0)
})
