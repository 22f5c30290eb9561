import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { readNumber } from '@/app/number-in-address'
import { decideLines } from '@/lib/orders/enquiry'
import {
  agreeInput,
  editCustomerInput,
  editOrderInput,
  listInput,
  newOrderInput,
  offerInput,
  paymentInput,
} from '@/lib/orders/input'
import { at, NOW, uuid, ZONE } from './builders'

const context = { measures: 'metric', currency: 'EUR', zone: ZONE, now: NOW } as const
const good: Record<string, string> = {
  customerId: uuid(2),
  title: 'Spring concert',
  note: '',
  promiseDay: '2026-05-22',
  promiseTime: '17:00',
  promiseHard: 'on',
  'lines.0.style': uuid(11),
  'lines.0.colour': 'Black',
  'lines.0.quantity.S': '4',
  'lines.0.quantity.M': '8',
  'lines.0.quantity.L': '8',
  'lines.0.quantity.XL': '',
  'lines.0.quantity.2XL': '4',
  'lines.0.prints.0.placement': 'full-front',
  'lines.0.prints.0.width': '305',
  'lines.0.prints.0.height': '30 cm',
  'lines.0.prints.0.drop': '57',
  'lines.0.prints.0.artwork': '',
  formKey: uuid(99),
}
const read = (more: Record<string, unknown> = {}) => newOrderInput(context).safeParse({ ...good, ...more })
/** Field and sentence of each complaint, the first per field. */
const complaints = (result: ReturnType<typeof read>): Record<string, string> => {
  const found: Record<string, string> = {}
  for (const issue of result.error?.issues ?? []) found[issue.path.join('.')] ??= issue.message
  return found
}

