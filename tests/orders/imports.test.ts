import fc from 'fast-check'
import { beforeEach, describe, expect, test } from 'vitest'
import { lookAt, readImport } from '@/app/imports/look'
import { BLANK_COLUMNS, planBlanks } from '@/lib/orders/imports/blanks'
import { CUSTOMER_COLUMNS, planCustomers } from '@/lib/orders/imports/customers'
import { blanksPlan, customersPlan, importBlanks, importCustomers, markOf } from '@/lib/orders/imports/store'
import {
  countPlan,
  guessMatching,
  type Matching,
  readTable,
  refuseMatching,
  type Table,
} from '@/lib/orders/imports/table'
import { db } from '@/lib/server/database'
import { freshDatabase } from '../support/database'
import { INES, stockUp } from './books'
import { NOW } from './builders'

const tableOf = (text: string): Table => {
  const read = readTable(text)
  if (!read.ok) throw new Error(read.message)
  return read.value
}

describe('a CSV file', () => {
  // The rules of RFC 4180, section 2: CRLF, quoted fields, doubled quotes, line breaks inside quotes.
  test('is read as RFC 4180 describes it', () => {
    const table = tableOf('Name,Note\r\n"Reed, Ann","said ""hello""\r\ntwice"\r\nRui,\r\n')
    expect(table.head).toEqual(['Name', 'Note'])
    expect(table.rows.map(r => r.cells)).toEqual([
      ['Reed, Ann', 'said "hello"\r\ntwice'],
      ['Rui', ''],
    ])
  })
  test.each([
    ['semicolons', 'Name;Phone\nAnn;1\n'],
    ['tabs', 'Name\tPhone\nAnn\t1\n'],
    ['a byte order mark', '\ufeffName,Phone\nAnn,1\n'],
    ['empty rows and spaces', 'Name , Phone\n\n Ann , 1 \n,\n\n'],
    ['no line break at the end', 'Name,Phone\nAnn,1'],
  ])('with %s', (_, text) => {
    const table = tableOf(text)
    expect(table.head).toEqual(['Name', 'Phone'])
    expect(table.rows.map(r => r.cells)).toEqual([['Ann', '1']])
  })
  test.each([
    ['nothing', '', 'no row below the heads'],
    ['heads alone', 'Name,Phone\n', 'no row below the heads'],
    ['an open quotation mark', 'Name\n"Ann\nRui\n', 'a quotation mark may be open'],
    ['a spreadsheet’s own file', 'PK\u0003\u0004\0\0', 'not a CSV file'],
    ['more than 900 kB', `Name\n${'x\n'.repeat(500_000)}`, 'over 900 kB'],
    ['more than 5,000 rows', `Name\n${'x\n'.repeat(5_001)}`, '5001 rows are more than 5000'],
  ])('%s is refused in a sentence', (_, text, said) => {
    const read = readTable(text)
    expect(read.ok || read.message).toContain(said)
  })
  test('whatever it holds, it is a table or a sentence', () => {
    fc.assert(
      fc.property(
        fc.string({ unit: fc.constantFrom('a', '"', ',', ';', '\n', '\r', '\t', '\0', 'é') }),
        text => {
          const read = readTable(text)
          if (!read.ok) expect(read.message.length).toBeGreaterThan(10)
        },
      ),
      { numRuns: 300 },
    )
  })
  test('its columns are known by their heads, in any order and spelling, each once', () => {
    const head = ['E-Mail', 'COMPANY', 'Phone number', 'Colour of the van', 'name']
    expect(guessMatching(head, CUSTOMER_COLUMNS)).toMatchObject({
      email: 0,
      name: 1,
      phone: 2,
      contact: null,
      note: null,
    })
    expect(guessMatching(['SKU', 'Style', 'Color', 'Size', 'Price'], BLANK_COLUMNS)).toMatchObject({
      sku: 0,
      code: 1,
      colour: 2,
      size: 3,
      price: 4,
      fibres: null,
    })
  })
  test('a needed column that is missing, or one that is used twice, is told', () => {
    const no = (m: Matching) => refuseMatching(m, CUSTOMER_COLUMNS, ['a', 'b'])
    expect(no({ name: null })).toMatchObject({ field: 'column.name' })
    expect(no({ name: 0, email: 0 })?.message).toBe('Name and E-mail have the same column: choose one each.')
    expect(no({ name: 7 })).toMatchObject({ field: 'column.name' })
    expect(no({ name: 0, email: 1 })).toBeNull()
  })
  test('what a browser sends is read with its own matching, strange keys left out', () => {
    const read = readImport(
      { text: 'a,b\n1,2\n', matching: { name: 1, __proto__x: 0 }, seen: '' },
      CUSTOMER_COLUMNS,
    )
    expect(read.ok && read.value.matching).toEqual({ name: 1 })
    expect(readImport({ text: 1 as never, matching: null }, CUSTOMER_COLUMNS)).toMatchObject({ ok: false })
  })
})

