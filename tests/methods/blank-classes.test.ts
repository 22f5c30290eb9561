import { describe, expect, it } from 'vitest'
import { feasible } from '@/lib/methods/feasible'
import { type BlankKind, type FibreContent, fibreClass, type Size } from '@/lib/shop/blanks'
import { HEAT_LIMIT, SUBLIMATION_HEAT_LIMIT } from '@/lib/shop/heat'
import { METHODS, type MethodId } from '@/lib/shop/methods'
import type { PlacementId } from '@/lib/shop/placements'
import { settingFor } from '@/lib/shop/recipe'
import { defaultRecipes } from '@/lib/shop/recipes'
import { anOrder, aPrint, aShop } from '../costing/a-shop'

const shop = aShop()

type Row = [
  what: string,
  kind: BlankKind,
  fibres: FibreContent,
  placement: PlacementId,
  size: [width: number, height: number],
  onWhite: MethodId[],
  onBlack: MethodId[],
]

const CHEST: [number, number] = [200, 240]

/** Which methods go on which class of blank: rules of the trade's guides, named at LEAST_POLYESTER and its neighbours. */
const ROWS: Row[] = [
  [
    'cotton tee',
    'tee',
    { cotton: 100 },
    'full-front',
    CHEST,
    ['transfer', 'dtg', 'screen'],
    ['transfer', 'dtg', 'screen'],
  ],
  [
    'blend of half and half',
    'tee',
    { cotton: 50, polyester: 50 },
    'full-front',
    CHEST,
    ['transfer', 'dtg', 'screen'],
    ['transfer', 'dtg', 'screen'],
  ],
  [
    'blend of 65 % polyester',
    'tee',
    { polyester: 65, cotton: 35 },
    'full-front',
    CHEST,
    ['transfer', 'sublimation', 'screen'],
    ['transfer', 'screen'],
  ],
  [
    'polyester tee',
    'tee',
    { polyester: 100 },
    'full-front',
    CHEST,
    ['transfer', 'sublimation', 'screen'],
    ['transfer', 'screen'],
  ],
  [
    'tri-blend tee',
    'tee',
    { polyester: 50, cotton: 25, viscose: 25 },
    'full-front',
    CHEST,
    ['transfer', 'dtg', 'screen'],
    ['transfer', 'dtg', 'screen'],
  ],
  ['nylon bag', 'tote', { nylon: 100 }, 'bag-front', CHEST, ['transfer', 'screen'], ['transfer', 'screen']],
  [
    'canvas tote',
    'tote',
    { cotton: 100 },
    'bag-front',
    CHEST,
    ['transfer', 'dtg', 'screen'],
    ['transfer', 'dtg', 'screen'],
  ],
  ['coated mug', 'mug', { coating: 100 }, 'wrap', [198, 86], ['sublimation'], []],
  ['coated plate', 'plate', { coating: 100 }, 'face', [150, 150], ['sublimation'], []],
  ['coated bottle', 'bottle', { coating: 100 }, 'wrap', [190, 120], ['sublimation'], []],
  [
    'sports sock',
    'sock',
    { polyester: 92, elastane: 8 },
    'wrap',
    [80, 180],
    ['transfer', 'sublimation'],
    ['transfer'],
  ],
]

const order = (method: MethodId, [what, kind, fibres, placement, [widthMm, heightMm]]: Row, hex: string) =>
  anOrder({
    method,
    blank: { kind, style: what, colour: { name: hex === '#ffffff' ? 'White' : 'Black', hex }, fibres },
    sizes: { [(kind === 'tee' ? 'M' : 'One size') as Size]: 24 },
    prints: [aPrint({ placement, widthMm, heightMm })],
  })

describe('classes of blank', () => {
  it.each(ROWS)('%s', (...row) => {
    const can = (hex: string) => METHODS.filter(m => feasible(order(m, row, hex), shop).can)
    expect(can('#ffffff')).toEqual(row[5])
    expect(can('#101010')).toEqual(row[6])
    // Whatever cannot says why, in whole sentences.
    for (const method of METHODS)
      for (const { message } of feasible(order(method, row, '#101010'), shop).reasons)
        expect(message).toMatch(/^\S.+[.]$/)
  })
  it.each(ROWS)('%s: no way that can heats it above what its fibres take', (...row) => {
    const fibre = fibreClass(row[2])
    for (const method of row[5])
      for (const step of defaultRecipes[method].steps) {
        const heat = settingFor(step, fibre)?.temperature?.value ?? 0
        const limit =
          method === 'sublimation' && fibre !== 'hard' ? SUBLIMATION_HEAT_LIMIT : HEAT_LIMIT[fibre]
        expect(heat, `${method} ${step.key}`).toBeLessThanOrEqual(limit.value)
      }
  })
  it('a sock stretches, and the transfer says so', () =>
    expect(
      feasible(order('transfer', ROWS.at(-1) as Row, '#ffffff'), shop).remarks.map(r => r.code),
    ).toContain('stretch'))
})
