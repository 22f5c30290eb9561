import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { consumption } from '@/lib/costing/consumption'
import { costAmount, costAmounts, costOrder } from '@/lib/costing/cost'
import { artKey, designKey, designsOf, type OrderWork } from '@/lib/costing/order'
import { ordersUpTo } from '@/lib/costing/scale'
import type { Cost } from '@/lib/costing/tree'
import { METHODS } from '@/lib/shop/methods'
import type { Micro, Minor } from '@/lib/units/money'
import { anOrder, aPrint, aShop, blackTee, firstLine, someArt, whitePoly, whiteTee } from './a-shop'

const shop = aShop()
const costOf = (order: OrderWork, costing = shop): Cost => {
  const read = costOrder(order, costing)
  if (!read.ok) throw new Error(read.message)
  return read.value.cost
}
const leavesOf = (cost: Cost) => cost.branches.flatMap(b => b.leaves)
const sum = (numbers: number[]) => numbers.reduce((a, b) => a + b, 0)
const branch = (cost: Cost, group: string) => cost.branches.find(b => b.group === group)

const adds = (cost: Cost) => {
  expect(sum(leavesOf(cost).map(l => l.amount))).toBe(cost.amount)
  expect(sum(leavesOf(cost).map(l => l.minor))).toBe(cost.total)
  expect(sum(cost.branches.map(b => b.minor))).toBe(cost.total)
  expect(sum(cost.branches.map(b => b.amount))).toBe(cost.amount)
  expect(sum(cost.byLine)).toBe(cost.total)
  expect(Math.abs(cost.total * 10_000 - cost.amount)).toBeLessThanOrEqual(5_000)
  expect(new Set(leavesOf(cost).map(l => l.key)).size).toBe(leavesOf(cost).length)
  for (const leaf of leavesOf(cost)) {
    if (leaf.key !== 'screens from the shelf') expect(leaf.amount).toBeGreaterThan(0)
    expect(leaf.working.formula).not.toBe('')
    expect(leaf.working.result).not.toBe('')
    expect(leaf.working.inputs.length).toBeGreaterThan(0)
  }
}

/** The order with the screens of every design on the shelf, where they are kept. */
const withShelf = (kept: boolean, order: OrderWork): OrderWork => ({
  ...order,
  keptScreens: kept
    ? order.lines.flatMap((l, line) => l.prints.map((p, print) => designKey(p, { line, print })))
    : [],
})

const anyOrder = fc
  .record({
    method: fc.constantFrom(...METHODS),
    kept: fc.boolean(),
    lines: fc.array(
      fc.record({
        blank: fc.constantFrom(blackTee, whiteTee, whitePoly),
        quantities: fc.array(fc.integer({ min: 0, max: 60 }), { minLength: 1, maxLength: 4 }),
        prints: fc.array(
          fc.record({
            width: fc.integer({ min: 40, max: 380 }),
            height: fc.integer({ min: 40, max: 420 }),
            art: fc.constantFrom('a', 'b', null),
            coverage: fc.double({ min: 0, max: 1, noNaN: true }),
            colours: fc.integer({ min: 0, max: 7 }),
            own: fc.option(fc.constantFrom(...METHODS), { nil: undefined }),
            smaller: fc.option(
              fc.record({
                sizes: fc.subarray(['S', 'M', 'L', '2XL'] as const),
                share: fc.constantFrom(0.5, 0.8),
              }),
              { nil: undefined },
            ),
          }),
          { minLength: 0, maxLength: 3 },
        ),
        unitCost: fc.integer({ min: 0, max: 30_000_000 }),
      }),
      { minLength: 1, maxLength: 4 },
    ),
  })
  .map(
    ({ method, lines, kept }): OrderWork =>
      withShelf(kept, {
        method,
        lines: lines.map(l => ({
          blank: l.blank,
          sizes: l.quantities.map((quantity, i) => ({
            size: (['S', 'M', 'L', '2XL'] as const)[i] ?? 'M',
            quantity,
            unitCost: l.unitCost as Micro,
            name: 'blank',
          })),
          prints: l.prints.map((p, i) => ({
            placement: (['full-front', 'full-back', 'sleeve'] as const)[i] ?? 'nape',
            widthMm: p.width,
            heightMm: p.height,
            art: p.art && {
              id: p.art,
              areaCm2: (p.width * p.height * p.coverage) / 100,
              coverage: p.coverage,
              colours: p.colours,
              largestSolidCm2: 10,
              partlyTransparent: 0,
              ppi: 300,
            },
            ...(p.own ? { method: p.own } : {}),
            ...(p.smaller
              ? {
                  bySize: [
                    {
                      sizes: p.smaller.sizes,
                      widthMm: p.width * p.smaller.share,
                      heightMm: p.height * p.smaller.share,
                    },
                  ],
                }
              : {}),
          })),
        })),
      }),
  )
  .filter(order => order.lines.some(l => l.sizes.some(s => s.quantity > 0)))

