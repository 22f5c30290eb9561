import { celsius, fromFahrenheit } from '@/lib/units/measure'
import type { Recipe } from '../recipe'
import { practice, published } from '../sourced'
import { FUMES, LOCK_OUT, prepareArt, SOFT, SOLVENT, step, timed } from './build'

const DENSITY = 'ink maker’s cost sheet, 2011: 12 lb a US gallon'
const MESH_USE = 'screen supplier’s mesh table: 156 general on light, 110 block underbase'

/** Plastisol on a manual press, cured on a belt. */
export const screen: Recipe = {
  id: 'screen-plastisol',
  method: 'screen',
  version: 1,
  name: 'Screen print, plastisol',
  supply: 'in-house',
  sheet: null,
  screens: true,
  steps: [
    prepareArt(
      'Prepare the art: mend it, part it into its inks, print a film of each',
      600,
      practice(180, 'common shop practice: a film of each ink looked over'),
    ),
    step({
      key: 'coat',
      words: 'Degrease and coat the screens',
      stationKind: 'bench',
      per: 'screen',
      phase: 'before',
      setup: { seconds: practice(180), per: 'job' },
      handlingSeconds: practice(150),
      gapMin: practice(45, 'common shop practice: coat dry 30 to 60 min'),
      cautions: [SOLVENT],
    }),
    step({
      key: 'expose',
      words: 'Film on, expose, rinse out',
      stationKind: 'bench',
      per: 'screen',
      phase: 'before',
      handlingSeconds: practice(120),
      settings: timed(practice(240, 'common shop practice: expose 1 to 10 min, rinse 2 to 3 min')),
      gapMin: practice(30, 'common shop practice: dry 20 to 60 min'),
      cautions: [SOLVENT],
    }),
    step({
      key: 'flash',
      words: 'Print the white underbase, flash until it gels',
      stationKind: 'screen-press',
      when: 'dark',
      handlingSeconds: practice(4, 'common shop practice: swing in, let it cool'),
      settings: [
        {
          classes: SOFT,
          temperature: published(
            celsius(105),
            'plastisol ink maker’s questions and answers: gels at 180 to 250 °F',
          ),
          dwellSeconds: practice(6, 'common shop practice: 3 to 8 s'),
          pressure: null,
        },
      ],
      state: 'plastisol',
      joinsNext: true,
      cautions: [FUMES],
    }),
    step({
      key: 'print',
      words: 'Register and print, one screen after the other',
      stationKind: 'screen-press',
      setup: {
        seconds: published(600, 'trade press, Aug 2018, p. 33: 10 min a screen on a manual press'),
        per: 'press-screen',
      },
      handlingSeconds: practice(25, 'with two inks about 65 an hour: trade press, Aug 2018, p. 33'),
      settings: [{ classes: SOFT, temperature: null, dwellSeconds: practice(0), pressure: null }],
      perInkSeconds: practice(15, 'with two inks about 65 an hour: trade press, Aug 2018, p. 33'),
      state: 'plastisol',
      joinsNext: false,
      gapMax: null,
      cautions: [FUMES, LOCK_OUT],
    }),
    step({
      key: 'cure',
      words: 'Through the dryer: the whole film reaches cure',
      stationKind: 'dryer',
      setup: { seconds: practice(120), per: 'job' },
      settings: [
        {
          classes: ['cotton', 'blend'],
          temperature: published(
            fromFahrenheit(320),
            'plastisol ink maker’s questions and answers: film at 320 °F',
          ),
          dwellSeconds: published(75, 'trade press on conveyor curing: at least 60 s in a long hood'),
          pressure: null,
        },
        {
          classes: ['tri-blend', 'polyester', 'nylon'],
          temperature: published(
            fromFahrenheit(280),
            'trade press, 2014: low-temperature plastisol, about 280 °F',
          ),
          dwellSeconds: published(75, 'trade press on conveyor curing: at least 60 s in a long hood'),
          pressure: null,
        },
      ],
      paceSeconds: published(24, 'trade press, Nov 2015, p. 95: small dryers about 150 garments an hour'),
      cautions: [FUMES],
    }),
    step({
      key: 'wash-up',
      words: 'Take the ink back, wash the screens',
      stationKind: 'bench',
      per: 'press-screen',
      phase: 'after',
      handlingSeconds: practice(180),
      cautions: [SOLVENT],
    }),
    step({
      key: 'reclaim',
      words: 'Reclaim the screens',
      stationKind: 'bench',
      per: 'screen',
      phase: 'after',
      handlingSeconds: published(780, 'screen supplier: 4 to 5 screens an hour by hand in a small shop'),
      cautions: [SOLVENT],
    }),
  ],
  deposits: [
    {
      by: 'mesh',
      consumable: 'plastisol',
      threadsPerCm: published(61, MESH_USE),
      threadUm: practice(64),
      densityGPerCm3: published(1.438, DENSITY),
      transferred: practice(0.8, 'common shop practice; weigh a garment before and after to learn yours'),
      hits: 1,
      ground: 'any',
    },
    {
      by: 'mesh',
      consumable: 'plastisol-white',
      threadsPerCm: published(43, MESH_USE),
      threadUm: practice(80),
      densityGPerCm3: published(1.438, DENSITY),
      transferred: practice(0.8, 'common shop practice; weigh a garment before and after to learn yours'),
      hits: 1,
      ground: 'dark',
    },
    {
      by: 'unit',
      consumable: 'plastisol',
      per: 'press-screen',
      each: practice(8000, 'common shop practice: about 8 g stay on screen and squeegee'),
      ground: 'any',
    },
    {
      by: 'unit',
      consumable: 'emulsion',
      per: 'screen',
      each: practice(35_000, 'common shop practice: 25 to 45 g wet for one coat each side'),
      ground: 'any',
    },
    {
      by: 'unit',
      consumable: 'film-positive',
      per: 'screen',
      each: practice(1247, 'one A3 film for each screen'),
      ground: 'any',
    },
    { by: 'unit', consumable: 'screen-tape', per: 'press-screen', each: practice(2200), ground: 'any' },
    { by: 'unit', consumable: 'platen-adhesive', per: 'print', each: practice(300), ground: 'any' },
  ],
  notes: [
    'Read the film on the garment, not the dial: a dryer set at 320 °F does not make a film of 320 °F.',
    'On polyester use low-bleed ink: dye migration starts at about 129 °C and may show days later.',
  ],
}
