import type { Recipe } from '../recipe'
import { practice } from '../sourced'
import { FUMES, LOCK_OUT, prepareArt, step, timed } from './build'
import { transfer } from './transfer'

const UNCERTAIN = 'from memory, no published source found: weigh a metre of film before and after'

/** Film printed in house: the press work is that of a bought-in transfer. */
export const film: Recipe = {
  id: 'transfer-film',
  method: 'transfer',
  version: 1,
  name: 'Transfer, film made here',
  supply: 'in-house',
  sheet: null,
  screens: false,
  steps: [
    prepareArt('Prepare the art: let the garment through, open its solids, file at size', 720),
    step({
      key: 'print-film',
      words: 'Print the film, powder it, melt the powder',
      stationKind: 'film-printer',
      setup: { seconds: practice(600), per: 'job' },
      handlingSeconds: practice(5),
      settings: timed(practice(75, 'common shop practice: about 6 m² an hour')),
      dwellAtCm2: practice(774.2, 'a print of 10 × 12 in'),
      attended: 'setup',
      gapMin: practice(5, 'common shop practice: the film cools before it is cut'),
      cautions: [FUMES, LOCK_OUT],
    }),
    ...transfer.steps,
  ],
  deposits: [
    {
      by: 'area',
      consumable: 'film-colour',
      area: 'covered',
      perCm2: practice(1.1, UNCERTAIN),
      ground: 'any',
    },
    { by: 'area', consumable: 'film-white', area: 'covered', perCm2: practice(2, UNCERTAIN), ground: 'any' },
    { by: 'area', consumable: 'film-powder', area: 'covered', perCm2: practice(8, UNCERTAIN), ground: 'any' },
    {
      by: 'area',
      consumable: 'print-film',
      area: 'printed',
      perCm2: practice(1.15, 'common shop practice: about 15 % falls between the prints'),
      ground: 'any',
    },
    ...transfer.deposits,
  ],
  notes: ['Do not melt powder in a closed press.', ...transfer.notes],
}
