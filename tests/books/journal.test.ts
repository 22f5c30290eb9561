import { parse } from 'csv-parse/sync'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  type Account,
  balance,
  chartSchema,
  type JournalFacts,
  journalOf,
  type MoneyEvent,
  usualChart,
} from '@/lib/books/journal/journal'
import { journalCsv } from '@/lib/books/journal/journal-csv'
import { assembleMonth } from '@/lib/books/month'
import { micro, minor } from '@/lib/units/money'
import { instant, shopMonth } from '@/lib/units/time'
import { at, ZONE } from '../orders/builders'
import { anOrder, NO_LEDGERS, NOTHING_CARRIED } from './an-order'

const month = shopMonth('2026-05')
const gull = { orderNumber: 1042, customer: 'Gull Row Choir' }
const invoice = (when: string, net: number, tax: number, name = '301'): MoneyEvent => ({
  ...gull,
  kind: 'invoice',
  at: at(when),
  name,
  lowers: false,
  net: minor(net),
  tax: minor(tax),
  gross: minor(net + tax),
})
const paid = (when: string, amount: number): MoneyEvent => ({
  ...gull,
  kind: 'payment',
  at: at(when),
  means: 'card',
  words: 'Received, deposit, card',
  amount: minor(amount),
})
const facts = (more: Partial<JournalFacts> = {}): JournalFacts => ({
  report: assembleMonth({
    month,
    currency: 'EUR',
    orders: [],
    late: [],
    ledgers: NO_LEDGERS,
    carried: NOTHING_CARRIED,
    methodWords: m => m ?? '',
  }),
  timeZone: ZONE,
  events: [],
  before: new Map(),
  stock: {
    opening: micro(0),
    closing: micro(0),
    purchases: micro(0),
    brought: micro(0),
    orders: micro(0),
    counted: micro(0),
    shopUse: micro(0),
  },
  work: { labour: minor(0), machine: minor(0) },
  outside: minor(0),
  ...more,
})
const lines = (f: JournalFacts) =>
  journalOf(f).entries.map(e => Object.fromEntries(e.lines.map(l => [l.account, l.amount])))

