import { describe, expect, it } from 'vitest'
import { pressPlanOf } from '@/lib/floor/press-plan'
import type { StepPart, StepRecipe } from '@/lib/planning/recipe-snapshot'

const part = (key: string, dwellSeconds: number, peel: string | null = null): StepPart => ({
  key,
  words: key,
  temperature: 149,
  dwellSeconds,
  pressure: 'medium',
  peel,
  coverSheet: null,
  sources: [],
})
const recipe = (parts: StepPart[], restMinutes = 0, onBlank = true): StepRecipe => ({
  key: 'press',
  words: 'Press',
  method: 'transfer',
  recipe: null,
  phase: 'work',
  parts,
  restMinutes,
  counted: { per: 'print', units: 1 },
  onBlank,
  uses: [],
  postDays: 0,
  cautions: [],
  notes: [],
  print: null,
})

describe('what the countdown counts', () => {
  it('is each closing of the press in turn, with what is done after it', () => {
    const plan = pressPlanOf(
      recipe([part('pre-press', 5), part('press', 16, 'hot'), part('post-press', 5)]),
      'heat-press',
    )
    expect(plan?.stages).toEqual([
      { title: 'Pre-press', seconds: 5 },
      { title: 'Press', seconds: 16, after: 'peel hot' },
      { title: 'Post-press', seconds: 5 },
    ])
    expect(plan?.rest).toBe(0)
  })
  it('leaves out what takes no time, and lets a piece settle aside', () => {
    const plan = pressPlanOf(recipe([part('pre-press', 0), part('press', 40)], 1), 'heat-press')
    expect(plan).toEqual({ stages: [{ title: 'Press', seconds: 40 }], rest: 60 })
  })
  it('is nothing at a bench or a belt, nor where no blank is worked', () => {
    expect(pressPlanOf(recipe([part('cure', 75)]), 'dryer')).toBeNull()
    expect(pressPlanOf(recipe([part('peel', 5)]), 'bench')).toBeNull()
    expect(pressPlanOf(recipe([part('print', 120)], 0, false), 'dtg-printer')).toBeNull()
    expect(pressPlanOf(recipe([part('press', 0)]), 'heat-press')).toBeNull()
  })
})
