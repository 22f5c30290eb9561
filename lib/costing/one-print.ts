import { groundOf } from '@/lib/shop/blanks'
import type { MethodId } from '@/lib/shop/methods'
import { type Rates, unitPrice } from '@/lib/shop/rates'
import { defaultRecipes } from '@/lib/shop/recipes'
import { film } from '@/lib/shop/recipes/film'
import { type Micro, roundToMicro } from '@/lib/units/money'
import { printUse } from './consumption'

/**
 * What the inks, film and paper of one print cost, micro-units: by the area that is covered (cm²) and the print's rectangle.
 * A transfer counts as film made here: of a bought-in one the maker asks by the sheet, whatever is on it.
 */
export function printMaterial(
  method: MethodId,
  cloth: string,
  area: { coveredCm2: number; printedCm2: number },
  rates: Rates,
): Micro {
  const recipe = method === 'transfer' ? film : defaultRecipes[method]
  const used = printUse(recipe, { ...area, ground: groundOf(cloth) }, 1)
  return roundToMicro(used.reduce((sum, u) => sum + u.quantity * unitPrice(rates, u.consumable), 0))
}