const customer = (more: object = {}) => ({
  id: 'c1',
  version: 3,
  name: 'Gull Row Choir',
  contact: 'Marta',
  email: 'marta@choir.example',
  phone: '1',
  address: '',
  note: '',
  taxExempt: false,
  ...more,
})
const plan = (text: string, known = [customer()]) => {
  const table = tableOf(text)
  return planCustomers(table, guessMatching(table.head, CUSTOMER_COLUMNS), known)
}

describe('a file of customers', () => {
  test('tells new, changed and unchanged rows apart; an empty cell changes nothing', () => {
    const found = plan(
      'Name,Email,Phone,Note\nGull Row Choir,MARTA@choir.example,1,\nGull Row choir,marta@choir.example,1,x\n',
      [customer({ name: 'Gull Row Choir', email: 'marta@choir.example' })],
    )
    expect(found.errors).toEqual([
      { line: 3, message: '“Gull Row choir” stands on line 2 already: keep one of the two rows.' },
    ])
    const more = plan('Name,Email,Phone\nGull Row Choir,marta@choir.example,\nRui,rui@x.example,2\n')
    expect(countPlan(more)).toEqual({ fresh: 1, changed: 0, same: 1, wrong: 0 })
    const other = plan('Name,Email,Phone\nGull Row Choir,marta@choir.example,42\n')
    expect(other.changes).toMatchObject([
      { kind: 'change', line: 2, words: ['phone: 1 → 42'], value: { version: 3 } },
    ])
  })
  test('knows somebody without an address by the name, and by the contact where two have the name', () => {
    const two = [
      customer({ id: 'a', email: '', contact: 'Ana' }),
      customer({ id: 'b', email: '', contact: 'Bo' }),
    ]
    expect(plan('Name,Contact,Phone\nGull Row Choir,Bo,9\n', two).changes).toMatchObject([
      { value: { id: 'b' } },
    ])
    expect(plan('Name,Phone\nGull Row Choir,9\n', two).errors[0]?.message).toContain(
      'Several customers here are called',
    )
  })
  test('takes another address under a known name for another customer: families and clubs share names', () => {
    expect(plan('Name,Email\nGull Row Choir,other@choir.example\n').changes).toMatchObject([{ kind: 'new' }])
  })
  test.each([
    ['an empty name', 'Name,Phone\n"",1\n', 2, 'name is empty'],
    ['an address that is none', 'Name,Email\nAnn,ann(at)x\n', 2, 'not an e-mail address'],
    ['a phone number without digits', 'Name,Phone\nAnn,none\n', 2, 'has digits'],
    ['a tick that is none', 'Name,Tax exempt\nAnn,maybe\n', 2, 'write yes or no'],
    ['a name of 200 letters', `Name\n${'x'.repeat(200)}\n`, 2, 'longer than 120'],
  ])('%s is an error of its row, and the other rows go in', (_, text, line, said) => {
    const found = plan(`${text}${text.includes('Phone') ? 'Zoe,5' : 'Zoe,'}\n`)
    expect(found.errors).toEqual([{ line, message: expect.stringContaining(said) }])
    expect(found.changes.map(c => c.name)).toEqual(['Zoe'])
  })
})

