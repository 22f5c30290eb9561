import type { SizeCount, StepRecipe } from '@/lib/planning/recipe-snapshot'
import { CONSUMABLE, type ConsumableId } from '@/lib/shop/consumables'

/**
 * What so many worked pieces of a step have used, base units. Once-for-all amounts are used by the first piece. Whole sheets and
 * pieces are begun whole; liquids and weights are rounded to the nearest unit.
 * @param worked pieces worked, good and spoiled alike, 0 or more
 */
function usedBy(uses: StepRecipe['uses'], worked: number): Map<ConsumableId, number> {
  const used = new Map<ConsumableId, number>()
  if (worked <= 0) return used
  for (const { consumable, perPiece, once } of uses) {
    const exact = perPiece * worked + once
    const whole = CONSUMABLE[consumable].unit === 'piece' ? Math.ceil(exact - 1e-9) : Math.round(exact)
    if (whole > 0) used.set(consumable, (used.get(consumable) ?? 0) + whole)
  }
  return used
}

/**
 * What a report draws from the shelf: the use up to now less what earlier reports drew, so that parts add up to the whole however
 * often a step is handed on in parts.
 * @param before pieces worked before this report
 * @param after pieces worked after it, at least `before`
 */
export function consumed(
  uses: StepRecipe['uses'],
  before: number,
  after: number,
): { consumable: ConsumableId; quantity: number }[] {
  const had = usedBy(uses, before)
  return [...usedBy(uses, after)]
    .map(([consumable, quantity]) => ({ consumable, quantity: quantity - (had.get(consumable) ?? 0) }))
    .filter(u => u.quantity > 0)
}

/**
 * Blanks that a chain takes from the shelf when its first piece is worked: those of its sizes that have not been drawn for it yet.
 * @param drawn pieces already drawn for this chain, by item
 */
export function blanksToDraw(
  sizes: readonly SizeCount[],
  drawn: ReadonlyMap<string, number>,
): { itemId: string; quantity: number }[] {
  const wanted = new Map<string, number>()
  for (const s of sizes) wanted.set(s.itemId, (wanted.get(s.itemId) ?? 0) + s.quantity)
  return [...wanted]
    .map(([itemId, quantity]) => ({ itemId, quantity: quantity - (drawn.get(itemId) ?? 0) }))
    .filter(b => b.quantity > 0)
}