describe('the cost of an order', () => {
  it('adds up to the cent, leaf by leaf, branch by branch and line by line, for any order', () => {
    fc.assert(
      fc.property(anyOrder, fc.constantFrom('set-aside', 'expected' as const), (order, spoilageCharge) => {
        adds(costOf(order, aShop({ spoilageCharge: spoilageCharge as 'set-aside' | 'expected' })))
      }),
      { numRuns: 120 },
    )
  })
  it('is the same without its workings', () => {
    fc.assert(
      fc.property(anyOrder, order => {
        expect(costAmount(order, shop)).toBe(costOf(order).amount)
      }),
      { numRuns: 40 },
    )
  })
  it('is the same in one sweep over many quantities, for any order', () => {
    fc.assert(
      fc.property(anyOrder, order => {
        const ladder = ordersUpTo(order, 12)
        expect(costAmounts(ladder, shop)).toEqual(ladder.map(o => costAmount(o, shop)))
      }),
      { numRuns: 40 },
    )
  })
  it('is the same twice', () => expect(costOf(anOrder())).toEqual(costOf(anOrder())))

  it('holds the blanks with the surcharge of their size', () => {
    const blanks = branch(costOf(anOrder()), 'blanks')
    expect(blanks?.amount).toBe(20 * 3_400_000 + 4 * 5_200_000)
    expect(blanks?.leaves.map(l => [l.name, l.quantity])).toEqual([
      ['Heavy tee, Black, S', 4],
      ['Heavy tee, Black, M', 8],
      ['Heavy tee, Black, L', 8],
      ['Heavy tee, Black, 2XL', 4],
    ])
  })
  it('shares set-up over the quantity: it stays the same from 20 pieces to 200', () => {
    const at = (M: number) => branch(costOf(anOrder({ method: 'screen', sizes: { M } })), 'set-up')?.amount
    expect(at(20)).toBeGreaterThan(0)
    expect(at(20)).toBe(at(200))
  })

  describe('never falls', () => {
    it.each(METHODS)('%s: with more pieces', method => {
      fc.assert(
        fc.property(anyOrder, fc.nat(), fc.nat(), (given, a, b) => {
          const order = { ...given, method }
          const line = order.lines[a % order.lines.length]
          const size = line?.sizes[b % (line?.sizes.length ?? 1)]
          if (!size) return
          const before = costAmount(order, shop)
          size.quantity += 1
          expect(costAmount(order, shop)).toBeGreaterThanOrEqual(before)
          size.quantity -= 1
        }),
        { numRuns: 60 },
      )
    })
    it.each(METHODS)('%s: with more ink, and with more colours', method => {
      const at = (areaCm2: number, colours: number) =>
        costAmount(
          anOrder({
            method,
            prints: [
              aPrint({
                art: { ...someArt, areaCm2, colours },
              }),
            ],
          }),
          shop,
        )
      for (let area = 0; area < 770; area += 35) expect(at(area + 35, 3)).toBeGreaterThanOrEqual(at(area, 3))
      for (let colours = 1; colours < 8; colours++)
        expect(at(400, colours + 1)).toBeGreaterThanOrEqual(at(400, colours))
    })
  })

  describe('for one piece', () => {
    const each = (method: (typeof METHODS)[number], M: number, costing: ReturnType<typeof aShop>) =>
      costAmount(anOrder({ method, sizes: { M }, blank: whitePoly }), costing) / M

    it.each(['dtg', 'screen'] as const)(
      '%s: never rises with quantity, where only expected spoilage is charged',
      method => {
        const costing = aShop({ spoilageCharge: 'expected' })
        for (let n = 1; n < 300; n++)
          expect(each(method, n + 1, costing)).toBeLessThanOrEqual(each(method, n, costing) + 1)
      },
    )
    it.each([
      ['transfer', 'transfer-sheet'],
      ['sublimation', 'sublimation-paper'],
    ] as const)('%s rises only where a new sheet is begun', (method, sheet) => {
      const costing = aShop({ spoilageCharge: 'expected' })
      const sheets = (M: number) =>
        consumption(anOrder({ method, sizes: { M }, blank: whitePoly, prints }), costing).find(
          u => u.consumable === sheet,
        )?.quantity ?? 0
      // Small enough that several stand on one sheet.
      const prints = [aPrint({ widthMm: 120, heightMm: 120 })]
      const each = (method: (typeof METHODS)[number], M: number, costing: ReturnType<typeof aShop>) =>
        costAmount(anOrder({ method, sizes: { M }, blank: whitePoly, prints }), costing) / M
      let seen = 0
      for (let n = 1; n < 60; n++)
        if (each(method, n + 1, costing) > each(method, n, costing) + 1) {
          seen++
          expect(sheets(n + 1), `at ${n + 1} pieces`).toBeGreaterThan(sheets(n))
        }
      expect(seen).toBeGreaterThan(0)
    })
    it('of a repeat never rises where a set of screens is made or kept: the first set is the only one', () => {
      const costing = aShop({ spoilageCharge: 'expected' })
      const at = (M: number, keptScreens: string[]) =>
        costAmount({ ...anOrder({ method: 'screen', sizes: { M } }), keptScreens }, costing) / M
      const kept = [designKey(aPrint(), { line: 0, print: 0 })]
      for (let n = 1; n < 200; n++) {
        expect(at(n + 1, kept)).toBeLessThanOrEqual(at(n, kept) + 1)
        expect(at(n, kept)).toBeLessThan(at(n, []))
      }
    })
    it('rises where a second design asks for a set of screens of its own', () => {
      const costing = aShop({ spoilageCharge: 'expected' })
      const sized = (M: number, design: string) =>
        firstLine(anOrder({ sizes: { M }, prints: [aPrint({ art: { ...someArt, id: design } })] }))
      const one = costAmount({ method: 'screen', lines: [sized(20, 'a')] }, costing) / 20
      const two = costAmount({ method: 'screen', lines: [sized(20, 'a'), sized(1, 'b')] }, costing) / 21
      expect(two).toBeGreaterThan(one)
    })
    it('with blanks set aside it may also rise where one more extra blank is needed, and nowhere else', () => {
      const extra = (M: number) =>
        leavesOf(costOf(anOrder({ method: 'dtg', sizes: { M }, blank: whitePoly })))
          .filter(l => l.key === 'spoiled blanks 0')
          .reduce((a, l) => a + l.quantity, 0)
      let seen = 0
      for (let n = 1; n < 120; n++)
        if (each('dtg', n + 1, shop) > each('dtg', n, shop) + 1) {
          seen++
          expect(extra(n + 1), `at ${n + 1} pieces`).toBe(extra(n) + 1)
        }
      expect(seen).toBeGreaterThan(0)
    })
  })

  describe('screens', () => {
    const dark = firstLine(anOrder({ method: 'screen' }))
    const light = firstLine(anOrder({ method: 'screen', blank: whiteTee }))
    const quantity = (order: OrderWork, consumable: string) =>
      leavesOf(costOf(order))
        .filter(l => l.consumable === consumable)
        .reduce((a, l) => a + l.quantity, 0)
    const FILM = 1247

    it('one for each ink, one more for the underbase on dark cloth', () => {
      expect(quantity({ method: 'screen', lines: [light] }, 'film-positive')).toBe(3 * FILM)
      expect(quantity({ method: 'screen', lines: [dark] }, 'film-positive')).toBe(4 * FILM)
    })
    it('sizes, colours and placements of one design share them', () => {
      expect(quantity({ method: 'screen', lines: [light, dark] }, 'film-positive')).toBe(4 * FILM)
      const both = { ...light, prints: [aPrint(), aPrint({ placement: 'full-back' })] }
      expect(quantity({ method: 'screen', lines: [both] }, 'film-positive')).toBe(3 * FILM)
    })
    it('another size of the print is another set', () => {
      const both = { ...light, prints: [aPrint(), aPrint({ widthMm: 200 })] }
      expect(quantity({ method: 'screen', lines: [both] }, 'film-positive')).toBe(6 * FILM)
    })
    describe('of a print that is smaller on the small sizes', () => {
      // Half as wide on S and M: a quarter of the area.
      const half = { sizes: ['S', 'M'] as const, widthMm: 127, heightMm: 152.4 }
      const sized = { ...light, prints: [aPrint({ bySize: [half] })] }
      const order = (lines: OrderWork['lines']): OrderWork => ({ method: 'screen', lines })
      const NONE = { rate: 0, pieces: 0, spoiled: 0, from: 'setting' as const }
      const costing = aShop({
        spoilage: { ...shop.rates.spoilage, screen: NONE, transfer: NONE },
      })
      const used = (of: OrderWork, consumable: string) =>
        consumption(of, costing).find(u => u.consumable === consumable)?.quantity ?? 0

      it('a set for each size, on the press and to make, by hand', () => {
        // 3 inks × 2 sizes: 6 films of 1247 cm², 6 coats of 35 g, 6 strips of tape of 2200.
        expect(used(order([sized]), 'film-positive')).toBe(6 * 1247)
        expect(used(order([sized]), 'emulsion')).toBe(6 * 35_000)
        expect(used(order([sized]), 'screen-tape')).toBe(6 * 2200)
        const setUp = (of: OrderWork): number =>
          leavesOf(costOf(of, costing))
            .filter(l => l.key.startsWith('set-up labour') && l.key.endsWith(' print'))
            .reduce((all, l) => all + l.quantity, 0)
        // 10 min for each screen on the press.
        expect(setUp(order([light]))).toBe(3 * 600)
        expect(setUp(order([sized]))).toBe(6 * 600)
      })
      it('their ink by the area that each size covers, by hand', () => {
        // S 4 and M 8 at a quarter, L 8 and 2XL 4 whole: 12 × 116.125 + 12 × 464.5 = 6967.5 cm². Mesh 61/64 holds
        // (1 − 61 × 0.0064)² × 64 µm × 1.55 = 36.864 cm³/m²; × 1.438 g/cm³ × 0.8 is 4.2408 mg a cm²; 8 g stay on each of 6 screens.
        const perCm2 = (0.6096 ** 2 * 99.2 * 1.438 * 0.8) / 10
        expect(perCm2).toBeCloseTo(4.2408, 3)
        expect(used(order([sized]), 'plastisol')).toBe(Math.ceil(6967.5 * perCm2 + 6 * 8000))
        const alike = { ...light, prints: [aPrint()] }
        expect(used(order([alike]), 'plastisol')).toBe(Math.ceil(24 * 464.5 * perCm2 + 3 * 8000))
      })
      it('one set where all pieces ordered have the same size, and none for kept ones', () => {
        const small = { ...sized, sizes: sized.sizes.map(s => ({ ...s, quantity: s.size === 'M' ? 9 : 0 })) }
        expect(used(order([small]), 'film-positive')).toBe(3 * 1247)
        const [of = ''] = designsOf(order([small]))
        expect(of).toBe('art-1@1270x1524')
        expect(used({ ...order([sized]), keptScreens: [of] }, 'film-positive')).toBe(3 * 1247)
      })
      it('and the working says which sizes it is', () => {
        const ink = leavesOf(costOf(order([sized]), costing)).find(
          l => l.consumable === 'plastisol' && l.group === 'material',
        )
        const said = ink?.working.inputs.map(i => `${i.name}: ${i.value}`)
        expect(said).toContain('Print on S, M: 127 × 152.4 mm')
        expect(said).toContain('Print on L, 2XL: 254 × 304.8 mm')
        expect(said?.filter(s => s === 'Pieces: 12')).toHaveLength(2)
      })
      it('film and sheets of transfers follow the sizes as well', () => {
        const of = (line: typeof light): OrderWork => ({ method: 'transfer', lines: [line] })
        // On 559 × 610 mm with 6 mm between stand 2 × 1 whole ones, or 4 × 3 of half the width: 12 and 12 pieces are 6 + 1 sheets.
        expect(used(of({ ...light, prints: [aPrint()] }), 'transfer-sheet')).toBe(12)
        expect(used(of(sized), 'transfer-sheet')).toBe(7)
      })
    })
    it('a repeat skips those that are kept, not the set-up on the press', () => {
      const order = { method: 'screen' as const, lines: [light] }
      const repeat = { ...order, keptScreens: [designKey(aPrint(), { line: 0, print: 0 })] }
      expect(quantity(repeat, 'film-positive')).toBe(0)
      expect(quantity(repeat, 'screen-tape')).toBe(quantity(order, 'screen-tape'))
      expect(costAmount(repeat, shop)).toBeLessThan(costAmount(order, shop))
      // The tree says what was spared; it costs nothing, and the tree still adds up.
      const spared = branch(costOf(repeat), 'set-up')?.leaves.find(l => l.key === 'screens from the shelf')
      expect(spared).toMatchObject({ amount: 0, minor: 0, name: expect.stringContaining('3 not made again') })
      // With its art prepared before, the shop saves the hands on that too, and the tree says so.
      const again = { ...repeat, preparedArt: [artKey('screen-plastisol', someArt.id)] }
      expect(costAmount(repeat, shop) - costAmount(again, shop)).toBeCloseTo(
        (600 + 180 * 3) * (shop.wagePerSecond + (shop.rates.overheadPerLabourHour * 10_000) / 3600),
        -1,
      )
      expect(
        branch(costOf(again), 'set-up')?.leaves.find(l => l.key === 'art prepared before'),
      ).toMatchObject({
        amount: 0,
        name: 'Art from an earlier order: 1 not prepared again',
      })
      expect(branch(costOf(order), 'set-up')?.leaves.some(l => l.key === 'screens from the shelf')).toBe(
        false,
      )
      expect(costAmount(repeat, aShop()) > 0).toBe(true)
    })
  })

  it('an exact order by hand: one white shirt by DTG, no spoilage, no overhead, machines free', () => {
    const costing = aShop(
      {
        wagePerHour: 3600 as Minor,
        overheadPerLabourHour: 0 as Minor,
        spoilage: { ...shop.rates.spoilage, dtg: { rate: 0, pieces: 0, spoiled: 0, from: 'setting' } },
      },
      { stations: [] },
    )
    const cost = costOf(anOrder({ blank: whiteTee, sizes: { M: 1 } }), costing)
    // 1 cent a second. Art 720 s; set-up 360 s printer + 240 s packing; print 20 + 120 × 774.192 ÷ 774.2; cure 12 + 45; pack 25.
    const seconds = 720 + 360 + 240 + 20 + (120 * 774.192) / 774.2 + 57 + 25
    const ink = 464.5 * 1.5 * 220
    const parchment = 0.04 * 150_000
    expect(cost.amount).toBeCloseTo(3_400_000 + seconds * 10_000 + ink + parchment, -1)
  })
  it('extra blanks are charged by size: S 4, M 8, L 8, 2XL 4 at 2 % and 90 % sure', () => {
    // 0.98⁴ = 0.922: four need none. 0.98⁸ = 0.851: eight need one, and with it are sure to 0.987.
    const extra = branch(costOf(anOrder()), 'spoilage')?.leaves.find(l => l.kind === 'blank')
    expect(extra).toMatchObject({ quantity: 2, amount: 2 * 3_400_000 })
    expect(extra?.working.inputs.map(i => i.value)).toEqual(
      expect.arrayContaining(['4 good, 4 to start', '8 good, 9 to start']),
    )
  })
  it('freight and outside work are leaves as given', () => {
    const cost = costOf(
      anOrder({
        outside: [{ name: 'Embroidered name', amount: 12_500_000 as Micro }],
        freight: [{ name: 'Blanks by carrier', amount: 7_900_000 as Micro }],
      }),
    )
    expect(branch(cost, 'outside')?.amount).toBe(12_500_000)
    expect(branch(cost, 'freight')?.amount).toBe(7_900_000)
    adds(cost)
  })
  it('says where art is assumed', () => {
    const ink = leavesOf(costOf(anOrder({ prints: [aPrint({ art: null })] }))).find(
      l => l.consumable === 'dtg-colour',
    )
    expect(ink?.working.inputs.find(i => i.name === 'Covered area')).toMatchObject({
      from: 'default',
      source: 'assumed until the art is in',
    })
  })
  it('prints of one line may go by different methods', () => {
    const cost = costOf(
      anOrder({
        method: 'screen',
        prints: [aPrint(), aPrint({ placement: 'sleeve', widthMm: 80, heightMm: 60, method: 'transfer' })],
      }),
    )
    const used = leavesOf(cost).map(l => l.consumable)
    expect(used).toContain('plastisol')
    expect(used).toContain('transfer-sheet')
    adds(cost)
  })

  it.each([
    ['no pieces', anOrder({ sizes: { M: 0 } }), 'no-pieces'],
    ['half a piece', anOrder({ sizes: { M: 1.5 } }), 'quantity'],
    ['fewer than no pieces', anOrder({ sizes: { M: -4 } }), 'quantity'],
    ['more than 100,000 pieces', anOrder({ sizes: { M: 100_001 } }), 'too-many'],
    ['a print of no width', anOrder({ prints: [aPrint({ widthMm: 0 })] }), 'print-size'],
    ['a print of 60 m', anOrder({ prints: [aPrint({ widthMm: 60_000 })] }), 'print-size'],
  ])('refuses %s with one sentence', (_, order, code) => {
    const read = costOrder(order, shop)
    expect(read).toMatchObject({ ok: false, code })
    expect(read.ok ? '' : read.message).toMatch(/\S+ \S+/)
  })
  it('costs 100,000 pieces', () => adds(costOf(anOrder({ sizes: { M: 100_000 } }))))
})
