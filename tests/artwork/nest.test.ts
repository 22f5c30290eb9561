import fc from 'fast-check'
import { describe, expect, it, vi } from 'vitest'
import { type Nesting, type NestPiece, type NestSheet, nest } from '@/lib/artwork/nest'
import { nestingCost } from '@/lib/artwork/nest-cost'
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
  it.each([11, 22, 33])('on a roll lie within a twentieth of what area allows (seed %i)', seed => {
    const n = laid(mixed(seed), { width: 560, height: null, gap: 5, margin: 5 }, 100)
    expect(n.lengths[0]! / n.bound.length).toBeLessThan(1.05)
  })
  it.each([11, 22])('on sheets take at most one more than area allows (seed %i)', seed => {
    const n = laid(mixed(seed), { width: 560, height: 700, gap: 5, margin: 5 }, 100)
    expect(n.sheets - n.bound.sheets).toBeLessThanOrEqual(1)
  })
  it('lie the same way again from the same seed', () => {
    const sheet = { width: 560, height: 700, gap: 5, margin: 5 }
    expect(laid(mixed(5), sheet)).toEqual(laid(mixed(5), sheet))
  })
})

describe('orders', () => {
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
