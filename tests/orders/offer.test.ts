import { describe, expect, test } from 'vitest'
import { decideAgreement } from '@/lib/orders/agree'
import { decideOffer, offerName, openOffer, refuseOffering, standingOf } from '@/lib/orders/offer'
import type { ArtworkRights, OrderView } from '@/lib/orders/order'
import { ORDER_STATES } from '@/lib/orders/states'
import { minor } from '@/lib/units/money'
import { instant } from '@/lib/units/time'
import { aLine, anOffer, anOrder, aPrice, at, NOW, SHOP, someTerms, uuid } from './builders'

const snapshot = (order = anOrder(), terms = someTerms()) => {
  const made = decideOffer(order, terms, SHOP, 1, NOW)
  if (!made.ok) throw new Error(made.message)
  return made.value.snapshot
}
const withRights = (rights: Partial<ArtworkRights>): OrderView => {
  const line = aLine()
  const print = line.prints[0]
  if (!print?.artwork) throw new Error('no print')
  const artwork = { ...print.artwork, rights: { ...print.artwork.rights, ...rights } }
  return anOrder({ state: 'offered', lines: [{ ...line, prints: [{ ...print, artwork }] }] })
}
const nobody: Partial<ArtworkRights> = { basis: null, byName: '', at: null }

describe('making an offer', () => {
  test('keeps everything the customer reads: names, sizes, prints, price, tax, deposit, dates', () => {
    const { page } = snapshot()
    expect(page).toMatchObject({
      number: 1042,
      version: 1,
      customer: { name: 'Gull Row Choir', contact: 'Marta' },
      shop: { name: 'Tidewater Print', currency: 'EUR' },
      net: 30_000,
      tax: 6_900,
      gross: 36_900,
      deposit: 18_450,
      promise: { hard: true },
    })
    expect(page.lines[0]?.sizes.map(s => s.quantity)).toEqual([4, 8, 8, 4])
  })
  test('what is kept does not change when the order does', () => {
    const order = anOrder()
    const kept = JSON.stringify(snapshot(order).page)
    const made = snapshot(order)
    order.customer.name = 'Somebody Else'
    order.title = 'another title'
    expect(JSON.stringify(made.page)).toBe(kept)
  })
  test.each(ORDER_STATES.map(s => [s, s === 'enquiry' || s === 'offered'] as const))(
    'from %s: %s',
    (state, possible) => expect(decideOffer(anOrder({ state }), someTerms(), SHOP, 1, NOW).ok).toBe(possible),
  )
  test('refuses an order without pieces, without a print, or with a print without artwork', () => {
    const line = aLine()
    expect(refuseOffering(anOrder({ lines: [] }))?.code).toBe('noPieces')
    expect(refuseOffering(anOrder({ lines: [{ ...line, prints: [] }] }))?.code).toBe('noPrint')
    const bare = line.prints.map(p => ({ ...p, artwork: null }))
    expect(refuseOffering(anOrder({ lines: [{ ...line, prints: bare }] }))?.code).toBe('noArtwork')
  })
  test('art that nobody has cleared can be offered', () => {
    expect(decideOffer(withRights(nobody), someTerms(), SHOP, 1, NOW).ok).toBe(true)
  })
  test('below cost wants a reason, and keeps it', () => {
    const cheap = someTerms({ price: aPrice(anOrder(), 30_001) })
    expect(decideOffer(anOrder(), cheap, SHOP, 1, NOW)).toMatchObject({
      code: 'belowCost',
      field: 'belowCostWhy',
    })
    const why = decideOffer(anOrder(), { ...cheap, belowCostWhy: 'first order' }, SHOP, 1, NOW)
    expect(why.ok && why.value.snapshot.belowCostWhy).toBe('first order')
    expect(decideOffer(anOrder(), someTerms({ price: aPrice(anOrder(), 30_000) }), SHOP, 1, NOW).ok).toBe(
      true,
    )
  })
  test('rush and discount stand as lines of their own, and all lines add up to what is shown', () => {
    const { page } = snapshot(
      anOrder(),
      someTerms({ price: aPrice(anOrder(), 100, 1250, { rush: true, discountBp: 1000 }) }),
    )
    expect(page.extras).toEqual([
      { words: 'Rush', amount: 7_500 },
      { words: 'Discount', amount: -3_750 },
    ])
    expect(page.shown).toBe(33_750)
    expect(page.net + page.tax).toBe(page.gross)
  })
  test('a promise or an end in the past is refused', () => {
    expect(decideOffer(anOrder(), someTerms({ validUntil: NOW }), SHOP, 1, NOW)).toMatchObject({
      field: 'validUntil',
    })
    const past = { at: NOW, hard: false }
    expect(decideOffer(anOrder(), someTerms({ promise: past }), SHOP, 1, NOW)).toMatchObject({
      field: 'promiseDay',
    })
  })
  test('a price that is not of this order, or does not add up, never becomes an offer', () => {
    const other = aPrice(
      anOrder({ lines: [aLine({ sizes: [{ itemId: uuid(21), size: 'S', quantity: 1 }] })] }),
      0,
    )
    expect(() => decideOffer(anOrder(), someTerms({ price: other }), SHOP, 1, NOW)).toThrow(/pieces/)
    const price = aPrice(anOrder())
    expect(() =>
      decideOffer(anOrder(), someTerms({ price: { ...price, tax: minor(6_901) } }), SHOP, 1, NOW),
    ).toThrow(/add up/)
    expect(() =>
      decideOffer(anOrder(), someTerms({ price: { ...price, shown: minor(1) } }), SHOP, 1, NOW),
    ).toThrow(/add up/)
  })
})

