import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  complete,
  inMinor,
  priceFor,
  receive,
  refusePurchaseMove,
  refuseTrouble,
  toCome,
} from '@/lib/stock/purchase'
import { micro } from '@/lib/units/money'

const line = {
  name: 'Heavy tee black M',
  unit: 'piece' as const,
  quantity: 24,
  received: 18,
  givenUp: 0,
  value: micro(72_000_000),
}

describe('pieces that will not come', () => {
  const credited = { ...line, givenUp: 2 }
  it('are no longer expected', () => {
    expect(toCome(credited)).toBe(4)
    expect(complete([{ ...credited, received: 22 }])).toBe(true)
    expect(receive(credited, 5).ok).toBe(false)
  })
  it('can be wrong only as far as they are expected', () => {
    expect(refuseTrouble(credited, 4)).toBeNull()
    expect(refuseTrouble(credited, 5)?.message).toBe(
      '5 of Heavy tee black M cannot be wrong: only 4 is still to come besides what is good.',
    )
  })
})

describe('receiving', () => {
  it('takes a part, with its share of the value', () => {
    expect(receive(line, 4)).toEqual({ ok: true, value: { received: 22, value: 12_000_000 } })
  })
  it('takes exactly what is still to come, and nothing more', () => {
    expect(receive(line, 6)).toMatchObject({ ok: true })
    expect(receive(line, 7)).toMatchObject({
      ok: false,
      message:
        '7 of Heavy tee black M is more than the 6 still to come: tick “keep what is more” to take all of it in, or type 6 and send the rest back.',
    })
    // Kept: the seventh at the line's own price.
    expect(receive(line, 7, true)).toEqual({ ok: true, value: { received: 25, value: 21_000_000 } })
  })
  it.each([-1, 1.5, Number.NaN])('refuses %s', came => {
    expect(receive(line, came)).toMatchObject({
      ok: false,
      message: 'What came of Heavy tee black M is 0 or more.',
    })
  })
  it('parts add up to the whole line, whatever the parts', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 900 }), { minLength: 1, maxLength: 30 }),
        fc.nat(1e12),
        (parts, v) => {
          const quantity = parts.reduce((a, b) => a + b, 0)
          let open = { ...line, quantity, received: 0, givenUp: 0, value: micro(v) }
          let sum = 0
          for (const part of parts) {
            const done = receive(open, part)
            if (!done.ok) throw new Error(done.message)
            sum += done.value.value
            open = { ...open, received: done.value.received }
          }
          expect(sum).toBe(v)
          expect(complete([open])).toBe(true)
        },
      ),
      { numRuns: 100 },
    )
  })
})

it('a purchase that was received stays received', () => {
  expect(refusePurchaseMove(7, 'sent', 'received')).toBeNull()
  expect(refusePurchaseMove(7, 'received', 'cancelled')).toMatchObject({
    message: 'Purchase 7 is received and cannot become “cancelled”: write a new one instead.',
  })
})

it('a price for a litre prices microlitres, rounded once', () => {
  expect(priceFor(12_500, micro(80_000_000), 1_000_000)).toBe(1_000_000)
  expect(priceFor(1, micro(80_000_000), 1_000_000)).toBe(80)
  expect(priceFor(333, micro(100), 1_000)).toBe(33)
})

it('a row of charges adds up as it is read, however its halves fall', () => {
  // Half of 78.59 is 39.295; charged are 44.0104: to the cent 39.30 and 44.01, which differ by 4.71, not by the 4.72 of the exact 4.7154.
  const row = {
    sku: 'TEE',
    ordered: micro(39_295_000),
    charged: micro(44_010_400),
    difference: micro(4_715_400),
  }
  expect(inMinor(row, 'EUR')).toEqual({ sku: 'TEE', ordered: 3_930, charged: 4_401, difference: 471 })
})
