import fc from 'fast-check'
import { describe, expect, it, vi } from 'vitest'
import { type Nesting, type NestPiece, type NestSheet, nest } from '@/lib/artwork/nest'
import { nestingCost } from '@/lib/artwork/nest-cost'
import { ENDLESS } from '@/lib/artwork/nest-fill'
import { PACKING_RULES } from '@/lib/artwork/nest-rules'
import { minor } from '@/lib/units/money'

// Shared machines are slow at times; no test here waits for anything.
vi.setConfig({ testTimeout: 60_000 })

const laid = (pieces: readonly NestPiece[], sheet: NestSheet, tries = 30): Nesting => {
  const result = nest(pieces, sheet, { tries, seed: 7 })
  if (!result.ok) throw new Error(result.message)
  return result.value
}
const piece = (id: string, width: number, height: number, more: Partial<NestPiece> = {}): NestPiece => ({
  id,
  order: '1042',
  width,
  height,
  count: 1,
  turn: true,
  ...more,
})
const plainSheet = (width: number, height: number | null): NestSheet => ({ width, height, gap: 0, margin: 0 })

const side = fc.integer({ min: 5, max: 280 })
const anyPieces = fc.array(
  fc.record({
    width: side,
    height: side,
    count: fc.integer({ min: 1, max: 4 }),
    turn: fc.boolean(),
    order: fc.integer({ min: 1, max: 4 }),
  }),
  { minLength: 1, maxLength: 14 },
)
const anySheet = fc.record({
  width: fc.constant(300),
  height: fc.constantFrom(null, 300, 420),
  gap: fc.constantFrom(0, 2.5, 6),
  margin: fc.constantFrom(0, 5),
})

describe('any nesting', () => {
  it('lays each print once, inside the margins, apart by the gap, at its own size', () => {
    fc.assert(
      fc.property(anyPieces, anySheet, (list, sheet) => {
        const pieces = list.map((p, i) => piece(`p${i}`, p.width, p.height, { ...p, order: `${p.order}` }))
        const result = nest(pieces, sheet, { tries: 20, seed: 3 })
        if (!result.ok) return
        const { placed, lengths, utilisation, bound, sheets } = result.value
        for (const p of pieces) {
          const mine = placed.filter(q => q.id === p.id)
          expect(mine).toHaveLength(p.count)
          for (const q of mine)
            expect([q.width, q.height]).toEqual(q.turned ? [p.height, p.width] : [p.width, p.height])
          if (!p.turn) expect(mine.every(q => !q.turned)).toBe(true)
        }
        for (const q of placed) {
          expect(q.x).toBeGreaterThanOrEqual(sheet.margin - 1e-9)
          expect(q.y).toBeGreaterThanOrEqual(sheet.margin - 1e-9)
          expect(q.x + q.width).toBeLessThanOrEqual(sheet.width - sheet.margin + 1e-9)
          expect(q.y + q.height).toBeLessThanOrEqual(
            (sheet.height ?? lengths[q.sheet]!) - sheet.margin + 0.11,
          )
        }
        for (const [i, p] of placed.entries())
          for (const q of placed.slice(i + 1)) {
            if (p.sheet !== q.sheet) continue
            const apart =
              p.x + p.width + sheet.gap <= q.x + 1e-9 ||
              q.x + q.width + sheet.gap <= p.x + 1e-9 ||
              p.y + p.height + sheet.gap <= q.y + 1e-9 ||
              q.y + q.height + sheet.gap <= p.y + 1e-9
            expect(apart).toBe(true)
          }
        expect(utilisation).toBeGreaterThan(0)
        expect(utilisation).toBeLessThanOrEqual(1 + 1e-9)
        expect(sheets).toBeGreaterThanOrEqual(bound.sheets)
        expect(bound.sheets).toBeGreaterThanOrEqual(bound.areaSheets)
        if (sheet.height === null) expect(lengths[0]!).toBeGreaterThanOrEqual(bound.length - 1e-6)
      }),
      { numRuns: 60 },
    )
  })
})

