import { FIBRE_CLASSES, type FibreClass } from '../blanks'
import type { RecipeStep, Setting } from '../recipe'
import { practice, type Sourced } from '../sourced'

/** The press and cure stand at one temperature per fibre; these steps need none. */
export const NO_HEAT: Setting[] = [
  { classes: [...FIBRE_CLASSES], temperature: null, dwellSeconds: practice(0), pressure: null },
]
export const SOFT: FibreClass[] = ['cotton', 'blend', 'tri-blend', 'polyester', 'nylon']

/** No heat, so many seconds for one unit. */
export const timed = (seconds: Sourced<number>): Setting[] => [
  { classes: [...FIBRE_CLASSES], temperature: null, dwellSeconds: seconds, pressure: null },
]

/** A step with the usual values for what is not named. */
export function step(
  given: Pick<RecipeStep, 'key' | 'words' | 'stationKind'> & Partial<RecipeStep>,
): RecipeStep {
  return {
    when: 'always',
    per: 'print',
    setup: null,
    handlingSeconds: practice(0),
    settings: NO_HEAT,
    perInkSeconds: null,
    dwellAtCm2: null,
    paceSeconds: null,
    state: null,
    peel: null,
    coverSheet: null,
    attended: 'all',
    pausable: true,
    gapMin: practice(0),
    gapMax: null,
    joinsNext: false,
    phase: 'work',
    cautions: [],
    ...given,
  }
}

/** What is done once for an artwork before its first print, and kept with it: a repeat skips it. */
export const prepareArt = (
  words: string,
  seconds: number,
  perInkSeconds: Sourced<number> | null = null,
): RecipeStep =>
  step({
    key: 'art',
    words,
    stationKind: 'bench',
    per: 'new-art',
    phase: 'before',
    handlingSeconds: practice(seconds, 'common shop practice: 10 to 30 min an artwork; clock yours'),
    perInkSeconds,
  })

export const HOT_PLATEN =
  'Hot platen, 130 to 210 °C: keep hands and sleeves out, know the stop button. Follow the press maker’s manual; local codes come first.'
export const FUMES =
  'Fumes: run the extraction and keep the door open to fresh air. Read the safety data sheet; local codes come first.'
export const SPRAY =
  'Spray mist: closed booth with extraction, gloves, eye protection. Read the safety data sheet; local codes come first.'
export const SOLVENT =
  'Solvents and screen chemicals: local exhaust, the right gloves, eye protection, no ignition, nothing down the drain that the sewer rules forbid. Read the safety data sheets.'
export const LOCK_OUT = 'Switch off and lock out power before reaching into a machine.'
