import { celsius, fromFahrenheit } from '@/lib/units/measure'
import type { Recipe } from '../recipe'
import { practice, published } from '../sourced'
import { FUMES, HOT_PLATEN, step } from './build'

const CHART = 'transfer maker’s press chart, 2026'
const GUIDE =
  'heat press questions and answers of an equipment seller, 2025: pre-press and post-press 5 to 10 s'

/** Printed film bought in by the sheet, hot peel. Whoever prints it prepares the art for it. */
export const transfer: Recipe = {
  id: 'transfer-bought-in',
  method: 'transfer',
  version: 1,
  name: 'Transfer, bought in, hot peel',
  supply: 'bought-in',
  sheet: 'transfer-sheet',
  screens: false,
  steps: [
    step({
      key: 'cut',
      words: 'Cut the sheet into prints',
      stationKind: 'bench',
      handlingSeconds: practice(8),
    }),
    step({
      key: 'pre-press',
      words: 'Lay the garment on the platen, pre-press to drive the moisture out',
      stationKind: 'heat-press',
      setup: { seconds: practice(180), per: 'job' },
      handlingSeconds: practice(12),
      settings: [
        {
          classes: ['cotton', 'blend'],
          temperature: practice(celsius(149)),
          dwellSeconds: published(5, GUIDE),
          pressure: practice('medium'),
        },
        {
          classes: ['polyester', 'tri-blend'],
          temperature: practice(celsius(132)),
          dwellSeconds: published(5, GUIDE),
          pressure: practice('light'),
        },
        {
          classes: ['nylon'],
          temperature: practice(fromFahrenheit(255)),
          dwellSeconds: published(5, GUIDE),
          pressure: practice('light'),
        },
      ],
      joinsNext: true,
      cautions: [HOT_PLATEN],
    }),
    step({
      key: 'press',
      words: 'Place the transfer, press, peel hot',
      stationKind: 'heat-press',
      setup: { seconds: practice(120), per: 'design' },
      handlingSeconds: practice(15),
      settings: [
        {
          classes: ['cotton', 'blend'],
          // 300 °F for about 16 s: the trade's usual press, one second over the published 12 to 15 s.
          temperature: published(celsius(149), `${CHART}: 300 to 320 °F on cotton, 285 to 300 °F on blends`),
          dwellSeconds: practice(16, 'common shop practice: about 300 °F for about 16 s'),
          pressure: published('medium', `${CHART}: about 60 psi`),
        },
        {
          classes: ['polyester', 'tri-blend'],
          temperature: published(
            celsius(132),
            `${CHART}: 265 to 280 °F on polyester, 275 to 290 °F on tri-blend`,
          ),
          dwellSeconds: published(12, `${CHART}: 10 to 12 s`),
          pressure: published('medium', `${CHART}: about 40 psi`),
        },
        {
          classes: ['nylon'],
          temperature: published(fromFahrenheit(255), `${CHART}: 250 to 265 °F on nylon with elastane`),
          dwellSeconds: published(10, `${CHART}: 8 to 10 s`),
          pressure: published('light', `${CHART}: about 30 psi`),
        },
      ],
      peel: practice('hot', 'an attribute of the film: check the sheet it came with'),
      joinsNext: true,
      cautions: [HOT_PLATEN],
    }),
    step({
      key: 'post-press',
      words: 'Cover and press again to set the edge',
      stationKind: 'heat-press',
      handlingSeconds: practice(6),
      settings: [
        {
          classes: ['cotton', 'blend'],
          temperature: practice(celsius(149)),
          dwellSeconds: published(5, GUIDE),
          pressure: practice('medium'),
        },
        {
          classes: ['polyester', 'tri-blend'],
          temperature: practice(celsius(132)),
          dwellSeconds: published(5, GUIDE),
          pressure: practice('light'),
        },
        {
          classes: ['nylon'],
          temperature: practice(fromFahrenheit(255)),
          dwellSeconds: published(5, GUIDE),
          pressure: practice('light'),
        },
      ],
      coverSheet: 'silicone parchment',
      cautions: [HOT_PLATEN, FUMES],
    }),
  ],
  deposits: [
    {
      by: 'unit',
      consumable: 'parchment',
      per: 'print',
      each: practice(0.02, 'common shop practice: one sheet lasts about 50 presses'),
      ground: 'any',
    },
  ],
  notes: ['Ask the maker whether the film peels hot, warm or cold: peeling at the wrong time lifts the ink.'],
}
