import { describe, expect, it } from 'vitest'
import { type Purchase, shouldWeBuy } from '@/lib/costing/equipment'
import { defaultRates } from '@/lib/shop/rates'
import type { Micro, Minor } from '@/lib/units/money'

const show = { currency: 'EUR', locale: 'en' }
const press = (given: Partial<Purchase> = {}): Purchase => ({
  name: 'Heat press',
  cost: {
    purchase: { by: 'depreciation', price: 450_000 as Minor, salvage: 0 as Minor, months: 36 },
    upkeepPerMonth: 0 as Minor,
    kilowatts: 0,
  },
  secondsEach: 60,
  hereEach: 5_000_000 as Micro,
  awayEach: 10_000_000 as Micro,
  piecesPerMonth: 40,
  ...given,
})

describe('should we buy it?', () => {
  // Textbook exercise "T-shirt business": a press of 4,500 over three years is 1,500 a year, 125 a month. At 5 saved on each: 25 pieces.
  it('a press of 4,500 over three years pays from 25 shirts a month at 5.00 saved on each', () => {
    const v = shouldWeBuy(press(), defaultRates, show)
    expect(v).toMatchObject({
      fixedPerMonth: 12_500,
      savedEach: 5_000_000,
      breakEven: 25,
      pays: true,
      interest: 0,
    })
    // 40 × 5.00 − 125.00; 4,500 ÷ 200 a month = 22.5 months, rounded up.
    expect(v.resultPerMonth).toBe(7_500)
    expect(v.payBackMonths).toBe(23)
  })
  it.each([
    [24, false],
    [25, true],
  ])('%i pieces a month: %s', (piecesPerMonth, pays) =>
    expect(shouldWeBuy(press({ piecesPerMonth }), defaultRates, show).pays).toBe(pays),
  )
  // FileMaker Pro Help (Claris), PMT: 21,000 at 6.9 % over 48 months is 501.90 a month.
  it('by instalments it carries the payment, and its interest in the pay-back', () => {
    const v = shouldWeBuy(
      press({
        cost: {
          purchase: { by: 'instalments', principal: 2_100_000 as Minor, yearRateBp: 690, months: 48 },
          upkeepPerMonth: 10_000 as Minor,
          kilowatts: 0,
        },
        piecesPerMonth: 200,
      }),
      defaultRates,
      show,
    )
    expect(v.fixedPerMonth).toBe(60_190)
    expect(v.breakEven).toBe(121)
    expect(Math.abs(v.interest - (48 * 50_190 - 2_100_000))).toBeLessThan(48)
    expect(v.payBackMonths).toBe(Math.ceil((2_100_000 + v.interest) / 90_000))
  })
  it('counts the power', () => {
    const v = shouldWeBuy(
      press({ secondsEach: 3600, cost: { ...press().cost, kilowatts: 2 } }),
      defaultRates,
      show,
    )
    expect(v.savedEach).toBe(5_000_000 - 2 * defaultRates.powerPerKwh)
  })
  it('never pays when a piece costs as much here', () => {
    const v = shouldWeBuy(press({ hereEach: 10_000_000 as Micro }), defaultRates, show)
    expect(v).toMatchObject({ breakEven: null, pays: false, payBackMonths: null, resultPerMonth: -12_500 })
    expect(v.working.note).toMatch(/never pays/)
  })
})
