import { describe, expect, it } from 'vitest'
import { shouldWeBuy } from '@/lib/costing/equipment'
import { monthEitherWay, purchaseInput } from '@/lib/costing/purchase-input'
import { defaultRates } from '@/lib/shop/rates'
import { microPerMinor } from '@/lib/units/money'

const typed = {
  name: 'Heat press',
  by: 'depreciation',
  price: '4500',
  interest: '0',
  months: '36',
  salvage: '0',
  upkeep: '',
  kilowatts: '0',
  seconds: '60',
  here: '5',
  away: '10',
  pieces: '40',
}
const read = (over: Partial<Record<keyof typeof typed, string>> = {}) =>
  purchaseInput('EUR').safeParse({ ...typed, ...over })

describe('a machine as it is typed', () => {
  it('is read into what is worked out: the textbook press of 4,500 breaks even at 25 shirts a month', () => {
    const { data } = read()
    if (!data) throw new Error('not read')
    const show = { currency: 'EUR', locale: 'en' }
    const verdict = shouldWeBuy(data, defaultRates, show)
    expect(verdict).toMatchObject({ fixedPerMonth: 12_500, breakEven: 25 })
    const at = (pieces: number) => monthEitherWay(verdict, data, pieces, microPerMinor('EUR'))
    // 125 + 5 × pieces against 10 × pieces: they meet at 25.
    expect(at(0)).toEqual({ bought: 12_500, away: 0 })
    expect(at(25)).toEqual({ bought: 25_000, away: 25_000 })
    expect(at(40)).toEqual({ bought: 32_500, away: 40_000 })
  })
  it('by instalments takes the interest a year', () =>
    expect(read({ by: 'instalments', interest: '6,9 %' }).data?.cost.purchase).toEqual({
      by: 'instalments',
      principal: 450_000,
      yearRateBp: 690,
      months: 36,
    }))
  it.each([
    ['price', '0', 'What does it cost? Type the price.'],
    ['price', 'dear', /“dear” is not an amount/],
    ['months', '0', 'The time is a number from 1 to 480, not “0”.'],
    ['months', '1.5', 'The time is a whole number.'],
    ['interest', '120', 'The interest is a number from 0 to 100, not “120”.'],
    ['salvage', '5000', 'It cannot bring more at the end than it costs.'],
    ['away', '-1', 'One piece sent out is not below 0.'],
    ['pieces', '1e9', /The pieces a month is a number from 0 to 100,000/],
    ['seconds', '', 'The time on the machine is a number from 0 to 86,400.'],
  ] as const)('%s of “%s” is refused at its field', (field, text, sentence) => {
    const [issue] = read({ [field]: text }).error?.issues ?? []
    expect(issue?.path).toEqual([field])
    expect(issue?.message).toMatch(sentence)
  })
})
