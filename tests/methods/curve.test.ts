import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { costAmount } from '@/lib/costing/cost'
import { piecesOf } from '@/lib/costing/order'
import { ordersUpTo } from '@/lib/costing/scale'
import { cheapestStretches, cheapestWords, crossings, lastingCrossings } from '@/lib/methods/crossings'
import { type Curve, costCurves, costEach } from '@/lib/methods/curve'
import { orderBy, shopWays } from '@/lib/methods/way'
import type { Micro } from '@/lib/units/money'
import { anOrder, aPrint, aShop, blackTee, someArt, whiteTee } from '../costing/a-shop'

const shop = aShop()
const ways = shopWays(shop)
const light = anOrder({ blank: whiteTee })

describe('an order in other quantities', () => {
  it('is itself at its own quantity', () => expect(ordersUpTo(anOrder(), 24)[23]).toEqual(anOrder()))
  it('has that many pieces, and no size ever loses one', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 40 }), { minLength: 4, maxLength: 4 }),
        ([S = 0, M = 0, L = 0, XL = 0]) => {
          let before = [0, 0, 0, 0]
          ordersUpTo(anOrder({ sizes: { S, M, L, XL } }), 60).forEach((order, i) => {
            const now = order.lines.flatMap(l => l.sizes.map(s => s.quantity))
            expect(now.reduce((a, b) => a + b, 0)).toBe(i + 1)
            for (const [k, n] of now.entries()) expect(n).toBeGreaterThanOrEqual(before[k] ?? 0)
            before = now
          })
        },
      ),
      { numRuns: 25 },
    )
  })
  it('without pieces yet it has one of each size', () =>
    expect(ordersUpTo(anOrder({ sizes: { S: 0, M: 0 } }), 2)[1]?.lines.map(piecesOf)).toEqual([2]))
})

describe('cost against quantity', () => {
  const curves = costCurves(light, ways, shop)
  it('is the very costing of the comparison, at every quantity', () => {
    const orders = ordersUpTo(light, 500)
    for (const way of ways)
      for (const n of [1, 2, 11, 12, 24, 25, 99, 250, 500]) {
        const curve = curves.find(c => c.key === way.key)
        expect(curve?.amounts[n - 1], `${way.key} at ${n}`).toBe(
          costAmount(orderBy(way, orders[n - 1] as (typeof orders)[number]), shop),
        )
      }
  })
  it('so it is for an order of two lines, where few pieces leave a line out', () => {
    const two = { ...light, lines: [...light.lines, ...anOrder({ blank: blackTee, sizes: { M: 2 } }).lines] }
    const orders = ordersUpTo(two, 40)
    for (const curve of costCurves(two, ways, shop, 40))
      orders.forEach((order, i) => {
        const way = ways.find(w => w.key === curve.key)
        expect(curve.amounts[i]).toBe(way && costAmount(orderBy(way, order), shop))
      })
  })
  it('never falls in all', () => {
    for (const { amounts } of curves)
      amounts.reduce((before, now) => {
        expect(now).toBeGreaterThanOrEqual(before)
        return now
      })
  })
  it('has no cost beyond its end', () => {
    expect(costEach(curves[0] as Curve, 501)).toBeNull()
    expect(costEach(curves[0] as Curve, 0)).toBeNull()
  })
})

describe('crossings', () => {
  const line = (key: string, fixed: number, each: number, from = 1): Curve => ({
    key,
    name: key,
    from,
    amounts: Array.from({ length: 500 }, (_, i) => (fixed + each * (i + 1)) as Micro),
  })
  // Textbook break-even: two plans meet where fixed ÷ difference: 300 more up front, 10 less a piece: equal at 30, cheaper from 31.
  it('two straight lines: cheaper from the first quantity past the break-even', () => {
    const found = crossings([line('digital', 0, 15), line('screen', 300, 5)])
    expect(found).toEqual([
      {
        pieces: 31,
        from: 'digital',
        to: 'screen',
        lasts: true,
        message: 'screen is cheaper from 31 pieces.',
      },
    ])
  })
  it('lines that never meet have none; three ways have at most the envelope’s', () => {
    expect(crossings([line('a', 0, 5), line('b', 10, 5)])).toEqual([])
    expect(
      cheapestStretches([line('a', 0, 20), line('b', 100, 10), line('c', 1000, 2)]).map(s => [
        s.key,
        s.from,
        s.to,
      ]),
    ).toEqual([
      ['a', 1, 10],
      ['b', 11, 112],
      ['c', 113, 500],
    ])
  })
  it('only what lasts is named: a way that is overtaken again for a piece or two does not count', () => {
    const flat = line('flat', 0, 10)
    const sheets: Curve = {
      ...flat,
      key: 'sheets',
      name: 'sheets',
      // Cheaper at 20 and 21, dearer at 22 where a sheet is begun, cheaper for good from 23.
      amounts: flat.amounts.map((a, i) => (a + (i + 1 < 20 || i + 1 === 22 ? 5 : -5)) as Micro),
    }
    expect(crossings([flat, sheets]).map(c => c.pieces)).toEqual([20, 22, 23])
    expect(lastingCrossings([flat, sheets]).map(c => [c.pieces, c.to])).toEqual([[23, 'sheets']])
    expect(cheapestWords([flat, sheets])).toEqual([
      'sheets is the cheapest at most quantities: 480 of 500.',
      'From 20 to 22 pieces the cheapest turns back and forth, as sheets and blanks are begun.',
    ])
    expect(cheapestWords([flat, sheets], 22)[0]).toBe('For 22 pieces flat is the cheapest.')
    expect(cheapestWords([flat, sheets], 501)).toEqual(cheapestWords([flat, sheets]))
    expect(cheapestWords([flat])).toEqual(['flat is the cheapest at every quantity from 1 to 500 pieces.'])
    expect(cheapestWords([])).toEqual([])
  })
  it('a way below its least quantity is not offered as the cheapest', () => {
    expect(crossings([line('a', 0, 10), line('b', 0, 1, 12)])[0]?.pieces).toBe(12)
    expect(cheapestStretches([line('b', 0, 1, 12)])).toEqual([{ key: 'b', name: 'b', from: 12, to: 500 }])
  })
  it('of real curves: cheaper at the crossing, not just before it', () => {
    const curves = costCurves(
      anOrder({ prints: [aPrint({ art: { ...someArt, colours: 1 } })], blank: whiteTee }),
      ways,
      shop,
    ).filter(c => c.key !== 'sublimation')
    const found = crossings(curves)
    expect(found.length).toBeGreaterThan(0)
    for (const c of found) {
      const a = curves.find(x => x.key === c.from) as Curve
      const b = curves.find(x => x.key === c.to) as Curve
      expect(costEach(b, c.pieces)).toBeLessThan(costEach(a, c.pieces) as number)
      if (c.pieces - 1 >= b.from)
        expect(costEach(b, c.pieces - 1)).toBeGreaterThanOrEqual(costEach(a, c.pieces - 1) as number)
    }
    expect(found.at(-1)).toMatchObject({ to: 'screen', lasts: true })
  })
})
