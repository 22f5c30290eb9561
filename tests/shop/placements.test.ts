import { describe, expect, it } from 'vitest'
import { BLANK_KINDS, SIZES } from '@/lib/shop/blanks'
import {
  checkPlacement,
  fitsBlank,
  PLACEMENT,
  PLACEMENTS,
  placementOn,
  placementsFor,
  THREE_FINGERS,
} from '@/lib/shop/placements'
import { toInches } from '@/lib/units/measure'

describe('placement guide', () => {
  // Common shop practice, no source: three fingers' width from the collar to the top of the art.
  it('a full front sits three fingers below the collar, within the published 2 to 3.5 in', () => {
    expect(PLACEMENT['full-front'].adult.drop).toBe(THREE_FINGERS)
    expect(placementOn('full-front', 'tee', 'M').dropMm).toBe(57)
    expect(toInches(THREE_FINGERS.value)).toBeGreaterThanOrEqual(2)
    expect(toInches(THREE_FINGERS.value)).toBeLessThanOrEqual(3.5)
  })
  // Transfer maker's and contract printer's placement guides, 2025; garment placement chart, 2024. Inches: least and most width.
  it.each([
    ['full-front', 'adult', 10, 14],
    ['left-chest', 'adult', 3, 4],
    ['centre-chest', 'adult', 6, 8],
    ['full-back', 'adult', 10, 14],
    ['sleeve', 'adult', 2.5, 4],
    ['nape', 'adult', 1, 3],
    ['full-front', 'youth', 7.5, 9.5],
    ['left-chest', 'youth', 2.25, 3],
    ['centre-chest', 'youth', 6.5, 8.5],
  ] as const)('%s, %s: usual width from %f to %f in', (id, age, least, most) => {
    const guide = PLACEMENT[id][age]
    expect(toInches(guide.width.value)).toBeGreaterThanOrEqual(least)
    expect(toInches(guide.maxWidth.value)).toBeCloseTo(most, 6)
  })
  it('a left chest sits 7 to 10 cm below the collar on every adult size from S to 2XL', () => {
    for (const size of ['S', 'M', 'L', 'XL', '2XL'] as const) {
      const { dropMm } = placementOn('left-chest', 'tee', size)
      expect(dropMm).toBeGreaterThanOrEqual(70)
      expect(dropMm).toBeLessThanOrEqual(105)
    }
  })
  it('every kind of blank has a placement, and every one of them fits on every size', () => {
    for (const kind of BLANK_KINDS) {
      expect(placementsFor(kind).length, kind).toBeGreaterThan(0)
      for (const { id } of placementsFor(kind))
        for (const size of SIZES) {
          const p = placementOn(id, kind, size)
          expect(p.widthMm).toBeGreaterThan(0)
          expect(p.widthMm).toBeLessThanOrEqual(p.maxWidthMm)
          expect(
            checkPlacement(id, kind, [size], p.widthMm, Math.min(p.maxHeightMm, 20)),
            `${id} ${kind} ${size}`,
          ).toEqual({
            ok: true,
            value: null,
          })
        }
    }
    expect(PLACEMENTS.every(id => PLACEMENT[id].id === id)).toBe(true)
  })
  it('the smallest size of the run decides', () => {
    expect(checkPlacement('full-front', 'tee', ['M', 'L'], 350, 400).ok).toBe(true)
    const read = checkPlacement('full-front', 'tee', ['YS', 'L'], 350, 300)
    expect(read).toMatchObject({ ok: false, code: 'print-too-wide', field: 'width' })
    expect(read.ok ? '' : read.message).toMatch(/size YS: at most 241 mm/)
  })
  it('what the guide advises against fits all the same, as long as the blank is large enough', () => {
    expect(checkPlacement('left-chest', 'tee', ['M'], 150, 100).ok).toBe(false)
    expect(fitsBlank('left-chest', 'tee', ['M'], 150, 100).ok).toBe(true)
    expect(fitsBlank('wrap', 'mug', ['One size'], 241, 80)).toMatchObject({ ok: false, field: 'width' })
    expect(fitsBlank('wrap', 'mug', ['One size'], 200, 97)).toMatchObject({ ok: false, field: 'height' })
    expect(fitsBlank('wrap', 'mug', ['One size'], 240, 96).ok).toBe(true)
    expect(fitsBlank('left-chest', 'mug', ['One size'], 50, 50)).toMatchObject({ code: 'placement-kind' })
  })
  it.each([
    ['wider than the garment', 'full-front', 'tee', 2000, 100, 'print-too-wide'],
    ['taller than the garment', 'full-front', 'tee', 100, 2000, 'print-too-tall'],
    ['of no width', 'full-front', 'tee', 0, 100, 'print-size'],
    ['of a width that is no number', 'full-front', 'tee', Number.NaN, 100, 'print-size'],
    ['on a mug’s chest', 'left-chest', 'mug', 50, 50, 'placement-kind'],
  ] as const)('refuses a print %s', (_, id, kind, w, h, code) => {
    expect(checkPlacement(id, kind, ['M'], w, h)).toMatchObject({ ok: false, code })
  })
})
