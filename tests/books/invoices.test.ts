import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  decideCredit,
  decideInvoice,
  dueOn,
  type Invoiced,
  leftOf,
  notInvoiced,
  standingInvoiced,
} from '@/lib/books/invoices/invoice'
import { ageOf, daysLate, owedByCustomer, owedOf, taxByRate } from '@/lib/books/invoices/owed'
import type { OrderState } from '@/lib/orders/states'
import { formatMoney, type Minor, minor, prorate } from '@/lib/units/money'
import { at, NOW, ZONE } from '../orders/builders'

const show = (a: Minor) => formatMoney(a, 'EUR')
const order = (more: { state?: OrderState; gross?: number; tax?: number } = {}) => {
  const gross = more.gross ?? 36_900
  const tax = more.tax ?? 6_900
  return {
    number: 1042,
    state: more.state ?? ('agreed' as OrderState),
    net: minor(gross - tax),
    tax: minor(tax),
    gross: minor(gross),
    deposit: minor(18_450),
  }
}
const issue = (
  id: string,
  amounts: { net: Minor; tax: Minor; gross: Minor },
  more: Partial<Invoiced> = {},
): Invoiced => ({
  id,
  kind: 'invoice',
  name: id,
  number: 1,
  credits: null,
  lowers: false,
  issuedAt: NOW,
  dueAt: at('2026-05-28', '23:59'),
  rateBp: 2300,
  ...amounts,
  ...more,
})
const all = { net: minor(30_000), tax: minor(6_900), gross: minor(36_900) }

describe('an invoice', () => {
  test('is over all that is left, or a part ahead with its share of the tax', () => {
    expect(decideInvoice(order(), [], null, show)).toEqual({ ok: true, value: { ...all, all: true } })
    expect(decideInvoice(order(), [], minor(18_450), show)).toEqual({
      ok: true,
      value: { net: 15_000, tax: 3_450, gross: 18_450, all: false },
    })
    const deposit = issue('1', { net: minor(15_000), tax: minor(3_450), gross: minor(18_450) })
    expect(decideInvoice(order(), [deposit], null, show)).toMatchObject({
      ok: true,
      value: { net: 15_000, tax: 3_450, gross: 18_450 },
    })
  })
  test('never goes over what is left, in one clear sentence', () => {
    expect(decideInvoice(order(), [], minor(36_901), show)).toMatchObject({
      ok: false,
      field: 'amount',
      message: '€369.01 is more than the €369.00 not invoiced yet: type that much or less.',
    })
    expect(decideInvoice(order(), [issue('1', all)], null, show)).toMatchObject({ code: 'done' })
    expect(decideInvoice(order({ state: 'withdrawn' }), [], null, show)).toMatchObject({ code: 'ended' })
    expect(decideInvoice({ ...order(), gross: null }, [], null, show)).toMatchObject({ code: 'no-price' })
    expect(decideInvoice(order(), [], minor(0), show)).toMatchObject({ code: 'amount' })
  })
  test('is due so many days on, whatever the clock does between', () => {
    // 14 days from 20 March 2026 pass the last Sunday of March, when the clock goes forward.
    expect(dueOn(at('2026-03-20'), 14, ZONE)).toBe(at('2026-04-03', '23:59'))
  })
})