describe('taken into the books', () => {
  beforeEach(freshDatabase)
  const take = async (text: string) => {
    const table = tableOf(text)
    const matching = guessMatching(table.head, CUSTOMER_COLUMNS)
    const seen = markOf(await customersPlan(table, matching))
    return importCustomers(table, matching, seen, INES, NOW)
  }
  const FILE = 'Name,Email,Phone,Exempt\nAnn,ann@x.example,1,yes\nRui,,2,no\nBad,not an address,3,no\n'
  test('good rows go in with their history, bad ones are left out; the same file twice changes nothing', async () => {
    expect(await take(FILE)).toMatchObject({ ok: true, value: { fresh: 2, changed: 0, same: 0, wrong: 1 } })
    const before = await db().customer.findMany()
    const history = await db().history.count()
    expect(before.map(c => [c.name, c.email, c.taxExempt, c.version])).toEqual([
      ['Ann', 'ann@x.example', true, 1],
      ['Rui', '', false, 1],
    ])
    expect(await take(FILE)).toMatchObject({ ok: true, value: { fresh: 0, changed: 0, same: 2, wrong: 1 } })
    expect(await db().customer.findMany()).toEqual(before)
    expect(await db().history.count()).toBe(history)
  })
  test('whatever rows a file holds, the second time it changes nothing', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(
          fc.record({
            name: fc.constantFrom('Ann', 'Rui'),
            email: fc.constantFrom('', 'a@x.example', 'b@x.example'),
          }),
          { maxLength: 3 },
        ),
        fc.array(
          fc.tuple(
            fc.constantFrom('Ann', 'ann', 'Rui', ''),
            fc.constantFrom('', 'a@x.example', 'A@x.example', 'b@x.example', 'no'),
            fc.constantFrom('', '1', '2'),
          ),
          { minLength: 1, maxLength: 8 },
        ),
        async (known, rows) => {
          await db().customer.deleteMany()
          await db().customer.createMany({ data: known })
          const text = `Name,Email,Phone\n${rows.map(r => r.map(c => `"${c}"`).join(',')).join('\n')}\n`
          if (!readTable(text).ok) return
          expect((await take(text)).ok).toBe(true)
          const before = await db().customer.findMany({ orderBy: { id: 'asc' } })
          const again = await take(text)
          expect(again).toMatchObject({ ok: true, value: { fresh: 0, changed: 0 } })
          expect(await db().customer.findMany({ orderBy: { id: 'asc' } })).toEqual(before)
        },
      ),
      {
        numRuns: 20,
        // Each was once changed by its second reading.
        examples: [
          [
            [],
            [
              ['Rui', '', ''],
              ['Rui', 'A@x.example', ''],
              ['Ann', 'a@x.example', ''],
            ],
          ],
          [
            [{ name: 'Rui', email: 'b@x.example' }],
            [
              ['Ann', 'b@x.example', ''],
              ['Rui', '', ''],
            ],
          ],
        ],
      },
    )
  })
  test('what somebody looked at is what is done: a change in between is told, and nothing is written', async () => {
    const table = tableOf(FILE)
    const matching = guessMatching(table.head, CUSTOMER_COLUMNS)
    const seen = markOf(await customersPlan(table, matching))
    await db().customer.create({ data: { name: 'Rui' } })
    expect(await importCustomers(table, matching, seen, INES, NOW)).toMatchObject({
      ok: false,
      code: 'changed',
    })
    expect(await db().customer.count()).toBe(1)
  })
  test('5,000 rows are looked at; a hundred of them are listed', async () => {
    const text = `Name,Email\n${Array.from({ length: 5_000 }, (_, i) => `Customer ${i},c${i}@x.example`).join('\n')}\n`
    const table = tableOf(text)
    const matching = guessMatching(table.head, CUSTOMER_COLUMNS)
    const found = await customersPlan(table, matching)
    const look = lookAt(table, matching, null, found, markOf(found))
    expect(look.ok && [look.counts.fresh, look.fresh.length]).toEqual([5_000, 100])
  })
})

const BLANKS = [
  'Style,Name,Kind,Made of,Color,Hex,Size,Price,Supplier,Reorder at,Order up to',
  'T1,,,,Black,,M,3.10,Mill,5,20',
  'T1,,,,Navy,#1f2a44,m,3.10,Mill,,',
  'H9,Warm hoodie,Hoodie,"80 cotton, 20 polyester",Red,#aa0000,XXL,14.5,Mill,,',
  'H9,,,,Red,,L,14,Mill,,',
].join('\n')

