import fc from 'fast-check'
import { expect, test } from 'vitest'
import { countedAt, type PaidAt, taxByPayments } from '@/lib/books/invoices/tax-by-payments'
import { minor } from '@/lib/units/money'
import '../support/cases'

const at = (tax: number, gross: number, paid: number): PaidAt => ({
  tax: minor(tax),
  gross: minor(gross),
  paid: minor(paid),
})

// A published example of a deposit and a last payment before the invoice (bookkeeping course on Malaysian goods and services tax of 6 %,
// "GST on deposit and full payment received before the tax invoice date", example 2): of 1,590.00 with 90.00 tax, 1,060.00 paid in March is
// 6/106 of it, 60.00; 530.00 in April 30.00; nothing in May, when the invoice is written.
test('a deposit and a last payment before the invoice: 60.00 and 30.00 of 90.00', () => {
  const march = taxByPayments([
    { rateBp: 600, before: at(9_000, 159_000, 0), after: at(9_000, 159_000, 106_000) },
  ])
  expect(march.rows).toEqual([{ rateBp: 600, orders: 1, net: 100_000, tax: 6_000, gross: 106_000 }])
  const april = taxByPayments([
    { rateBp: 600, before: at(9_000, 159_000, 106_000), after: at(9_000, 159_000, 159_000) },
  ])
  expect(april.rows).toMatchObject([{ tax: 3_000, gross: 53_000 }])
  const paid = at(9_000, 159_000, 159_000)
  expect(taxByPayments([{ rateBp: 600, before: paid, after: paid }])).toEqual({
    rows: [],
    beyond: 0,
    moved: 0,
  })
})

test('money given back takes its tax back; a price that is lowered leaves what is beyond it without tax', () => {
  const refund = { rateBp: 2_000, before: at(2_000, 12_000, 12_000), after: at(2_000, 12_000, 6_000) }
  expect(taxByPayments([refund])).toEqual({
    rows: [{ rateBp: 2_000, orders: 1, net: -5_000, tax: -1_000, gross: -6_000 }],
    beyond: 0,
    moved: -6_000,
  })
  // 60.00 of 120.00 are given up after all was paid: 10.00 of the tax go back at once, the 60.00 are the customer's.
  const lowered = { rateBp: 2_000, before: at(2_000, 12_000, 12_000), after: at(1_000, 6_000, 12_000) }
  expect(taxByPayments([lowered])).toMatchObject({
    rows: [{ tax: -1_000, gross: -6_000 }],
    beyond: 6_000,
    moved: 0,
  })
})

test('rates stand apart, the highest first; money before a price is agreed has no tax in it', () => {
  const none = at(0, 0, 0)
  const tax = taxByPayments([
    { rateBp: 0, before: none, after: at(0, 5_000, 5_000) },
    { rateBp: 2_300, before: none, after: at(2_300, 12_300, 6_150) },
    { rateBp: 0, before: none, after: at(0, 0, 700) },
  ])
  expect(tax.rows.map(r => [r.rateBp, r.tax, r.gross])).toEqual([
    [2_300, 1_150, 6_150],
    [0, 0, 5_000],
  ])
  expect(tax).toMatchObject({ beyond: 700, moved: 11_850 })
})

test('however it is paid and given back, periods add up to what counts in the end, and every cent has its place', () => {
  const payment = fc.integer({ min: -50_000, max: 100_000 })
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 500_000 }),
      fc.integer({ min: 0, max: 3_000 }),
      fc.array(payment, { maxLength: 40 }),
      fc.integer({ min: 0, max: 100 }),
      (net, rateBp, payments, share) => {
        const tax = Math.round((net * rateBp) / 10_000)
        const gross = net + tax
        let standing = at(tax, gross, 0)
        let [sum, moved, beyond] = [0, 0, 0]
        for (const [i, asked] of payments.entries()) {
          // Nothing more is given back than was received; halfway a credit note lowers the price.
          const paid = Math.max(0, standing.paid + asked)
          const lower = i === payments.length >> 1 ? Math.round((gross * share) / 100) : 0
          const lessTax = lower === 0 ? 0 : Math.min(standing.tax, Math.round((tax * lower) / gross))
          const next = at(standing.tax - lessTax, standing.gross - lower, paid)
          const period = taxByPayments([{ rateBp, before: standing, after: next }])
          for (const r of period.rows) {
            sum += r.tax
            expect(r.net + r.tax).toBe(r.gross)
          }
          const rows = period.rows.reduce((n, r) => n + r.gross, 0)
          expect(rows + period.beyond).toBe(period.moved)
          moved += period.moved
          beyond += period.beyond
          standing = next
        }
        expect(sum).toBe(countedAt(standing).tax)
        expect(moved).toBe(standing.paid)
        expect(beyond).toBe(standing.paid - countedAt(standing).gross)
        // Paid in full, it is the tax of the price, to the cent.
        expect(countedAt({ ...standing, paid: standing.gross }).tax).toBe(
          standing.gross > 0 ? standing.tax : 0,
        )
      },
    ),
  )
})
