import { expect, it } from 'vitest'
import { proposals } from '@/lib/stock/purchase'
import { sizeGrids } from '@/lib/stock/size-grid'
import { shelfWorking, worthByKind, worthWorking } from '@/lib/stock/worth'
import { micro } from '@/lib/units/money'

it('the value on the shelf is the sum of its kinds, and says so', () => {
  const shelf = (kind: 'blank' | 'ink', euros: number) => ({ kind, level: { worth: micro(euros * 1e6) } })
  const kinds = worthByKind([shelf('ink', 40), shelf('blank', 60), shelf('blank', 30), shelf('ink', 0)])
  expect(kinds).toEqual([
    { kind: 'blank', items: 2, worth: 90e6 },
    { kind: 'ink', items: 1, worth: 40e6 },
  ])
  const working = worthWorking(kinds, 'EUR', 'first in, first out')
  expect(working.result).toBe('€130.00')
  expect(working.inputs.map(i => i.value)).toEqual(['€90.00', '€40.00'])
})

it('a shelf shows what is left of each receipt', () => {
  const whole = { quantity: 10, value: micro(30e6) }
  const shelf = { onHand: 4, worth: micro(12e6) }
  const facts = { unit: 'piece' as const, currency: 'EUR' }
  const fifo = shelfWorking(shelf, [{ left: 4, whole, worth: micro(12e6) }], { ...facts, valuation: 'fifo' })
  expect(fifo.inputs[0]).toMatchObject({ name: 'receipt 1: 4 left of 10', value: '€12.00' })
  expect(shelfWorking(shelf, [], { ...facts, valuation: 'average' }).result).toBe('€12.00')
})

it('blanks lie colour by colour, sizes in the order people read them', () => {
  const blank = (colour: string, size: string) => ({
    sku: `${colour}-${size}`,
    styleId: 's',
    styleName: 'Tee',
    colour,
    colourHex: '#000000',
    size,
  })
  const list = [
    blank('black', 'L'),
    blank('black', 'S'),
    blank('white', 'M'),
    { ...blank('x', 'S'), styleId: null },
  ]
  const [grid] = sizeGrids(list, ['S', 'M', 'L'])
  expect(grid?.sizes).toEqual(['S', 'M', 'L'])
  expect(grid?.colours.map(c => [c.name, c.cells.map(i => i?.sku ?? null)])).toEqual([
    ['black', ['black-S', null, 'black-L']],
    ['white', [null, 'white-M', null]],
  ])
})

it('what to buy is grouped by supplier, the one with most to order first', () => {
  const item = (supplier: string, toOrder: number, retired = false) => ({
    supplier,
    toOrder,
    retired,
    sku: 'x',
    level: { toBuy: 0 },
  })
  const list = proposals([
    item('Mill', 0),
    item('Inks', 5),
    item('Inks', 0),
    item('Mill', 0, true),
    item('Inks', 2),
  ])
  expect(list.map(p => [p.supplier, p.wanted.length, p.others.length])).toEqual([
    ['Inks', 2, 1],
    ['Mill', 0, 1],
  ])
})

it('what agreed orders need can be bought alone, and comes first in what runs low', () => {
  const item = (sku: string, toOrder: number, toBuy: number) => ({
    supplier: 'Mill',
    toOrder,
    retired: false,
    sku,
    level: { toBuy },
  })
  const items = [item('low', 24, 0), item('short', 35, 11), item('there', 0, 0)]
  const skus = (list: readonly { sku: string; toOrder: number }[]) => list.map(i => `${i.sku} ${i.toOrder}`)
  const [all] = proposals(items)
  expect([skus(all?.wanted ?? []), skus(all?.others ?? [])]).toEqual([['short 35', 'low 24'], ['there 0']])
  const [agreed] = proposals(items, 'agreed')
  expect([skus(agreed?.wanted ?? []), skus(agreed?.others ?? [])]).toEqual([
    ['short 11'],
    ['low 24', 'there 0'],
  ])
})
