import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { StepRecipe } from '@/lib/planning/recipe-snapshot'
import { missingByPart, partJob, type SplitStep, splitSteps } from '@/lib/planning/split-steps'

const recipe = (phase: StepRecipe['phase']): StepRecipe => ({
  key: 'press',
  words: 'Press',
  method: 'transfer',
  recipe: null,
  phase,
  parts: [],
  restMinutes: 0,
  counted: { per: phase === 'before' ? 'screen' : 'piece', units: 10 },
  onBlank: phase === 'work',
  uses: [],
  postDays: 0,
  cautions: [],
  notes: [],
  print: null,
})
const step = (position: number, sizes: [string, number][], change: Partial<SplitStep> = {}): SplitStep => ({
  id: `s${position}`,
  job: 'batch-1',
  position,
  key: 'press',
  title: 'Press',
  stationKind: 'heat-press',
  stationState: '149C',
  setupMinutes: 5,
  runMinutes: 40,
  attended: 'all',
  pausable: true,
  gapMin: 0,
  gapMax: null,
  pieces: sizes.reduce((n, [, q]) => n + q, 0),
  sizes: sizes.map(([itemId, quantity]) => ({ itemId, size: itemId, colour: '', quantity })),
  recipe: recipe('work'),
  printId: null,
  state: 'waiting',
  good: 0,
  spoiled: 0,
  ...change,
})
const value = (r: ReturnType<typeof splitSteps>) => {
  if (!r.ok) throw new Error(r.message)
  return r.value
}

describe('a batch split in two', () => {
  it('begins with the blanks that are here', () => {
    const { first, second } = value(
      splitSteps(
        [
          step(1, [
            ['M', 6],
            ['L', 4],
          ]),
        ],
        new Map([
          ['M', 6],
          ['L', 0],
        ]),
        ['batch-1'],
      ),
    )
    expect(first[0]).toMatchObject({ pieces: 6, runMinutes: 24 })
    expect(second[0]).toMatchObject({ job: 'batch-1.2', position: 1, pieces: 4, runMinutes: 16 })
  })
  it('makes screens once, for the first part', () => {
    const chain = [step(1, [['M', 4]], { recipe: recipe('before') }), step(2, [['M', 4]])]
    const { first, second } = value(splitSteps(chain, new Map(), ['batch-1']))
    expect(first.map(f => f.id)).toEqual(['s2'])
    expect(second).toHaveLength(1)
  })
  it('is refused once work on the pieces has begun, for one piece, and for a remake', () => {
    const refused = (chain: SplitStep[]) => splitSteps(chain, new Map(), []).ok
    expect(refused([step(1, [['M', 4]], { state: 'running' })])).toBe(false)
    expect(refused([step(1, [['M', 4]], { good: 1 })])).toBe(false)
    expect(refused([step(1, [['M', 1]])])).toBe(false)
    expect(refused([step(1, [['M', 4]], { job: 'remake-1' })])).toBe(false)
  })
  it('loses no piece and no minute, whatever is here', () => {
    const sizes = fc.array(fc.integer({ min: 1, max: 60 }), { minLength: 1, maxLength: 5 })
    fc.assert(
      fc.property(sizes, fc.array(fc.integer({ min: 0, max: 60 }), { maxLength: 5 }), (wanted, here) => {
        fc.pre(wanted.reduce((a, b) => a + b, 0) > 1)
        const chain = [1, 2].map(n =>
          step(
            n,
            wanted.map((q, i) => [`i${i}`, q]),
          ),
        )
        const split = value(splitSteps(chain, new Map(here.map((n, i) => [`i${i}`, n])), []))
        for (const s of chain) {
          const a = split.first.find(f => f.id === s.id)
          const b = split.second.find(n => n.position === s.position)
          expect((a?.pieces ?? 0) + (b?.pieces ?? 0)).toBe(s.pieces)
          expect(a?.pieces).toBeGreaterThan(0)
          expect(b?.pieces).toBeGreaterThan(0)
          expect((a?.runMinutes ?? 0) + (b?.runMinutes ?? 0)).toBeGreaterThanOrEqual(s.runMinutes)
          expect((a?.runMinutes ?? 0) + (b?.runMinutes ?? 0)).toBeLessThanOrEqual(s.runMinutes + 1)
          const sum = new Map<string, number>()
          for (const z of [...(a?.sizes ?? []), ...(b?.sizes ?? [])])
            sum.set(z.itemId, (sum.get(z.itemId) ?? 0) + z.quantity)
          expect([...sum].sort()).toEqual(s.sizes.map(z => [z.itemId, z.quantity]).sort())
        }
      }),
    )
  })
  it('names parts on', () => {
    expect(partJob('batch-1', ['batch-1'])).toBe('batch-1.2')
    expect(partJob('batch-1.2', ['batch-1', 'batch-1.2'])).toBe('batch-1.3')
  })
  it('lets what is missing be missing in the last part first', () => {
    const parts = [new Map([['M', 6]]), new Map([['M', 4]])]
    expect(missingByPart(parts, new Map([['M', 3]])).map(m => m.get('M') ?? 0)).toEqual([0, 3])
    expect(missingByPart(parts, new Map([['M', 7]])).map(m => m.get('M') ?? 0)).toEqual([3, 4])
  })
})
