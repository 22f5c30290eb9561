import { expect, it } from 'vitest'
import { DEFAULT_FADE, GarmentFade } from '@/lib/artwork/fade'
import { countSet } from '@/lib/artwork/mask'
import { scan } from '@/lib/artwork/scan'
import { painted, pixel } from './pictures'

it('of a large grainy picture areas and masks stay exact, and the sampled shares come near', () => {
  const [width, height] = [2100, 2000]
  // No two neighbours alike: two inks as grain, a column of the cloth’s colour, a half transparent one, a clear one.
  const art = painted(width, height, (x, y) =>
    x === 7
      ? pixel('#101010')
      : x === 9
        ? pixel('#e4572e', 128)
        : x === 11
          ? null
          : pixel((x + y) % 2 === 0 ? '#e4572e' : y < height / 4 ? '#ffc914' : '#17bebb'),
  )
  const seen = scan(art, new GarmentFade([16, 16, 16], DEFAULT_FADE))
  expect(countSet(seen.solid)).toBe((width - 1) * height)
  expect(countSet(seen.breathing)).toBe((width - 2) * height)
  expect(seen.alpha[255]).toBe((width - 2) * height)
  expect(seen.inkAfter).toBeCloseTo((width - 3 + 128 / 255) * height, 6)
  const all = seen.cells.reduce((n, v) => n + v, 0)
  const share = (hex: string): number => {
    const word = pixel(hex) & 0xffffff
    return seen.cells.reduce((n, v, i) => n + (v > 0 && seen.faces[i] === word ? v : 0), 0) / all
  }
  expect(share('#e4572e')).toBeCloseTo(0.5, 2)
  expect(share('#ffc914')).toBeCloseTo(0.125, 2)
  expect(share('#17bebb')).toBeCloseTo(0.375, 2)
})

it('white on a white cloth goes, black stays, however often they are asked', () => {
  const fade = new GarmentFade([255, 255, 255], DEFAULT_FADE)
  for (let i = 0; i < 2; i++) {
    expect(fade.staysExactly(0xffffffff)).toBe(0)
    expect(fade.staysExactly(0xff000000)).toBe(255)
    expect(fade.stays(0xffffffff)).toBe(0)
  }
})