describe('an enquiry as typed', () => {
  test('is read with its sizes in order, lengths in mm, and the promise as an instant', () => {
    expect(read().data).toEqual({
      customer: { id: uuid(2) },
      title: 'Spring concert',
      note: '',
      promise: { at: at('2026-05-22', '17:00'), hard: true },
      rush: false,
      lines: [
        {
          key: '0',
          styleId: uuid(11),
          colour: 'Black',
          sizes: [
            { size: 'S', quantity: 4 },
            { size: 'M', quantity: 8 },
            { size: 'L', quantity: 8 },
            { size: '2XL', quantity: 4 },
          ],
          prints: [
            { key: '0', placement: 'full-front', widthMm: 305, heightMm: 300, dropMm: 57, artworkId: null },
          ],
        },
      ],
      formKey: uuid(99),
    })
  })
  test('a place beside the middle, and other widths by garment size', () => {
    const typed = read({
      'lines.0.prints.0.offset': '40 right',
      'lines.0.prints.0.bySize': 'S–M 20 cm, 2XL 330',
    })
    expect(typed.data?.lines[0]?.prints[0]).toMatchObject({
      offsetMm: -40,
      bySize: [
        { from: 'S', to: 'M', widthMm: 200 },
        { from: '2XL', to: '2XL', widthMm: 330 },
      ],
    })
    const blank = read({ 'lines.0.prints.0.offset': ' ', 'lines.0.prints.0.bySize': '' })
    expect(blank.data?.lines[0]?.prints[0]).toEqual(read().data?.lines[0]?.prints[0])
    for (const [field, text, message] of [
      ['offset', 'aside', /no place beside the middle/],
      ['offset', '90 cm', /at most 600 mm beside the middle/],
      ['bySize', 'S 200, S–L 220', /give each size one width/],
      ['bySize', 'grande 200', /names no garment size/],
    ] as const) {
      const [issue] = read({ [`lines.0.prints.0.${field}`]: text }).error?.issues ?? []
      expect(issue?.path).toEqual(['lines', '0', 'prints', '0', field])
      expect(issue?.message).toMatch(message)
    }
  })
  test('inches are read where the shop measures in inches', () => {
    const inches = newOrderInput({ ...context, measures: 'imperial' }).safeParse({
      ...good,
      'lines.0.prints.0.width': '12',
      'lines.0.prints.0.height': '11.5 in',
      'lines.0.prints.0.drop': '2.25"',
    })
    expect(inches.data?.lines[0]?.prints[0]).toMatchObject({ widthMm: 304.8, heightMm: 292.1, dropMm: 57.15 })
  })
  test('a new customer comes with it', () => {
    const typed = read({
      customerId: '',
      'customer.name': '  Gull   Row Choir ',
      'customer.phone': '555 0142',
    })
    expect(typed.data?.customer).toMatchObject({
      typed: { name: 'Gull Row Choir', phone: '555 0142', email: '' },
    })
  })
  test('markup in a name stays as text, and what cannot be seen goes', () => {
    const typed = read({ customerId: '', 'customer.name': '<b>Ana</b> & "Co"\u0000\u202e' })
    expect(typed.data?.customer).toMatchObject({ typed: { name: '<b>Ana</b> & "Co"' } })
  })

  test.each([
    [
      'no customer',
      { customerId: '', 'customer.name': '  ' },
      'customer.name',
      'The customer’s name is empty: type a name.',
    ],
    [
      'a name of 121 characters',
      { customerId: '', 'customer.name': 'x'.repeat(121) },
      'customer.name',
      /longer than 120 characters/,
    ],
    ['a customer id that is none', { customerId: '1; drop table' }, 'customerId', /not known here/],
    [
      'a wrong e-mail',
      { customerId: '', 'customer.name': 'A', 'customer.email': 'a@' },
      'customer.email',
      /not an e-mail address/,
    ],
    [
      'a negative quantity',
      { 'lines.0.quantity.M': '-8' },
      'lines.0.quantity',
      '“-8” in M is not a number of pieces: type a whole number from 0 to 10,000.',
    ],
    ['a quantity over 10,000', { 'lines.0.quantity.M': '10001' }, 'lines.0.quantity', /from 0 to 10,000/],
    ['a half piece', { 'lines.0.quantity.M': '2.5' }, 'lines.0.quantity', /whole number/],
    [
      'a word for a quantity',
      { 'lines.0.quantity.M': 'eight' },
      'lines.0.quantity',
      /“eight” in M is not a number of pieces/,
    ],
    ['a huge quantity', { 'lines.0.quantity.M': '1e99' }, 'lines.0.quantity', /whole number/],
    [
      'no piece at all',
      {
        'lines.0.quantity.S': '0',
        'lines.0.quantity.M': '',
        'lines.0.quantity.L': '',
        'lines.0.quantity.2XL': '',
      },
      'lines.0.quantity',
      /There is no piece yet/,
    ],
    [
      'a size that is none',
      { 'lines.0.quantity.Huge': '3' },
      'lines.0.quantity',
      '“Huge” is not a size known here.',
    ],
    [
      'yesterday',
      { promiseDay: '2026-05-13' },
      'promiseDay',
      'The promise is in the past: choose today or later.',
    ],
    ['an hour ago', { promiseDay: '2026-05-14', promiseTime: '09:00' }, 'promiseTime', /in the past/],
    ['the 31st of June', { promiseDay: '2026-06-31' }, 'promiseDay', /is not a day/],
    ['the year 2206', { promiseDay: '2206-05-22' }, 'promiseDay', /check the year/],
    ['a time that is none', { promiseTime: '25:00' }, 'promiseTime', /not a time of day/],
    [
      'a width that is none',
      { 'lines.0.prints.0.width': 'wide' },
      'lines.0.prints.0.width',
      /is not a length/,
    ],
    ['no width', { 'lines.0.prints.0.width': '' }, 'lines.0.prints.0.width', /empty/],
    ['a width of nothing', { 'lines.0.prints.0.width': '0' }, 'lines.0.prints.0.width', /from 5 to 1200 mm/],
    ['a height of 40 m', { 'lines.0.prints.0.height': '40 m' }, 'lines.0.prints.0.height', /over 10 m/],
    [
      'a placement that is none',
      { 'lines.0.prints.0.placement': 'forehead' },
      'lines.0.prints.0.placement',
      /where the print sits/,
    ],
    [
      'an artwork id that is none',
      { 'lines.0.prints.0.artwork': '../../etc' },
      'lines.0.prints.0.artwork',
      /not known here/,
    ],
    ['a blank that is none', { 'lines.0.style': 'tee' }, 'lines.0.style', /not known here/],
    ['no colour', { 'lines.0.colour': '' }, 'lines.0.colour', 'Choose the colour of the blank.'],
    ['a number in place of text', { title: 7 }, 'title', /missing/],
    ['no form number', { formKey: '' }, 'formKey', /load the page again/],
  ])('%s is refused at its field in one sentence', (_, more, field, message) => {
    const found = complaints(read(more))
    expect(Object.keys(found)).toEqual([field])
    expect(found[field]).toMatch(message)
    expect(found[field]).toMatch(/^[^\n]+\.$/)
  })

  test('no line, 61 lines, nine prints, and two prints at one place are refused', () => {
    const none = Object.fromEntries(Object.entries(good).filter(([k]) => !k.startsWith('lines')))
    expect(newOrderInput(context).safeParse(none).error?.issues[0]?.path).toEqual(['lines'])
    const many: Record<string, string> = {}
    for (let i = 0; i < 61; i++)
      Object.assign(many, {
        [`lines.${i}.style`]: uuid(11),
        [`lines.${i}.colour`]: 'Black',
        [`lines.${i}.quantity.M`]: '1',
      })
    expect(complaints(read(many))['lines.60.style']).toMatch(/at most 60 blanks/)
    const second = { placement: 'full-front', width: '100', height: '100', drop: '50' }
    const twice = Object.fromEntries(Object.entries(second).map(([k, v]) => [`lines.0.prints.1.${k}`, v]))
    expect(complaints(read(twice))['lines.0.prints.1.placement']).toMatch(/Two prints/)
  })
  test('more than 50,000 pieces in all are refused', () => {
    const six: Record<string, string> = {}
    for (const size of ['XS', 'S', 'M', 'L', 'XL', '2XL']) six[`lines.0.quantity.${size}`] = '10000'
    expect(complaints(read(six))['lines.0.quantity']).toMatch(/60,000 pieces are more/)
  })
  test('every field of an empty form that can be filled is named at once', () => {
    const empty = {
      customerId: '',
      'customer.name': '',
      'lines.0.style': '',
      'lines.0.quantity.S': 'x',
    }
    expect(Object.keys(complaints(read(empty))).sort()).toEqual([
      'customer.name',
      'lines.0.quantity',
      'lines.0.style',
    ])
    // There is no colour to choose before the blank: nobody is asked for it.
    expect(complaints(read(empty))['lines.0.style']).toBe('Choose a blank.')
  })
  test('names that aim at the object itself change nothing', () => {
    const aimed = read({
      '__proto__.polluted': 'yes',
      'constructor.prototype.polluted': 'yes',
      'lines.__proto__.style': 'x',
    })
    expect(aimed.success).toBe(true)
    expect(({} as Record<string, unknown>).polluted).toBeUndefined()
  })
  test('whatever is sent, the reader answers and never throws; what it takes is whole and within bounds', () => {
    const anything = fc.dictionary(
      fc.constantFrom(...Object.keys(good), 'lines', 'lines.0', 'lines.0.prints'),
      fc.anything(),
    )
    fc.assert(
      fc.property(anything, more => {
        const result = read(more)
        if (result.success)
          for (const line of result.data.lines)
            for (const s of line.sizes)
              expect(Number.isInteger(s.quantity) && s.quantity > 0 && s.quantity <= 10_000).toBe(true)
        else for (const issue of result.error.issues) expect(issue.message.length).toBeGreaterThan(5)
      }),
      { numRuns: 300 },
    )
  })
  test('a count that does not even turn into text is refused', () => {
    expect(complaints(read({ 'lines.0.quantity.M': [{ toString: '' }] }))['lines.0.quantity']).toMatch(
      /in M is not a number of pieces/,
    )
  })
  test('an edit must say which version it was filled from', () => {
    expect(editOrderInput(context).safeParse({ ...good, version: '3' }).data?.version).toBe(3)
    for (const version of [undefined, '', '0', '1.5', 'x'])
      expect(editOrderInput(context).safeParse({ ...good, version }).error?.issues[0]?.path).toEqual([
        'version',
      ])
  })
})

