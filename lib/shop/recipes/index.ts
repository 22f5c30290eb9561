import type { MethodId } from '../methods'
import type { Recipe } from '../recipe'
import { dtg } from './dtg'
import { screen } from './screen'
import { sublimation } from './sublimation'
import { transfer } from './transfer'

/** The recipe a new shop starts with for each method. */
export const defaultRecipes: Record<MethodId, Recipe> = { transfer, sublimation, dtg, screen }
export { finish } from './finish'
