import { describe, expect, it } from 'vitest'
import type { LineWork, OrderWork, PrintWork } from '@/lib/costing/order'
import { prepare } from '@/lib/costing/prepare'
import { piecesThrough, type SizeCount, stepRecipeSchema } from '@/lib/planning/recipe-snapshot'
import { isAfter, type NewStep, type OrderRows, remakeOf, stepsOf } from '@/lib/planning/steps'
import type { FibreContent, Size } from '@/lib/shop/blanks'
import type { MethodId } from '@/lib/shop/methods'
import type { PlacementId } from '@/lib/shop/placements'
import { defaultRates } from '@/lib/shop/rates'
import { defaultRecipes, finish } from '@/lib/shop/recipes'
import type { Micro } from '@/lib/units/money'

const costing = prepare({
  recipes: defaultRecipes,
  finish,
  stations: [],
  rates: defaultRates,
  show: { currency: 'EUR', locale: 'en', system: 'metric' },
})

const RUN: [Size, number][] = [
  ['S', 4],
  ['M', 8],
  ['L', 8],
  ['2XL', 4],
]
type Line = {
  hex?: string
  fibres?: FibreContent
  art?: string
  placements?: PlacementId[]
  sizes?: [Size, number][]
}

/** An order as it is costed, and the same as rows: 24 navy cotton tees with a full front, unless told otherwise. */
function anOrder(method: MethodId, ...lines: Line[]): { work: OrderWork; rows: OrderRows } {
  const full = lines.map((l, i) => ({
    hex: '#14213d',
    fibres: { cotton: 100 },
    art: 'heron',
    placements: ['full-front'] as PlacementId[],
    sizes: RUN,
    ...l,
    i,
  }))
  return {
    work: {
      method,
      lines: full.map(
        (l): LineWork => ({
          blank: {
            kind: 'tee',
            style: 'Tee',
            colour: { name: `c${l.i}`, hex: l.hex },
            fibres: l.fibres,
          },
          sizes: l.sizes.map(([size, quantity]) => ({
            size,
            quantity,
            unitCost: 2_500_000 as Micro,
            name: size,
          })),
          prints: l.placements.map(
            (placement): PrintWork => ({
              placement,
              widthMm: 280,
              heightMm: 300,
              art: {
                id: l.art,
                areaCm2: 400,
                coverage: 0.48,
                colours: 2,
                largestSolidCm2: 60,
                partlyTransparent: 0,
                ppi: 300,
              },
            }),
          ),
        }),
      ),
    },
    rows: {
      lines: full.map(l => ({
        sizes: l.sizes.map(
          ([size, quantity]): SizeCount => ({ size, colour: `c${l.i}`, itemId: `${l.i}-${size}`, quantity }),
        ),
        prints: l.placements.map(placement => ({
          id: `${l.i}-${placement}`,
          placement,
          widthMm: 280,
          heightMm: 300,
          dropMm: 57,
          offsetMm: 0,
          artworkId: l.art,
          artworkName: `${l.art}.png`,
        })),
      })),
    },
  }
}
const steps = (method: MethodId, ...lines: Line[]) => {
  const { work, rows } = anOrder(method, ...lines)
  return stepsOf(work, rows, costing)
}
const read = (list: NewStep[]) => list.map(s => `${s.job} ${s.position} ${s.key}`)
const find = (list: NewStep[], key: string) => {
  const found = list.find(s => s.key === key)
  if (!found) throw new Error(`no ${key} among ${read(list).join(', ')}`)
  return found
}
const WHITE = '#ffffff'
const POLYESTER = { polyester: 100 }

