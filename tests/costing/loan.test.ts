import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { PaymentDueTime, pmt } from 'financial'
import { describe, expect, it } from 'vitest'
import { instalmentPlan, loanPayment, straightLine } from '@/lib/costing/loan'
import type { Minor } from '@/lib/units/money'

type Case = {
  label: string
  rate_per_period: string
  periods: number
  pv: number
  fv: number
  due_at_start: number
  pmt_published: number | null
  pmt_exact: number
  source: string
}
const vectors = JSON.parse(
  readFileSync(new URL('../vectors/amortisation.json', import.meta.url), 'utf8'),
) as {
  pmt_cases: Case[]
  cent_rounded_schedule: { rows: [number, number, number, number, number][] }
}
const rateOf = (text: string) => {
  const [a, b] = text.split('/').map(Number) as [number, number?]
  return b ? a / b : a
}

describe('loan payment', () => {
  // Microsoft Support and Claris help, function PMT; MESCIUS reference, PMT. There money paid out is negative.
  it.each(vectors.pmt_cases)('$label ($source)', c => {
    const paid = loanPayment(rateOf(c.rate_per_period), c.periods, c.pv, c.due_at_start === 1, -c.fv)
    expect(-paid).toBeCloseTo(c.pmt_exact, 6)
    if (c.pmt_published !== null) expect(-paid).toBeCloseTo(c.pmt_published, 2)
    // Second opinion: the npm package financial.
    expect(-paid).toBeCloseTo(
      pmt(
        rateOf(c.rate_per_period),
        c.periods,
        c.pv,
        c.fv,
        c.due_at_start === 1 ? PaymentDueTime.Begin : PaymentDueTime.End,
      ),
      6,
    )
  })
  it('keeps its digits at a tiny rate', () => expect(loanPayment(1e-12, 24, 12_000)).toBeCloseTo(500, 6))
  it('refuses no periods and a negative rate', () => {
    expect(() => loanPayment(0.01, 0, 100)).toThrow(RangeError)
    expect(() => loanPayment(-0.01, 12, 100)).toThrow(RangeError)
  })
})

describe('instalment plan in whole cents', () => {
  // The payment, 1037.03, is the published one (Microsoft Support, PMT); the rows were reckoned in decimal arithmetic by another program.
  it('matches, row by row, a schedule whose payment is published', () => {
    const plan = instalmentPlan(1_000_000 as Minor, 800, 10)
    expect(plan.map(p => [p.period, p.payment, p.interest, p.principal, p.owed])).toEqual(
      vectors.cent_rounded_schedule.rows.map(([n, ...amounts]) => [
        n,
        ...amounts.map(a => Math.round(a * 100)),
      ]),
    )
  })
  it('pays back all of it, for any loan', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 50_000_000 }),
        fc.integer({ min: 0, max: 3000 }),
        fc.integer({ min: 1, max: 120 }),
        (principal, rate, months) => {
          const plan = instalmentPlan(principal as Minor, rate, months)
          expect(plan.reduce((sum, p) => sum + p.principal, 0)).toBe(principal)
          expect(plan.at(-1)?.owed).toBe(0)
          for (const p of plan) expect(p.payment).toBe(p.interest + p.principal)
        },
      ),
      { numRuns: 50 },
    )
  })
})

describe('straight-line depreciation', () => {
  // Textbook exercise "T-shirt business": a heat press of 4,500 over 3 years, nothing left, is 1,500 a year.
  it('of a press at 4,500 over three years is 1,500 a year', () =>
    expect(straightLine(450_000 as Minor, 0 as Minor, 3)).toEqual([150_000, 150_000, 150_000]))
  // Spreadsheet SLN documentation (from memory): 30,000, 7,500 left, 10 years: 2,250.
  it('of 30,000 with 7,500 left over ten years is 2,250', () =>
    expect(straightLine(3_000_000 as Minor, 750_000 as Minor, 10)[0]).toBe(225_000))
  it('adds up when it does not divide', () =>
    expect(straightLine(100 as Minor, 0 as Minor, 3)).toEqual([34, 33, 33]))
})
