import { describe, expect, it, test } from 'vitest'
import { BLANK_KINDS, type BlankKind, outlineOf, SIZES, type Size } from '@/lib/shop/blanks'
import { armholeAt, featuresOf, hemBelow, sleeveOf } from '@/lib/shop/garment-features'
import { type PlacedPrint, placementWarnings } from '@/lib/shop/placement-warnings'
import { placementOn, placementsFor } from '@/lib/shop/placements'
import type { StationKind } from '@/lib/shop/stations'

const bed = (kind: StationKind, bedWidthMm: number | null, bedHeightMm: number | null) => ({
  kind,
  bedWidthMm,
  bedHeightMm,
})
const machines = [bed('screen-press', 380, 450), bed('heat-press', 400, 500)]
const chest: PlacedPrint = { placement: 'full-front', widthMm: 254, heightMm: 300, dropMm: 57, offsetMm: 0 }

test('a usual full front stands in nobody’s way', () => {
  expect(placementWarnings(chest, 'tee', ['M', 'XL'], 'screen', machines)).toEqual([])
})

test('too large for the place on the smallest size: says at most how much', () => {
  const [said] = placementWarnings({ ...chest, widthMm: 360 }, 'tee', ['S', 'XL'], 'screen', machines)
  expect(said).toMatch(/360 mm is too wide for full front on size S: at most \d+ mm/)
})

test('moved aside until it runs over the side seam, by how much', () => {
  const over = outlineOf('tee', 'S').widthMm / 2 - 127 + 12
  expect(placementWarnings({ ...chest, offsetMm: -over }, 'tee', ['S', 'XL'], 'screen', machines)).toEqual([
    'On size S it runs 12 mm over the side seam: move it in, or print smaller.',
  ])
})

test('moved down over the hem', () => {
  const drop = outlineOf('tee', 'M').collarToHemMm - 300 + 5
  expect(placementWarnings({ ...chest, dropMm: drop }, 'tee', ['M'], 'screen', machines)).toEqual([
    'On size M it runs 5 mm over the hem: move it up, or print smaller.',
  ])
})

test('larger than the bed of every machine that could print it; one that takes it is enough', () => {
  const small = [bed('screen-press', 200, 200), bed('screen-press', 250, 450)]
  expect(placementWarnings(chest, 'tee', ['M'], 'screen', small)).toEqual([
    '254 × 300 mm is larger than the bed of every Screen press: print smaller, in two parts, or have it made outside.',
  ])
  expect(placementWarnings(chest, 'tee', ['M'], 'screen', [...small, bed('screen-press', 254, 300)])).toEqual(
    [],
  )
  expect(placementWarnings(chest, 'tee', ['M'], 'dtg', small)).toEqual([])
})

test('a print may be turned on the bed; before a method is chosen the beds of every method here count', () => {
  const machines = [bed('screen-press', 200, 200), bed('dtg-printer', 300, 254)]
  expect(placementWarnings(chest, 'tee', ['M'], 'dtg', machines)).toEqual([])
  expect(placementWarnings(chest, 'tee', ['M'], null, machines)).toEqual([])
  expect(placementWarnings(chest, 'tee', ['M'], null, machines.slice(0, 1))).toEqual([
    '254 × 300 mm is larger than the bed of every machine here: print smaller, in two parts, or have it made outside.',
  ])
  expect(placementWarnings(chest, 'tee', ['M'], null, [])).toEqual([])
  // Sublimation wants its printer and the press: one of the two too small is too small.
  const two = [bed('sublimation-printer', 420, null), bed('heat-press', 200, 200)]
  expect(placementWarnings(chest, 'tee', ['M'], null, two)).toHaveLength(1)
})