describe('lines against the catalogue', () => {
  const catalogue = [
    {
      id: uuid(11),
      code: 'T1',
      name: 'Heavy tee',
      kind: 'tee' as const,
      fibres: { cotton: 100 },
      colours: [
        {
          name: 'Black',
          hex: '#111111',
          sizes: ['S', 'M', 'L', '2XL'].map((size, i) => ({ itemId: uuid(21 + i), size })),
        },
      ],
    },
  ]
  const decide = (more: Record<string, unknown> = {}) => {
    const typed = read(more)
    if (!typed.success) throw new Error(typed.error.message)
    return decideLines(typed.data.lines, catalogue)
  }
  test('a print is held to each garment at the size it has there, and where it sits', () => {
    const wide = { 'lines.0.prints.0.width': '500', 'lines.0.prints.0.height': '300' }
    expect(decide(wide)).toMatchObject({ ok: false, field: 'lines.0.prints.0.width' })
    expect(decide({ ...wide, 'lines.0.prints.0.bySize': 'S 250, M 300' })).toMatchObject({
      value: [{ prints: [{ widthMm: 500, bySize: [{ widthMm: 250 }, { widthMm: 300 }] }] }],
    })
    expect(decide({ 'lines.0.prints.0.bySize': '2XL 900' })).toMatchObject({
      ok: false,
      field: 'lines.0.prints.0.bySize',
      message: expect.stringMatching(/900 mm wide is wider than size 2XL itself/),
    })
    expect(decide({ 'lines.0.prints.0.offset': '200 right' })).toMatchObject({
      ok: false,
      field: 'lines.0.prints.0.offset',
      message: expect.stringMatching(/305 mm wide, 200 mm beside the middle, runs \d+ mm off size S/),
    })
    expect(decide({ 'lines.0.prints.0.offset': '40 right' })).toMatchObject({
      value: [{ prints: [{ offsetMm: -40 }] }],
    })
  })
  test('each size finds its stock item, and the print its side offset', () => {
    const left = decide({
      'lines.0.prints.0.placement': 'left-chest',
      'lines.0.prints.0.width': '90',
      'lines.0.prints.0.height': '90',
    })
    expect(left).toMatchObject({
      ok: true,
      value: [{ sizes: [{ itemId: uuid(21), quantity: 4 }, {}, {}, {}], prints: [{ offsetMm: 100 }] }],
    })
  })
  test.each([
    [
      'a blank that left the catalogue',
      { 'lines.0.style': uuid(12) },
      'lines.0.style',
      /no longer in the catalogue/,
    ],
    [
      'a colour it does not come in',
      { 'lines.0.colour': 'Mauve' },
      'lines.0.colour',
      'The Heavy tee does not come in “Mauve”: choose Black.',
    ],
    [
      'a size it does not come in',
      { 'lines.0.quantity.5XL': '1' },
      'lines.0.quantity',
      'The Heavy tee in Black does not come in 5XL: it comes in S, M, L, 2XL.',
    ],
    [
      'a bag print on a tee',
      { 'lines.0.prints.0.placement': 'bag-front' },
      'lines.0.prints.0.placement',
      /no place on the Heavy tee/,
    ],
    [
      'a print wider than the smallest garment',
      { 'lines.0.prints.0.width': '480' },
      'lines.0.prints.0.width',
      /wider than size S itself/,
    ],
    [
      'a print that runs off the hem',
      { 'lines.0.prints.0.height': '700' },
      'lines.0.prints.0.height',
      /runs off size S/,
    ],
  ])('%s is refused at its field', (_, more, field, message) => {
    const no = decide(more)
    expect(no).toMatchObject({ ok: false, field })
    expect(!no.ok && no.message).toMatch(message)
  })
})

