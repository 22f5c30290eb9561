import type { MethodId } from '../methods'
import type { Recipe } from '../recipe'
import { cutFilm } from './cut-film'
import { dtg } from './dtg'
import { film } from './film'
import { screen } from './screen'
import { sublimation } from './sublimation'
import { transfer } from './transfer'
import { airCured, waterBased } from './water-based'

/** The recipe a new shop starts with for each method. */
export const defaultRecipes: Record<MethodId, Recipe> = { transfer, sublimation, dtg, screen }
/** Other recipes of the same methods, for shops that have the machines. */
export const moreRecipes: readonly Recipe[] = [film, cutFilm, waterBased, airCured]
export { finish } from './finish'
