import { describe, expect, test } from 'vitest'
import { addressEnds, decideOffer, isReadable, type OfferPage, READABLE_DAYS } from '@/lib/orders/offer'
import { offerChanges } from '@/lib/orders/offer-versions'
import { instant } from '@/lib/units/time'
import { aLine, anOffer, anOrder, aPrice, at, NOW, SHOP, someTerms } from './builders'

function snapshot(more: Parameters<typeof someTerms>[0] = {}, order = anOrder(), version = 1) {
  const made = decideOffer(order, someTerms({ price: aPrice(order), ...more }), SHOP, version, NOW)
  if (!made.ok) throw new Error(made.message)
  return made.value.snapshot
}
const page = (...of: Parameters<typeof snapshot>): OfferPage => snapshot(...of).page

describe('what changed from one version to the next', () => {
  test('nothing, where the customer reads the same', () => {
    expect(offerChanges(page(), page({}, anOrder(), 2))).toEqual([])
  })
  test('another price changes the price of one, the tax, the total and the deposit, and nothing else', () => {
    const changes = offerChanges(page(), page({ price: aPrice(anOrder(), 18_000, 1300) }))
    expect(changes.map(c => c.what)).toEqual([
      'Price for one of blank 1',
      'Before tax',
      'VAT',
      'Total',
      'Deposit',
    ])
    expect(changes[0]).toMatchObject({ before: '€12.50', after: '€13.00' })
  })
  test('a blank that comes on has no words before, one that goes has none after', () => {
    const two = anOrder({ lines: [aLine(), aLine({ colour: 'White', prints: aLine().prints })] })
    const came = offerChanges(page(), page({}, two)).find(c => c.what === 'Blank 2')
    expect(came).toMatchObject({ before: '', after: 'Heavy tee, White, 100 % cotton' })
    expect(offerChanges(page({}, two), page()).find(c => c.what === 'Blank 2')).toMatchObject({ after: '' })
  })
})

describe('the address of an offer ends', () => {
  const days = (from: number, n: number) => instant(from + n * 86_400_000)
  test('not while it waits; some time after it ran out', () => {
    const offer = anOffer(snapshot())
    expect(addressEnds(offer, NOW)).toBeNull()
    const end = days(offer.validUntil, READABLE_DAYS.ended)
    expect(isReadable(offer, end)).toBe(true)
    expect(isReadable(offer, instant(end + 1))).toBe(false)
  })
  test('from the day of a refusal or a replacement, not from the day it would have held', () => {
    const ended = anOffer(snapshot(), { endedAt: at('2026-05-15') })
    expect(addressEnds(ended, at('2026-05-16'))).toBe(days(at('2026-05-15'), READABLE_DAYS.ended))
    const declined = anOffer(snapshot(), { declinedAt: at('2026-05-15') })
    expect(addressEnds(declined, at('2026-05-16'))).toBe(days(at('2026-05-15'), READABLE_DAYS.ended))
  })
  test('what was agreed can be read long after', () => {
    const agreed = anOffer(snapshot(), { agreedAt: at('2026-05-15'), agreedName: 'Marta Lopes' })
    expect(isReadable(agreed, days(at('2026-05-15'), READABLE_DAYS.agreed))).toBe(true)
    expect(isReadable(agreed, days(at('2026-05-15'), READABLE_DAYS.agreed + 1))).toBe(false)
  })
})