describe('what is sewn on the garment', () => {
  const warn = (print: Partial<PlacedPrint>, kind: BlankKind, style = '', sizes: Size[] = ['M']) =>
    placementWarnings({ ...chest, ...print }, kind, sizes, 'dtg', [], style)

  it('a full front right across the placket of a polo; a left chest clears it', () => {
    expect(warn({}, 'polo')).toEqual([
      'On size M it lies across the button placket: print beside it, on the chest.',
    ])
    expect(
      warn({ placement: 'left-chest', widthMm: 89, heightMm: 80, dropMm: 85, offsetMm: 100 }, 'polo'),
    ).toEqual([])
  })
  it('how far a print reaches over one side of a zip', () => {
    expect(warn({ widthMm: 120, heightMm: 100, offsetMm: 70 }, 'hoodie', 'Full-zip hoodie')).toEqual([
      'On size M it runs 5 mm over the zip: print beside it, or on the back.',
    ])
    expect(warn({ widthMm: 120, heightMm: 100, offsetMm: 70 }, 'hoodie', 'Pullover hoodie')).toEqual([])
  })
  it('a short zip ends; what starts below it is clear', () => {
    expect(warn({ heightMm: 200, dropMm: 185 }, 'sweatshirt', 'Quarter-zip sweatshirt')).toEqual([])
    expect(warn({ heightMm: 200, dropMm: 100 }, 'sweatshirt', 'Quarter-zip sweatshirt')).toHaveLength(1)
  })
  it('a print that reaches into the front pocket of a hoodie, by how much', () => {
    const pocket = featuresOf('hoodie', 'M').find(f => f.kind === 'pocket')!
    const top = pocket.outline[0]![1]
    expect(warn({ dropMm: top - 300 + 18 }, 'hoodie')).toEqual([
      'On size M it runs 18 mm over the front pocket: end the print above it, or print smaller.',
    ])
    expect(warn({ dropMm: top - 300 - 1 }, 'hoodie')).toEqual([])
  })
  it('says the smallest size on which it happens, once', () => {
    const over = (size: Size) => featuresOf('hoodie', size).find(f => f.kind === 'pocket')!.outline[0]![1]
    const drop = over('S') - 300 + 4
    expect(over('XL')).not.toBe(over('S'))
    expect(warn({ dropMm: drop }, 'hoodie', '', ['S', 'M', 'XL'])[0]).toMatch(/^On size S it runs 4 mm/)
    expect(warn({ dropMm: drop }, 'hoodie', '', ['S', 'M', 'XL'])).toHaveLength(1)
  })
  it('the chest pocket that the style’s name tells of', () => {
    const left = { placement: 'left-chest', widthMm: 89, heightMm: 80, dropMm: 85, offsetMm: 100 } as const
    expect(warn(left, 'tee', 'Heavy pocket tee')[0]).toMatch(/over the chest pocket/)
    expect(warn({ ...left, offsetMm: -100 }, 'tee', 'Heavy pocket tee')).toEqual([])
  })
  it('the hood hides the top of a back print; the waistband its foot', () => {
    expect(warn({ placement: 'full-back', dropMm: 89 }, 'hoodie')[0]).toMatch(/over the hanging hood/)
    const hem = hemBelow('back', outlineOf('sweatshirt', 'M').collarToHemMm)
    expect(warn({ placement: 'full-back', dropMm: hem - 62 - 300 + 7 }, 'sweatshirt')).toEqual([
      'On size M it runs 7 mm over the ribbed waistband: move it up, or print smaller.',
    ])
  })
  it('too high: over the collar, and its upper corners over the armhole', () => {
    expect(warn({ dropMm: -6 }, 'tee')[0]).toMatch(/6 mm over the collar seam: move it down/)
    expect(warn({ widthMm: 330, dropMm: 20 }, 'tank').join()).toMatch(/over the armhole’s edge/)
    expect(armholeAt('tee', 'M', 'front', 500)).toBeNull()
    const [high, low] = [armholeAt('tee', 'M', 'front', 40)!, armholeAt('tee', 'M', 'front', 140)!]
    expect(low).toBeGreaterThan(high)
    expect(low).toBeLessThanOrEqual(254)
  })
  it('on a sleeve: folded edge, hem or cuff, armhole', () => {
    const sleeve = { placement: 'sleeve', widthMm: 76, heightMm: 76, dropMm: 25.4, offsetMm: 0 } as const
    expect(warn(sleeve, 'tee')).toEqual([])
    const { openingMm, lengthMm } = sleeveOf('tee', 'M')!
    expect(warn({ ...sleeve, offsetMm: openingMm / 2 - 38 + 9 }, 'tee')).toEqual([
      'On size M it runs 9 mm over the sleeve’s folded edge: move it in, or print narrower.',
    ])
    expect(warn({ ...sleeve, dropMm: 5 }, 'tee')[0]).toMatch(/14 mm over the sleeve’s hem stitching/)
    expect(warn(sleeve, 'hoodie')[0]).toMatch(/37 mm over the ribbed cuff/)
    expect(warn({ ...sleeve, dropMm: lengthMm - 76 + 11 }, 'tee')[0]).toMatch(/11 mm over the armhole seam/)
  })
  it('round a mug the handle is kept clear; the plate has an edge all round', () => {
    const wrap = { placement: 'wrap', widthMm: 200, heightMm: 85, dropMm: 5, offsetMm: 0 } as const
    expect(warn(wrap, 'mug', '', ['One size'])).toEqual([])
    expect(warn({ ...wrap, offsetMm: 18 }, 'mug', '', ['One size'])[0]).toMatch(/8 mm over the handle/)
    expect(
      warn({ placement: 'face', widthMm: 140, heightMm: 100, dropMm: 110 }, 'plate', '', ['One size'])[0],
    ).toMatch(/10 mm over the foot/)
  })
  it('every placement in its usual size and drop stands clear on every size that is worn plain', () => {
    for (const kind of BLANK_KINDS)
      for (const { id, offsetMm, side } of placementsFor(kind))
        for (const size of SIZES) {
          const { widthMm, maxHeightMm, dropMm } = placementOn(id, kind, size)
          // A polo's front is its placket; a hoodie's back is its hood; a tank is cut narrow at the chest.
          const across = kind === 'tank' || (kind === 'polo' && side === 'front' && offsetMm === 0)
          if (across || (kind === 'hoodie' && side === 'back')) continue
          const heightMm = Math.min(maxHeightMm, widthMm * 0.6)
          expect(
            warn({ placement: id, widthMm, heightMm, dropMm, offsetMm }, kind, '', [size]),
            `${id} on ${kind} ${size}`,
          ).toEqual([])
        }
  })
})
