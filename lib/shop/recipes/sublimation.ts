import { fromFahrenheit } from '@/lib/units/measure'
import type { Recipe } from '../recipe'
import { practice, published } from '../sourced'
import { FUMES, HOT_PLATEN, prepareArt, step, timed } from './build'

const BAND = 'sublimation ink maker’s and paper maker’s press sheets: 400 °F, band 380 to 420 °F'

export const sublimation: Recipe = {
  id: 'sublimation',
  method: 'sublimation',
  version: 1,
  name: 'Sublimation on polyester',
  supply: 'in-house',
  sheet: 'sublimation-paper',
  screens: false,
  steps: [
    prepareArt('Prepare the art: mend it, mirror it, file at size', 600),
    step({
      key: 'print',
      words: 'Print the mirrored art on transfer paper',
      stationKind: 'sublimation-printer',
      per: 'sheet',
      setup: { seconds: practice(300), per: 'job' },
      handlingSeconds: practice(10),
      settings: timed(practice(100)),
      attended: 'setup',
      pausable: true,
      gapMin: practice(2, 'common shop practice: let the paper dry to the touch'),
    }),
    step({
      key: 'pre-press',
      words: 'Lint roll, lay the blank, pre-press to drive the moisture out',
      stationKind: 'heat-press',
      setup: { seconds: practice(240), per: 'job' },
      handlingSeconds: practice(15),
      settings: [
        {
          classes: ['polyester', 'blend', 'tri-blend'],
          temperature: practice(fromFahrenheit(400)),
          dwellSeconds: practice(6, 'common shop practice: 5 to 10 s'),
          pressure: practice('light'),
        },
        {
          classes: ['hard'],
          temperature: practice(fromFahrenheit(400)),
          dwellSeconds: practice(0),
          pressure: practice('medium'),
        },
      ],
      joinsNext: true,
      cautions: [HOT_PLATEN],
    }),
    step({
      key: 'press',
      words: 'Tape the paper face down, cover, press',
      stationKind: 'heat-press',
      setup: { seconds: practice(60), per: 'design' },
      handlingSeconds: practice(20),
      settings: [
        {
          classes: ['polyester', 'blend', 'tri-blend'],
          temperature: published(fromFahrenheit(400), BAND),
          dwellSeconds: published(40, 'ink maker’s sheet: 35 to 50 s on T-shirts'),
          pressure: practice('medium', 'sources disagree: light to medium, 35 to 60 psi'),
        },
        {
          classes: ['hard'],
          temperature: published(fromFahrenheit(400), BAND),
          dwellSeconds: practice(
            180,
            'common shop practice for a ceramic mug; the coating’s sheet comes first',
          ),
          pressure: practice('medium'),
        },
      ],
      coverSheet: 'protection paper',
      // The paper stays on while the blank settles: peeled at once it ghosts.
      gapMin: practice(1, 'common shop practice: left to settle before peeling'),
      cautions: [HOT_PLATEN, FUMES],
    }),
    step({
      key: 'peel',
      words: 'Let it settle, then peel the paper',
      stationKind: 'bench',
      handlingSeconds: practice(6),
      peel: practice('warm', 'common shop practice: settle first, then one smooth pull'),
    }),
  ],
  deposits: [
    {
      by: 'area',
      consumable: 'sublimation-ink',
      area: 'covered',
      perCm2: published(1.08, 'ink maker, about 1 ml a square foot (10.8 ml/m²)'),
      ground: 'any',
    },
    { by: 'unit', consumable: 'protection-paper', per: 'print', each: practice(1), ground: 'any' },
  ],
  notes: [
    'The dye is transparent and there is no white ink: white in the art is the blank’s own white.',
    'Full colour needs 100 % polyester; from 65 % the print looks washed out.',
  ],
}