describe('the other forms', () => {
  const pay = { kind: 'deposit', amount: '184,50', means: 'card', note: '', formKey: uuid(98) }
  const payments = paymentInput({ currency: 'EUR' })
  test('a payment is read in the shop’s currency; a refund says why', () => {
    expect(payments.safeParse(pay).data).toMatchObject({ amount: 18_450, kind: 'deposit' })
    expect(payments.safeParse({ ...pay, kind: 'refund' }).error?.issues[0]).toMatchObject({ path: ['note'] })
    for (const [field, value] of [
      ['amount', 'lots'],
      ['amount', '1.234567'],
      ['kind', 'tip'],
      ['means', 'shells'],
      ['formKey', 'x'],
    ] as const)
      expect(payments.safeParse({ ...pay, [field]: value }).error?.issues[0]?.path).toEqual([field])
  })
  test('a signature is at least two characters', () => {
    expect(agreeInput.safeParse({ name: ' M ' }).success).toBe(false)
    expect(agreeInput.safeParse({ name: 'Marta', declares: 'on' }).data).toEqual({
      name: 'Marta',
      declares: true,
    })
    expect(agreeInput.safeParse({ name: 'x'.repeat(121) }).success).toBe(false)
  })
  test('an offer wants a method, a last day and a promise; prices are read by line', () => {
    const offer = { method: 'dtg', validUntil: '2026-05-28', promiseDay: '2026-05-22', version: '1' }
    expect(
      offerInput(context).safeParse({ ...offer, 'each.0': '12,50', 'each.1': '', discount: '7.5 %' }).data,
    ).toMatchObject({
      method: 'dtg',
      each: { 0: 1250, 1: null },
      discount: 750,
      promiseTime: '17:00',
    })
    for (const [field, value] of [
      ['each.0', '-4'],
      ['each.0', 'much'],
      ['discount', '101'],
      ['discount', '-1'],
      ['method', 'embroidery'],
      ['promiseDay', ''],
      ['validUntil', '2026-05-13'],
    ] as const)
      expect(
        offerInput(context)
          .safeParse({ ...offer, [field]: value })
          .error?.issues[0]?.path.join('.'),
      ).toBe(field)
  })
  test('an offer may ask for a margin or markup of its own, within what has a price', () => {
    const offer = { method: 'dtg', validUntil: '2026-05-28', promiseDay: '2026-05-22', version: '1' }
    const read = (by: string, pricing: string) =>
      offerInput(context).safeParse({ ...offer, pricingBy: by, pricing })
    expect(offerInput(context).safeParse(offer).data?.pricing).toBeNull()
    expect(read('margin', '42,5 %').data?.pricing).toEqual({ by: 'margin', bp: 4250 })
    expect(read('markup', '150').data?.pricing).toEqual({ by: 'markup', bp: 15_000 })
    for (const [by, pricing, field] of [
      ['margin', '96', 'pricing'],
      ['markup', '2001', 'pricing'],
      ['margin', '', 'pricing'],
      ['margin', '-5', 'pricing'],
      ['guess', '10', 'pricingBy'],
    ] as const)
      expect(read(by, pricing).error?.issues[0]?.path).toEqual([field])
  })
  test('a customer’s form names every field it refuses', () => {
    const bad = editCustomerInput.safeParse({ name: '', email: 'no', phone: 'none', version: 'x' })
    expect(bad.error?.issues.map(i => i.path.join('.')).sort()).toEqual(['email', 'name', 'phone', 'version'])
  })
  test('anything unknown in the address of a list falls back', () => {
    expect(listInput.parse({ state: 'lost', page: '-3', sort: '1;--', find: 9 })).toEqual({
      state: 'open',
      find: '',
      sort: 'promise',
      down: false,
      page: 1,
    })
  })
  test('order numbers in addresses', () => {
    expect(readNumber('1042')).toBe(1042)
    for (const no of ['0', '01', '-1', '1.5', '1e3', '', 'x', '9999999999', ' 1042'])
      expect(readNumber(no)).toBeNull()
  })
})
