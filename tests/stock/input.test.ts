import { describe, expect, it } from 'vitest'
import {
  cameLines,
  countInput,
  endPurchaseInput,
  itemInput,
  listFilter,
  moveInput,
  newItemInput,
  purchaseInput,
  purchaseLines,
  receiveInput,
} from '@/lib/stock/input'
import { micro } from '@/lib/units/money'

const formKey = '0b9df2a4-3f0b-4d0f-9d0a-0d8f6f2f3b11'
const ink = { unit: 'ul' as const, pack: 1_000_000, price: micro(90e6), currency: 'EUR' }
const tee = { unit: 'piece' as const, pack: 1, price: micro(3e6), currency: 'EUR' }
const messages = (read: {
  success: boolean
  error?: { issues: { path: PropertyKey[]; message: string }[] }
}) => read.error?.issues.map(i => `${i.path.join('.')}: ${i.message}`)

describe('at the shelf', () => {
  it('a count may be nothing, and is read in the item’s units', () => {
    expect(countInput(ink).parse({ found: '1.2 l', formKey })).toMatchObject({ found: 1_200_000, why: '' })
    expect(countInput(tee).parse({ found: '0', formKey }).found).toBe(0)
  })
  it.each([
    ['', 'found: “” is not an amount: type it like 40 or 2.5 pieces, 0 or more.'],
    ['-4', 'found: “-4” is not an amount: type it like 40 or 2.5 pieces, 0 or more.'],
    ['4 kg', 'found: kg cannot be turned into pieces: use pieces, pairs, dozen.'],
    ['1e400', 'found: “e400” is not a unit known here: use pieces, pairs, dozen.'],
  ])('a count of %j is refused', (found, message) => {
    expect(messages(countInput(tee).safeParse({ found, formKey }))).toEqual([message])
  })
  it('goods without a cost come in at the item’s price', () => {
    expect(receiveInput(ink, 'Europe/Lisbon').parse({ quantity: '250 ml', formKey }).value).toBe(22_500_000)
    expect(receiveInput(ink, 'Europe/Lisbon').parse({ quantity: '250 ml', cost: '20', formKey }).value).toBe(
      20_000_000,
    )
  })
  it('what was asked and not answered is said field by field', () => {
    expect(
      messages(receiveInput(tee, 'Europe/Lisbon').safeParse({ quantity: '0', cost: '-1', formKey: 'x' })),
    ).toEqual([
      'quantity: Type how much: more than 0.',
      'cost: An amount here is not below 0.',
      'formKey: This form has lost its number: load the page again.',
    ])
  })
  it('goods out need a reason, goods back from an order its number', () => {
    const move = (over: object) =>
      messages(moveInput(tee).safeParse({ kind: 'spoiled', quantity: '1', formKey, ...over }))
    expect(move({})).toEqual(['why: Say why in a few words: the book keeps it.'])
    expect(move({ why: '<b>mould</b>' })).toBeUndefined()
    expect(move({ kind: 'order' })).toEqual(['order: Type the number of the order, like 1042.'])
    expect(move({ kind: 'order', order: '1042' })).toBeUndefined()
    expect(move({ kind: 'eaten', why: 'x' })).toEqual(['kind: Choose what happened to them.'])
  })
})

