import type { FibreClass } from './blanks'
import { practice, published, type Sourced } from './sourced'

/** Highest platen or film temperature a class of blank takes, °C. */
export const HEAT_LIMIT: Record<FibreClass, Sourced<number>> = {
  cotton: practice(205, 'common shop practice: cotton yellows from about 190 to 200 °C or with long dwell'),
  blend: practice(185, 'common shop practice'),
  'tri-blend': practice(170, 'common shop practice'),
  polyester: practice(140, 'common shop practice for dyed polyester'),
  nylon: practice(150, 'common shop practice'),
  hard: practice(215, 'common shop practice; the coating’s sheet comes first'),
}
/** Undyed or lightly dyed polyester under sublimation, °C: the dye goes in at about 204 °C; polyester melts near 250 °C. */
export const SUBLIMATION_HEAT_LIMIT = practice(215)
/** Film temperature from which the cloth's own dye wanders into the print, °C. */
export const DYE_MIGRATION_FROM = published(129, 'ink maker’s sheet: above 265 °F')
/** Least percent of polyester for sublimation that still sells. */
export const LEAST_POLYESTER = published(65, 'sublimation guide: about 65 % is the usual minimum')
/** From this percent up sublimation colours are full. */
export const FULL_POLYESTER = published(100, 'sublimation guide: 100 % for full colour')
/** Least percent of cotton (or other plant fibre) for DTG ink to hold. */
export const LEAST_PLANT_FIBRE = practice(50)
