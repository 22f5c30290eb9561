import { fromFahrenheit } from '@/lib/units/measure'
import type { Recipe } from '../recipe'
import { practice, published } from '../sourced'
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