describe('a file of blanks', () => {
  beforeEach(async () => {
    const close = await freshDatabase()
    await stockUp()
    return close
  })
  const matched = (text: string) => {
    const table = tableOf(text)
    return [table, guessMatching(table.head, BLANK_COLUMNS)] as const
  }
  const take = async (text: string) => {
    const [table, matching] = matched(text)
    const seen = markOf(await blanksPlan(table, matching, 'EUR'))
    return importBlanks(table, matching, seen, 'EUR', INES, NOW)
  }
  test('adds styles, colours and sizes, changes prices, and the same file twice changes nothing', async () => {
    expect(await take(BLANKS)).toMatchObject({ ok: true, value: { fresh: 3, changed: 1, same: 0, wrong: 0 } })
    const hoodie = await db().blankStyle.findUnique({ where: { code: 'H9' }, include: { items: true } })
    expect(hoodie).toMatchObject({
      name: 'Warm hoodie',
      kind: 'hoodie',
      fibres: { cotton: 80, polyester: 20 },
    })
    expect(hoodie?.items.map(i => [i.sku, i.size, i.priceMicro, i.colourHex]).sort()).toEqual([
      ['H9-RED-2XL', '2XL', 14_500_000n, '#aa0000'],
      ['H9-RED-L', 'L', 14_000_000n, '#aa0000'],
    ])
    const black = await db().stockItem.findUnique({ where: { sku: 'T1-BLK-M' } })
    expect(black).toMatchObject({ priceMicro: 3_100_000n, supplier: 'Mill', reorderPoint: 5, reorderTo: 20 })
    const before = await db().stockItem.findMany({ orderBy: { id: 'asc' } })
    expect(await take(BLANKS)).toMatchObject({ ok: true, value: { fresh: 0, changed: 0, same: 4, wrong: 0 } })
    expect(await db().stockItem.findMany({ orderBy: { id: 'asc' } })).toEqual(before)
  })
  test('a price finer than a cent stays as fine where the file does not change it', async () => {
    await db().stockItem.update({ where: { sku: 'T1-BLK-M' }, data: { priceMicro: 3_123_456n } })
    await take('Style,Colour,Size,Supplier\nT1,Black,M,Other\n')
    expect(await db().stockItem.findUnique({ where: { sku: 'T1-BLK-M' } })).toMatchObject({
      priceMicro: 3_123_456n,
      supplier: 'Other',
    })
  })
  const HEAD = 'Style,Name,Kind,Made of,Colour,Hex,Size,Price,SKU,Reorder at,Order up to'
  test.each([
    ['no code', ',,,,Black,,M,3,,,', 'style code is empty'],
    ['no colour', 'T1,,,,,,M,3,,,', 'colour is empty'],
    ['a size nobody knows', 'T1,,,,Black,,HUGE,3,,,', '“HUGE” is not a size'],
    ['a broken price', 'T1,,,,Black,,M,3.1x,,,', 'The price is “3.1x”'],
    ['a price below nothing', 'T1,,,,Black,,M,-3,,,', 'The price is “-3”'],
    ['half a piece to reorder at', 'T1,,,,Black,,M,3,,2.5,', 'Reorder at is “2.5”'],
    ['an upper level below the lower', 'T1,,,,Black,,M,3,,20,5', 'Order up to at least'],
    [
      'a new style that lacks what decides its printing',
      'N1,New tee,,,Black,#000000,M,3,,,',
      'lacks its kind and what it is made of',
    ],
    ['a kind nobody knows', 'N1,New tee,kilt,100 cotton,Black,#000000,M,3,,,', '“kilt” is no kind of blank'],
    [
      'fibres that do not add up',
      'N1,New tee,T-shirt,"60 cotton, 30 polyester",Black,#000000,M,3,,,',
      'add up to 90',
    ],
    ['a new colour without its value', 'T1,,,,Plum,,M,3,,,', 'new colour of T1'],
    ['a value that is no colour', 'T1,,,,Plum,plum,M,3,,,', 'is not a colour'],
    ['a new blank without a price', 'T1,,,,Plum,#660044,M,,,,', 'needs what one piece costs'],
    ['a SKU that another item has', 'T1,,,,Plum,#660044,M,3,T1-BLK-S,,', 'There is an item T1-BLK-S already'],
    ['a code with a blank in it', 'T 1,New tee,T-shirt,100 cotton,Black,#000000,M,3,,,', 'is no style code'],
  ])('%s is an error of its row', async (_, row, said) => {
    const [table, matching] = matched(`${HEAD}\n${row}\nT1,,,,Black,,S,4,,,\n`)
    const found = await blanksPlan(table, matching, 'EUR')
    expect(found.errors).toEqual([{ line: 2, message: expect.stringContaining(said) }])
    expect(countPlan(found)).toMatchObject({ changed: 1, wrong: 1 })
  })
  test('a row that stands there twice is told, by its line', () => {
    const [table, matching] = matched('Style,Colour,Size,Price\nT1,Black,M,3\nt1,black,m,4\n')
    const found = planBlanks(table, matching, { styles: [], blanks: [] }, 'EUR')
    expect(found.errors.map(e => e.message).join()).toContain('stands on line 2 already')
  })
})
