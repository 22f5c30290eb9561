import { describe, expect, it } from 'vitest'
import { kindHourRate, machineHour, machineHourWorking, purchasePerMonth } from '@/lib/costing/machine-hour'
import { defaultRates } from '@/lib/shop/rates'
import type { MachineCost } from '@/lib/shop/stations'
import type { Micro, Minor } from '@/lib/units/money'
import { aStation } from './a-shop'

const depreciated = (price: number, salvage: number, months: number, hours: number): MachineCost => ({
  purchase: { by: 'depreciation', price: price as Minor, salvage: salvage as Minor, months },
  upkeepPerMonth: 0 as Minor,
  kilowatts: 0,
  productiveHoursPerMonth: hours,
})

describe('machine-hour rate', () => {
  // Textbook exercise, units of activity: (45,000 − 2,500) ÷ 150,000 h = 0.2833 an hour. 1,000 months of 150 h.
  it('a lift of 45,000, worth 2,500 after 150,000 h, costs 0.2833 an hour', () => {
    const rate = machineHour(depreciated(4_500_000, 250_000, 1000, 150), defaultRates, 'USD')
    expect(rate.total / 1e6).toBeCloseTo(42_500 / 150_000, 6)
  })
  // FileMaker Pro Help (Claris), PMT: 21,000 at 6.9 % over 48 months is 501.90 a month.
  it('by instalments it is the loan payment', () => {
    expect(
      purchasePerMonth({ by: 'instalments', principal: 2_100_000 as Minor, yearRateBp: 690, months: 48 }),
    ).toBeCloseTo(50_189.74, 2)
  })
  it('adds upkeep over the productive hours and power by the kilowatt', () => {
    const rate = machineHour(
      { ...depreciated(360_000, 0, 36, 80), upkeepPerMonth: 2_000 as Minor, kilowatts: 1.8 },
      { ...defaultRates, powerPerKwh: 250_000 as Micro },
      'EUR',
    )
    expect(rate).toEqual({
      total: 1_250_000 + 250_000 + 450_000,
      purchase: 1_250_000,
      upkeep: 250_000,
      power: 450_000,
      machines: 1,
    })
  })
  it('is in yen what it is in yen', () => {
    const rate = machineHour(depreciated(360_000, 0, 36, 100), defaultRates, 'JPY')
    expect(rate.purchase).toBe(100 * 1e6)
  })
  it('of two presses is their mean, one long paid counting as nothing', () => {
    const dear = aStation('heat-press', { cost: depreciated(360_000, 0, 36, 100) })
    const paid = aStation('heat-press', { cost: null })
    expect(kindHourRate([dear], defaultRates, 'EUR')?.purchase).toBe(1_000_000)
    expect(kindHourRate([dear, paid], defaultRates, 'EUR')).toMatchObject({ purchase: 500_000, machines: 2 })
    expect(kindHourRate([paid], defaultRates, 'EUR')).toBeNull()
    expect(kindHourRate([], defaultRates, 'EUR')).toBeNull()
  })
  it('opens its working down to the loan', () => {
    const station = aStation('heat-press', {
      cost: {
        ...depreciated(0, 0, 1, 80),
        purchase: { by: 'instalments', principal: 2_100_000 as Minor, yearRateBp: 690, months: 48 },
      },
    })
    const figure = machineHourWorking(station, defaultRates, { currency: 'USD', locale: 'en' })
    expect(figure?.working.inputs[0]).toMatchObject({ name: 'Instalment a month', value: '$501.90' })
    expect(figure?.working.inputs[0]?.working?.inputs.map(i => i.value)).toEqual([
      '$21,000.00',
      '6.9 %',
      '48',
    ])
    expect(figure?.value).toBe(Math.round((501.89741694 / 80) * 1e6))
  })
})
