import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { OrderView, Payment } from '@/lib/orders/order'
import { accountOf, decidePayment } from '@/lib/orders/payments'
import { ORDER_STATES } from '@/lib/orders/states'
import { formatMoney, minor } from '@/lib/units/money'
import { anOrder, NOW } from './builders'

const show = (a: ReturnType<typeof minor>) => formatMoney(a, 'EUR')
const paid = (...amounts: number[]): Payment[] =>
  amounts.map((amount, i) => ({
    id: String(i),
    kind: amount < 0 ? 'refund' : 'rest',
    amount: minor(amount),
    means: 'cash',
    note: '',
    at: NOW,
    byName: 'Ines',
  }))
const agreed = (more: Partial<OrderView> = {}) =>
  anOrder({ state: 'agreed', gross: minor(36_900), deposit: minor(18_450), ...more })

describe('the account of an order', () => {
  test.each([
    ['enquiry, nothing offered', anOrder(), { owed: null, paid: 0, due: 0, depositDue: 0 }],
    ['agreed, nothing paid', agreed(), { owed: 36_900, paid: 0, due: 36_900, depositDue: 18_450 }],
    [
      'agreed, deposit paid',
      agreed({ payments: paid(18_450) }),
      { owed: 36_900, paid: 18_450, due: 18_450, depositDue: 0 },
    ],
    [
      'agreed, part of the deposit',
      agreed({ payments: paid(10_000) }),
      { owed: 36_900, paid: 10_000, due: 26_900, depositDue: 8_450 },
    ],
    [
      'ready: the deposit is no matter any more',
      agreed({ state: 'ready' }),
      { owed: 36_900, paid: 0, due: 36_900, depositDue: 0 },
    ],
    [
      'handed over and paid',
      agreed({ state: 'handedOver', payments: paid(18_450, 18_450) }),
      { owed: 36_900, paid: 36_900, due: 0, depositDue: 0 },
    ],
    [
      'withdrawn after a deposit: the shop owes it back',
      agreed({ state: 'withdrawn', payments: paid(18_450) }),
      { owed: 0, paid: 18_450, due: -18_450, depositDue: 0 },
    ],
    [
      'withdrawn and given back',
      agreed({ state: 'withdrawn', payments: paid(18_450, -18_450) }),
      { owed: 0, paid: 0, due: 0, depositDue: 0 },
    ],
  ])('%s', (_, order, expected) => expect(accountOf(order)).toEqual(expected))
})

describe('a payment', () => {
  test('is taken up to what is due, not a cent more', () => {
    expect(decidePayment(agreed(), null, 'rest', minor(36_900), show)).toEqual({
      ok: true,
      value: { amount: 36_900 },
    })
    expect(decidePayment(agreed(), null, 'rest', minor(36_901), show)).toMatchObject({
      ok: false,
      field: 'amount',
      message: '€369.01 is more than the €369.00 still due: take that much or less.',
    })
  })
  test('can be taken ahead on an open offer, but not on a bare enquiry', () => {
    const offered = anOrder({ state: 'offered' })
    expect(decidePayment(offered, { gross: minor(36_900) }, 'deposit', minor(10_000), show).ok).toBe(true)
    expect(decidePayment(anOrder(), null, 'deposit', minor(10_000), show)).toMatchObject({
      code: 'nothingOffered',
    })
  })
  test('of nothing, or less, is refused', () => {
    for (const n of [0, -5])
      expect(decidePayment(agreed(), null, 'rest', minor(n), show)).toMatchObject({ code: 'amount' })
  })
  test('on a settled order is refused', () => {
    expect(decidePayment(agreed({ payments: paid(36_900) }), null, 'rest', minor(1), show)).toMatchObject({
      code: 'settled',
    })
  })
  test('back to the customer is negative in the book, and never more than was received', () => {
    const order = agreed({ state: 'withdrawn', payments: paid(18_450) })
    expect(decidePayment(order, null, 'refund', minor(18_450), show)).toEqual({
      ok: true,
      value: { amount: -18_450 },
    })
    expect(decidePayment(order, null, 'refund', minor(18_451), show)).toMatchObject({ code: 'overRefund' })
    expect(decidePayment(agreed(), null, 'refund', minor(1), show)).toMatchObject({ code: 'nothingPaid' })
  })
  test('an ended order takes nothing but refunds', () => {
    for (const state of ['declined', 'withdrawn'] as const)
      expect(decidePayment(agreed({ state }), null, 'rest', minor(1), show)).toMatchObject({ code: 'ended' })
  })
  test('whatever is tried in whatever order, what is paid stays between nothing and what is owed', () => {
    const attempt = fc.record({
      kind: fc.constantFrom('deposit' as const, 'rest' as const, 'refund' as const),
      amount: fc.integer({ min: -50_000, max: 50_000 }),
      state: fc.constantFrom(...ORDER_STATES),
    })
    fc.assert(
      fc.property(fc.array(attempt, { maxLength: 30 }), attempts => {
        const amounts: number[] = []
        for (const { kind, amount, state } of attempts) {
          const booked = decidePayment(
            agreed({ state, payments: paid(...amounts) }),
            null,
            kind,
            minor(amount),
            show,
          )
          if (booked.ok) amounts.push(booked.value.amount)
          const sum = accountOf(agreed({ state, payments: paid(...amounts) })).paid
          expect(sum).toBeGreaterThanOrEqual(0)
          expect(sum).toBeLessThanOrEqual(36_900)
        }
      }),
      { numRuns: 100 },
    )
  })
})
