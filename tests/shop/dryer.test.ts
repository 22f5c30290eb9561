import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { beltSpeed, dryerDwell, dryerRate, heatedFromFeet, insideDryer } from '@/lib/shop/dryer'
import { mm } from '@/lib/units/measure'

const { dryer } = JSON.parse(
  readFileSync(new URL('../vectors/costing-operations.json', import.meta.url), 'utf8'),
) as { dryer: { rows_length_ft_dwell_s_speed_ft_min: [number, number, number][] } }

describe('conveyor dryer', () => {
  // Definition: dwell = heated length ÷ belt speed; rows worked by hand in feet.
  it.each(dryer.rows_length_ft_dwell_s_speed_ft_min)(
    '%i ft at %i s runs at %f ft/min, both ways',
    (feet, dwell, speed) => {
      expect(beltSpeed(heatedFromFeet(feet), dwell) / 304.8).toBeCloseTo(speed, 5)
      expect(dryerDwell(heatedFromFeet(feet), speed * 304.8)).toBeCloseTo(dwell, 3)
    },
  )
  // A trade article prints 60 an hour for six garments in 60 s; six at once through 60 s are 360.
  it('six in the chamber at 60 s are 360 an hour', () => expect(dryerRate(6, 60)).toBe(360))
  it('at least one piece is inside', () => {
    expect(insideDryer(mm(1829), mm(600), 1)).toBe(3)
    expect(insideDryer(mm(400), mm(600), 1)).toBe(1)
    expect(insideDryer(mm(1829), mm(600), 2)).toBe(6)
  })
  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])('a belt at %f is refused', speed =>
    expect(() => dryerDwell(mm(1829), speed)).toThrow(RangeError),
  )
})