describe('the journal', () => {
  test('keeps a deposit as the customer’s until it is invoiced, and never both open and ahead on one order', () => {
    expect(
      lines(
        facts({
          events: [
            paid('2026-05-04', 18_450),
            invoice('2026-05-05', 30_000, 6_900),
            paid('2026-05-20', 20_000),
            paid('2026-05-21', -1_550),
          ],
        }),
      ),
    ).toEqual([
      { card: 18_450, ahead: -18_450 },
      { receivable: 18_450, ahead: 18_450, tax: -6_900, earned: -30_000 },
      { card: 20_000, receivable: -18_450, ahead: -1_550 },
      { card: -1_550, ahead: 1_550 },
    ])
  })

  test('goes on from what stood on the order when the month began', () => {
    const before = new Map([[1042, { invoiced: minor(36_900), paid: minor(18_450) }]])
    expect(lines(facts({ before, events: [paid('2026-05-04', 18_450)] }))).toEqual([
      { card: 18_450, receivable: -18_450 },
    ])
  })

  test('a credit note that lowers a price stands on its own account; one that takes an invoice back undoes it', () => {
    const before = new Map([[1042, { invoiced: minor(36_900), paid: minor(0) }]])
    const credit = (lowers: boolean): MoneyEvent => ({
      ...gull,
      kind: 'credit',
      at: at('2026-05-06'),
      name: 'C1',
      lowers,
      net: minor(3_000),
      tax: minor(690),
      gross: minor(3_690),
    })
    // It counts in the month of its order, which is not over: against the account of other months.
    expect(lines(facts({ before, events: [credit(true)] }))).toEqual([
      { receivable: -3_690, tax: 690, credits: 3_000 },
      { credits: -3_000, later: 3_000 },
    ])
    expect(lines(facts({ before, events: [credit(false)] }))).toEqual([
      { receivable: -3_690, tax: 690, earned: 3_000 },
    ])
  })

  test('an order stands with its price and each of its costs on the day of its hand-over', () => {
    const own = anOrder({
      number: 1042,
      handedOverAt: at('2026-05-20'),
      revenue: minor(30_000),
      blanks: micro(90e6),
      labour: minor(4_000),
    })
    const report = assembleMonth({
      month,
      currency: 'EUR',
      orders: [own],
      late: [],
      ledgers: {
        ...NO_LEDGERS,
        stock: micro(own.blanks + own.consumables + own.spoilage),
        work: minor(own.labour + own.machine),
        outside: minor(own.outside + own.freight),
      },
      carried: NOTHING_CARRIED,
      methodWords: m => m ?? '',
    })
    const [revenue, cost] = journalOf(facts({ report })).entries
    expect(revenue).toMatchObject({
      day: '2026-05-20',
      order: 1042,
      lines: [
        { account: 'earned', amount: 30_000 },
        { account: 'revenue', amount: -30_000 },
      ],
    })
    expect(cost?.lines).toContainEqual({ account: 'blanks', amount: 9_000 })
    expect(cost?.lines).toContainEqual({ account: 'labour', amount: 4_000 })
  })

  test('a late entry says what it belongs to', () => {
    const report = assembleMonth({
      month,
      currency: 'EUR',
      orders: [],
      late: [
        {
          orderNumber: 1007,
          ownMonth: shopMonth('2026-04'),
          kind: 'freight',
          amount: micro(15e6),
          at: at('2026-05-08'),
          byName: 'Ines',
        },
      ],
      ledgers: NO_LEDGERS,
      carried: { opening: micro(0), booked: micro(15e6), out: micro(15e6), closing: micro(0), orders: [] },
      methodWords: m => m ?? '',
    })
    const written = journalOf(facts({ report, outside: minor(1_500) }))
    expect(written.entries.map(e => e.words)).toContain(
      'Late: freight. Belongs to order 1007, handed over in April 2026, which is closed: it counts here.',
    )
    expect(written.ties.filter(t => t.journal !== t.book)).toEqual([])
  })

  test('whatever happens in a month, each entry balances and every account ties to its book', () => {
    const amount = fc.integer({ min: 0, max: 2_000_000 })
    const part = fc.integer({ min: -3e9, max: 3e9 })
    const event = fc.record({
      order: fc.integer({ min: 1, max: 40 }),
      what: fc.constantFrom('invoice', 'credit', 'lowers', 'payment' as const),
      net: fc.integer({ min: 1, max: 90_000 }),
      tax: fc.integer({ min: 0, max: 20_000 }),
      back: fc.boolean(),
    })
    const orders = fc.array(
      fc.record({
        revenue: amount,
        blanks: part,
        consumables: part,
        spoilage: part,
        labour: amount,
        machine: amount,
        outside: amount,
        freight: amount,
        before: fc.boolean(),
      }),
      { maxLength: 40 },
    )
    fc.assert(
      fc.property(
        orders,
        fc.array(event, { maxLength: 400 }),
        fc.record({ purchases: part, brought: part, counted: part, shopUse: part, opening: part, wip: part }),
        fc.record({ labour: amount, machine: amount, outside: amount, stock: part }),
        (list, happened, shelf, elsewhere) => {
          // Costs of other orders, in hand at the end; those of the month's orders are partly from earlier months.
          const own = list.map((o, i) =>
            anOrder({
              number: i + 1,
              revenue: minor(o.revenue),
              handedOverAt: at('2026-05-10'),
              blanks: micro(o.blanks),
              consumables: micro(o.consumables),
              spoilage: micro(o.spoilage),
              labour: minor(o.labour),
              machine: minor(o.machine),
              outside: minor(o.outside),
              freight: minor(o.freight),
            }),
          )
          const material = (o: (typeof own)[number]) => o.blanks + o.consumables + o.spoilage
          const sum = (of: (o: (typeof own)[number], i: number) => number, only: boolean | null = null) =>
            own.reduce((a, o, i) => a + (only === null || list[i]?.before === only ? of(o, i) : 0), 0)
          const whole = (o: (typeof own)[number]) => (o.labour + o.machine + o.outside + o.freight) * 10_000
          const opening = shelf.wip + sum(o => material(o) + whole(o), true)
          const stockHere = sum(material, false) + elsewhere.stock
          const workHere = {
            labour: minor(sum(o => o.labour, false) + elsewhere.labour),
            machine: minor(sum(o => o.machine, false) + elsewhere.machine),
          }
          const outsideHere = minor(sum(o => o.outside + o.freight, false) + elsewhere.outside)
          const booked = stockHere + (workHere.labour + workHere.machine + outsideHere) * 10_000
          const out = sum(o => material(o) + whole(o))
          const carried = {
            opening: micro(opening),
            booked: micro(booked),
            out: micro(out),
            closing: micro(opening + booked - out),
            orders: [],
          }
          const events = happened.map((e, i): MoneyEvent => {
            const head = {
              orderNumber: e.order,
              customer: '=1+1',
              at: instant(at('2026-05-02') + i * 60_000),
            }
            return e.what === 'payment'
              ? {
                  ...head,
                  kind: 'payment',
                  means: 'cash',
                  words: 'Received',
                  amount: minor(e.back ? -e.net : e.net),
                }
              : {
                  ...head,
                  kind: e.what === 'invoice' ? 'invoice' : 'credit',
                  name: String(i),
                  lowers: e.what === 'lowers',
                  net: minor(e.net),
                  tax: minor(e.tax),
                  gross: minor(e.net + e.tax),
                }
          })
          const report = assembleMonth({
            month,
            currency: 'EUR',
            orders: own,
            late: [],
            ledgers: {
              ...NO_LEDGERS,
              stock: micro(sum(material)),
              work: minor(sum(o => o.labour + o.machine)),
              outside: minor(sum(o => o.outside + o.freight)),
            },
            carried,
            methodWords: m => m ?? '',
          })
          const change = shelf.purchases + shelf.brought + shelf.counted + shelf.shopUse - stockHere
          const written = journalOf(
            facts({
              report,
              events,
              stock: {
                opening: micro(shelf.opening),
                closing: micro(shelf.opening + change),
                purchases: micro(shelf.purchases),
                brought: micro(shelf.brought),
                counted: micro(shelf.counted),
                shopUse: micro(shelf.shopUse),
                orders: micro(-stockHere),
              },
              work: workHere,
              outside: outsideHere,
            }),
          )
          for (const e of written.entries) expect(e.lines.reduce((a, l) => a + l.amount, 0)).toBe(0)
          expect(written.ties.filter(t => t.journal !== t.book)).toEqual([])
          const all = [...written.sums.values()].reduce((a, s) => a + s.debit - s.credit, 0)
          expect(all).toBe(0)
          // Nothing but parts of a cent goes to rounding: half a cent for each order and each sum.
          expect(Math.abs(balance(written.sums, 'rounding'))).toBeLessThanOrEqual(own.length / 2 + 8)
        },
      ),
      { numRuns: 60 },
    )
  })
})

