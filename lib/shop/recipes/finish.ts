import type { RecipeStep } from '../recipe'
import { practice } from '../sourced'
import { step } from './build'

/** What ends every job, whatever the method: once for each piece. */
export const finish: RecipeStep[] = [
  step({
    key: 'pack',
    words: 'Check, fold and pack',
    stationKind: 'bench',
    per: 'piece',
    setup: { seconds: practice(240), per: 'job' },
    handlingSeconds: practice(25),
  }),
]