describe('the steps of an order', () => {
  it('by transfer: cut, one visit to the press for its three closings, pack', () => {
    const list = steps('transfer', {})
    expect(read(list)).toEqual(['batch-1 1 cut', 'batch-1 2 press', 'batch-1 3 pack'])
    const press = find(list, 'press')
    expect(press.recipe.parts.map(p => [p.key, p.temperature, p.dwellSeconds])).toEqual([
      ['pre-press', 149, 5],
      // Common practice, no single source: about 300 °F (149 °C) for about 16 s, peeled hot.
      ['press', 149, 16],
      ['post-press', 149, 5],
    ])
    expect(press.recipe.parts[1]?.peel).toBe('hot')
    expect(press).toMatchObject({ stationKind: 'heat-press', stationState: '149C', pieces: 24 })
  })

  it('on polyester at the lower temperature', () => {
    const press = find(steps('transfer', { fibres: POLYESTER }), 'press')
    expect(press).toMatchObject({ stationState: '132C' })
    expect(press.recipe.parts[1]).toMatchObject({ temperature: 132, dwellSeconds: 12 })
  })

  it('by sublimation: pre-press, about 400 °F for about 40 s, and the piece settles before it is peeled', () => {
    const list = steps('sublimation', { hex: WHITE, fibres: POLYESTER })
    expect(list.map(s => s.key)).toEqual(['art', 'print', 'press', 'peel', 'pack'])
    const press = find(list, 'press')
    expect(press).toMatchObject({ stationState: '204C', gapMin: 1 })
    expect(press.recipe.parts.map(p => [p.key, p.dwellSeconds])).toEqual([
      ['pre-press', 6],
      ['press', 40],
    ])
    expect(press.recipe.restMinutes).toBe(1)
  })

  it('by DTG: pretreat only on dark cloth, and wet work may not wait too long', () => {
    const dark = steps('dtg', {})
    expect(dark.map(s => s.key)).toEqual(['art', 'pretreat', 'dry', 'print', 'cure', 'pack'])
    expect(dark.map(s => s.gapMax)).toEqual([null, 240, null, 120, null, null])
    expect(steps('dtg', { hex: WHITE }).map(s => s.key)).toEqual(['art', 'print', 'cure', 'pack'])
  })

  it('by screen: screens before, reclaim after and in a chain that nobody waits for', () => {
    const list = steps('screen', {})
    const main = list.filter(s => !isAfter(s.job))
    expect(main.map(s => s.recipe.phase)).toEqual(['before', 'before', 'before', 'work', 'work', 'work'])
    expect(main.map(s => s.stationKind)).toEqual([
      'bench',
      'bench',
      'bench',
      'screen-press',
      'dryer',
      'bench',
    ])
    const after = list.filter(s => s.recipe.phase === 'after')
    expect(after.at(-1)?.key).toBe('reclaim')
    expect(new Set(after.map(s => s.job))).toEqual(new Set(['after-1']))
  })

  it('prints front and back in turn, since a garment is in one place, and packs once', () => {
    const list = steps('transfer', { placements: ['full-front', 'full-back'] })
    expect(list.map(s => [s.job, s.key, s.printId])).toEqual([
      ['batch-1', 'cut', '0-full-front'],
      ['batch-1', 'press', '0-full-front'],
      ['batch-1', 'cut', '0-full-back'],
      ['batch-1', 'press', '0-full-back'],
      ['batch-1', 'pack', null],
    ])
  })

  it('takes the times that costing counts, so the plan and the price speak of the same work', () => {
    const list = steps('transfer', {})
    for (const s of list) expect(s.runMinutes).toBeGreaterThan(0)
    const packed = find(list, 'pack')
    // 25 s a piece and 4 min of set-up: the recipe's own values.
    expect([packed.setupMinutes, packed.runMinutes]).toEqual([4, 10])
  })
})

