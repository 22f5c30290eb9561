import type { ConsumableId } from '@/lib/shop/consumables'
import { type CountedBy, type Deposit, happensOn, isOnce, type Recipe } from '@/lib/shop/recipe'
import type { Chain } from './chains'
import { meshInkMg, meshInkVolume } from './mesh'
import type { OrderWork } from './order'
import type { Costing } from './prepare'
import { NO_SHEETS, unitsOf, type Work, workOf } from './steps'

/** A consumable that a batch uses, and how much one unit takes in base units. */
export type Use = {
  consumable: ConsumableId
  chain: Chain
  /** What it is counted by; once: by design, screen or job, however many pieces there are. */
  per: CountedBy
  once: boolean
  each: number
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

/** What a batch uses, deposit by deposit, and the sheets with the first batch of a recipe. */
function chainUse(chain: Chain): Use[] {
  const uses: Use[] = []
  for (const deposit of chain.recipe.deposits) {
    if (!happensOn(deposit.ground, chain.ground)) continue
    const per = deposit.by === 'unit' ? deposit.per : 'print'
    uses.push({
      consumable: deposit.consumable,
      chain,
      per,
      once: isOnce(per),
      each: depositEach(deposit, chain),
      deposit,
    })
  }
  if (chain.recipe.sheet && chain.firstOfRecipe)
    uses.push({ consumable: chain.recipe.sheet, chain, per: 'sheet', once: false, each: 1, deposit: null })
  return uses
}

/** What an order uses, deposit by deposit. */
export const usedBy = (work: Work): Use[] => work.chains.flatMap(chainUse)

/** Units of a use, for the good pieces and for the extra ones, as the work is counted now. */
export const unitsUsed = (use: Use, work: Work): [good: number, extra: number] =>
  unitsOf(use.per, use.chain, work.sheets.get(use.chain.recipe.id) ?? NO_SHEETS)

/** What an order draws from the shelf by consumable, whole base units rounded up, extra pieces included. */
export function consumption(
  order: OrderWork,
  costing: Costing,
): { consumable: ConsumableId; quantity: number }[] {
  const sums = new Map<ConsumableId, number>()
  const work = workOf(order, costing)
  for (const use of usedBy(work)) {
    const [good, extra] = unitsUsed(use, work)
    sums.set(use.consumable, (sums.get(use.consumable) ?? 0) + use.each * (good + extra))
  }
  return [...sums]
    .map(([consumable, quantity]) => ({ consumable, quantity: Math.ceil(quantity - 1e-9) }))
    .filter(u => u.quantity > 0)
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
