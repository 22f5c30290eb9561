import type { ConsumableId } from '@/lib/shop/consumables'
import { type Deposit, happensOn, isOnce, type Recipe } from '@/lib/shop/recipe'
import type { Chain } from './chains'
import { meshInkMg, meshInkVolume } from './mesh'
import type { OrderWork } from './order'
import type { Costing } from './prepare'
import { chainUnits, type SheetCount, type Work, workOf } from './steps'

/** So much of a consumable, in its base units, with parts. */
export type Use = {
  consumable: ConsumableId
  /** For the good pieces; where `once`, for set-up. */
  quantity: number
  /** More for the extra pieces. */
  extra: number
  /** Used by design, screen or job, however many pieces there are. */
  once: boolean
  chain: Chain
  /** Null: sheets that the prints are laid out on. */
  deposit: Deposit | null
}

const meshVolumes = new WeakMap<Deposit, number>()
/** Theoretical ink volume of a mesh deposit, cm³/m². */
export function depositVolume(deposit: Extract<Deposit, { by: 'mesh' }>): number {
  const known = meshVolumes.get(deposit)
  if (known !== undefined) return known
  const volume = meshInkVolume({ threadsPerCm: deposit.threadsPerCm.value, threadUm: deposit.threadUm.value })
  meshVolumes.set(deposit, volume)
  return volume
}

/** What one print of a batch uses, base units; for a deposit counted by the unit, what one unit uses. */
export function depositEach(deposit: Deposit, chain: Pick<Chain, 'coveredCm2' | 'printedCm2'>): number {
  switch (deposit.by) {
    case 'area':
      return deposit.perCm2.value * (deposit.area === 'covered' ? chain.coveredCm2 : chain.printedCm2)
    case 'unit':
      return deposit.each.value
    case 'mesh':
      return meshInkMg(
        chain.coveredCm2,
        depositVolume(deposit),
        deposit.densityGPerCm3.value,
        deposit.transferred.value,
        deposit.hits,
      )
  }
}

/** What a batch uses, deposit by deposit, and its share of the sheets. */
export function chainUse(chain: Chain, sheets: SheetCount): Use[] {
  const uses: Use[] = []
  for (const deposit of chain.recipe.deposits) {
    if (!happensOn(deposit.ground, chain.ground)) continue
    const per = deposit.by === 'unit' ? deposit.per : 'print'
    const [good, extra] = chainUnits(per, chain, sheets)
    if (good === 0 && extra === 0) continue
    const each = depositEach(deposit, chain)
    uses.push({
      consumable: deposit.consumable,
      quantity: each * good,
      extra: each * extra,
      once: isOnce(per),
      chain,
      deposit,
    })
  }
  if (chain.recipe.sheet && chain.firstOfRecipe && sheets.good + sheets.extra > 0)
    uses.push({
      consumable: chain.recipe.sheet,
      quantity: sheets.good,
      extra: sheets.extra,
      once: false,
      chain,
      deposit: null,
    })
  return uses
}

/** What an order uses, deposit by deposit. */
export const usedBy = (work: Work): Use[] =>
  work.chains.flatMap(c => chainUse(c, work.sheets.get(c.recipe.id) as SheetCount))

/** What an order draws from the shelf by consumable, whole base units rounded up, extra pieces included. */
export function consumption(
  order: OrderWork,
  costing: Costing,
): { consumable: ConsumableId; quantity: number }[] {
  const sums = new Map<ConsumableId, number>()
  for (const use of usedBy(workOf(order, costing)))
    sums.set(use.consumable, (sums.get(use.consumable) ?? 0) + use.quantity + use.extra)
  return [...sums].map(([consumable, quantity]) => ({ consumable, quantity: Math.ceil(quantity - 1e-9) }))
}

/**
 * What so many printed pieces of one print use, by consumable, whole base units rounded to the nearest: what the floor books when it
 * reports pieces, good and spoiled alike. Sheets count as parts of a sheet.
 */
export function printUse(
  recipe: Recipe,
  print: Pick<Chain, 'coveredCm2' | 'printedCm2' | 'ground'>,
  pieces: number,
): { consumable: ConsumableId; quantity: number }[] {
  const sums = new Map<ConsumableId, number>()
  for (const deposit of recipe.deposits) {
    if (!happensOn(deposit.ground, print.ground)) continue
    if (deposit.by === 'unit' && deposit.per !== 'print' && deposit.per !== 'piece') continue
    const quantity = depositEach(deposit, print) * pieces
    sums.set(deposit.consumable, (sums.get(deposit.consumable) ?? 0) + quantity)
  }
  return [...sums]
    .map(([consumable, quantity]) => ({ consumable, quantity: Math.round(quantity) }))
    .filter(u => u.quantity > 0)
}
