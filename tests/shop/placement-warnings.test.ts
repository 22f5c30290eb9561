import { expect, test } from 'vitest'
import { outlineOf } from '@/lib/shop/blanks'
import { type PlacedPrint, placementWarnings } from '@/lib/shop/placement-warnings'
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
