import { clothOf, methodOf } from '@/lib/costing/chains'
import { coveredCm2, type OrderWork, printedCm2, sizedPrints } from '@/lib/costing/order'
import { METHOD_WORDS, type MethodId } from '@/lib/shop/methods'
import type { Recipe } from '@/lib/shop/recipe'
import type { Worked } from '@/lib/units/working'
import { SWEATY_FROM_CM2 } from './feasible'

/** Hand-feel from 0, nothing to feel, to 4, a stiff patch. */
export type Feel = { score: 0 | 1 | 2 | 3 | 4; words: string }

export const FEEL_WORDS = [
  'nothing to feel',
  'soft, hardly to feel',
  'a thin film',
  'a film to feel',
  'stiff, holds sweat',
] as const

/**
 * How the print feels on the body, by the worst of its prints. Dye in the fibre is not felt; ink on light cloth is soft; an underbase
 * or a film is felt the more of it is unbroken. Steps at 25 and 100 cm² of unbroken patch; common shop practice.
 */
export function feelOf(order: OrderWork, recipes: Record<MethodId, Recipe>): Worked<Feel> {
  let score = 0
  let patch = 0
  let covered = 0
  let printed = 0
  const methods = new Set<string>()
  order.lines.forEach((line, lineAt) => {
    const { ground } = clothOf(line.blank)
    line.prints.forEach((print, printAt) => {
      const method = methodOf(order, { line: lineAt, print: printAt })
      const sizes = sizedPrints(line, print).map(made => made.print)
      const solid = Math.max(...sizes.map(p => p.art?.largestSolidCm2 ?? coveredCm2(p)))
      const size = solid >= SWEATY_FROM_CM2 ? 2 : solid >= 25 ? 1 : 0
      const own = {
        sublimation: 0,
        dtg: ground === 'dark' ? 2 : 1,
        screen: Math.min(3, (ground === 'dark' ? 2 : 1) + (recipes[method].softInk ? 0 : size)),
        transfer: 2 + size,
      }[method]
      score = Math.max(score, own)
      patch = Math.max(patch, solid)
      covered += coveredCm2(print)
      printed += printedCm2(print)
      methods.add(METHOD_WORDS[method].short)
    })
  })
  const feel: Feel = { score: score as Feel['score'], words: FEEL_WORDS[score] ?? FEEL_WORDS[4] }
  return {
    value: feel,
    working: {
      formula: 'film of the method, felt more the larger its unbroken patch; the worst print counts',
      inputs: [
        { name: 'Method', value: [...methods].join(', ') || 'none', from: 'agreed' },
        {
          name: 'Largest unbroken patch',
          value: `${Math.round(patch)} cm²`,
          from: 'measured',
          source: 'artwork',
        },
        {
          name: 'Covered share of the print',
          value: `${printed > 0 ? Math.round((covered / printed) * 100) : 0} %`,
          from: 'measured',
          source: 'artwork',
        },
      ],
      result: feel.words,
      note: 'Steps at 25 and 100 cm² of unbroken patch: common shop practice.',
    },
  }
}
