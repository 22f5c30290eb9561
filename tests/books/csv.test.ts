import { parse } from 'csv-parse/sync'
import fc from 'fast-check'
import { expect, it } from 'vitest'
import { csv, decimal, harmless } from '@/lib/books/csv'
import { minor } from '@/lib/units/money'

it.each([
  ['=1+1', "'=1+1"],
  ['+49 30 1234', "'+49 30 1234"],
  ['-5', "'-5"],
  ['@sum(a1)', "'@sum(a1)"],
  [' =cmd', "' =cmd"],
  ['\t=x', "'\t=x"],
  ['＝1', "'＝1"],
  ['Allotment club', 'Allotment club'],
  ['a=b', 'a=b'],
  ['', ''],
])('the text %j becomes %j', (text, safe) => {
  expect(harmless(text)).toBe(safe)
})

it('amounts are plain decimals, and negative ones stay numbers', () => {
  expect([1_234, 5, -5, 0, -123_456].map(n => decimal(minor(n), 'EUR'))).toEqual([
    '12.34',
    '0.05',
    '-0.05',
    '0.00',
    '-1234.56',
  ])
  expect(decimal(minor(1_234), 'JPY')).toBe('1234')
  expect(decimal(minor(1_234), 'KWD')).toBe('1.234')
})

it('begins with a byte order mark, ends lines with CR LF, quotes what needs it', () => {
  expect(csv(['number', 'customer', 'margin'], [[1001, 'Tea, "Cakes"', '-1.50']], [1])).toBe(
    '\ufeffnumber,customer,margin\r\n1001,"Tea, ""Cakes""",-1.50\r\n',
  )
})

it('is read back as it was written, whatever people typed', () => {
  fc.assert(
    fc.property(
      fc.array(fc.string({ unit: 'grapheme', maxLength: 30 }), { minLength: 1, maxLength: 20 }),
      texts => {
        const rows = parse(
          csv(
            ['text', 'n'],
            texts.map((t, i) => [t, i]),
            [0],
          ),
          { bom: true },
        ) as string[][]
        expect(rows.slice(1).map(r => r[0])).toEqual(texts.map(harmless))
      },
    ),
    { numRuns: 100 },
  )
})
