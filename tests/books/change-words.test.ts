import { expect, it } from 'vitest'
import { changeWords, type Reader, readable } from '@/lib/books/change-words'

const shop = { currency: 'EUR', zone: 'Europe/Lisbon' }
const words = (before: unknown, after: unknown, more: Partial<Reader> = {}) =>
  changeWords({ before, after }, { ...shop, ...more })

it('says states, amounts and methods as people do', () => {
  expect(
    words(
      { state: 'ready', paid: 0 },
      { state: 'handedOver', paid: 12202, method: 'dtg', worthMicro: 2_360_000 },
    ),
  ).toEqual([
    { name: 'State', before: 'ready', after: 'handed over' },
    { name: 'Paid', before: '€0.00', after: '€122.02' },
    { name: 'Method', before: null, after: 'Direct-to-garment (DTG)' },
    { name: 'Worth', before: null, after: '€2.36' },
  ])
})

it('leaves out what only the database reads, and what was empty and stays so', () => {
  expect(words({ step: 'x', state: 'waiting' }, { step: 'y', state: 'running', note: '' })).toEqual([
    { name: 'State', before: 'not started', after: 'running' },
  ])
})

it('says measures in words, and not what only the database calls a design', () => {
  expect(words(null, { widthMm: 260, heightMm: 306, place: 'rack 2', design: 'a@2600x3060' })).toEqual([
    { name: 'Width in mm', before: null, after: '260' },
    { name: 'Height in mm', before: null, after: '306' },
    { name: 'Place', before: null, after: 'rack 2' },
  ])
})

it('counts lists from one and takes names apart', () => {
  expect(
    words(null, {
      lines: [{ sku: 'BAG', quantity: 24 }],
      reorderPoint: 6,
      dueAt: '2026-06-01T11:30:00.000Z',
    }),
  ).toEqual([
    { name: 'Line 1, SKU', before: null, after: 'BAG' },
    { name: 'Line 1, quantity', before: null, after: '24' },
    { name: 'Reorder point', before: null, after: '6' },
    { name: 'Due at', before: null, after: 'Mon 1 Jun, 12:30' },
  ])
})

it('says amounts of goods in the unit of their item', () => {
  const before = { onHand: 1_250_000, breaks: [{ from: 1_000_000, price: 9_000_000 }] }
  const after = { onHand: 1_000_000, breaks: [{ from: 2_000_000, price: 8_500_000 }] }
  expect(words(before, after, { unit: 'ul' })).toEqual([
    { name: 'On hand', before: '1.25 l', after: '1 l' },
    { name: 'Price break 1, from', before: '1 l', after: '2 l' },
    { name: 'Price break 1, price', before: '€9.00', after: '€8.50' },
  ])
})

it('says hours as a week, skills in words, and the cost of a machine in money', () => {
  const day = { weekday: 1, from: '08:00', to: '17:00' }
  expect(
    words(
      { hours: [day], skills: ['bench'], cost: null },
      {
        hours: [{ ...day, to: '16:00' }],
        skills: ['bench', 'heat-press'],
        cost: { purchase: { by: 'depreciation', price: 120_000 }, upkeepPerMonth: 1500 },
      },
    ),
  ).toEqual([
    { name: 'Hours', before: 'Mon 08:00-17:00', after: 'Mon 08:00-16:00' },
    { name: 'Skills', before: 'Bench', after: 'Bench, Heat press' },
    { name: 'Cost', before: '–', after: null },
    { name: 'Cost, purchase, paid for by', before: null, after: 'depreciation' },
    { name: 'Cost, purchase, price', before: null, after: '€1,200.00' },
    { name: 'Cost, upkeep per month', before: null, after: '€15.00' },
  ])
})

it('shows money to whoever may see it', () => {
  const offered = { state: 'offered', net: 9920, cost: 6000, belowCostWhy: 'a friend' }
  const names = (sees: Reader['sees']) => words(null, offered, { sees }).map(d => d.name)
  expect(names('all')).toEqual(['State', 'Before tax', 'Cost', 'Why below cost'])
  expect(names('prices')).toEqual(['State', 'Before tax'])
  expect(names('no money')).toEqual(['State'])
  const lines = [{ after: offered }, { after: { paid: 100 } }, { after: { net: 1, tax: 0, gross: 1 } }]
  expect(readable(lines, 'prices')).toEqual(lines)
  expect(readable(lines, 'no money')).toEqual([{ after: offered }])
})
