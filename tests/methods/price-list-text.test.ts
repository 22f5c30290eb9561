import { describe, expect, test } from 'vitest'
import { readListRows } from '@/lib/methods/price-list-text'

const rows = (text: string) => {
  const read = readListRows(text, 'EUR')
  return read.ok ? read.value.map(r => [r.from, r.each]) : read.message
}

describe('a price list as it is typed or pasted', () => {
  test.each([
    ['a space between', '10 3.20\n50 1.90'],
    ['a tab, as from a sheet', '10\t3.20\r\n50\t1.90\r\n'],
    ['a semicolon, a comma for the point', '10;3,20\n50 ; 1,90'],
    ['a colon, the word from, the sign of the currency', 'from 10: €3.20\n\nfrom 50: €1.90\n'],
  ])('%s', (_, text) =>
    expect(rows(text)).toEqual([
      [10, 320],
      [50, 190],
    ]),
  )
  test.each([
    ['a word for the price', '10 3.20\n50 cheap', /^Row 2, “50 cheap”: .*amount/],
    ['no price', '10 3.20\n\n50', /^Row 3, “50”: type the pieces, then the price/],
    ['a word for the pieces', 'ten 3.20', /^Row 1, .*“ten” is not a number of pieces/],
    ['no pieces', '0 3.20', /^Row 1, .*from 1 to 1,000,000/],
    ['a price below 0', '10 -3', /^Row 1, .*below 0/],
    [
      'rows that go down',
      '50 1.90\n10 3.20',
      /^Row 2, .*starts at 10 pieces, the row above at 50: rows go up/,
    ],
    [
      'two broken rows: both are told',
      '10 3.20\nmany 2\n50 cheap\n100 1',
      /^Row 2, “many 2”: .*\. Row 3, “50 cheap”: .*\.$/,
    ],
    [
      'seven broken rows: five are told',
      Array.from({ length: 7 }, () => 'x y').join('\n'),
      /Row 5, .*And 2 more rows\.$/,
    ],
    ['nothing', ' \n ', /at least one row/],
    [
      '51 rows',
      Array.from({ length: 51 }, (_, i) => `${i + 1} 1`).join('\n'),
      /at most 50 rows; this has 51/,
    ],
  ])('%s is refused, with the row named', (_, text, sentence) => {
    const said = rows(text)
    expect(said).toMatch(sentence)
    expect(said).toMatch(/\.$/)
  })
})
