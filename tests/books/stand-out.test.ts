import { expect, it } from 'vitest'
import { marginOf } from '@/lib/books/margin'
import { standOut } from '@/lib/books/stand-out'
import { minor } from '@/lib/units/money'
import { anOrder } from './an-order'

// The order costs 138.80.
const row = (number: number, revenue: number) => marginOf(anOrder({ number, revenue: minor(revenue) }), 'EUR')
const usual = Array.from({ length: 12 }, (_, i) => row(i, 30_000 + i * 100))

it('names losses, and shares far from the month’s mean', () => {
  expect([...standOut(usual)]).toEqual([])
  expect([...standOut([...usual, row(50, 13_000)])]).toEqual([50])
  expect([...standOut([...usual, row(60, 900_000)])]).toEqual([60])
})
it('a loss is named in a small month too; an order without revenue has no share', () => {
  expect([...standOut([row(1, 30_000), row(2, 10_000), row(3, 0)])]).toEqual([2])
  expect([...standOut([])]).toEqual([])
})
it('names five at most, the furthest first', () => {
  const losses = Array.from({ length: 9 }, (_, i) => row(100 + i, 13_000 - i * 500))
  expect([...standOut([...usual, ...losses])]).toEqual([108, 107, 106, 105, 104])
})