describe('the journal as a file', () => {
  const written = journalOf(
    facts({
      events: [
        {
          ...paid('2026-05-04', 18_450),
          customer: '=HYPERLINK("x")',
          words: '@SUM(1;2)\r\nnext',
        } as MoneyEvent,
      ],
    }),
  )
  const rows = parse(journalCsv(written, usualChart, 'EUR'), { bom: true, columns: true }) as Record<
    string,
    string
  >[]
  test('has a line for each side, with the shop’s own accounts', () => {
    expect(rows).toHaveLength(2)
    expect(rows[0]).toMatchObject({
      entry: '1',
      day: '2026-05-04',
      account: '1010',
      'debit EUR': '184.50',
      'credit EUR': '',
      order: '1042',
    })
    expect(rows[1]).toMatchObject({ account: '2100', 'debit EUR': '', 'credit EUR': '184.50' })
  })
  test('holds nothing that a spreadsheet takes for a formula', () => {
    expect(rows[0]?.customer).toBe(`'=HYPERLINK("x")`)
    expect(rows[0]?.text).toMatch(/^'@SUM/)
  })
})

test('accounts are a number and a name, several may share a number', () => {
  const shared = { ...usualChart, card: { number: '1000', name: 'Till' } }
  expect(chartSchema.parse(shared).card).toEqual({ number: '1000', name: 'Till' })
  expect(chartSchema.safeParse({ ...usualChart, tax: { number: '=1', name: 'Tax' } }).success).toBe(false)
  expect(new Set(Object.keys(usualChart) as Account[]).size).toBe(26)
})
