import { describe, expect, it } from 'vitest'
import { fileStem, type PrintToMake, printTasks } from '@/lib/artwork/print-files'
import { placedWarnings, printsBySize, proposedRules, sizeOf, sizeRanges } from '@/lib/artwork/print-sizes'
import { checkPlacement } from '@/lib/shop/placements'

const front = { widthMm: 254, heightMm: 300 }

describe('one artwork, several print sizes', () => {
  it('what stands in the way is looked for at the size that each garment gets', () => {
    const print = { ...front, placement: 'full-front', dropMm: 57, offsetMm: 0 } as const
    const warn = (rules: Parameters<typeof placedWarnings>[1]) =>
      placedWarnings(print, rules, 'tee', ['YXS', 'M'], 'screen', [], '')
    expect(warn([])).toEqual([expect.stringMatching(/254 mm is too wide .* on size YXS/)])
    expect(warn(proposedRules(print, 'full-front', 'tee', ['YXS', 'M']))).toEqual([])
    expect(warn([{ from: 'M', to: '3XL', widthMm: 400 }]).join(' ')).toMatch(/on size YXS.* on size M/s)
    const [small] = proposedRules(print, 'full-front', 'tee', ['YXS', 'M'])
    expect(sizeOf(print, 'YXS', [small!]).widthMm).toBe(small?.widthMm)
    expect(sizeOf(print, 'M', [small!])).toEqual(front)
  })
  it('a range for each distinct width, heights in proportion', () => {
    expect(
      sizeRanges(
        front,
        ['M', 'YM', 'S', '2XL', 'L'],
        [
          { from: 'YXS', to: 'YXL', widthMm: 190 },
          { from: 'XL', to: '5XL', widthMm: 300 },
        ],
      ),
    ).toEqual([
      { sizes: ['YM'], label: 'YM', widthMm: 190, heightMm: 224.4 },
      { sizes: ['S', 'M', 'L'], label: 'S-L', widthMm: 254, heightMm: 300 },
      { sizes: ['2XL'], label: '2XL', widthMm: 300, heightMm: 354.3 },
    ])
  })
  it('the first rule that holds a size counts; sizes apart of one width share a file', () => {
    const ranges = sizeRanges(
      front,
      ['S', 'M', 'XL'],
      [
        { from: 'M', to: 'M', widthMm: 280 },
        { from: 'S', to: 'L', widthMm: 100 },
        { from: 'XL', to: 'XL', widthMm: 100 },
      ],
    )
    expect(ranges.map(r => [r.label, r.widthMm])).toEqual([
      ['S, XL', 100],
      ['M', 280],
    ])
  })
  it('proposes smaller prints only where the guide asks for them, and they pass it then', () => {
    const sizes = ['YS', 'YM', 'S', 'XL'] as const
    const rules = proposedRules(front, 'full-front', 'tee', sizes)
    expect(rules.every(r => r.from.startsWith('Y') && r.widthMm % 5 === 0 && r.widthMm < 254)).toBe(true)
    for (const { sizes: held, widthMm, heightMm } of sizeRanges(front, sizes, rules))
      expect(checkPlacement('full-front', 'tee', held, widthMm, heightMm).ok).toBe(true)
    expect(proposedRules(front, 'full-front', 'tee', ['M', 'L'])).toEqual([])
  })
  const print: PrintToMake = {
    order: 1042,
    placement: 'full-front',
    ...front,
    method: 'sublimation',
    cloth: '#ffffff',
    mend: null,
    inks: 0,
    shelf: [],
  }
  it('files are named by order, print, garment sizes and size', () => {
    const prints = printsBySize(print, ['YM', 'S', 'L'], [{ from: 'YXS', to: 'YXL', widthMm: 190 }])
    expect(prints.map(fileStem)).toEqual(['1042-full-front-ym-190x224mm', '1042-full-front-s-l-254x300mm'])
    expect(printTasks(prints[0]!, 'art.png', 'out')).toEqual([
      {
        kind: 'mirror',
        from: 'art.png',
        to: 'out/1042-full-front-ym-190x224mm-mirrored.png',
        widthMm: 190,
        heightMm: 224.4,
      },
    ])
  })
  it('all sizes alike: one set of files without a size in its name', () => {
    expect(printsBySize(print, ['S', 'L'], []).map(fileStem)).toEqual(['1042-full-front-254x300mm'])
    expect(printsBySize(print, ['S', 'L'], [{ from: 'S', to: 'L', widthMm: 200 }])[0]).toMatchObject({
      widthMm: 200,
    })
  })
})
