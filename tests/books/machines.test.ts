import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  machineMonth,
  monthsBetween,
  payBack,
  standingAt,
  wholePrice,
} from '@/lib/books/machines/machine-month'
import type { MachineCost } from '@/lib/shop/stations'
import { type Minor, micro, minor } from '@/lib/units/money'
import { nextMonth, shopMonth } from '@/lib/units/time'

const m = shopMonth
const cost = (more: Partial<MachineCost> = {}): MachineCost => ({
  purchase: { by: 'depreciation', price: minor(1_200_000), salvage: minor(0), months: 48 },
  upkeepPerMonth: minor(5_000),
  kilowatts: 2,
  productiveHoursPerMonth: 60,
  ...more,
})

describe('a month of a machine', () => {
  test('costs the same however little it works: half the hours are nearly twice as dear', () => {
    // Fixed 250.00 + 50.00; power 2 kW × 0.25 = 0.50 an hour. Assumed 300 ÷ 60 + 0.50; real at 30 h 300 ÷ 30 + 0.50.
    const month = machineMonth(
      cost(),
      { workedSeconds: 30 * 3600, openSeconds: 176 * 3600, charged: minor(16_500) },
      micro(250_000),
      'EUR',
    )
    expect(month).toEqual({
      workedSeconds: 108_000,
      openSeconds: 633_600,
      idleSeconds: 525_600,
      fixed: 30_000,
      power: 1_500,
      charged: 16_500,
      uncovered: 15_000,
      assumedHour: 550,
      realHour: 1_050,
    })
  })
  test('that did not work has no hour, and its cost is paid by nobody', () => {
    const idle = machineMonth(
      cost(),
      { workedSeconds: 0, openSeconds: 3600, charged: minor(0) },
      micro(250_000),
      'EUR',
    )
    expect(idle).toMatchObject({ realHour: null, uncovered: 30_000, idleSeconds: 3600 })
  })
})

describe('instalments left', () => {
  // The loan of Microsoft’s and Claris’ help pages for PMT, 10,000 at 8 % a year over 10 months: 1,037.03 a month. Its cent-rounded
  // schedule stands in tests/vectors/amortisation.json and is held row by row in tests/costing/loan.test.ts.
  const loan = { by: 'instalments', principal: minor(1_000_000), yearRateBp: 800, months: 10 } as const
  test.each([
    ['2026-02', 0, 10, 1_000_000, 103_703],
    ['2026-03', 1, 9, 902_964, 103_703],
    ['2026-12', 10, 0, 0, 0],
    ['2027-06', 10, 0, 0, 0],
  ] as const)('at the end of %s %i are paid', (month, done, left, rest, next) => {
    expect(standingAt(loan, m('2026-03'), m(month))).toEqual({
      done,
      months: 10,
      left,
      rest,
      next,
      last: '2026-12',
    })
  })
  test('a machine bought at once is worn off in equal parts down to what it still brings', () => {
    // Straight line, as in any accounting textbook: (cost − salvage) ÷ life. 12,000 less 2,400 over 48 months is 200 a month.
    const bought = {
      by: 'depreciation',
      price: minor(1_200_000),
      salvage: minor(240_000),
      months: 48,
    } as const
    expect(standingAt(bought, m('2025-01'), m('2025-12'))).toMatchObject({
      done: 12,
      rest: 960_000,
      next: 20_000,
    })
    expect(standingAt(bought, m('2025-01'), m('2030-01'))).toMatchObject({ done: 48, rest: 240_000, next: 0 })
    expect(wholePrice(bought)).toBe(1_200_000)
  })
  test('what is paid and what is owed add up at every month of any loan', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 5_000_000 }),
        fc.integer({ min: 0, max: 2_500 }),
        fc.integer({ min: 1, max: 96 }),
        fc.integer({ min: 0, max: 100 }),
        (principal, yearRateBp, months, on) => {
          const purchase = { by: 'instalments', principal: minor(principal), yearRateBp, months } as const
          const here = standingAt(purchase, m('2026-01'), nextMonth(m('2026-01'), on))
          expect(here.done + here.left).toBe(months)
          expect(here.rest === 0 || here.left > 0).toBe(true)
          expect(wholePrice(purchase)).toBeGreaterThanOrEqual(principal)
        },
      ),
      { numRuns: 60 },
    )
  })
})

test('a pay-back runs on month by month, and a bad month takes from it', () => {
  const month = (name: string, carried: number, running: number) => ({
    month: m(name),
    carried: minor(carried) as Minor,
    running: minor(running) as Minor,
  })
  const back = payBack(minor(100_000), [
    month('2026-01', 40_000, 5_000),
    month('2026-02', 2_000, 5_000),
    month('2026-03', 30_000, 5_000),
  ])
  expect(back.months.map(b => b.back)).toEqual([35_000, 32_000, 57_000])
  expect(back).toMatchObject({ back: 57_000, left: 43_000, share: 0.57 })
  expect(payBack(minor(1_000), [month('2026-01', 5_000, 0)]).left).toBe(0)
})

test('months are counted over the turn of the year', () => {
  expect(monthsBetween(m('2025-11'), m('2026-02'))).toBe(3)
  expect(monthsBetween(m('2026-02'), m('2026-02'))).toBe(0)
})
