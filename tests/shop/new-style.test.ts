import { describe, expect, it } from 'vitest'
import { blanksOf, newStyleInput, readColours, readFibres } from '@/lib/shop/new-style'

describe('fibres', () => {
  it.each([
    ['60 cotton, 40 polyester', { cotton: 60, polyester: 40 }],
    ['Cotton 52.5%; polyester 47,5 %', { cotton: 52.5, polyester: 47.5 }],
    ['60 cotton,40 polyester', { cotton: 60, polyester: 40 }],
    ['100% coating', { coating: 100 }],
  ])('%s', (typed, shares) => expect(readFibres(typed)).toEqual(shares))
  it.each([
    ['60 cotton', 'The shares of fibre add up to 60, not to 100.'],
    ['', 'The shares of fibre add up to 0, not to 100.'],
    ['100 unobtainium', '“100 unobtainium” is not a share of a fibre: type it like 60 cotton.'],
    ['-20 cotton, 120 polyester', '“-20 cotton” is not a share of a fibre'],
  ])('%j is refused', (typed, words) => expect(readFibres(typed)).toContain(words))
})

describe('colours', () => {
  it('one on each line', () => {
    expect(readColours('Black #1B1B1E\n\n Ice blue  #cfe3ee ')).toEqual([
      { name: 'Black', hex: '#1b1b1e' },
      { name: 'Ice blue', hex: '#cfe3ee' },
    ])
  })
  it.each([
    ['', 'Type at least one colour'],
    ['Black', '“Black” is not a colour with its value'],
    ['Black #12', 'is not a colour with its value'],
    ['Black #000000\nblack #111111', 'black stands there twice.'],
  ])('%j is refused', (typed, words) => expect(readColours(typed)).toContain(words))
})

const form = {
  code: 'T9',
  name: 'Soft tee',
  kind: 'tee',
  fibres: '100 cotton',
  colours: 'Black #000000\nBlackberry #4b1f4f\nBlue #0000ff',
  sizes: ['M', '2XL'],
  price: '2.85',
  larger: '0.60',
  supplier: 'Mill',
  leadDays: '3',
  reorderPoint: '6',
  reorderTo: '24',
}

it('a style has every colour in every size, each with its own SKU and price', () => {
  const style = newStyleInput('EUR').parse(form)
  expect(blanksOf(style).map(b => [b.sku, b.name, b.price])).toEqual([
    ['T9-BLA-M', 'Soft tee, Black, M', 285],
    ['T9-BLA-2XL', 'Soft tee, Black, 2XL', 345],
    ['T9-BLAC-M', 'Soft tee, Blackberry, M', 285],
    ['T9-BLAC-2XL', 'Soft tee, Blackberry, 2XL', 345],
    ['T9-BLU-M', 'Soft tee, Blue, M', 285],
    ['T9-BLU-2XL', 'Soft tee, Blue, 2XL', 345],
  ])
})

it('says field by field what is wrong', () => {
  const read = newStyleInput('EUR').safeParse({
    ...form,
    code: 'a b',
    sizes: [],
    price: '-1',
    reorderTo: '2',
    kind: 'cape',
  })
  expect(read.error?.issues.map(i => i.path.join('.'))).toEqual(['code', 'kind', 'sizes', 'price'])
  expect(newStyleInput('EUR').safeParse({ ...form, reorderTo: '2' }).error?.issues[0]?.message).toContain(
    'at least the reorder point',
  )
})
