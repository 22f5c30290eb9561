import { describe, expect, it } from 'vitest'
import { pricedFor, RATE_GROUPS, rateDifferences, readRates, shownRate } from '@/lib/books/rates-form'
import { defaultRates, type Rates, ratesSchema } from '@/lib/shop/rates'

const fields = (rates: Rates = defaultRates): Record<string, string> =>
  Object.fromEntries(RATE_GROUPS.flatMap(g => g.fields).map(f => [f.name, shownRate(f, rates, 'EUR')]))
const read = (over: Record<string, string>) => readRates({ ...fields(), ...over }, defaultRates, 'EUR')
const changed = (over: Record<string, string>): Rates => {
  const done = read(over)
  if (!done.ok) throw new Error(JSON.stringify(done.errors))
  return done.rates
}

it('every field has its own name, and what is shown is read back unchanged', () => {
  const names = RATE_GROUPS.flatMap(g => g.fields).map(f => f.name)
  expect(new Set(names).size).toBe(names.length)
  expect(changed({})).toEqual(defaultRates)
})

it('shows amounts as people type them', () => {
  expect(fields()).toMatchObject({
    wage: '18.00',
    power: '0.25',
    pricing: '45',
    rush: '25',
    confidence: '90',
    breakFrom0: '24',
    breakOff0: '5',
    breakFrom3: '',
  })
  expect(pricedFor(defaultRates, 'consumable.plastisol')).toMatch(/^for /)
  expect(pricedFor(defaultRates, 'wage')).toBeNull()
})

describe('a change', () => {
  it('is read into the units of the rates', () => {
    const rates = changed({
      wage: '21,50',
      power: '0.31',
      pricing: '47.5',
      pricingBy: 'markup',
      taxRate: '23',
      confidence: '95',
      'ppi.house': '250',
    })
    expect(rates).toMatchObject({
      wagePerHour: 2_150,
      powerPerKwh: 310_000,
      pricing: { by: 'markup', bp: 4_750 },
      spoilageConfidence: 0.95,
      artPpi: { house: 250, warn: 150, floor: 100 },
    })
    expect(rates.tax.rateBp).toBe(2_300)
    expect(ratesSchema.safeParse(rates).success).toBe(true)
    expect(defaultRates.wagePerHour).toBe(1_800)
  })
  it('of a price or a spoilage says that the shop set it; the others keep their source', () => {
    const rates = changed({ 'consumable.dtg-white': '99', 'spoil.dtg': '4.5' })
    expect(rates.consumables['dtg-white']).toMatchObject({ price: 99_000_000, from: 'setting' })
    expect(rates.spoilage.dtg).toMatchObject({ rate: 0.045, from: 'setting' })
    expect(rates.spoilage.screen).toEqual(defaultRates.spoilage.screen)
    expect(rates.consumables.plastisol).toEqual(defaultRates.consumables.plastisol)
  })
  it('of the price breaks adds, changes and leaves out lines', () => {
    const rates = changed({
      breakFrom0: '',
      breakOff0: '',
      breakFrom2: '150',
      breakFrom5: '500',
      breakOff5: '20',
    })
    expect(rates.breaks).toEqual([
      { from: 72, offBp: 1_000 },
      { from: 150, offBp: 1_400 },
      { from: 500, offBp: 2_000 },
    ])
  })
})

describe('what is refused, at its field', () => {
  it.each([
    [{ wage: '-3' }, { wage: 'It is not below 0.' }],
    [{ wage: 'plenty' }, { wage: '“plenty” is not an amount: type it like 12.50.' }],
    [{ power: '1e9' }, { power: '“1e9” is not a number of 0 or more.' }],
    [{ offerDays: '0' }, { offerDays: 'At least 1.' }],
    [{ offerDays: '2.5' }, { offerDays: 'Type a whole number.' }],
    [{ taxRate: '120' }, { taxRate: 'At most 100 %.' }],
    [{ taxRate: '-5' }, { taxRate: '“-5” is not a number of 0 or more.' }],
    [{ breakFrom1: '24' }, { breakFrom0: 'Price breaks go up in quantity, each from a different one.' }],
    [{ breakOff4: '5' }, { breakFrom4: 'From how many pieces?' }],
    [{ 'ppi.warn': '400' }, { 'ppi.warn': 'House rule, warning and floor go down in this order.' }],
    [{ pricingBy: 'luck' }, { pricingBy: 'Choose one of the list.' }],
    [{ 'spoil.dtg': '80' }, { 'spoil.dtg': 'At most 50 %.' }],
    [{ 'transfer-sheet.widthMm': '3' }, { 'transfer-sheet.widthMm': 'At least 50 mm.' }],
  ])('%j', (over, errors) => {
    expect(read(over as unknown as Record<string, string>)).toEqual({ ok: false, errors })
  })
})

it('a change is told by the names and in the figures of the form', () => {
  const after = changed({ wage: '21' })
  expect(rateDifferences(defaultRates, after, 'EUR')).toEqual([
    {
      name: 'Labour and power, Wage an hour',
      before: shownRate(RATE_GROUPS[0]?.fields[0] as never, defaultRates, 'EUR'),
      after: '21.00',
    },
  ])
  expect(rateDifferences(defaultRates, changed({}), 'EUR')).toEqual([])
})
