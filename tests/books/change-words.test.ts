import { expect, it } from 'vitest'
import { changeWords } from '@/lib/books/change-words'

const words = (before: unknown, after: unknown) =>
  changeWords({ before, after }, { currency: 'EUR', zone: 'Europe/Lisbon' })

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