describe('where an offer stands', () => {
  const end = at('2026-05-28', '23:59')
  const dates = { agreedAt: null, declinedAt: null, endedAt: null, validUntil: end }
  test.each([
    ['open at its last instant', dates, end, 'open'],
    ['expired an instant later', dates, instant(end + 1), 'expired'],
    ['agreed stays agreed after its end', { ...dates, agreedAt: NOW }, instant(end + 1), 'agreed'],
    ['declined', { ...dates, declinedAt: NOW }, NOW, 'declined'],
    ['replaced', { ...dates, endedAt: NOW }, NOW, 'ended'],
  ] as const)('%s', (_, offer, when, standing) => expect(standingOf(offer, when)).toBe(standing))

  test('the newest open one is the one that counts', () => {
    const one = anOffer(snapshot(), { id: 'one', endedAt: NOW })
    const two = anOffer(snapshot(), { id: 'two', version: 2 })
    expect(openOffer([two, one], NOW)?.id).toBe('two')
    expect(openOffer([one], NOW)).toBeNull()
    expect(offerName(1042, 2)).toBe('1042-2')
  })
})

describe('agreeing to an offer', () => {
  const yes = { name: 'Marta Lopes', declares: false }
  const cleared = withRights({})

  test('keeps what was agreed, with name and moment, and names the blanks to hold', () => {
    const offer = anOffer(snapshot())
    const agreed = decideAgreement(cleared, offer, yes, NOW)
    expect(agreed).toMatchObject({
      ok: true,
      value: {
        offer: { agreedAt: NOW, agreedName: 'Marta Lopes' },
        order: {
          state: 'agreed',
          agreedBy: 'Marta Lopes',
          method: 'transfer',
          net: 30_000,
          tax: 6_900,
          gross: 36_900,
        },
        declarations: [],
        what: 'Marta Lopes agreed to offer 1042-1',
      },
    })
    expect(agreed.ok && agreed.value.order.agreed).toBe(offer.snapshot)
    expect(agreed.ok && agreed.value.blanks).toEqual(
      [21, 22, 23, 24].map((n, i) => ({ itemId: uuid(n), quantity: [4, 8, 8, 4][i] })),
    )
  })

  test('the same blank on two lines is held once, in all', () => {
    const order = { ...cleared, lines: [aLine(), aLine({ id: uuid(12), position: 1 })] }
    const agreed = decideAgreement(
      order,
      anOffer(snapshot(order, someTerms({ price: aPrice(order) }))),
      yes,
      NOW,
    )
    expect(agreed.ok && agreed.value.blanks[1]).toEqual({ itemId: uuid(22), quantity: 16 })
  })

  test.each([
    ['expired', { validUntil: instant(NOW - 1) }],
    ['ended', { endedAt: NOW }],
    ['declined', { declinedAt: NOW }],
    ['agreed', { agreedAt: NOW, agreedName: 'Rui' }],
  ] as const)('is refused when it is %s, in one sentence', (code, dates) => {
    const no = decideAgreement(cleared, anOffer(snapshot(), dates), yes, NOW)
    expect(no).toMatchObject({ ok: false, code })
    expect(!no.ok && no.message).toMatch(/^Offer 1042-1 .*\.$/)
  })

  test.each(ORDER_STATES.filter(s => s !== 'offered'))('is refused while the order is %s', state =>
    expect(decideAgreement({ ...cleared, state }, anOffer(snapshot()), yes, NOW).ok).toBe(false),
  )

  test('waits until somebody records on what basis the artwork may be sold', () => {
    const no = decideAgreement(withRights(nobody), anOffer(snapshot()), yes, NOW)
    expect(no).toMatchObject({ ok: false, code: 'uncleared', field: 'declares' })
    expect(!no.ok && no.message).toContain('heron.png')
  })
  test('the customer may record it: the declaration carries name and offer', () => {
    const agreed = decideAgreement(withRights(nobody), anOffer(snapshot()), { ...yes, declares: true }, NOW)
    expect(agreed.ok && agreed.value.declarations).toEqual([
      { artworkId: uuid(40), evidence: 'Declared by Marta Lopes when agreeing to offer 1042-1' },
    ])
  })
  test('a declaration adds nothing where a basis is recorded', () => {
    const agreed = decideAgreement(cleared, anOffer(snapshot()), { ...yes, declares: true }, NOW)
    expect(agreed.ok && agreed.value.declarations).toEqual([])
  })
  test('a declaration does not bring back a basis that the shop has taken back', () => {
    const order = withRights({ ...nobody, takenBack: true })
    for (const declares of [true, false])
      expect(decideAgreement(order, anOffer(snapshot()), { ...yes, declares }, NOW)).toMatchObject({
        code: 'takenBack',
      })
  })
  test('one artwork out of many is enough to stop it', () => {
    const bare = withRights(nobody).lines[0]
    if (!bare) throw new Error('no line')
    const other = bare.prints.map(p => ({ ...p, artwork: p.artwork && { ...p.artwork, id: uuid(41) } }))
    const order = anOrder({ state: 'offered', lines: [aLine(), { ...bare, prints: other }] })
    expect(decideAgreement(order, anOffer(snapshot()), yes, NOW)).toMatchObject({ code: 'uncleared' })
  })
})
