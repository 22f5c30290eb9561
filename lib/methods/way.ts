import type { OrderWork } from '@/lib/costing/order'
import type { Costing } from '@/lib/costing/prepare'
import { METHOD_WORDS, METHODS, type MethodId } from '@/lib/shop/methods'
import type { Recipe } from '@/lib/shop/recipe'

/** One way to make an order that stands in the comparison: a method by one of its recipes. */
export type Way = { key: string; name: string; method: MethodId; recipe: Recipe }

/** The shop's recipe of each method. */
export const shopWays = (costing: Costing): Way[] =>
  METHODS.map(method => ({
    key: method,
    name: METHOD_WORDS[method].name,
    method,
    recipe: costing.recipes[method],
  }))

/**
 * The shop's recipe of each method, and every further recipe whose stations the shop has, and that is not for shops without one. Keys of further ways are their recipe's id.
 * @param more further recipes, the shop's own versions of them included
 */
export const allWays = (costing: Costing, more: readonly Recipe[]): Way[] => [
  ...shopWays(costing),
  ...more
    .filter(recipe => costing.recipes[recipe.method].id !== recipe.id)
    .filter(recipe => recipe.steps.every(step => costing.stations.some(s => s.kind === step.stationKind)))
    .filter(recipe => !recipe.without?.some(kind => costing.stations.some(s => s.kind === kind)))
    .map(recipe => ({ key: recipe.id, name: recipe.name, method: recipe.method, recipe })),
]

/** The costing with the way's recipe in place of the shop's usual one of that method. */
export const costingFor = (way: Way, costing: Costing): Costing =>
  costing.recipes[way.method] === way.recipe
    ? costing
    : { ...costing, recipes: { ...costing.recipes, [way.method]: way.recipe } }

/** The order made this way: prints that have a method of their own keep it. */
export const orderBy = (way: Way, order: OrderWork): OrderWork =>
  order.method === way.method ? order : { ...order, method: way.method }
