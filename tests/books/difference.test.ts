import { expect, it } from 'vitest'
import { differences } from '@/lib/books/difference'

it('says what lies between two states, value by value', () => {
  expect(
    differences({ a: 1, b: { c: 'x', d: [1, 2] } }, { a: 1, b: { c: 'y', d: [1, 3] }, e: null }),
  ).toEqual([
    { name: 'b.c', before: 'x', after: 'y' },
    { name: 'b.d.1', before: '2', after: '3' },
    { name: 'e', before: null, after: '–' },
  ])
})

it('nothing before, nothing after, no difference', () => {
  expect(differences(null, { a: 1 })).toEqual([{ name: 'a', before: null, after: '1' }])
  expect(differences({ a: 1 }, null)).toEqual([{ name: 'a', before: '1', after: null }])
  expect(differences({ a: 1 }, { a: 1 })).toEqual([])
  expect(differences(undefined, undefined)).toEqual([])
})