describe('an item', () => {
  const fields = { name: 'Tee', price: '3', leadDays: '3', reorderPoint: '6', reorderTo: '24', version: '1' }
  it('is read', () => {
    expect(itemInput(tee).parse(fields)).toMatchObject({
      price: 3e6,
      reorderPoint: 6,
      reorderTo: 24,
      retired: false,
    })
  })
  it('orders up to at least its reorder point', () => {
    expect(messages(itemInput(tee).safeParse({ ...fields, reorderTo: '5' }))?.[0]).toContain(
      'reorderTo: Order up to',
    )
    expect(messages(itemInput(tee).safeParse({ ...fields, price: '', leadDays: '1.5' }))).toEqual([
      'price: Type what it costs; 0 where it costs nothing.',
      'leadDays: The lead time is a whole number from 0 to 365.',
    ])
  })
  it('off a roll has the width of the roll, and is then bought by the metre', () => {
    const film = { unit: 'cm2', pack: 60_000, currency: 'EUR' } as const
    expect(itemInput(tee).parse(fields).widthMm).toBeNull()
    expect(itemInput(film).parse({ ...fields, widthMm: ' 600 ' }).widthMm).toBe(600)
    expect(
      itemInput({ ...film, widthMm: 600 }).parse({ ...fields, reorderPoint: '20 m', reorderTo: '100 m' }),
    ).toMatchObject({ reorderPoint: 120_000, reorderTo: 600_000 })
    for (const widthMm of ['0', '6000', 'wide'])
      expect(messages(itemInput(film).safeParse({ ...fields, widthMm }))?.[0]).toContain(
        'widthMm: The width of a roll is a whole number of mm from 1 to 5000',
      )
    const roll = { sku: 'FILM', name: 'Film', kind: 'film', unit: 'cm2', price: '102', leadDays: '3' }
    expect(newItemInput('EUR').parse({ ...roll, pack: '100 m', widthMm: '600' })).toMatchObject({
      pricePer: 600_000,
      widthMm: 600,
    })
  })
  it('a new one has a pack in its own unit', () => {
    const item = {
      sku: 'FILM-1',
      name: 'Film',
      kind: 'film',
      unit: 'cm2',
      pack: '6 m²',
      price: '45',
      leadDays: '3',
    }
    expect(newItemInput('EUR').parse(item)).toMatchObject({ pricePer: 60_000, price: 45e6 })
    expect(newItemInput('EUR').parse({ ...item, pack: '' }).pricePer).toBe(1)
    expect(messages(newItemInput('EUR').safeParse({ ...item, pack: '6 l' }))?.[0]).toContain(
      'pack: l cannot be turned into',
    )
    expect(messages(newItemInput('EUR').safeParse({ ...item, sku: 'a b' }))).toEqual([
      'sku: A SKU has letters, digits, dots and dashes only.',
    ])
  })
})

describe('a purchase', () => {
  const items = [
    { id: 'a', ...tee },
    { id: 'b', ...ink },
  ]
  it('has the lines that have a quantity, at their own price where none is typed', () => {
    expect(
      purchaseLines(
        { 'quantity.a': '24', 'cost.a': '', 'quantity.b': '2 l', 'cost.b': '170', 'quantity.x': '9' },
        items,
      ),
    ).toEqual({
      rows: [
        { itemId: 'a', quantity: 24, value: 72e6 },
        { itemId: 'b', quantity: 2e6, value: 170e6 },
      ],
      errors: {},
    })
    expect(purchaseLines({ 'quantity.a': '0', 'quantity.b': ' ' }, items)).toEqual({ rows: [], errors: {} })
  })
  it('says which line is wrong', () => {
    expect(
      purchaseLines({ 'quantity.a': 'two', 'quantity.b': '1 l', 'cost.b': 'much' }, items).errors,
    ).toEqual({
      'quantity.a': '“two” is not an amount: type it like 40 or 2.5 pieces, 0 or more.',
      'cost.b': '“much” is not an amount: type it like 12.50.',
    })
  })
  it('is due on the morning of a day in the shop’s zone', () => {
    const head = { supplier: 'Mill', formKey }
    expect(purchaseInput('America/New_York').parse({ ...head, dueAt: '2026-05-14' }).dueAt).toBe(
      Date.UTC(2026, 4, 14, 13),
    )
    expect(purchaseInput('UTC').parse({ ...head, dueAt: '' }).dueAt).toBeNull()
    expect(messages(purchaseInput('UTC').safeParse({ ...head, dueAt: '2026-02-30' }))).toEqual([
      'dueAt: Choose a day, or leave it empty.',
    ])
  })
  it('what came is read line by line; a cost only where the supplier charged something else', () => {
    const lines = [
      { id: 'l1', unit: 'piece' as const, pack: 1 },
      { id: 'l2', unit: 'ul' as const, pack: 1e6 },
    ]
    expect(
      cameLines({ 'came.l1': '10', 'came.l2': '1 pack', 'cost.l2': '95' }, lines, 'EUR', 'Europe/Lisbon'),
    ).toEqual({
      rows: [
        { lineId: 'l1', quantity: 10 },
        { lineId: 'l2', quantity: 1e6, value: 95e6 },
      ],
      errors: {},
    })
    expect(cameLines({ 'came.l1': '-1' }, lines, 'EUR', 'Europe/Lisbon').errors).toHaveProperty(['came.l1'])
    expect(messages(endPurchaseInput.safeParse({ why: ' ', version: '1' }))).toEqual([
      'why: The reason is empty: say why nothing more comes.',
    ])
  })
})

it('an address with nonsense in it shows the whole list', () => {
  expect(listFilter.parse({ kind: 'x', style: "'", page: '-1', words: 'a'.repeat(500) })).toEqual({})
  expect(listFilter.parse({ kind: 'ink', page: '2' })).toEqual({ kind: 'ink', page: 2 })
})