describe('A-size sheets', () => {
  // ISO 216: A3 is 297 × 420 mm, A4 210 × 297, A5 148 × 210: two of each fill the next but for a millimetre.
  it('two A4 fill an A3', () => {
    const n = laid([piece('a4', 210, 297, { count: 2 })], plainSheet(297, 420))
    expect(n.sheets).toBe(1)
    expect(n.utilisation).toBeCloseTo(1, 9)
  })
  it('eight A6 and two A5 fill an A3', () => {
    const n = laid(
      [piece('a6', 105, 148, { count: 4 }), piece('a5', 148, 210, { count: 2 })],
      plainSheet(297, 420),
      200,
    )
    expect(n.sheets).toBe(1)
  })
  it('prints that may not turn need a second sheet', () =>
    expect(laid([piece('a4', 210, 297, { count: 2, turn: false })], plainSheet(297, 420)).sheets).toBe(2))
})

describe('many mixed prints', () => {
  const random = (seed: number) => {
    let s = seed
    return () => {
      s = (s * 48271) % 2147483647
      return s / 2147483647
    }
  }
  const mixed = (seed: number) => {
    const r = random(seed)
    return Array.from({ length: 200 }, (_, i) =>
      piece(`p${i}`, 40 + Math.round(r() * 260), 40 + Math.round(r() * 260), { order: `o${i >> 3}` }),
    )
  }
  it.each([11, 22, 33])('on a roll lie within a twentieth of the bound (seed %i)', seed => {
    const n = laid(mixed(seed), { width: 560, height: null, gap: 5, margin: 5 }, 100)
    expect(n.lengths[0]! / n.bound.length).toBeLessThan(1.05)
  })
  it('on sheets take no more than area alone allows', () => {
    // Over sixteen and a half sheets of bare area: every one of seventeen must be full to a fortieth.
    const n = laid(mixed(12345), { width: 560, height: 700, gap: 5, margin: 5 }, 1000)
    expect(n.bound.areaSheets).toBe(17)
    expect(n.sheets).toBe(17)
  })
  it('lie the same way again from the same seed', () => {
    const sheet = { width: 560, height: 700, gap: 5, margin: 5 }
    expect(laid(mixed(5), sheet)).toEqual(laid(mixed(5), sheet))
  })
})

describe('any prints that may turn', () => {
  const rects = fc.array(fc.record({ width: side, height: side }), { minLength: 1, maxLength: 40 })
  it.each([null, 400])('take no more than the best of three packing rules (sheet height %o)', height => {
    fc.assert(
      fc.property(rects, list => {
        const pieces = list.map((p, i) => piece(`${i}`, p.width, p.height))
        const n = laid(pieces, { width: 300, height, gap: 2, margin: 0 }, 60)
        const batches = list.map((p, i) => ({
          piece: i,
          order: 0,
          w: (p.width + 2) * 10,
          h: (p.height + 2) * 10,
          turn: true,
          count: 1,
        }))
        for (const { name, rule } of PACKING_RULES) {
          const spots = rule(batches, 3020, height === null ? ENDLESS : (height + 2) * 10)
          expect(new Set(spots.map(s => s.batch)).size, name).toBe(list.length)
          const ends = spots.map(s => s.y + (s.turned ? batches[s.batch]!.w : batches[s.batch]!.h))
          const length = Math.max(...ends) / 10 - 2
          if (height === null) expect(n.lengths[0]!, name).toBeLessThanOrEqual(Math.ceil(length) + 1e-9)
          else expect(n.sheets, name).toBeLessThanOrEqual(1 + Math.max(...spots.map(s => s.sheet)))
        }
      }),
      { numRuns: 100 },
    )
  })
})

describe('the bound', () => {
  // By geometry: two prints of more than half a sheet each way never share one, whatever their area.
  it('counts prints that cannot share a sheet', () => {
    const n = laid([piece('half', 160, 210, { count: 5, turn: false })], plainSheet(300, 400))
    expect(n.bound).toMatchObject({ sheets: 5, areaSheets: 2 })
    expect(n.sheets).toBe(5)
  })
  it('counts prints that cannot lie side by side on a roll', () => {
    const n = laid([piece('wide', 160, 200, { count: 4, turn: false })], plainSheet(300, null))
    expect(n.bound.length).toBeCloseTo(800, 9)
    expect(n.bound.areaLength).toBeLessThan(430)
    expect(n.lengths).toEqual([800])
  })
  it('lets a print turn if that takes less', () => {
    const n = laid([piece('wide', 160, 140, { count: 4 })], plainSheet(300, null))
    expect(n.bound.length).toBeLessThan(n.lengths[0]! + 1e-9)
    expect(n.lengths).toEqual([320])
  })
})