describe('lines of one order', () => {
  it('with the same design go together, whatever the colour', () => {
    const list = steps('transfer', {}, { hex: '#101010', sizes: [['M', 5]] })
    expect(new Set(list.map(s => s.job))).toEqual(new Set(['batch-1']))
    const press = find(list, 'press')
    expect(press.pieces).toBe(29)
    expect(press.sizes.at(-1)).toEqual({ size: 'M', colour: 'c1', itemId: '1-M', quantity: 5 })
  })
  it('with another ground share the chain and its screens, dark first', () => {
    const list = steps('screen', { hex: WHITE }, {})
    expect(new Set(list.filter(s => !isAfter(s.job)).map(s => s.job))).toEqual(new Set(['batch-1']))
    expect(list.filter(s => s.stationKind === 'screen-press').map(s => s.sizes[0]?.itemId)).toEqual([
      '1-S',
      '0-S',
    ])
  })
  it('with another design are a chain of their own, and each packs its own pieces', () => {
    const list = steps('dtg', {}, { art: 'tern', sizes: [['L', 6]] })
    expect(new Set(list.map(s => s.job))).toEqual(new Set(['batch-1', 'batch-2']))
    expect(list.filter(s => s.key === 'pack').map(s => [s.job, s.pieces, s.setupMinutes])).toEqual([
      ['batch-1', 24, 4],
      ['batch-2', 6, 0],
    ])
  })
  it('without pieces or prints make no work', () => {
    const list = steps('transfer', {}, { sizes: [['M', 0]] }, { placements: [] })
    expect(find(list, 'pack').pieces).toBe(24)
    expect(list.flatMap(s => s.sizes).every(s => s.itemId.startsWith('0-'))).toBe(true)
  })
})

describe('a print that is smaller on the small sizes', () => {
  const half = { sizes: ['S', 'M'] as const, widthMm: 140, heightMm: 150 }
  const sized = (method: MethodId) => {
    const { work, rows } = anOrder(method, {})
    const lines = work.lines.map(l => ({ ...l, prints: l.prints.map(p => ({ ...p, bySize: [half] })) }))
    return stepsOf({ ...work, lines }, rows, costing)
  }
  const held = (s: NewStep) => s.sizes.map(z => z.size)
  const all = steps('screen', {})
    .find(s => s.key === 'pack')
    ?.sizes.map(z => z.size)

  it('is worked size by size with its own screens, and packed together', () => {
    const list = sized('screen').filter(s => !isAfter(s.job))
    expect(new Set(list.map(s => s.job))).toEqual(new Set(['batch-1']))
    const [small, large] = list.filter(s => s.stationKind === 'screen-press')
    expect(held(small!)).toEqual(['S', 'M'])
    expect(held(large!)).toEqual(all?.filter(s => s !== 'S' && s !== 'M'))
    expect(small?.recipe.print).toMatchObject({ widthMm: 140, heightMm: 150, screens: 3 })
    expect(large?.recipe.print).toMatchObject({ widthMm: 280, heightMm: 300, screens: 3 })
    expect(small?.title).toMatch(/, S, M$/)
    expect(list.filter(s => s.key === 'expose').map(s => s.recipe.counted.units)).toEqual([3, 3])
    expect(held(find(list, 'pack'))).toEqual(all)
    expect(piecesThrough(list).map(z => z.size)).toEqual(all)
  })
  it('draws a quarter of the ink for half the width', () => {
    // 60 ml/m² of white (a DTG machine maker's figure) over 400 cm², and over 100.
    const each = sized('dtg').flatMap(s => s.recipe.uses.filter(u => u.consumable === 'dtg-white'))
    expect(each.map(u => Math.round(u.perPiece))).toEqual([600, 2400])
  })
  it('a spoiled small piece is made again at its own size alone', () => {
    const chain = sized('dtg').filter(s => s.job === 'batch-1')
    const again = remakeOf(chain, [{ size: 'S', colour: 'c0', itemId: '0-S', quantity: 1 }], 'remake-1')
    expect(again.flatMap(s => (s.recipe.print ? [s.recipe.print.widthMm] : []))).toEqual(
      again.filter(s => s.recipe.print).map(() => 140),
    )
    expect(again.at(-1)?.key).toBe('pack')
  })
})

