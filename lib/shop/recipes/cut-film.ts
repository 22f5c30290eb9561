import { celsius } from '@/lib/units/measure'
import type { Recipe } from '../recipe'
import { practice } from '../sourced'
import { HOT_PLATEN, LOCK_OUT, prepareArt, step, timed } from './build'

const SHEETS = 'film data sheets, from memory: 149 to 160 °C, 10 to 15 s, medium'

/** Names and numbers cut from coloured film: every piece may differ. */
export const cutFilm: Recipe = {
  id: 'transfer-cut-film',
  method: 'transfer',
  version: 1,
  name: 'Cut film for names and numbers',
  supply: 'in-house',
  sheet: null,
  screens: false,
  maxInks: 1,
  steps: [
    prepareArt('Prepare the art: draw the outlines that the cutter follows', 900),
    step({
      key: 'cut',
      words: 'Cut, mirrored, from the back of the film',
      stationKind: 'cutter',
      setup: { seconds: practice(300), per: 'job' },
      handlingSeconds: practice(10),
      settings: timed(practice(60)),
      attended: 'setup',
      cautions: [LOCK_OUT],
    }),
    step({
      key: 'weed',
      words: 'Weed what is not printed',
      stationKind: 'bench',
      handlingSeconds: practice(90),
    }),
    step({
      key: 'press',
      words: 'Place, press, peel as the film asks',
      stationKind: 'heat-press',
      setup: { seconds: practice(180), per: 'job' },
      handlingSeconds: practice(25),
      settings: [
        {
          classes: ['cotton', 'blend'],
          temperature: practice(celsius(155), SHEETS),
          dwellSeconds: practice(15, SHEETS),
          pressure: practice('medium', SHEETS),
        },
        {
          classes: ['polyester', 'tri-blend'],
          temperature: practice(celsius(138), 'low-heat film; its sheet comes first'),
          dwellSeconds: practice(15),
          pressure: practice('medium'),
        },
      ],
      peel: practice('warm', 'an attribute of the film: check its sheet'),
      coverSheet: 'silicone parchment',
      cautions: [HOT_PLATEN],
    }),
  ],
  deposits: [
    {
      by: 'area',
      consumable: 'cut-film',
      area: 'printed',
      perCm2: practice(1.25, 'common shop practice: a quarter is lost around and between'),
      ground: 'any',
    },
    {
      by: 'unit',
      consumable: 'parchment',
      per: 'print',
      each: practice(0.02, 'common shop practice: one sheet lasts about 50 presses'),
      ground: 'any',
    },
  ],
  notes: ['One colour; a second colour is a second print over the first.'],
}
