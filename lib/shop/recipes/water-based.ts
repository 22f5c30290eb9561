import { fromFahrenheit } from '@/lib/units/measure'
import type { Recipe } from '../recipe'
import { practice, published } from '../sourced'
import { step } from './build'
import { screen } from './screen'

const CURE = 'trade press, Oct 2018, p. 39: 300 to 320 °F held 2 to 3 min; the water leaves first'

/** Water-based ink: softer, and slower through the dryer. Screens and press work are those of plastisol. */
export const waterBased: Recipe = {
  ...screen,
  id: 'screen-water-based',
  name: 'Screen print, water-based',
  softInk: true,
  steps: screen.steps.map(step => {
    if (step.key === 'cure')
      return {
        ...step,
        settings: [
          {
            classes: ['cotton', 'blend'],
            temperature: published(fromFahrenheit(315), CURE),
            dwellSeconds: published(150, CURE),
            pressure: null,
          },
        ],
        paceSeconds: practice(48, 'twice as long in the heat, half as many an hour'),
      }
    return step.state === 'plastisol'
      ? {
          ...step,
          state: 'water-based',
          gapMax: practice(30, 'common shop practice: cure soon, it dries in'),
        }
      : step
  }),
  deposits: screen.deposits.map(deposit => {
    if (deposit.by !== 'mesh')
      return deposit.consumable === 'plastisol' ? { ...deposit, consumable: 'water-based' as const } : deposit
    return {
      ...deposit,
      consumable: 'water-based' as const,
      densityGPerCm3: practice(1.05, 'mostly water; the ink maker’s sheet comes first'),
    }
  }),
  notes: [
    'Do not let it dry in the screen: flood between strokes and mist in breaks.',
    'Ink with a low-cure catalyst keeps 4 to 8 hours after mixing, then it is waste.',
    ...screen.notes.slice(0, 1),
  ],
}

const IN_AIR = 'from memory: wash-fast after 24 to 72 h; the ink maker’s data sheet comes first'

/** The same with a low-cure catalyst in the ink, where there is no dryer: it cures by itself, laid out, and is packed days later. */
export const airCured: Recipe = {
  ...waterBased,
  id: 'screen-water-based-air',
  name: 'Screen print, water-based, cured in the air',
  without: ['dryer'],
  steps: waterBased.steps.map(of => {
    if (of.key === 'cure')
      return step({
        key: 'cure',
        words: 'Lay out flat, not on each other: it cures in the air',
        stationKind: 'bench',
        handlingSeconds: practice(10),
        settings: [
          { classes: ['cotton', 'blend'], temperature: null, dwellSeconds: practice(0), pressure: null },
        ],
        gapMin: practice(72 * 60, IN_AIR),
      })
    return of.state === 'water-based' ? { ...of, gapMax: null } : of
  }),
}
