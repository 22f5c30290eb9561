import { expect, test } from 'vitest'
import { previewRows } from '@/app/office/settings/preview-rows'
import { defaultRates } from '@/lib/shop/rates'
import { minor } from '@/lib/units/money'

const rates = {
  ...defaultRates,
  pricing: { by: 'margin' as const, bp: 4_000 },
  breaks: [],
  rounding: { step: minor(1), ending: minor(0) },
  leastOrder: minor(0),
}
const at = (rows: ReturnType<typeof previewRows>, pieces: number) => rows.find(r => r.pieces === pieces)

// Textbook: a margin of 40 % on a cost of 6.00 is a price of 10.00; a markup of 50 % is 9.00, a margin of a third.
test('a price by margin beside one by markup, the margin with each', () => {
  const rows = previewRows(rates, { ...rates, pricing: { by: 'markup', bp: 5_000 } }, minor(600), 'EUR')
  expect(at(rows, 12)).toEqual({
    pieces: 12,
    before: { each: '€10.00', net: '€120.00', margin: '40.0 %', below: false },
    after: { each: '€9.00', net: '€108.00', margin: '33.3 %', below: false },
  })
})
test('a break changes what lies above it, and one that is too large shows below cost', () => {
  const rows = previewRows(rates, { ...rates, breaks: [{ from: 50, offBp: 5_000 }] }, minor(600), 'EUR')
  expect(at(rows, 24)?.after).toEqual(at(rows, 24)?.before)
  expect(at(rows, 50)?.after).toMatchObject({ each: '€5.00', margin: '-20.0 %', below: true })
})
test('an ending and a least order', () => {
  const rows = previewRows(
    rates,
    { ...rates, rounding: { step: minor(100), ending: minor(95) }, leastOrder: minor(5_000) },
    minor(600),
    'EUR',
  )
  expect(at(rows, 6)?.after.each).toBe('€10.95')
  expect(at(rows, 1)?.after).toMatchObject({ each: '€10.95', net: '€50.00' })
})