describe('orders', () => {
  it('lie together along a roll where that costs no length', () => {
    const orders = ['a', 'b', 'c', 'd', 'e', 'f']
    // Listed mixed up: one print of each order after the other.
    const pieces = [1, 2, 3, 4].flatMap(n => orders.map(order => piece(`${order}${n}`, 95, 70, { order })))
    const n = laid(pieces, { width: 200, height: null, gap: 5, margin: 0 }, 60)
    // Rows of two: 24 prints take 12 rows.
    expect(n.lengths).toEqual([12 * 75 - 5])
    for (const order of orders) {
      const mine = n.placed.filter(p => p.order === order)
      const length = Math.max(...mine.map(p => p.y + p.height)) - Math.min(...mine.map(p => p.y))
      expect(length).toBeLessThanOrEqual(2 * 75 - 5 + 1e-9)
    }
  })
  it('are brought together by laying sheets anew, with no print lost', () => {
    const orders = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h']
    const pieces = [
      [90, 120],
      [140, 60],
      [70, 70],
      [110, 45],
    ].flatMap(([w, h]) => orders.map((order, k) => piece(`${order}${w}`, w! + k, h!, { order })))
    const n = laid(pieces, { width: 300, height: 300, gap: 4, margin: 4 }, 100)
    expect(n.placed.map(p => p.id).sort()).toEqual(pieces.map(p => p.id).sort())
    const plain = laid(pieces, { width: 300, height: 300, gap: 4, margin: 4 }, 0)
    expect(n.sheets).toBeLessThanOrEqual(plain.sheets)
    expect(n.splitOrders).toBeLessThan(plain.splitOrders)
  })
  it('stay on one sheet where that costs no sheet more', () => {
    const pieces = ['a', 'b', 'c', 'd'].flatMap(order => [
      piece(`${order}1`, 140, 190, { order, count: 2 }),
      piece(`${order}2`, 90, 95, { order, count: 3 }),
    ])
    const n = laid(pieces, { width: 300, height: 300, gap: 5, margin: 2 }, 60)
    expect(n.sheets).toBe(4)
    expect(n.splitOrders).toBe(0)
  })
})

describe('the cost of sheets', () => {
  const n = laid(
    [piece('a', 100, 100, { count: 3, order: '1' }), piece('b', 100, 50, { count: 2, order: '2' })],
    { width: 300, height: null, gap: 0, margin: 0 },
  )
  it('is shared by printed area, and the parts add up', () => {
    expect(n.lengths).toEqual([150])
    const { total, orders } = nestingCost(n, { perMetre: minor(1001) })
    // 0.15 m at 10.01 a metre is 1.5015; the areas are 3 to 1.
    expect(total).toBe(150)
    expect(orders).toEqual([
      { order: '1', cost: 113 },
      { order: '2', cost: 37 },
    ])
    expect(orders.reduce((sum, o) => sum + o.cost, 0)).toBe(total)
  })
  it('of whole sheets counts each', () => {
    const sheets = laid([piece('a4', 210, 297, { count: 3 })], plainSheet(297, 420))
    expect(nestingCost(sheets, { perSheet: minor(250) }).total).toBe(500)
  })
})

describe('what cannot be laid', () => {
  const sheet = plainSheet(300, 400)
  it.each([
    ['a print larger than the sheet', [piece('big', 310, 410)], sheet, 'does-not-fit'],
    [
      'one that would have to turn and may not',
      [piece('long', 390, 100, { turn: false })],
      sheet,
      'does-not-fit',
    ],
    ['no print', [piece('none', 10, 10, { count: 0 })], sheet, 'bad-sheet'],
    ['half a print', [piece('half', 10, 10, { count: 0.5 })], sheet, 'bad-sheet'],
    ['a print without a size', [piece('flat', 0, 10)], sheet, 'bad-sheet'],
    ['a sheet without a size', [piece('a', 10, 10)], plainSheet(Number.NaN, 100), 'bad-sheet'],
    ['a margin as wide as the sheet', [piece('a', 10, 10)], { ...sheet, margin: 200 }, 'does-not-fit'],
    ['too many', [piece('many', 10, 10, { count: 100_000 })], sheet, 'bad-sheet'],
  ])('%s is refused in one sentence', (_what, pieces, on, code) => {
    const result = nest(pieces, on)
    expect(result).toMatchObject({ ok: false, code })
    if (!result.ok) expect(result.message).toMatch(/^[^\n]{20,200}\.$/)
  })
})
