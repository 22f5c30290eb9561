import { describe, expect, it } from 'vitest'
import { garmentShape, placeOf } from '@/app/parts/garment-shape'
import { BLANK_KINDS, outlineOf } from '@/lib/shop/blanks'

/** Widest extent of a path at a height, from its straight corner points. */
const corners = (d: string): [number, number][] => {
  const found: [number, number][] = []
  for (const m of d.matchAll(/[ML] (-?[\d.]+) (-?[\d.]+)/g)) found.push([Number(m[1]), Number(m[2])])
  return found
}

describe('a drawn blank', () => {
  it.each(BLANK_KINDS)('%s: every number of the drawing is a number, and lies in its box', kind => {
    for (const side of ['front', 'back'] as const) {
      const shape = garmentShape(kind, side, outlineOf(kind, 'L'))
      const all = [shape.silhouette, ...shape.deeper, ...shape.lines.map(l => l.d)].join(' ')
      expect(all).not.toMatch(/NaN|undefined|Infinity/)
      for (const [x, y] of corners(shape.silhouette)) {
        expect(x).toBeGreaterThanOrEqual(shape.box.x - 0.1)
        expect(x).toBeLessThanOrEqual(shape.box.x + shape.box.width + 0.11)
        expect(y).toBeGreaterThanOrEqual(shape.box.y - 0.1)
        expect(y).toBeLessThanOrEqual(shape.box.y + shape.box.height + 0.11)
      }
    }
  })

  it('keeps the width and length of its size: a tee in L is 559 mm across at the hem, 667 mm from collar to hem', () => {
    const outline = outlineOf('tee', 'L')
    const hem = /C [-\d. ]+ (279\.5) (667) Q 0 679 (-279\.5) (667)/.exec(
      garmentShape('tee', 'front', outline).silhouette,
    )
    expect(hem).not.toBeNull()
    expect(outline).toEqual({ widthMm: 559, collarToHemMm: 667 })
  })

  it('is longer behind by what the back collar lies higher: 75 mm', () => {
    const outline = outlineOf('tee', 'L')
    const lowest = (side: 'front' | 'back') => {
      const { box } = garmentShape('tee', side, outline)
      return box.y + box.height
    }
    expect(lowest('back') - lowest('front')).toBeCloseTo(75, 1)
  })

  it('grows with the size, the print does not', () => {
    const s = garmentShape('tee', 'front', outlineOf('tee', 'S')).box
    const xl = garmentShape('tee', 'front', outlineOf('tee', '2XL')).box
    expect(xl.width).toBeGreaterThan(s.width * 1.3)
    const print = { name: 'x', widthMm: 254, heightMm: 190, dropMm: 57 }
    expect(placeOf(print, 'front')).toEqual({ x: -127, y: 57 })
  })

  it('places the left chest on the wearer’s left: the reader’s right in front, the reader’s left behind', () => {
    const print = { name: 'x', widthMm: 90, heightMm: 70, dropMm: 85, offsetMm: 100 }
    expect(placeOf(print, 'front').x).toBe(55)
    expect(placeOf(print, 'back').x).toBe(-145)
    const tee = outlineOf('tee', 'L')
    expect(garmentShape('tee', 'front', tee).sleeve?.x).toBeGreaterThan(0)
    expect(garmentShape('tee', 'back', tee).sleeve?.x).toBeLessThan(0)
  })
})