describe('what a step keeps', () => {
  it('can be read back from the database as it was', () => {
    for (const method of ['transfer', 'sublimation', 'dtg', 'screen'] as const)
      for (const s of steps(method, { fibres: method === 'sublimation' ? POLYESTER : { cotton: 100 } }))
        expect(stepRecipeSchema.parse(JSON.parse(JSON.stringify(s.recipe)))).toEqual(s.recipe)
  })
  it('says where the blank is worked: from the first machine that holds it', () => {
    const at = (method: MethodId) => Object.fromEntries(steps(method, {}).map(s => [s.key, s.recipe.onBlank]))
    expect(at('transfer')).toEqual({ cut: false, press: true, pack: true })
    expect(at('dtg')).toMatchObject({ pretreat: true, dry: true, print: true, cure: true })
    expect(at('screen')).toMatchObject({ art: false, coat: false, expose: false, cure: true, reclaim: false })
  })
  it('waits for the post where transfers are bought in, once', () => {
    expect(steps('transfer', {}).map(s => s.recipe.postDays)).toEqual([defaultRates.transferDays, 0, 0])
    expect(steps('dtg', {}).every(s => s.recipe.postDays === 0)).toBe(true)
  })
  it('draws each consumable at one step of the chain', () => {
    const uses = (method: MethodId) =>
      steps(method, {}).flatMap(s => s.recipe.uses.map(u => `${s.key} ${u.consumable}`))
    expect(uses('dtg')).toContain('pretreat pretreat')
    expect(uses('dtg')).toContain('print dtg-white')
    const screen = uses('screen')
    expect(screen).toContain('expose emulsion')
    expect(new Set(screen).size).toBe(screen.length)
  })
  it('draws as much for all pieces as costing counts', () => {
    const print = find(steps('dtg', {}), 'print')
    const white = print.recipe.uses.find(u => u.consumable === 'dtg-white')
    // 60 ml/m² of white, four times the colour (a DTG machine maker's figure), over 400 cm²: 2.4 ml a piece.
    expect(white?.perPiece).toBeCloseTo(2400, 6)
  })
  it('says that its values are starting values where there is heat, and carries each caution once', () => {
    const list = steps('transfer', {})
    expect(find(list, 'press').recipe.notes[0]).toMatch(/^Starting values/)
    expect(find(list, 'pack').recipe.notes).toEqual([])
    const { cautions } = find(list, 'press').recipe
    expect(cautions.filter(c => c.startsWith('Hot platen'))).toHaveLength(1)
    expect(cautions.some(c => c.startsWith('Fumes'))).toBe(true)
  })
})

describe('the remake of spoiled pieces', () => {
  const m = (quantity: number): SizeCount => ({ size: 'M', colour: 'c0', itemId: '0-M', quantity })
  const chain = steps('screen', {}).filter(s => s.job === 'batch-1')
  const remake = remakeOf(chain, [m(1)], 'remake-1')

  it('does everything again that the old blank had, but makes no new screens and reclaims none', () => {
    expect(remake.map(s => s.stationKind)).toEqual(['screen-press', 'dryer', 'bench'])
    expect(remake.map(s => s.position)).toEqual([1, 2, 3])
  })
  it('takes its share of the run, rounded up, and the whole set-up', () => {
    const print = chain.find(s => s.stationKind === 'screen-press') as NewStep
    expect(remake[0]).toMatchObject({
      pieces: 1,
      sizes: [m(1)],
      setupMinutes: print.setupMinutes,
      runMinutes: Math.ceil(print.runMinutes / 24),
    })
  })
  it('leaves out steps that never touch that blank', () => {
    const two = steps('transfer', {}, { hex: WHITE, placements: ['full-front', 'full-back'] })
    const other = remakeOf(two, [m(1)], 'remake-1')
    expect(other.every(s => s.printId === null || s.printId === '0-full-front')).toBe(true)
  })
  it('does not wait for the post: the spare transfers are there', () => {
    const again = remakeOf(steps('transfer', {}), [m(1)], 'remake-1')
    expect(again.map(s => s.recipe.postDays)).toEqual([0, 0, 0])
  })
  it('can itself be remade', () => {
    expect(remakeOf(remake, [m(1)], 'remake-2').map(s => s.key)).toEqual(remake.map(s => s.key))
  })
})
