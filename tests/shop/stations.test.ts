import { describe, expect, it } from 'vitest'
import { defaultRates, ratesSchema } from '@/lib/shop/rates'
import {
  changeoverMinutes,
  changeoversBetween,
  defaultHours,
  fitsBed,
  pressState,
  type Station,
  stateCelsius,
  stationSchema,
  weekHoursSchema,
} from '@/lib/shop/stations'

const press: Station = {
  id: 'press-1',
  kind: 'heat-press',
  name: 'Heat press 1',
  hours: defaultHours,
  state: '149C',
  bedWidthMm: 400,
  bedHeightMm: 500,
  heads: null,
  cost: null,
}

describe('press states', () => {
  it('are temperatures in whole °C', () => {
    expect(pressState(148.9)).toBe('149C')
    expect(stateCelsius('149C')).toBe(149)
    expect(stateCelsius('plastisol')).toBeNull()
  })
  // Common shop practice: cold to 177 °C takes 10 to 20 min; heating is about five times faster than cooling.
  it('a press heats from cold in 10 to 20 minutes, and cools about five times slower', () => {
    expect(changeoverMinutes('20C', '177C')).toBeGreaterThanOrEqual(10)
    expect(changeoverMinutes('20C', '177C')).toBeLessThanOrEqual(20)
    expect(changeoverMinutes('204C', '149C') / changeoverMinutes('149C', '204C')).toBeCloseTo(5, 0)
  })
  it('the list holds every real change, both ways, once', () => {
    expect(changeoversBetween(['149C', '204C', '149C', 'plastisol'])).toEqual([
      { from: '149C', to: '204C', minutes: 6, attended: false },
      { from: '204C', to: '149C', minutes: 28, attended: false },
    ])
  })
})

describe('a station', () => {
  it('is read whole', () => expect(stationSchema.parse(press)).toEqual(press))
  it('takes a print either way round, up to its bed', () => {
    expect(fitsBed(press, 400, 500)).toBe(true)
    expect(fitsBed(press, 500, 400)).toBe(true)
    expect(fitsBed(press, 501, 10)).toBe(false)
    expect(fitsBed(press, 450, 450)).toBe(false)
  })
  it.each([
    ['closing before opening', [{ weekday: 1, from: '17:00', to: '08:00' }]],
    ['an eighth weekday', [{ weekday: 8, from: '08:00', to: '17:00' }]],
    ['a 25th hour', [{ weekday: 1, from: '08:00', to: '25:00' }]],
    [
      'two times that overlap',
      [
        { weekday: 1, from: '08:00', to: '12:00' },
        { weekday: 1, from: '11:00', to: '17:00' },
      ],
    ],
  ])('refuses hours with %s', (_, hours) => expect(weekHoursSchema.safeParse(hours).success).toBe(false))
})

describe('rates', () => {
  it('the starting rates are valid', () => expect(ratesSchema.parse(defaultRates)).toEqual(defaultRates))
  it.each([
    ['a tax of 120 %', { tax: { name: 'Tax', rateBp: 12_000, inclusive: false } }],
    ['a wage below zero', { wagePerHour: -1 }],
    ['half a cent', { wagePerHour: 1800.5 }],
    ['a margin of 100 %', { pricing: { by: 'margin', bp: 10_000 } }],
    [
      'price breaks out of order',
      {
        breaks: [
          { from: 72, offBp: 1000 },
          { from: 24, offBp: 500 },
        ],
      },
    ],
    ['an ending as large as the step', { rounding: { step: 100, ending: 100 } }],
    ['a floor above the house rule', { artPpi: { house: 100, warn: 150, floor: 200 } }],
  ])('refuse %s', (_, change) =>
    expect(ratesSchema.safeParse({ ...defaultRates, ...change }).success).toBe(false),
  )
})
