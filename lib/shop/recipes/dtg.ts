import { celsius, fromFahrenheit } from '@/lib/units/measure'
import type { Recipe } from '../recipe'
import { practice, published } from '../sourced'
import { FUMES, HOT_PLATEN, prepareArt, SPRAY, step } from './build'

const PRETREAT = 'trade press on pretreating, Sep 2015, p. 97: 1.5 to 1.7 g an inch of length at 16 in width'
const CURE = 'trade press on DTG finishing: about 330 °F, light pressure, 30 to 45 s'
/** 10 × 12 in, the area that trade articles time and cost a print by. */
const TEN_BY_TWELVE_CM2 = 774.2

export const dtg: Recipe = {
  id: 'dtg',
  method: 'dtg',
  version: 1,
  name: 'DTG on cotton',
  supply: 'in-house',
  sheet: null,
  screens: false,
  steps: [
    prepareArt('Prepare the art: let the garment through, white below it, file at size', 720),
    step({
      key: 'pretreat',
      words: 'Spray pretreat over the print area',
      stationKind: 'pretreat-booth',
      when: 'dark',
      setup: { seconds: practice(300), per: 'job' },
      handlingSeconds: practice(20),
      settings: [
        {
          classes: ['cotton', 'blend', 'tri-blend'],
          temperature: null,
          dwellSeconds: practice(15),
          pressure: null,
        },
      ],
      gapMax: practice(240, 'common shop practice: dry it the same half day'),
      cautions: [SPRAY],
    }),
    step({
      key: 'dry',
      words: 'Press dry under parchment until no steam comes',
      stationKind: 'heat-press',
      when: 'dark',
      setup: { seconds: practice(120), per: 'job' },
      handlingSeconds: practice(12),
      settings: [
        {
          classes: ['cotton', 'blend', 'tri-blend'],
          temperature: practice(fromFahrenheit(330)),
          dwellSeconds: published(30, 'trade press on DTG finishing: heavy pressure, 20 to 30 s until dry'),
          pressure: published('heavy', 'trade press on DTG finishing'),
        },
      ],
      coverSheet: 'silicone parchment',
      cautions: [HOT_PLATEN],
    }),
    step({
      key: 'print',
      words: 'Load on the platen and print',
      stationKind: 'dtg-printer',
      setup: { seconds: practice(360), per: 'job' },
      handlingSeconds: practice(20),
      settings: [
        {
          classes: ['cotton', 'blend', 'tri-blend'],
          temperature: null,
          // 90 s light and 180 s dark are published for 10 × 12 in; about two minutes is the usual print.
          dwellSeconds: practice(
            120,
            'common shop practice: about two minutes; published 90 s light, 180 s dark',
          ),
          pressure: null,
        },
      ],
      dwellAtCm2: published(TEN_BY_TWELVE_CM2, 'trade press on DTG print times: a print of 10 × 12 in'),
      gapMax: practice(120, 'common shop practice: cure before the ink smears'),
      cautions: [],
    }),
    step({
      key: 'cure',
      words: 'Cover with parchment and cure in the press',
      stationKind: 'heat-press',
      handlingSeconds: practice(12),
      settings: [
        {
          classes: ['cotton', 'blend', 'tri-blend'],
          temperature: published(fromFahrenheit(330), CURE),
          dwellSeconds: published(45, CURE),
          pressure: published('light', CURE),
        },
      ],
      coverSheet: 'silicone parchment',
      cautions: [HOT_PLATEN, FUMES],
    }),
  ],
  deposits: [
    {
      by: 'area',
      consumable: 'pretreat',
      // 0.1 g/in² over the whole rectangle: the spray does not follow the art.
      area: 'printed',
      perCm2: published(15.5, PRETREAT),
      ground: 'dark',
    },
    {
      by: 'area',
      consumable: 'dtg-colour',
      area: 'covered',
      perCm2: published(1.5, 'DTG machine maker: 15 ml/m²'),
      ground: 'any',
    },
    {
      by: 'area',
      consumable: 'dtg-white',
      area: 'covered',
      perCm2: published(6, 'DTG machine maker: white about four times the colour, 60 ml/m²'),
      ground: 'dark',
    },
    {
      by: 'unit',
      consumable: 'parchment',
      per: 'print',
      each: practice(0.04, 'common shop practice: one sheet lasts about 25 presses'),
      ground: 'any',
    },
  ],
  notes: [
    'Do not wash for 24 hours after the cure (ink maker’s sheet).',
    `A second published cure: ${celsius(180)} °C for 35 s.`,
  ],
}