describe('a credit note', () => {
  const invoice = issue('1', all)
  const why = 'two shirts were torn'
  test('takes its share of the tax back, and the last one all that is left', () => {
    const first = decideCredit(
      order(),
      invoice,
      [invoice],
      { amount: minor(10_000), lowers: true, why },
      show,
    )
    expect(first).toEqual({ ok: true, value: { net: 8_130, tax: 1_870, gross: 10_000, lowers: true } })
    if (!first.ok) return
    const c1 = issue('c1', first.value, { kind: 'credit', credits: '1', lowers: true })
    const rest = decideCredit(order(), invoice, [invoice, c1], { amount: null, lowers: true, why }, show)
    expect(rest).toMatchObject({ ok: true, value: { net: 21_870, tax: 5_030, gross: 26_900 } })
  })
  test('that lowers the price leaves nothing to invoice; one that takes a wrong invoice back does', () => {
    const lowers = issue('c1', all, { kind: 'credit', credits: '1', lowers: true })
    expect(notInvoiced(order(), [invoice, lowers]).gross).toBe(0)
    const wrong = issue('c1', all, { kind: 'credit', credits: '1' })
    expect(notInvoiced(order(), [invoice, wrong])).toEqual(all)
  })
  test('of an order that has ended takes the invoice back and lowers nothing', () => {
    const done = decideCredit(
      order({ state: 'withdrawn' }),
      invoice,
      [invoice],
      { amount: null, lowers: true, why },
      show,
    )
    expect(done).toMatchObject({ ok: true, value: { lowers: false, gross: 36_900 } })
  })
  test('says why, is about an invoice, and credits no more than is left', () => {
    const ask = { amount: null, lowers: true, why }
    expect(decideCredit(order(), invoice, [invoice], { ...ask, why: ' ' }, show)).toMatchObject({
      code: 'why',
    })
    expect(decideCredit(order(), invoice, [invoice], { ...ask, amount: minor(36_901) }, show)).toMatchObject({
      code: 'amount',
    })
    const credit = issue('c', all, { kind: 'credit', credits: '1', lowers: true })
    expect(decideCredit(order(), credit, [invoice, credit], ask, show)).toMatchObject({ code: 'kind' })
    expect(decideCredit(order(), invoice, [invoice, credit], ask, show)).toMatchObject({ code: 'done' })
  })
})

test('whatever is invoiced and credited in whatever order, price and tax add up to the cent', () => {
  const step = fc.record({
    credit: fc.boolean(),
    lowers: fc.boolean(),
    on: fc.nat(20),
    amount: fc.option(fc.integer({ min: 1, max: 60_000 })),
  })
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 50_000 }),
      fc.integer({ min: 0, max: 3_000 }),
      fc.array(step, { maxLength: 25 }),
      (net, rateBp, steps) => {
        const tax = prorate(minor(net), rateBp, 10_000)
        const own = order({ gross: net + tax, tax })
        const issued: Invoiced[] = []
        for (const [i, s] of steps.entries()) {
          const amount = s.amount === null ? null : minor(s.amount)
          const invoices = issued.filter(v => v.kind === 'invoice')
          const about = invoices[s.on % Math.max(1, invoices.length)]
          if (s.credit && about) {
            const made = decideCredit(own, about, issued, { amount, lowers: s.lowers, why: 'because' }, show)
            if (made.ok)
              issued.push(issue(`c${i}`, made.value, { kind: 'credit', credits: about.id, lowers: s.lowers }))
          } else {
            const made = decideInvoice(own, issued, amount, show)
            if (made.ok) issued.push(issue(`i${i}`, made.value))
          }
        }
        for (const v of issued) {
          expect(v.net + v.tax).toBe(v.gross)
          expect(v.gross).toBeGreaterThan(0)
          expect(v.tax).toBeGreaterThanOrEqual(0)
          if (v.kind === 'invoice') expect(leftOf(v, issued).gross).toBeGreaterThanOrEqual(0)
        }
        const lowered = issued.filter(v => v.lowers).reduce((a, v) => a + v.gross, 0)
        const left = notInvoiced(own, issued)
        expect(standingInvoiced(issued)).toBeGreaterThanOrEqual(0)
        expect(standingInvoiced(issued) + left.gross).toBe(own.gross - lowered)
        const last = decideInvoice(own, issued, null, show)
        if (last.ok) issued.push(issue('last', last.value))
        const sum = (of: (v: Invoiced) => number) =>
          issued.reduce((a, v) => a + (v.kind === 'invoice' ? 1 : -1) * of(v) + (v.lowers ? of(v) : 0), 0)
        expect(sum(v => v.gross)).toBe(own.gross)
        expect(sum(v => v.tax)).toBe(own.tax)
        expect(sum(v => v.net)).toBe(own.net)
      },
    ),
    { numRuns: 150 },
  )
})

