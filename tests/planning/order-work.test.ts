import { describe, expect, it } from 'vitest'
import { designsOf, sizedPrints } from '@/lib/costing/order'
import { workFrom } from '@/lib/planning/order-work'
import { aLine, anOrder } from '../orders/builders'

describe('an order as work', () => {
  const [print] = aLine().prints
  const art = {
    id: print!.artwork!.id,
    areaCm2: 600,
    coverage: 0.65,
    colours: 3,
    largestSolidCm2: 90,
    partlyTransparent: 0,
    ppi: 300,
  }
  const facts = { art: new Map([[print!.id, art]]), blanks: new Map(), keptScreens: [], preparedArt: [] }
  const sized = (bySize: { from: 'S' | '2XL'; to: 'M' | '2XL'; widthMm: number }[]) =>
    workFrom(anOrder({ lines: [aLine({ prints: [{ ...print!, bySize }] })] }), 'screen', facts)

  it('has each print in every size that its garments have it in, its areas with the square of the width', () => {
    const work = sized([{ from: 'S', to: 'M', widthMm: 244 }])
    const [line] = work.lines
    const made = sizedPrints(line!, line!.prints[0]!)
    // 244 of 305 mm is four fifths: 600 × 0.64 = 384 cm², 90 × 0.64 = 57.6 cm², 300 ÷ 0.8 = 375 ppi; 300 mm high becomes 240.
    expect(made.map(m => [m.sizes, m.print.widthMm, m.print.heightMm])).toEqual([
      [['S', 'M'], 244, 240],
      [['L', '2XL'], 305, 300],
    ])
    expect(made[0]?.print.art?.areaCm2).toBeCloseTo(384, 9)
    expect(made[0]?.print.art?.largestSolidCm2).toBeCloseTo(57.6, 9)
    expect(made[0]?.print.art?.ppi).toBeCloseTo(375, 9)
    expect(made[1]?.print.art).toEqual(art)
    expect(designsOf(work)).toEqual([`${art.id}@2440x2400`, `${art.id}@3050x3000`])
  })
  it('has it once where a rule says its own width, or names sizes that nobody ordered', () => {
    expect(designsOf(sized([{ from: 'S', to: '2XL', widthMm: 305 }]))).toEqual([`${art.id}@3050x3000`])
    const none = sized([{ from: '2XL', to: '2XL', widthMm: 330 }])
    const [line] = none.lines
    const without = { ...line!, sizes: line!.sizes.filter(s => s.size !== '2XL') }
    expect(sizedPrints(without, line!.prints[0]!)).toHaveLength(1)
  })
})