describe('who owes what by age', () => {
  test.each([
    ['2026-05-14', 0, 'not due'],
    ['2026-05-20', -6, 'not due'],
    ['2026-05-13', 1, '1 to 30'],
    ['2026-04-14', 30, '1 to 30'],
    ['2026-04-13', 31, '31 to 60'],
    ['2026-03-15', 60, '31 to 60'],
    ['2026-02-13', 90, '61 to 90'],
    ['2026-02-12', 91, 'over 90'],
  ] as const)('due on %s is %i days late on 14 May: %s', (due, days, age) => {
    expect(daysLate(at(due, '23:59'), NOW, ZONE)).toBe(days)
    expect(ageOf(days)).toBe(age)
  })
  const half = (id: string, due: string) =>
    issue(id, { net: minor(15_000), tax: minor(3_450), gross: minor(18_450) }, { dueAt: at(due, '23:59') })
  const owing = (more: object) => ({
    number: 1042,
    customerId: 'c',
    customer: 'Gull Row Choir',
    owed: minor(36_900),
    handedOver: true,
    paid: minor(0),
    issued: [],
    ...more,
  })
  test('what is paid goes to the oldest invoice first', () => {
    const issued = [half('1', '2026-03-01'), half('2', '2026-05-01')]
    const own = owedOf(owing({ paid: minor(20_000), issued }), NOW, ZONE)
    expect(own).toMatchObject({ open: 16_900, notInvoiced: 0, ahead: 0 })
    expect(own.invoices).toMatchObject([{ id: '2', open: 16_900, age: '1 to 30' }])
  })
  test('goods out without an invoice are told apart; money ahead of both is the customer’s', () => {
    expect(owedOf(owing({ paid: minor(10_000) }), NOW, ZONE)).toMatchObject({
      open: 0,
      notInvoiced: 26_900,
      ahead: 0,
    })
    expect(owedOf(owing({ handedOver: false, paid: minor(10_000) }), NOW, ZONE)).toMatchObject({
      notInvoiced: 0,
      ahead: 10_000,
    })
    expect(owedOf(owing({ paid: minor(40_000), issued: [issue('1', all)] }), NOW, ZONE)).toMatchObject({
      open: 0,
      ahead: 3_100,
    })
  })
  test('a credit note closes its invoice; customers who are even are left out; the largest debt is first', () => {
    const credit = issue('c', all, { kind: 'credit', credits: '1', lowers: true })
    const rows = owedByCustomer(
      [
        owing({ owed: minor(0), issued: [issue('1', all), credit] }),
        owing({ customerId: 'b', customer: 'Allotment', issued: [issue('2', all)] }),
        owing({ customerId: 'd', customer: 'Harbour', paid: minor(30_000) }),
      ],
      NOW,
      ZONE,
    )
    expect(rows.map(r => [r.customer, r.open, r.notInvoiced])).toEqual([
      ['Allotment', 36_900, 0],
      ['Harbour', 0, 6_900],
    ])
  })
})

test('tax of a period stands by rate, credit notes taken off', () => {
  const reduced = issue('3', { net: minor(10_000), tax: minor(600), gross: minor(10_600) }, { rateBp: 600 })
  const credit = issue(
    'c',
    { net: minor(3_000), tax: minor(690), gross: minor(3_690) },
    { kind: 'credit', credits: '1' },
  )
  expect(taxByRate([reduced, issue('1', all), credit])).toEqual([
    { rateBp: 2300, invoices: 1, credits: 1, net: 27_000, tax: 6_210, gross: 33_210 },
    { rateBp: 600, invoices: 1, credits: 0, net: 10_000, tax: 600, gross: 10_600 },
  ])
})
